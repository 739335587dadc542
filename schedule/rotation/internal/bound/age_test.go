package bound

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"emberquilt/schedule/certify"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation/internal/model"
)

// scatterAges moves prices of ages between copies at random.
func scatterAges(r *rand.Rand, e *Engine) {
	if e.age == nil {
		return
	}
	for _, i := range e.shared {
		one, two := e.ageAt[e.copies[i][0]], e.ageAt[e.copies[i][1]]
		for x := range e.M.T * int(e.M.K[i]) {
			p := 10 * r.NormFloat64()
			e.age[one+x] += p
			e.age[two+x] -= p
		}
	}
}

// randomBlocks draws blocks of two to four units that may overlap.
func randomBlocks(r *rand.Rand, units int) [][]int32 {
	var blocks [][]int32
	for range 2 + r.IntN(4) {
		var block []int32
		for _, i := range r.Perm(units)[:min(units, 2+r.IntN(3))] {
			block = append(block, int32(i))
		}
		slices.Sort(block)
		blocks = append(blocks, block)
	}
	return blocks
}

// scatterParts lets blocks pay random parts of pairs.
func scatterParts(r *rand.Rand, e *Engine) {
	for k := range e.parts {
		for y := range e.M.T {
			e.part[k*e.M.T+y] = e.M.Neighbors[e.parts[k].pair].Cost * r.Float64() / float64(len(e.blocks))
		}
	}
}

// TestAgesNeverPassTheOptimum gives ages of overlapping blocks, and parts of pairs that they
// share, random prices and better ones, in problems some of whose units have not burned for longer than all years:
// no bound is above the optimum, and what is claimed is certified.
func TestAgesNeverPassTheOptimum(t *testing.T) {
	taken, skipped, parts := 0, 0, 0
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 92))
		p := reference.Random(r, reference.Size{MinUnits: 3, MaxUnits: 6, MinYears: 2, MaxYears: 6, Locks: 15})
		if seed%2 == 1 {
			q := p.Clone()
			for i := range q.Units {
				if r.IntN(3) == 0 {
					q.Units[i].Age += r.IntN(12)
					q.Units[i].MaxInterval += r.IntN(6)
				}
			}
			var err error
			if p, err = problem.Canonical(q); err != nil {
				t.Fatal(err)
			}
		}
		best, exists := reference.Optimum(p)
		m, err := model.New(p)
		if err != nil || !exists {
			continue
		}
		e := New(m, 1)
		e.SetBlocks(randomBlocks(r, m.N))
		e.UseTies()
		parts += len(e.parts)
		if e.age == nil {
			continue
		}
		taken++
		for _, i := range e.shared {
			if m.SkippedAges(int(i)) > 0 {
				skipped++
			}
		}
		claim := func(what string) float64 {
			v, _ := e.ClaimValue()
			if v > best.Cost+1e-9*math.Max(1, best.Cost) {
				t.Fatalf("seed %d, %s: bound %v above the optimum %v", seed, what, v, best.Cost)
			}
			if !math.IsInf(v, 0) {
				c := &problem.Certificate{ProblemSHA256: p.SHA256, Bound: v, Tree: &problem.Node{Leaf: e.Leaf()}}
				if _, err := certify.Bound(context.Background(), p, c); err != nil {
					t.Fatalf("seed %d, %s: %v", seed, what, err)
				}
			}
			return v
		}
		saved := e.Save()
		scatter(r, e)
		scatterAges(r, e)
		scatterParts(r, e)
		claim("random prices")
		e.Load(saved)
		a := NewAscent(e)
		a.Rate, a.Decay = 0.3, 0.98
		a.Run(100, math.Inf(1))
		a.Return()
		claim("better prices")
	}
	t.Logf("%d problems with prices of ages, %d units with ages that are skipped, %d parts of pairs", taken, skipped, parts)
	if taken < 100 || skipped < 20 || parts < 100 {
		t.Error("too few problems had what is tested")
	}
}

// TestAgesPay holds that prices of ages and parts of pairs, beside year blocks, come
// further than burns alone, and that both are the same on any number of threads.
func TestAgesPay(t *testing.T) {
	m := load(t, "medium-104")
	climb := func(threads, steps int, isTied bool) float64 {
		e := New(m, threads)
		a := NewAscent(e)
		a.Rate, a.Decay = 1, 0.98
		a.Run(300, math.Inf(1))
		a.Return()
		e.SetBlocks(Cover(m, 1000, 3000))
		a.Reset()
		a.Rate, a.Decay = 0.2, 0.95
		a.Run(100, math.Inf(1))
		a.Return()
		e.SetYears(YearKinds{Graph: true, MixUnits: 64, Cells: 300})
		if isTied {
			e.UseTies()
		}
		a.Extend()
		a.Rate, a.Decay = 0.02, math.Pow(0.02, 1/float64(steps))
		a.Run(steps, math.Inf(1))
		return a.Best
	}
	burns, ages := climb(1, 500, false), climb(1, 500, true)
	t.Logf("burns alone %v, ages and parts %v", burns, ages)
	if ages < burns*(1+2e-3) {
		t.Errorf("ages and parts came to %v, burns alone to %v", ages, burns)
	}
	want := climb(1, 25, true)
	for _, threads := range []int{2, 8} {
		if v := climb(threads, 25, true); v != want {
			t.Errorf("%d threads came to %v, one to %v", threads, v, want)
		}
	}
}
