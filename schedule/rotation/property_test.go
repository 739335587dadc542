package rotation_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation"
)

// pairs draws problems that have a plan and calls check with each one, its
// optimum as Solve proves it, and a function that solves a changed problem.
// Problems that are not proven in time are left out and counted.
func pairs(t *testing.T, stream uint64, check func(r *rand.Rand, p *problem.Problem, a *problem.Answer, solve func(*problem.Problem) (*problem.Answer, bool))) {
	t.Helper()
	proven, all := 0, 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, stream))
		p := reference.Random(r, reference.Size{Locks: 10})
		solve := func(p *problem.Problem) (*problem.Answer, bool) {
			good, err := problem.Canonical(p)
			if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			a := solveChecked(t, good, rotation.Settings{TimeLimit: time.Second, Threads: 2})
			return a, a.Status == problem.Optimal
		}
		a, ok := solve(p)
		if ok {
			check(r, p, a, solve)
		}
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
		all++
		if ok {
			proven++
		}
	}
	t.Logf("%d of %d proven", proven, all)
	if proven < all/2 {
		t.Errorf("only %d of %d proven: the test says little", proven, all)
	}
}

func equal(x, y float64) bool { return max(x-y, y-x) <= 3e-6*max(1, x, y) }

// TestOrderAndNamesDoNotMatter puts the units in another order under other
// names.
func TestOrderAndNamesDoNotMatter(t *testing.T) {
	pairs(t, 40, func(r *rand.Rand, p *problem.Problem, a *problem.Answer, solve func(*problem.Problem) (*problem.Answer, bool)) {
		to := r.Perm(len(p.Units))
		q := *p
		q.Units = make([]problem.Unit, len(p.Units))
		for i := range p.Units {
			q.Units[to[i]] = p.Units[i]
			q.Units[to[i]].ID = fmt.Sprint("another ", i)
		}
		move := func(list [][2]int) (out [][2]int) {
			for _, pair := range list {
				x, y := to[pair[0]], to[pair[1]]
				out = append(out, [2]int{min(x, y), max(x, y)})
			}
			return out
		}
		q.Apart, q.Neighbors = move(p.Apart), move(p.Neighbors)
		q.Locks, q.Previous = slices.Clone(p.Locks), slices.Clone(p.Previous)
		for k := range q.Locks {
			q.Locks[k].Unit = to[q.Locks[k].Unit]
		}
		q.Closed = slices.Clone(p.Closed)
		for k := range q.Closed {
			q.Closed[k].Unit = to[q.Closed[k].Unit]
		}
		for k := range q.Previous {
			q.Previous[k].Unit = to[q.Previous[k].Unit]
		}
		if b, ok := solve(&q); ok && !equal(a.Cost, b.Cost) {
			t.Errorf("cost %v, in another order %v", a.Cost, b.Cost)
		}
	})
}

// TestOneMoreCapNeverLowersTheCost lowers a cap, or adds one.
func TestOneMoreCapNeverLowersTheCost(t *testing.T) {
	raised := 0
	pairs(t, 41, func(r *rand.Rand, p *problem.Problem, a *problem.Answer, solve func(*problem.Problem) (*problem.Answer, bool)) {
		q := *p
		if len(p.Locks) > 0 {
			return
		}
		q.Caps = slices.Clone(p.Caps)
		t0 := r.IntN(len(q.Caps))
		c := &q.Caps[t0]
		c.BurnDays = slices.Clone(c.BurnDays)
		switch r.IntN(4) {
		case 0:
			c.Acres = min(c.Acres, float64(r.IntN(100)))
		case 1:
			c.Burns = min(c.Burns, float64(r.IntN(2)))
		case 2:
			c.Cost = min(c.Cost, float64(r.IntN(800)))
		case 3:
			s := r.IntN(len(c.BurnDays))
			c.BurnDays[s] = min(c.BurnDays[s], float64(r.IntN(3))/2)
		}
		b, ok := solve(&q)
		if b.Cost < a.Bound-1e-9*max(1, a.Bound) || ok && b.Cost < a.Cost && !equal(a.Cost, b.Cost) {
			t.Errorf("cost %v, with one more cap %v", a.Cost, b.Cost)
		}
		if b.Cost > a.Cost && !equal(a.Cost, b.Cost) {
			raised++
		}
	})
	if raised < 3 {
		t.Errorf("only %d caps made a difference", raised)
	}
}

// TestScaleOfAcres multiplies all acres, and what is measured in them, by 4,
// which is exact in floats.
func TestScaleOfAcres(t *testing.T) {
	const scale = 4
	pairs(t, 42, func(_ *rand.Rand, p *problem.Problem, a *problem.Answer, solve func(*problem.Problem) (*problem.Answer, bool)) {
		q := *p
		q.Units, q.Caps = slices.Clone(p.Units), slices.Clone(p.Caps)
		for i := range q.Units {
			q.Units[i].Acres *= scale
		}
		for t := range q.Caps {
			q.Caps[t].Acres *= scale
		}
		q.EvenLo *= scale
		q.EvenHi *= scale
		if b, ok := solve(&q); ok && !equal(scale*a.Cost, b.Cost) {
			t.Errorf("cost %v, with %d times the acres %v", a.Cost, scale, b.Cost)
		}
	})
}

// TestWeightsAdd splits the weights in two: a plan costs the sum, so that no
// optimum is below the sum of the optima of the halves; and a plan that is
// optimal for both reaches it.
func TestWeightsAdd(t *testing.T) {
	pairs(t, 43, func(r *rand.Rand, p *problem.Problem, a *problem.Answer, solve func(*problem.Problem) (*problem.Answer, bool)) {
		part := func() float64 { return float64(r.IntN(5)) / 4 }
		w := p.Weights
		first := problem.Weights{Overdue: w.Overdue * part(), Mix: w.Mix * part(), Season: w.Season * part(),
			Evenness: w.Evenness * part(), Neighbors: w.Neighbors * part(), Keep: w.Keep * part()}
		second := problem.Weights{Overdue: w.Overdue - first.Overdue, Mix: w.Mix - first.Mix, Season: w.Season - first.Season,
			Evenness: w.Evenness - first.Evenness, Neighbors: w.Neighbors - first.Neighbors, Keep: w.Keep - first.Keep}
		x, y := *p, *p
		x.Weights, y.Weights = first, second
		both := reference.Cost(&x, a.Burns).Total() + reference.Cost(&y, a.Burns).Total()
		if !equal(both, a.Cost) {
			t.Errorf("the plan costs %v, and %v with the weights in two parts", a.Cost, both)
		}
		b, _ := solve(&x)
		c, _ := solve(&y)
		if b.Bound+c.Bound > a.Cost+1e-6*max(1, a.Cost) {
			t.Errorf("optimum %v is below the sum of those of its parts, %v and %v", a.Cost, b.Bound, c.Bound)
		}
	})
}
