package bound

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"emberquilt/schedule/bench/family"
	"emberquilt/schedule/certify"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation/internal/model"
)

// proximalProblem gives an engine with year blocks of a small random problem after some
// steps, and the least cost of a plan; nil where there are no year blocks or no plan.
func proximalProblem(t *testing.T, seed uint64) (p *problem.Problem, e *Engine, a *Ascent, optimum float64) {
	r := rand.New(rand.NewPCG(seed, 92))
	p = oddProblem(r, seed%2 == 1)
	best, exists := reference.Optimum(p)
	m, err := model.New(p)
	if err != nil || !exists {
		return nil, nil, nil, 0
	}
	e = New(m, 1)
	e.SetBlocks([][][]int32{nil, Layers(m, 30, 1), Layers(m, 100, 2), Layers(m, 100, 3)}[r.IntN(4)])
	scatter(r, e)
	a = NewAscent(e)
	a.Rate, a.Decay = 0.3, 0.98
	a.Run(80, math.Inf(1))
	a.Return()
	e.SetYears(YearKinds{Graph: r.IntN(4) > 0, MixUnits: 10 * r.IntN(3), CapBurns: float64(r.IntN(2) * 20), Cells: []int{7, 50, 1000}[r.IntN(3)]})
	if !e.HasYears() {
		return nil, nil, nil, 0
	}
	if seed%4 > 1 {
		e.UseTies()
	}
	a.Extend()
	a.Rate, a.Decay = 0.1, 0.98
	a.Run(10, math.Inf(1))
	if math.IsInf(a.Best, 0) {
		return nil, nil, nil, 0
	}
	return p, e, a, best.Cost
}

// TestProximalNeverPassesTheOptimum holds bounds to the optimum and to the checker.
func TestProximalNeverPassesTheOptimum(t *testing.T) {
	seeds, taken, higher := uint64(500), 0, 0
	if testing.Short() {
		seeds = 120
	}
	for seed := range seeds {
		p, e, a, optimum := proximalProblem(t, seed)
		if e == nil {
			continue
		}
		taken++
		before := a.Best
		NewProximal(a).Run(60)
		a.Return()
		v, _ := e.ClaimValue()
		if v > optimum+1e-9*math.Max(1, optimum) {
			t.Fatalf("seed %d: bound %v above the optimum %v", seed, v, optimum)
		}
		if v < before-1e-4*math.Max(1, before) {
			t.Errorf("seed %d: bound %v, before %v", seed, v, before)
		}
		c := &problem.Certificate{ProblemSHA256: p.SHA256, Bound: v, Tree: &problem.Node{Leaf: e.Leaf()}}
		if _, err := certify.Bound(context.Background(), p, c); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if v > before+1e-6*math.Max(1, before) {
			higher++
		}
	}
	t.Logf("%d problems with year blocks: %d higher than before", taken, higher)
	if higher < taken/3 || taken < int(seeds)/4 {
		t.Error("passes hardly ever made a difference")
	}
}

// TestMeansLieAboveTheirBlocks holds the mean of each block, at any prices, to be no less
// than the block's least cost there, since it is a mean of choices; and the first choice
// to be that at its own prices.
func TestMeansLieAboveTheirBlocks(t *testing.T) {
	compared, kinds := 0, map[problem.YearKind]int{}
	for seed := range uint64(300) {
		_, e, a, _ := proximalProblem(t, seed)
		if e == nil {
			continue
		}
		p := NewProximal(a)
		valueOf := func(b int) float64 {
			if b < len(e.blocks) {
				return e.value[b]
			}
			return e.years.value[b-len(e.blocks)]
		}
		meanOf := func(b int) float64 {
			sum := p.blocks[b].cost
			for n, k := range p.blocks[b].at {
				sum += p.blocks[b].take[n] * p.x[k]
			}
			return sum
		}
		p.begin()
		for b := range p.blocks {
			if mean, value := meanOf(b), valueOf(b); math.Abs(mean-value) > 1e-6*(1+math.Abs(value)) {
				t.Fatalf("seed %d: the first mean of block %d costs %v, its choice %v", seed, b, mean, value)
			}
		}
		p.Run(10)
		for k, x := range p.x {
			if math.IsNaN(x) {
				t.Fatalf("seed %d: coordinate %d is not a number", seed, k)
			}
		}
		r := rand.New(rand.NewPCG(seed, 93))
		p.pace = 0 // so that prices are where the center is
		for range 3 {
			for k := range p.center {
				switch {
				case k >= p.commonAt && k < p.splitAt:
					p.center[k] = 0 // else prices end at their range, which means do not know
				case k < p.shiftAt || k >= p.priceAt:
					p.center[k] = max(p.low[k], min(p.high[k], p.center[k]+3*r.NormFloat64()))
				}
			}
			for b := range p.blocks {
				p.move(p.blocks[b].at)
			}
			if math.IsInf(e.Evaluate(), 0) {
				t.Fatalf("seed %d: no path left", seed)
			}
			for b := range p.blocks {
				compared++
				slack := 1e-4 * (1 + math.Abs(valueOf(b)))
				if b >= len(e.blocks) {
					yb := &e.years.blocks[b-len(e.blocks)]
					kinds[yb.kind]++
					if yb.sum != nil { // its value is off by what amounts are off their cells, and prices off grains
						slack += yb.sum.grain * float64(1+len(yb.units))
						for _, off := range yb.sum.off {
							slack += 2 * math.Abs(off)
						}
					}
				}
				if mean, value := meanOf(b), valueOf(b); mean < value-slack {
					t.Fatalf("seed %d: the mean of block %d of %d, %d of units, costs %v, less than %v", seed, b, len(p.blocks), len(e.blocks), mean, value)
				}
			}
		}
	}
	if compared < 3000 || len(kinds) < len(problem.YearKinds) {
		t.Errorf("only %d means were compared, kinds %v", compared, kinds)
	}
}

// TestProximalIsFasterThanSteps compares passes with as many steps of an ascent that
// become shorter, from the same prices.
func TestProximalIsFasterThanSteps(t *testing.T) {
	m, err := model.New(family.Property(1, 30, 10, 5))
	if err != nil {
		t.Fatal(err)
	}
	run := func(threads int, end func(a *Ascent)) (float64, float64) {
		e := New(m, threads)
		a := NewAscent(e)
		a.Rate, a.Decay = 1, 0.98
		a.Run(300, math.Inf(1))
		a.Return()
		e.SetBlocks(Cover(m, 100, 300))
		e.SetYears(YearKinds{Graph: true, MixUnits: 64, CapBurns: 12, Cells: 100})
		e.UseTies()
		a.Reset()
		a.Rate, a.Decay = 0.1, math.Pow(0.03, 1.0/150)
		a.Run(150, math.Inf(1))
		before := a.Best
		end(a)
		return before, a.Best
	}
	before, steps := run(1, func(a *Ascent) {
		a.Decay = math.Pow(0.1, 1.0/60)
		a.Run(60, math.Inf(1))
	})
	first := 0.0
	for _, threads := range []int{1, 2, 8} {
		_, passes := run(threads, func(a *Ascent) { NewProximal(a).Run(60) })
		if threads == 1 {
			first = passes
			t.Logf("from %v: %v by steps, %v by passes", before, steps, passes)
			if passes-before < 1.2*(steps-before) {
				t.Errorf("from %v: %v by steps, only %v by passes", before, steps, passes)
			}
		}
		if passes != first {
			t.Errorf("%v with %d threads, %v with one", passes, threads, first)
		}
	}
}
