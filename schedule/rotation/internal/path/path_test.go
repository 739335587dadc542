package path

import (
	"math"
	"math/rand/v2"
	"testing"
)

// randomUnit makes a unit and costs, some of them forbidden.
func randomUnit(r *rand.Rand) (u Unit, burn, rest, state []float64) {
	u = Unit{T: 1 + r.IntN(7), K: 2 + r.IntN(5)}
	u.Start = r.IntN(u.K)
	u.CanBurn = make([]bool, u.K)
	for k := r.IntN(u.K); k < u.K; k++ {
		u.CanBurn[k] = true
	}
	cost := func(n int) []float64 {
		c := make([]float64, n)
		for x := range c {
			c[x] = float64(r.IntN(20) - 6)
			if r.IntN(8) == 0 {
				c[x] = math.Inf(1)
			}
		}
		return c
	}
	burn, rest, state = cost(u.T), cost(u.T), cost(u.T*u.K)
	for x := range state {
		if math.IsInf(state[x], 1) {
			state[x] = 3
		}
	}
	return u, burn, rest, state
}

// walk gives the cost of a set of burn years, +Inf where it is not allowed, and
// its states.
func walk(u *Unit, burn, rest, state []float64, years int) (float64, []int16) {
	k, cost := u.Start, 0.0
	states := make([]int16, u.T)
	for t := range u.T {
		if years>>t&1 == 1 {
			if !u.CanBurn[k] {
				return math.Inf(1), nil
			}
			cost += burn[t]
			k = 0
		} else {
			cost += rest[t]
			k = min(k+1, u.K-1)
		}
		cost += state[t*u.K+k]
		states[t] = int16(k)
	}
	return cost, states
}

func TestSolveIsTheBestOfAllSequences(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var s Solver
	closed := 0
	for range 2000 {
		u, burn, rest, state := randomUnit(r)
		best := math.Inf(1)
		bestBurn, bestRest := make([]float64, u.T), make([]float64, u.T)
		for y := range u.T {
			bestBurn[y], bestRest[y] = best, best
		}
		for years := range 1 << u.T {
			c, _ := walk(&u, burn, rest, state, years)
			best = min(best, c)
			for y := range u.T {
				if years>>y&1 == 1 {
					bestBurn[y] = min(bestBurn[y], c)
				} else {
					bestRest[y] = min(bestRest[y], c)
				}
			}
		}
		states := make([]int16, u.T)
		got := s.Solve(&u, burn, rest, state, states)
		if got != best {
			t.Fatalf("%+v: %v, the best of all is %v", u, got, best)
		}
		if math.IsInf(best, 1) {
			closed++
		} else {
			years := 0
			for y, k := range states {
				if k == 0 {
					years |= 1 << y
				}
			}
			if c, walked := walk(&u, burn, rest, state, years); c != got || !equal(walked, states) {
				t.Fatalf("%+v: the states %v cost %v, not %v", u, states, c, got)
			}
		}
		outBurn, outRest := make([]float64, u.T), make([]float64, u.T)
		s.Marginals(&u, burn, rest, state, outBurn, outRest)
		for y := range u.T {
			if outBurn[y] != bestBurn[y] || outRest[y] != bestRest[y] {
				t.Fatalf("%+v year %d: %v and %v, not %v and %v", u, y, outBurn[y], outRest[y], bestBurn[y], bestRest[y])
			}
		}
	}
	if closed == 0 {
		t.Error("no unit was without a path")
	}
}

func equal(a, b []int16) bool {
	for x := range a {
		if a[x] != b[x] {
			return false
		}
	}
	return len(a) == len(b)
}

func BenchmarkSolve(b *testing.B) {
	r := rand.New(rand.NewPCG(3, 4))
	u := Unit{T: 20, K: 6, Start: 2, CanBurn: []bool{false, true, true, true, true, true}}
	burn, rest, state := make([]float64, u.T), make([]float64, u.T), make([]float64, u.T*u.K)
	for x := range burn {
		burn[x] = r.NormFloat64()
	}
	for x := range state {
		state[x] = r.Float64()
	}
	states := make([]int16, u.T)
	var s Solver
	b.ReportAllocs()
	for b.Loop() {
		s.Solve(&u, burn, rest, state, states)
	}
}
