package tree

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"emberquilt/schedule/certify"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/model"
)

// grown searches the tree of a problem to its end, aiming at a cost.
func grown(m *model.Model, aim float64, threads int, years bool) *Tree {
	e := bound.New(m, 1)
	e.SetBlocks(bound.Layers(m, 100, 2))
	a := bound.NewAscent(e)
	a.Rate, a.Decay = 0.3, 0.98
	a.Run(100, math.Inf(1))
	a.Return()
	if years {
		e.SetYears(bound.YearKinds{Graph: true, MixUnits: 10, CapBurns: 20, Cells: 100})
		a.Extend()
		a.Rate = 0.1
		a.Run(100, math.Inf(1))
		a.Return()
	}
	v, _ := e.ClaimValue()
	t := New(e, v, Settings{Threads: threads, Steps: 30, TrySteps: 6, Try: 4, Batch: 4, Rate: 0.03})
	t.Aim(aim, 1e-7)
	for rounds := 0; !t.IsDone() && rounds < 2000; rounds++ {
		t.Round(context.Background())
	}
	return t
}

// A tree that is searched to its end proves the optimum, and the certificate
// says so to the checker.
func TestTreeProvesTheOptimum(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	nodes := 0
	for seed := range 180 {
		p := reference.Random(r, reference.Size{MinUnits: 2, MaxUnits: 5, MinYears: 2, MaxYears: 5, Locks: 20})
		best, ok := reference.Optimum(p)
		if !ok {
			continue
		}
		m, err := model.New(p)
		if err != nil {
			t.Fatal(err)
		}
		tree := grown(m, best.Cost, 2, seed%2 == 1)
		nodes += tree.Nodes
		gap := problem.GapOf(best.Cost, tree.Bound())
		if gap > 1e-6 || tree.Bound() > best.Cost+1e-9*math.Max(1, best.Cost) {
			t.Fatalf("bound %v, optimum %v", tree.Bound(), best.Cost)
		}
		c := tree.Certificate()
		proven, err := certify.Bound(context.Background(), p, c)
		if err != nil || proven.Bound < c.Bound {
			t.Fatalf("the checker proves %+v of %v: %v", proven, c.Bound, err)
		}
		// A bound that is a little higher is refused.
		if proven.Bound > best.Cost+1e-6*math.Max(1, best.Cost) {
			t.Fatalf("the checker proves %v, above the optimum %v", proven.Bound, best.Cost)
		}
	}
	if nodes < 50 {
		t.Errorf("only %d nodes in all", nodes)
	}
}

// Aimed below the optimum, the tree proves only that.
func TestTreeKeepsBelowTheAim(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	for range 20 {
		p := reference.Random(r, reference.Size{MinUnits: 2, MaxUnits: 5, MinYears: 2, MaxYears: 5})
		best, ok := reference.Optimum(p)
		if !ok {
			continue
		}
		m, err := model.New(p)
		if err != nil {
			t.Fatal(err)
		}
		if tree := grown(m, 0.9*best.Cost, 1, true); tree.Bound() > best.Cost+1e-9*math.Max(1, best.Cost) {
			t.Fatalf("bound %v above the optimum %v", tree.Bound(), best.Cost)
		}
	}
}

func TestTreeDoesNotDependOnThreads(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 16))
	for range 10 {
		p := reference.Random(r, reference.Size{MinUnits: 4, MaxUnits: 5, MinYears: 4, MaxYears: 5})
		best, ok := reference.Optimum(p)
		if !ok {
			continue
		}
		m, err := model.New(p)
		if err != nil {
			t.Fatal(err)
		}
		one := grown(m, best.Cost, 1, true)
		for _, threads := range []int{2, 8} {
			if many := grown(m, best.Cost, threads, true); many.Nodes != one.Nodes || many.Bound() != one.Bound() {
				t.Fatalf("%d threads: %d nodes, bound %v; one: %d, %v", threads, many.Nodes, many.Bound(), one.Nodes, one.Bound())
			}
		}
	}
}
