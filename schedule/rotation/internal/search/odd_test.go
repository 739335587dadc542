package search

import (
	"context"
	"math"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
)

// odd gives a small problem without limits that a test then changes.
func odd(units, years, seasons int) *problem.Problem {
	p := &problem.Problem{
		FirstYear: 2027, Years: years, EvenLo: math.Inf(-1), EvenHi: problem.NoLimit,
		Weights: problem.DefaultWeights(),
	}
	for q := range seasons {
		p.Seasons = append(p.Seasons, string(rune('a'+q)))
	}
	for i := range units {
		p.Units = append(p.Units, problem.Unit{
			ID: string(rune('a' + i)), Acres: float64(10 + 7*i), MinInterval: 2, MaxInterval: 3, Age: i,
			Penalty: make([]float64, seasons), BurnDays: 1, Cost: 100, Mix: -1, Refuge: -1,
		})
	}
	for range years {
		c := problem.YearCaps{Acres: inf, Burns: inf, Cost: inf}
		for range seasons {
			c.BurnDays = append(c.BurnDays, inf)
		}
		p.Caps = append(p.Caps, c)
	}
	return p
}

// solve runs a while and checks the plan from outside the search.
func solve(t *testing.T, p *problem.Problem, steps int64) float64 {
	t.Helper()
	m, err := model.New(p)
	if err != nil {
		t.Fatal(err)
	}
	x := New(m, 1, 0)
	x.Run(context.Background(), steps, 1)
	plan, cost, ok := x.Best()
	if !ok {
		t.Fatal("no plan")
	}
	e := m.Evaluate(plan)
	if !e.Feasible {
		t.Fatalf("the plan breaks %s in %d", e.Broken, e.Year)
	}
	if math.Abs(e.Cost-cost) > 1e-9*max(1, cost) || math.IsNaN(cost) {
		t.Fatalf("cost %v, evaluated %v", cost, e.Cost)
	}
	return cost
}

func TestOddProblems(t *testing.T) {
	tests := []struct {
		name   string
		change func(p *problem.Problem)
		want   float64 // worked out by hand
	}{
		{"nothing binds", func(*problem.Problem) {}, 0},
		{"caps of 0: all acres overdue as ages pass 3", func(p *problem.Problem) {
			for t := range p.Caps {
				p.Caps[t].Acres = 0
			}
			// Ages 0, 1, 2 before year 1 of 6: overdue in 4, 5 and 6 years.
		}, 3 * (10*4 + 17*5 + 24*6)},
		{"caps of 0 burns", func(p *problem.Problem) {
			for t := range p.Caps {
				p.Caps[t].Burns = 0
			}
		}, 3 * (10*4 + 17*5 + 24*6)},
		{"no season allowed for one unit", func(p *problem.Problem) {
			p.Units[2].Penalty = []float64{-1, -1}
		}, 3 * 24 * 6},
		{"all weights 0", func(p *problem.Problem) {
			p.Weights = problem.Weights{}
			p.Caps[1].Burns = 1
		}, 0},
		{"locked rests only", func(p *problem.Problem) {
			for t := range 6 {
				p.Locks = append(p.Locks, problem.Lock{Unit: 0, Year: 2027 + t, Season: -1})
			}
		}, 3 * 10 * 4},
		{"locked burns find their seasons", func(p *problem.Problem) {
			// Three burns of a day each in one year, into seasons of 2 and 1
			// days; unit b likes the full season and unit c knows no other.
			p.Units[1].Penalty = []float64{0, 2}
			p.Units[2].Penalty = []float64{0, -1}
			p.Units[0].Penalty = []float64{0, 1}
			for i := range 3 {
				p.Units[i].Age = 2
				p.Locks = append(p.Locks, problem.Lock{Unit: i, Year: 2027, Burn: true, Season: -1})
			}
			p.Caps[0].BurnDays = []float64{2, 1}
			// a burns in its second season: 0.5 · 1 · 10. All the rest is free.
		}, 5},
		{"every pair apart", func(p *problem.Problem) {
			p.Apart = [][2]int{{0, 1}, {0, 2}, {1, 2}}
		}, 0},
		{"long intervals", func(p *problem.Problem) {
			for i := range p.Units {
				p.Units[i].MinInterval, p.Units[i].MaxInterval, p.Units[i].Age = 20, 30, 400
			}
		}, 0},
		{"acres of every size", func(p *problem.Problem) {
			p.Units[0].Acres, p.Units[2].Acres = 0.1, 20_000
			p.Units[0].Age, p.Units[1].Age, p.Units[2].Age = 2, 2, 2
			for t := range p.Caps {
				p.Caps[t].Burns = 1
			}
		}, 3 * (0.1*2 + 17*1)},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			p := odd(3, 6, 2)
			test.change(p)
			if got := solve(t, p, 20_000); math.Abs(got-test.want) > 1e-6 {
				t.Errorf("cost %v, want %v", got, test.want)
			}
		})
	}
}

func TestOneUnit(t *testing.T) {
	p := odd(1, 4, 1)
	if got := solve(t, p, 1000); got != 0 {
		t.Errorf("cost %v, want 0", got)
	}
}

func TestNothingToDo(t *testing.T) {
	m, err := model.New(odd(0, 4, 1))
	if err != nil {
		t.Fatal(err)
	}
	x := New(m, 1, 0)
	x.Run(context.Background(), 0, 1) // must come back
}

func TestOffer(t *testing.T) {
	p := odd(3, 6, 1)
	for t := range p.Caps {
		p.Caps[t].Burns = 1
	}
	m, err := model.New(p)
	if err != nil {
		t.Fatal(err)
	}
	x := New(m, 1, 0)
	if plan := m.NewPlan(); !x.Offer(plan) || x.Offer(plan) {
		t.Error("the first plan is taken, the same again is not")
	}
	bad := m.NewPlan()
	bad[0*m.T+2], bad[1*m.T+2], bad[2*m.T+2] = 0, 0, 0
	if x.Offer(bad) {
		t.Error("a plan of three burns in a year of one was taken")
	}
	_, before, _ := x.Best()
	x.Run(context.Background(), 5000, 1)
	if _, after, _ := x.Best(); after > before {
		t.Errorf("the best went from %v to %v", before, after)
	}
}
