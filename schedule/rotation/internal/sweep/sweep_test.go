package sweep

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/model"
)

// sweeper climbs to good prices with blocks of up to so many states.
func sweeper(t testing.TB, p *problem.Problem, states int) (*model.Model, *Sweeper, float64) {
	t.Helper()
	m, err := model.New(p)
	if err != nil {
		t.Fatal(err)
	}
	e := bound.New(m, 1)
	if states > 1 {
		e.SetBlocks(bound.Layers(m, states, 1))
	}
	a := bound.NewAscent(e)
	for range 20 {
		a.Run(10, math.Inf(1))
		a.Rate *= 0.8
	}
	c, ok := e.Completion()
	if !ok {
		t.Fatal("blocks overlap")
	}
	s, ok := New(m, c)
	if !ok {
		t.Fatal("too large to sweep")
	}
	return m, s, a.Best
}

// The reference program over joint ages knows nothing of prices or blocks.
func TestSweepFindsTheOptimum(t *testing.T) {
	found := 0
	for seed := range uint64(400) {
		p := reference.Random(rand.New(rand.NewPCG(seed, 99)), reference.Size{MinUnits: 1, MaxUnits: 5, MinYears: 2, MaxYears: 6, Locks: 30})
		want, ok := reference.Optimum(p)
		if !ok {
			continue
		}
		found++
		states := []int{1, 20, 5000}[seed%3]
		m, s, _ := sweeper(t, p, states)
		margin := 1e-9 * math.Max(1, want.Cost)
		got := s.Run(context.Background(), want.Cost+10, Limit{Threads: 1 + int(seed%2)})
		if !got.Done || got.Plan == nil || math.Abs(got.Cost-want.Cost) > margin {
			t.Fatalf("seed %d: found %v (done %v), the optimum is %v", seed, got.Cost, got.Done, want.Cost)
		}
		if e := m.Evaluate(got.Plan); !e.Feasible || math.Abs(e.Cost-got.Cost) > margin {
			t.Fatalf("seed %d: the plan costs %v, feasible %v (%s in %d); said to cost %v", seed, e.Cost, e.Feasible, e.Broken, e.Year, got.Cost)
		}
		// With the optimum as target nothing is left, and just above it the
		// optimum is.
		if below := s.Run(context.Background(), want.Cost-margin, Limit{}); !below.Done || below.Plan != nil {
			t.Fatalf("seed %d: a plan below the optimum", seed)
		}
		if above := s.Run(context.Background(), want.Cost+margin, Limit{}); above.Plan == nil {
			t.Fatalf("seed %d: the optimum was cut", seed)
		}
	}
	if found < 200 {
		t.Errorf("only %d problems had a plan", found)
	}
}

func TestLimitsStopARun(t *testing.T) {
	p := reference.Random(rand.New(rand.NewPCG(5, 99)), reference.Size{MinUnits: 5, MaxUnits: 5, MinYears: 6, MaxYears: 6})
	_, s, _ := sweeper(t, p, 1)
	if out := s.Run(context.Background(), 1e9, Limit{States: 2}); out.Done || out.Plan != nil {
		t.Error("a layer of more than two tuples was let through")
	}
	if out := s.Run(context.Background(), 1e9, Limit{Work: 10}); out.Done {
		t.Error("more than ten options were looked at")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if out := s.Run(ctx, 1e9, Limit{}); out.Done {
		t.Error("a canceled run says that it is done")
	}
}

func TestThreadsDoNotMatter(t *testing.T) {
	for seed := range uint64(20) {
		p := reference.Random(rand.New(rand.NewPCG(seed, 7)), reference.Size{MinUnits: 5, MaxUnits: 6, MinYears: 5, MaxYears: 6})
		_, s, _ := sweeper(t, p, 1)
		one := s.Run(context.Background(), 1e9, Limit{Threads: 1})
		eight := s.Run(context.Background(), 1e9, Limit{Threads: 8})
		if !slices.Equal(one.Plan, eight.Plan) || one.Cost != eight.Cost || one.Work != eight.Work || one.States != eight.States {
			t.Fatalf("seed %d: %v with one thread, %v with eight", seed, one.Cost, eight.Cost)
		}
	}
}
