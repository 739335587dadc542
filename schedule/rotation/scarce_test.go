package rotation

import (
	"context"
	"math"
	"slices"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
	"emberquilt/schedule/rotation/internal/polish"
	"emberquilt/schedule/rotation/internal/search"
)

// scarce makes a problem like Konza's: nothing couples its units but the acres of a
// year, which are too few for all to burn in time, and what is late costs more each year.
func scarce() *problem.Problem {
	acres := make([]float64, 60)
	for i := range acres {
		acres[i] = float64(20+37*i%101*(1+i%4)) + float64(i*i%89)/7919
	}
	p := given(18, acres...)
	total := 0.0
	for i := range p.Units {
		u := &p.Units[i]
		u.ID, u.MaxInterval, u.Age = u.ID+"-"+u.ID, 4, max(0, i%8-4)
		total += u.Acres
	}
	for t := range p.Caps {
		p.Caps[t].Acres = math.Floor(0.22 * total)
	}
	p.EvenHi = math.Floor(0.21 * total)
	p.OverdueGrowth, p.OverdueGrowthYears = 1, 3
	return p
}

// scarceRelaxed is the optimum of scarce's linear program without whole numbers, by CBC
// 2.10.8 on the file that problem.WriteMPS makes (cbc p.mps initialSolve quit).
const scarceRelaxed = 48831.305

// The bound of units by themselves is that of the linear program; where capacity is
// short for years the prices must come a long way: first steps of 0.5 left the bound at
// 44,778.
func TestPricesComeFarWhereCapacityIsShort(t *testing.T) {
	p := scarce()
	r, err := Solve(context.Background(), p, Settings{TimeLimit: -1, Rounds: 20, Threads: 2})
	if err != nil {
		t.Fatal(err)
	}
	if b := r.Answer.Bound; b < 0.999*scarceRelaxed || b > 1.0001*scarceRelaxed {
		t.Errorf("bound %.3f, want %.3f as of the linear program", b, scarceRelaxed)
	}
}

// Two years at a time, with all units, find what walks take long for.
func TestYearsInPairsMendAPlan(t *testing.T) {
	p := scarce()
	m, err := model.New(p)
	if err != nil {
		t.Fatal(err)
	}
	x := search.New(m, 1, 20_000)
	x.Run(context.Background(), 20_000, 1)
	plan, cost, ok := x.Best()
	if !ok {
		t.Fatal("no plan")
	}
	pairs := polish.NewYearPairs(m)
	better := pairs.Run(slices.Clone(plan), cost, m.T)
	if better == nil {
		t.Fatalf("no plan better than %.0f", cost)
	}
	if e := m.Evaluate(better); !e.Feasible || e.Cost > 0.99*cost {
		t.Errorf("feasible %v, cost %.0f of %.0f", e.Feasible, e.Cost, cost)
	}
	if again := polish.NewYearPairs(m).Run(slices.Clone(plan), cost, m.T); !slices.Equal(again, better) {
		t.Error("the same tries gave another plan")
	}
	p.Caps[3].Burns = 20
	if m, err = model.New(p); err != nil || polish.NewYearPairs(m) != nil {
		t.Errorf("years in pairs where burns are limited: %v", err)
	}
}
