package bound

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"emberquilt/schedule/certify"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation/internal/model"
)

// oddProblem gives a small random problem, every other with burn days and acres
// that no decimal grid holds, or only a finer one than one would guess.
func oddProblem(r *rand.Rand, odd bool) *problem.Problem {
	p := reference.Random(r, reference.Size{MinUnits: 2, MaxUnits: 6, MinYears: 2, MaxYears: 5, Locks: 15})
	if !odd {
		return p
	}
	q := p.Clone()
	for i := range q.Units {
		q.Units[i].BurnDays = []float64{0.3, 0.75, 1.0 / 3, 0.333, 1, 0.1}[r.IntN(6)]
		if r.IntN(2) == 0 {
			q.Units[i].Acres = []float64{119.7703, 65.0621, 1.0 / 3, 33.3, 0.07, 12.3456789, 40}[r.IntN(7)]
		}
	}
	for t := range q.Caps {
		for s := range q.Caps[t].BurnDays {
			if r.IntN(2) == 0 {
				q.Caps[t].BurnDays[s] = []float64{0.6, 0.9, 1, 1.05, 2.0 / 3, 1.5, 0.3}[r.IntN(7)]
			}
		}
	}
	good, err := problem.Canonical(q)
	if err != nil {
		panic(err)
	}
	return good
}

// TestYearsNeverPassTheOptimum takes year blocks of all kinds with random prices
// and with better ones: no bound is above the optimum, and package certify proves
// all that is claimed.
//
// EMBERQUILT_SEEDS=from:count takes other seeds than 0 … 599; 0:10000 passed on
// 2026-11-29.
func TestYearsNeverPassTheOptimum(t *testing.T) {
	from, seeds, tight, higher, taken := uint64(0), uint64(600), 0, 0, 0
	if env := os.Getenv("EMBERQUILT_SEEDS"); env != "" {
		if n, err := fmt.Sscanf(env, "%d:%d", &from, &seeds); n != 2 || err != nil {
			t.Fatalf("EMBERQUILT_SEEDS: %q; accepts from:count", env)
		}
	} else if testing.Short() {
		seeds = 150
	}
	kinds, aged := map[problem.YearKind]int{}, 0
	for seed := from; seed < from+seeds; seed++ {
		r := rand.New(rand.NewPCG(seed, 90))
		p := oddProblem(r, seed%2 == 1)
		best, exists := reference.Optimum(p)
		m, err := model.New(p)
		if err != nil || !exists {
			continue
		}
		e := New(m, 1)
		e.SetBlocks([][][]int32{nil, Layers(m, 30, 1), Layers(m, 100, 2)}[r.IntN(3)])
		scatter(r, e)
		a := NewAscent(e)
		a.Rate, a.Decay = 0.3, 0.98
		before := a.Run(80, math.Inf(1))
		a.Return()
		e.SetYears(YearKinds{Graph: r.IntN(4) > 0, MixUnits: 10 * r.IntN(3), CapBurns: float64(r.IntN(2) * 20), Cells: []int{7, 50, 1000}[r.IntN(3)]})
		if seed%3 > 0 {
			e.useAges()
		}
		if seed%5 > 1 {
			e.useParts()
		}
		if !e.HasYears() {
			continue
		}
		taken++
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
		claim("prices carried over")
		saved := e.Save()
		for x := range e.years.price {
			e.years.price[x] = 20 * r.NormFloat64()
		}
		scatterAges(r, e)
		scatterParts(r, e)
		claim("random prices")
		e.Load(saved)
		a.Extend()
		a.Rate, a.Decay = 0.1, 0.98
		a.Run(120, math.Inf(1))
		a.Return()
		v := claim("better prices")
		if v > before+1e-6*math.Max(1, before) {
			higher++
		}
		if v > best.Cost-1e-3*math.Max(1, best.Cost) {
			tight++
		}
		for _, b := range e.Leaf().Years {
			kinds[b.Kind]++
		}
		for _, b := range e.Leaf().Blocks {
			aged += len(b.Ages)
		}
	}
	if aged < int(seeds)/2 {
		t.Errorf("only %d years of units had prices of ages", aged)
	}
	t.Logf("%d problems with year blocks: %d higher than without, %d near the optimum; %v", taken, higher, tight, kinds)
	if higher < int(seeds)/8 || len(kinds) < len(problem.YearKinds) {
		t.Error("year blocks hardly ever made a difference")
	}
}

// TestYearsWithoutVector holds plain code to the numbers of vector instructions.
func TestYearsWithoutVector(t *testing.T) {
	if !hasVector {
		t.Skip("this processor has no vector instructions that are used here")
	}
	defer setVector(true)
	sums := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 91))
		m, err := model.New(oddProblem(r, seed%2 == 1))
		if err != nil {
			t.Fatal(err)
		}
		e := New(m, 1)
		e.SetYears(YearKinds{Graph: true, MixUnits: 10, CapBurns: 20, Cells: 1 + r.IntN(300)})
		if !e.HasYears() {
			continue
		}
		for x := range e.years.price {
			e.years.price[x] = 5 * r.NormFloat64()
		}
		run := func(vector bool) ([]float64, []uint8) {
			setVector(vector)
			e.Evaluate()
			return slices.Clone(e.years.value), slices.Clone(e.years.take)
		}
		value, take := run(true)
		plainValue, plainTake := run(false)
		if !slices.Equal(value, plainValue) || !slices.Equal(take, plainTake) {
			t.Fatalf("seed %d: other numbers without vector instructions", seed)
		}
		for _, b := range e.years.blocks {
			if b.sum != nil {
				sums++
			}
		}
	}
	if sums < 200 {
		t.Errorf("only %d sums were compared", sums)
	}
}
