package sweep

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/model"
)

// A sweep around a plan finds what the reference program finds when every
// other unit is locked to that plan.
func TestNewAround(t *testing.T) {
	better := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 77))
		p := reference.Random(r, reference.Size{MinUnits: 3, MaxUnits: 6, MinYears: 2, MaxYears: 6, Locks: 10})
		// A plan that meets everything: the best one at other weights.
		other := p.Clone()
		other.Weights = problem.Weights{Overdue: r.Float64(), Season: r.Float64(), Neighbors: 3}
		start, ok := reference.Optimum(other)
		if !ok {
			continue
		}
		m, err := model.New(p)
		if err != nil {
			t.Fatal(err)
		}
		plan := m.NewPlan()
		for _, b := range start.Burns {
			plan[b.Unit*m.T+b.Year-p.FirstYear] = int8(b.Season)
		}
		before := m.Evaluate(plan)
		var free []int32
		locked := p.Clone()
		e := bound.New(m, 1)
		for i := range m.N {
			if r.IntN(2) == 0 {
				free = append(free, int32(i))
				continue
			}
			for y := range m.T {
				l := problem.Lock{Unit: i, Year: p.FirstYear + y, Season: -1}
				e.Fix[i*m.T+y] = bound.FixedRest
				if s := plan[i*m.T+y]; s != model.Rest {
					l.Burn, l.Season = true, int(s)
					e.Fix[i*m.T+y] = bound.FixedBurn
				}
				locked.Locks = append(locked.Locks, l)
			}
		}
		if len(free) == 0 {
			continue
		}
		want, ok := reference.Optimum(locked)
		if !ok {
			t.Fatalf("seed %d: the plan itself is a plan", seed)
		}
		e.SetBlocks(bound.ClusterAmong(m, free, 200))
		a := bound.NewAscent(e)
		a.Run(50, math.Inf(1))
		c, ok := e.Completion()
		if !ok {
			t.Fatal("blocks overlap")
		}
		s, ok := NewAround(m, c, plan, free)
		if !ok {
			t.Fatal("too large")
		}
		got := s.Run(context.Background(), before.Cost+1, Limit{})
		if !got.Done || got.Plan == nil || math.Abs(got.Cost-want.Cost) > 1e-9*math.Max(1, want.Cost) {
			t.Fatalf("seed %d: found %v, the best around the plan is %v", seed, got.Cost, want.Cost)
		}
		if after := m.Evaluate(got.Plan); !after.Feasible || math.Abs(after.Cost-got.Cost) > 1e-9*math.Max(1, got.Cost) {
			t.Fatalf("seed %d: the plan costs %v, said to cost %v, feasible %v", seed, after.Cost, got.Cost, after.Feasible)
		}
		if want.Cost < before.Cost-1e-6 {
			better++
		}
	}
	if better < 30 {
		t.Errorf("only %d plans could be made better", better)
	}
}
