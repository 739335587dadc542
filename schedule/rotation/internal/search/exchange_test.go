package search

import (
	"context"
	"math"
	"testing"

	"emberquilt/schedule/bench/family"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation/internal/model"
)

// exchange improves the plan of a short search, and checks what it gives.
func exchange(t *testing.T, p *problem.Problem, trials int64) float64 {
	t.Helper()
	m, err := model.New(p)
	if err != nil {
		t.Fatal(err)
	}
	x := New(m, 1, 0)
	x.Run(context.Background(), 20_000, 1)
	plan, cost, ok := x.Best()
	e := NewExchanger(m, 1)
	if !ok || e == nil {
		t.Fatal("no plan, or no exchanger")
	}
	for done := int64(0); done < trials; done += 1000 {
		better := e.Run(context.Background(), plan, cost, 1000)
		if better == nil {
			continue
		}
		v := m.Evaluate(better)
		if !v.Feasible {
			t.Fatalf("the plan breaks %s in %d", v.Broken, v.Year)
		}
		if v.Cost >= cost || math.Abs(v.Cost-e.found.cost) > 1e-6 {
			t.Fatalf("cost %v, told %v, before %v", v.Cost, e.found.cost, cost)
		}
		plan, cost = better, v.Cost
	}
	return cost
}

// Costs that HiGHS 1.15 proved to be least; see schedule/bench/RESULTS.md.
func TestExchangeFindsTheBestPlansOfGrids(t *testing.T) {
	for _, c := range []struct {
		side, budget int
		trials       int64
		want         float64
	}{{10, 5, 3000, 147300}, {10, 10, 10_000, 85510}, {10, 15, 30_000, 29400}} {
		if got := exchange(t, family.Grid(1, c.side, 10, c.budget), c.trials); got != c.want {
			t.Errorf("%d cells, %d%%: %v, want %v", c.side*c.side, c.budget, got, c.want)
		}
	}
}

// Against the program over joint ages of package reference, on uneven ground too:
// locks, a closed year, a cap of burns in place of acres, caps that differ by year.
func TestExchangeAgainstJointAges(t *testing.T) {
	best := 0
	const many = 20
	for seed := range uint64(many) {
		p := family.Grid(seed, 2, 5, 50)
		for t := range p.Caps {
			p.Caps[t].Acres = problem.NoLimit
			p.Caps[t].Burns = float64(1 + (uint64(t)+seed)%2)
		}
		p.Units[seed%4].MaxInterval = 2
		p.Closed = []problem.Closed{{Unit: int(seed % 3), Year: p.FirstYear + 1, Season: -1}}
		p.Locks = []problem.Lock{{Unit: 3, Year: p.FirstYear + 2, Burn: true, Season: -1}, {Unit: 2, Year: p.FirstYear + 3, Season: -1}}
		p, err := problem.Canonical(p)
		if err != nil {
			t.Fatal(err)
		}
		want, ok := reference.Optimum(p)
		if !ok {
			t.Fatal("no optimum")
		}
		got := exchange(t, p, 3000)
		if got < want.Cost-1e-6 {
			t.Errorf("seed %d: %v is below the optimum %v", seed, got, want.Cost)
		}
		if got <= want.Cost+1e-6 {
			best++
		}
	}
	if best < many*9/10 {
		t.Errorf("%d of %d optima found", best, many)
	}
}

func TestExchangeNeedsLikePlaces(t *testing.T) {
	for name, change := range map[string]func(p *problem.Problem){
		"acres":    func(p *problem.Problem) { p.Units[1].Acres++ },
		"days":     func(p *problem.Problem) { p.Units[1].BurnDays++; p.Caps[2].BurnDays[0] = 7 },
		"cost":     func(p *problem.Problem) { p.Units[1].Cost++; p.Caps[2].Cost = 7 },
		"evenness": func(p *problem.Problem) { p.EvenHi = 100 },
		"pairs":    func(p *problem.Problem) { p.Apart, p.Neighbors = p.Neighbors, nil },
	} {
		p := family.Grid(1, 3, 4, 15)
		p.Units[2].BurnDays, p.Units[2].Cost = 3, 40 // of which there is no cap
		for _, is := range []bool{true, false} {
			m, err := model.New(p)
			if err != nil {
				t.Fatal(err)
			}
			if got := NewExchanger(m, 1) != nil; got != is {
				t.Errorf("%s: an exchanger %v, want %v", name, got, is)
			}
			change(p)
		}
	}
}
