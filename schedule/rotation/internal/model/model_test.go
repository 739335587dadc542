package model

import (
	"math"
	"math/rand/v2"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
)

// Evaluate agrees with the plain sums of package reference, on plans that keep
// the rest intervals and on those that do not.
func TestEvaluateAgreesWithPlainSums(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	feasible, broken := 0, map[problem.Requirement]int{}
	for range 3000 {
		p := reference.Random(r, reference.Size{Locks: 40})
		m, err := New(p)
		if err != nil {
			t.Fatal(err)
		}
		plan := m.NewPlan()
		for at := range plan {
			if s := r.IntN(m.S); r.IntN(4) == 0 && p.Units[at/m.T].Allows(s) {
				plan[at] = int8(s)
			}
		}
		e := m.Evaluate(plan)
		want := reference.Cost(p, m.Burns(plan))
		for _, pair := range [][2]float64{
			{e.Parts.Overdue, want.Overdue}, {e.Parts.Mix, want.Mix}, {e.Parts.Season, want.Season},
			{e.Parts.Evenness, want.Evenness}, {e.Parts.Neighbors, want.Neighbors}, {e.Parts.Keep, want.Keep},
		} {
			if math.Abs(pair[0]-pair[1]) > 1e-9*math.Max(1, want.Total()) {
				t.Fatalf("parts %+v, plain sums %+v", e.Parts, want)
			}
		}
		if e.Feasible {
			feasible++
			// No plan that stands is below the optimum.
			if best, ok := reference.Optimum(p); !ok || e.Cost < best.Cost-1e-9*math.Max(1, best.Cost) {
				t.Fatalf("a plan of cost %v stands; optimum %v %v", e.Cost, best.Cost, ok)
			}
		} else {
			broken[e.Broken]++
		}
	}
	if feasible < 100 || len(broken) < 6 {
		t.Errorf("%d plans stood; broken were only %v", feasible, broken)
	}
}

// Ages far above every interval take no room.
func TestStatesStayFew(t *testing.T) {
	p := &problem.Problem{
		FirstYear: 2027, Years: 4, Seasons: []string{"dormant"}, EvenLo: math.Inf(-1), EvenHi: math.Inf(1),
		Units: []problem.Unit{
			{ID: "old", Acres: 1, MinInterval: 5000, MaxInterval: 9000, Age: 4998, Penalty: []float64{0}, Mix: -1, Refuge: -1},
			{ID: "young", Acres: 1, MinInterval: 1, MaxInterval: 9000, Age: 0, Penalty: []float64{0}, Mix: -1, Refuge: -1},
		},
		Weights: problem.DefaultWeights(),
	}
	for range p.T() {
		p.Caps = append(p.Caps, problem.YearCaps{Acres: problem.NoLimit, Burns: problem.NoLimit, Cost: problem.NoLimit, BurnDays: []float64{problem.NoLimit}})
	}
	m, err := New(p)
	if err != nil {
		t.Fatal(err)
	}
	if m.K[0] > 9 || m.K[1] != 2 {
		t.Errorf("states %v", m.K)
	}
	// The old unit is 4998 years old: one more year of rest, then it may burn.
	plan := m.NewPlan()
	plan[0] = 0
	if e := m.Evaluate(plan); e.Feasible || e.Broken != problem.RequireRest {
		t.Errorf("a burn at age 4998 of an interval of 5000: %+v", e)
	}
	plan[0], plan[1] = Rest, 0
	if e := m.Evaluate(plan); !e.Feasible {
		t.Errorf("a burn a year later: %+v", e)
	}
}

// Every row has a name of its own.
func TestRowsAreNamedOnce(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	for range 50 {
		m, err := New(reference.Random(r, reference.Size{}))
		if err != nil {
			t.Fatal(err)
		}
		seen, find := map[problem.Row]Row{}, m.Finder()
		for row := range m.Rows.Many {
			name := m.Name(row)
			if other, ok := seen[name]; ok {
				t.Fatalf("rows %d and %d are both %+v", other, row, name)
			}
			seen[name] = row
			if back, ok := find(name); !ok || back != row {
				t.Fatalf("row %d is %+v, which is found at %d, %v", row, name, back, ok)
			}
		}
	}
}
