package bound

import (
	"math"
	"math/rand/v2"
	"testing"

	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation/internal/model"
)

// random gives small random problems with their optimum.
func random(t *testing.T, many int, each func(r *rand.Rand, m *model.Model, optimum float64)) {
	t.Helper()
	const seed = 7
	r := rand.New(rand.NewPCG(seed, 1))
	for range many {
		p := reference.Random(r, reference.Size{MinUnits: 2, MaxUnits: 5, MinYears: 2, MaxYears: 5, Locks: 30})
		best, ok := reference.Optimum(p)
		if !ok {
			continue
		}
		m, err := model.New(p)
		if err != nil {
			t.Fatal(err)
		}
		each(r, m, best.Cost)
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
}

// scatter gives every active row a random price in its range, and the shifts
// random values.
func scatter(r *rand.Rand, e *Engine) {
	for _, row := range e.Active {
		if r.IntN(2) == 0 {
			e.Price[row] = min(r.ExpFloat64()*2, e.M.Rows.PriceMax[row])
		}
	}
	for _, i := range e.shared {
		for t := range e.M.T {
			x := r.NormFloat64() * 10
			c := e.copies[i]
			e.shift[int(c[0])*e.M.T+t] += x
			e.shift[int(c[1])*e.M.T+t] -= x
		}
	}
}

func TestAnyPricesBoundTheOptimum(t *testing.T) {
	tight := 0
	random(t, 400, func(r *rand.Rand, m *model.Model, optimum float64) {
		for _, groups := range [][][]int32{nil, Layers(m, 30, 1), Layers(m, 100, 2), Layers(m, 1000, 3)} {
			e := New(m, 1)
			e.SetBlocks(groups)
			scatter(r, e)
			v, margin := e.ClaimValue()
			if v > optimum+1e-9*math.Max(1, optimum) {
				t.Errorf("bound %v above the optimum %v with blocks %v", v, optimum, groups)
			}
			if margin > 1e-8*math.Max(1, optimum+e.Value) {
				t.Errorf("a margin of %v is too wide for costs of %v", margin, optimum)
			}
			a := NewAscent(e)
			a.Rate = 0.3
			a.Decay = 0.98
			a.Run(150, math.Inf(1))
			a.Return()
			v, _ = e.ClaimValue()
			if v > optimum+1e-9*math.Max(1, optimum) {
				t.Errorf("best bound %v above the optimum %v with blocks %v", v, optimum, groups)
			}
			if v > optimum-1e-3*math.Max(1, optimum) {
				tight++
			}
		}
	})
	if tight < 100 {
		t.Errorf("only %d bounds came near the optimum", tight)
	}
}

// What Marginals says of a decision is what Evaluate says with it fixed.
func TestMarginalsMatchFixings(t *testing.T) {
	random(t, 100, func(r *rand.Rand, m *model.Model, _ float64) {
		e := New(m, 1)
		e.SetBlocks(Layers(m, 100, 1+r.IntN(2)))
		scatter(r, e)
		e.Evaluate()
		burn, rest := make([]float64, m.N*m.T), make([]float64, m.N*m.T)
		e.Marginals(burn, rest)
		for range 10 {
			at := r.IntN(m.N * m.T)
			for _, side := range []struct {
				fix  int8
				want float64
			}{{FixedBurn, burn[at]}, {FixedRest, rest[at]}} {
				e.Fix[at] = side.fix
				got := e.Evaluate()
				e.Fix[at] = Free
				if got != side.want && !(math.Abs(got-side.want) <= 1e-9*math.Max(1, math.Abs(got))) {
					t.Errorf("unit %d year %d fixed %d: %v, marginal %v", at/m.T, at%m.T, side.fix, got, side.want)
				}
			}
		}
	})
}

// The result does not depend on the number of threads.
func TestThreadsAgree(t *testing.T) {
	m := load(t, "medium-103")
	var want []float64
	for _, threads := range []int{1, 2, 8} {
		e := New(m, threads)
		e.SetBlocks(Layers(m, 300, 2))
		a := NewAscent(e)
		a.Run(20, math.Inf(1))
		if want == nil {
			want = append([]float64(nil), e.Price...)
		}
		for row, p := range e.Price {
			if p != want[row] {
				t.Fatalf("%d threads: price of row %d is %v, with one thread %v", threads, row, p, want[row])
			}
		}
	}
}

func BenchmarkEvaluateUnits(b *testing.B)  { benchmark(b, 0) }
func BenchmarkEvaluateBlocks(b *testing.B) { benchmark(b, 1000) }

func benchmark(b *testing.B, states int) {
	m := load(b, "medium-101")
	e := New(m, 1)
	if states > 0 {
		e.SetBlocks(Layers(m, states, 2))
	}
	b.ReportAllocs()
	for b.Loop() {
		e.Evaluate()
	}
}
