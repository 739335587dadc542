package search

import (
	"context"
	"math"
	"slices"
	"testing"
	"time"
)

func TestPlansStand(t *testing.T) {
	for _, name := range []string{"tiny-101", "tiny-107", "small-101", "small-105", "medium-103"} {
		m := load(t, name)
		x := New(m, 1, 0)
		x.Run(context.Background(), 20_000, 1)
		plan, cost, ok := x.Best()
		if !ok {
			t.Fatalf("%s: no plan", name)
		}
		e := m.Evaluate(plan)
		if !e.Feasible {
			t.Errorf("%s: the plan breaks %s in %d", name, e.Broken, e.Year)
		}
		if math.Abs(e.Cost-cost) > 1e-6 {
			t.Errorf("%s: cost %v, evaluated %v", name, cost, e.Cost)
		}
	}
}

func TestRunningCostEqualsFullCost(t *testing.T) {
	m := load(t, "medium-101")
	x := New(m, 7, 0)
	for range 50 {
		x.Run(context.Background(), 997, 1)
		w := x.walks[0]
		running, violated := w.total, w.violated
		w.resum()
		if d := math.Abs(running - w.total); d > 1e-6*max(1, math.Abs(w.total)) {
			t.Fatalf("running cost %v, summed anew %v", running, w.total)
		}
		if violated != w.violated {
			t.Fatalf("violated %d, counted anew %d", violated, w.violated)
		}
		if (w.violated == 0) != w.meets() {
			t.Fatalf("violated %d but meets %v", w.violated, w.meets())
		}
	}
}

func TestSameSeedSamePlan(t *testing.T) {
	m := load(t, "medium-104")
	run := func(seed uint64) ([]int8, float64) {
		x := New(m, seed, 0)
		for range 5 {
			x.Run(context.Background(), 5000, 1)
		}
		plan, cost, _ := x.Best()
		return plan, cost
	}
	p1, c1 := run(3)
	p2, c2 := run(3)
	if c1 != c2 || !slices.Equal(p1, p2) {
		t.Errorf("same seed: %v and %v", c1, c2)
	}
	if p3, _ := run(4); slices.Equal(p1, p3) {
		t.Error("another seed gives the same plan: the comparison cannot fail")
	}
}

func TestCancelReturnsSoon(t *testing.T) {
	m := load(t, "large-101")
	x := New(m, 1, 0)
	ctx, cancel := context.WithTimeout(context.Background(), 300*time.Millisecond)
	defer cancel()
	x.Run(ctx, 0, 1)
	late := time.Now()
	// Without a look at the deadline it would go on forever; a machine with other work
	// may be late, but not this late.
	if deadline, _ := ctx.Deadline(); late.Sub(deadline) > 3*time.Second {
		t.Errorf("returned %v after the deadline", late.Sub(deadline))
	}
	if _, _, ok := x.Best(); !ok {
		t.Error("no plan after 300 ms")
	}
	before := x.Steps()
	x.Run(ctx, 0, 1)
	if x.Steps() != before {
		t.Error("a canceled context still searched")
	}
}

// Walks side by side find what they find one after the other.
func TestThreadsFindTheSame(t *testing.T) {
	m := load(t, "small-105")
	run := func(threads int) (*Searcher, []int8) {
		x := New(m, 3, 1_000_000)
		for range 50 {
			x.Run(context.Background(), 9000, threads)
		}
		plan, _, _ := x.Best()
		return x, plan
	}
	one, p1 := run(1)
	two, p2 := run(2)
	if one.steps != two.steps || one.found.cost != two.found.cost || !slices.Equal(p1, p2) {
		t.Errorf("%d steps to %v on one thread, %d to %v on two", one.steps, one.found.cost, two.steps, two.found.cost)
	}
	if len(two.walks) < lanes {
		t.Error("there was one walk only: the comparison cannot fail")
	}
}
