package search

import (
	"context"
	"math"
	"slices"
	"testing"
	"time"

	"emberquilt/schedule/rotation/internal/model"
)

func TestPlansStand(t *testing.T) {
	for _, name := range []string{"tiny-101", "tiny-107", "small-101", "small-105", "medium-103"} {
		m := load(t, name)
		x := New(m, 1)
		x.Run(context.Background(), Budget{Steps: 20_000}, Guide{})
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
	x := New(m, 7)
	for range 50 {
		x.Run(context.Background(), Budget{Steps: 997}, Guide{})
		running, violated := x.total, x.violated
		x.resum()
		if d := math.Abs(running - x.total); d > 1e-6*max(1, math.Abs(x.total)) {
			t.Fatalf("running cost %v, summed anew %v", running, x.total)
		}
		if violated != x.violated {
			t.Fatalf("violated %d, counted anew %d", violated, x.violated)
		}
		if (x.violated == 0) != x.meets() {
			t.Fatalf("violated %d but meets %v", x.violated, x.meets())
		}
	}
}

func TestSameSeedSamePlan(t *testing.T) {
	m := load(t, "medium-104")
	run := func(seed uint64) ([]int8, float64) {
		x := New(m, seed)
		for range 5 {
			x.Run(context.Background(), Budget{Steps: 5000}, Guide{})
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
	x := New(m, 1)
	ctx, cancel := context.WithTimeout(context.Background(), 300*time.Millisecond)
	defer cancel()
	x.Run(ctx, Budget{}, Guide{})
	late := time.Now()
	if deadline, _ := ctx.Deadline(); late.Sub(deadline) > 200*time.Millisecond {
		t.Errorf("returned %v after the deadline", late.Sub(deadline))
	}
	if _, _, ok := x.Best(); !ok {
		t.Error("no plan after 300 ms")
	}
	before := x.Steps()
	x.Run(ctx, Budget{}, Guide{})
	if x.Steps() != before {
		t.Error("a cancelled context still searched")
	}
}

// Guide.Price is read row by row, so the rows with a limit must come first in
// the model and in the order of this package.
func TestGuideRows(t *testing.T) {
	m := load(t, "medium-103")
	x := New(m, 1)
	T, r := model.Row(m.T), &m.Rows
	if r.Acres != 0 || r.Burns != rowBurns*T || r.Cost != rowCost*T || r.Days != rowDays*T ||
		r.Refuge != (rowDays+model.Row(m.S))*T || int(r.Apart) != len(x.limit) {
		t.Fatalf("the model's rows lie otherwise: %+v", r)
	}
	for row, limit := range x.limit {
		if (limit < inf) != (r.PriceMax[row] > 0) {
			t.Fatalf("row %d has limit %v here and price range %v there", row, limit, r.PriceMax[row])
		}
	}
	price := make([]float64, r.Many)
	for row := range price {
		price[row] = min(3, r.PriceMax[row])
	}
	x.Run(context.Background(), Budget{Steps: 20_000}, Guide{Price: price})
	plan, cost, ok := x.Best()
	if e := m.Evaluate(plan); !ok || !e.Feasible || math.Abs(e.Cost-cost) > 1e-6 {
		t.Errorf("a guided run gives %v, %v, %+v", ok, cost, e)
	}
}
