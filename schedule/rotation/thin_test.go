package rotation

import (
	"math"
	"math/rand/v2"
	"testing"

	"emberquilt/schedule/problem/clash"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation/internal/model"
)

// The plans are burned at random as often as seeds, rests and limits allow; what
// thin takes away must not make them cost more, and taking away one burn more must.
func TestThinTakesOnlyIdleBurns(t *testing.T) {
	removed := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 31))
		p := reference.Random(r, reference.Size{MinUnits: 2, MaxUnits: 6, MinYears: 2, MaxYears: 8})
		m, err := model.New(p)
		if err != nil || len(clash.Find(p)) > 0 {
			continue
		}
		best, ok := reference.Optimum(p)
		if !ok {
			continue
		}
		plan := m.NewPlan()
		for _, b := range best.Burns {
			plan[b.Unit*m.T+b.Year-p.FirstYear] = int8(b.Season)
		}
		for range 2 * m.N {
			at := r.IntN(len(plan))
			if plan[at] != model.Rest {
				continue
			}
			plan[at] = int8(r.IntN(m.S))
			if !m.Evaluate(plan).Feasible {
				plan[at] = model.Rest
			}
		}
		before := m.Evaluate(plan)
		thinned := thin(m, plan)
		after := m.Evaluate(thinned)
		if !after.Feasible || after.Cost > before.Cost+1e-7*math.Max(1, before.Cost) {
			t.Fatalf("seed %d: %v became %v, feasible %v", seed, before.Cost, after.Cost, after.Feasible)
		}
		for at, s := range plan {
			if s == thinned[at] {
				continue
			}
			removed++
			if thinned[at] != model.Rest {
				t.Fatalf("seed %d: a burn was moved", seed)
			}
		}
		for at, s := range thinned {
			if s == model.Rest || m.LockedBurn[at] {
				continue
			}
			thinned[at] = model.Rest
			if e := m.Evaluate(thinned); e.Cost <= after.Cost-1e-7*math.Max(1, after.Cost) {
				t.Fatalf("seed %d: a burn that costs %v was left", seed, after.Cost-e.Cost)
			}
			thinned[at] = s
		}
	}
	if removed < 100 {
		t.Errorf("only %d burns were idle", removed)
	}
}
