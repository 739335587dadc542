package polish

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation/internal/model"
)

// start gives a model and a plan that meets everything and is not the best.
func start(seed uint64) (m *model.Model, plan model.Plan, best float64, ok bool) {
	p := reference.Random(rand.New(rand.NewPCG(seed, 12)), reference.Size{MinUnits: 4, MaxUnits: 7, MinYears: 3, MaxYears: 6, Locks: 10})
	other := p.Clone()
	other.Weights = problem.Weights{Overdue: 0.1, Neighbors: 5}
	first, ok := reference.Optimum(other)
	if !ok {
		return nil, nil, 0, false
	}
	want, _ := reference.Optimum(p)
	m, err := model.New(p)
	if err != nil {
		return nil, nil, 0, false
	}
	plan = m.NewPlan()
	for _, b := range first.Burns {
		plan[b.Unit*m.T+b.Year-p.FirstYear] = int8(b.Season)
	}
	return m, plan, want.Cost, true
}

func run(t *testing.T, m *model.Model, plan model.Plan, steps int) (model.Plan, float64) {
	t.Helper()
	q := New(m, 3)
	cost := m.Evaluate(plan).Cost
	for range steps {
		better, c := q.Step(context.Background(), plan, cost, nil, 1e6)
		if better == nil {
			continue
		}
		e := m.Evaluate(better)
		if !e.Feasible || e.Cost >= cost || math.Abs(e.Cost-c) > 1e-7*math.Max(1, c) {
			t.Fatalf("a step from %v to %v, feasible %v, claimed %v", cost, e.Cost, e.Feasible, c)
		}
		plan, cost = better, e.Cost
	}
	return plan, cost
}

func TestStepsLeadDownAndReachTheBest(t *testing.T) {
	better, reached, problems := 0, 0, 0
	for seed := range uint64(120) {
		m, plan, best, ok := start(seed)
		if !ok {
			continue
		}
		problems++
		before := m.Evaluate(plan).Cost
		_, cost := run(t, m, plan, 12)
		if cost < before-1e-6 {
			better++
		}
		if cost < best+1e-6*math.Max(1, best) {
			reached++
		}
		if cost < best-1e-6*math.Max(1, best) {
			t.Fatalf("seed %d: %v is below the optimum %v", seed, cost, best)
		}
	}
	if problems < 60 || better < 40 || reached < problems*9/10 {
		t.Errorf("%d problems, %d made better, %d at the best", problems, better, reached)
	}
}

func TestSameSeedSameSteps(t *testing.T) {
	m, plan, _, ok := start(5)
	if !ok {
		t.Skip("seed 5 has no plan")
	}
	a, _ := run(t, m, plan, 6)
	b, _ := run(t, m, plan, 6)
	if !slices.Equal(a, b) {
		t.Error("another plan for the same seed")
	}
}

func TestCanceledStepGivesNothing(t *testing.T) {
	m, plan, _, ok := start(5)
	if !ok {
		t.Skip("seed 5 has no plan")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if better, _ := New(m, 1).Step(ctx, plan, m.Evaluate(plan).Cost, nil, 1e6); better != nil {
		t.Error("a canceled step found a plan")
	}
}

// What is not held is what was: of each unit the units of its pairs, then the others of
// its refuge.
func TestLinksAreThoseOfPairsAndRefuges(t *testing.T) {
	refuges, pairs := 0, 0
	for seed := range uint64(60) {
		m, err := model.New(reference.Random(rand.New(rand.NewPCG(seed, 12)), reference.Size{MinUnits: 4, MaxUnits: 12, MinYears: 2, MaxYears: 3}))
		if err != nil {
			continue
		}
		p := New(m, 3)
		for i := range int32(m.N) {
			var want []int32
			add := func(j int32) {
				if j != i && !slices.Contains(want, j) {
					want = append(want, j)
				}
			}
			for _, all := range [][]model.Pair{m.Neighbors, m.Apart} {
				for _, pair := range all {
					if pair.I == i {
						add(pair.J)
					} else if pair.J == i {
						add(pair.I)
					}
				}
			}
			pairs += len(want)
			for _, group := range m.RefugeUnits {
				if slices.Contains(group, i) {
					for _, j := range group {
						add(j)
					}
					refuges++
				}
			}
			got := make([]int32, p.links(i))
			for k := range got {
				got[k] = p.link(i, k)
			}
			if !slices.Equal(got, want) {
				t.Fatalf("seed %d, unit %d: linked with %v, want %v", seed, i, got, want)
			}
		}
	}
	if refuges < 50 || pairs < 50 {
		t.Errorf("only %d units in refuges and %d pairs were looked at", refuges, pairs)
	}
}
