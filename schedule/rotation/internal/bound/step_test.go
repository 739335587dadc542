package bound

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Vector instructions give the same numbers as plain code, to the last bit.
func TestStepVector(t *testing.T) {
	if !hasVector {
		t.Skip("this processor has no vector instructions that are used here")
	}
	rng := rand.New(rand.NewPCG(1, 2))
	var j jointSolver
	for range 5000 {
		stride, k, groups := 1+rng.IntN(23), 2+rng.IntN(12), 1+rng.IntN(4)
		first := rng.IntN(k + 1)
		v := make([]float64, stride*k*groups+4)
		for x := range v {
			v[x] = 100 * rng.NormFloat64()
			if rng.IntN(5) == 0 {
				v[x] = math.Inf(1)
			}
		}
		cost := make([]float64, k)
		for x := range cost {
			cost[x] = 100 * rng.NormFloat64()
			if rng.IntN(10) == 0 {
				cost[x] = math.Inf(1)
			}
		}
		want := slices.Clone(v)
		j.stepRows(want[:len(v)-4], stride, k, first, cost)
		stepVector(&v[0], groups, stride, k, first, &cost[0])
		if !slices.Equal(v, want) {
			t.Fatalf("stride %d, k %d, first %d, groups %d:\n got %v\nwant %v", stride, k, first, groups, v, want)
		}
		if k > mostGrouped {
			continue
		}
		many := k * (len(v) / k)
		from := append(append(make([]float64, pad), v[:many]...), make([]float64, pad)...)
		to := make([]float64, len(from))
		want = slices.Clone(v[:many])
		stepNarrow(want, 1, k, first, cost)
		stepOne(from[pad:pad+many], to[pad:pad+many], k, first, cost)
		if !slices.Equal(to[pad:pad+many], want) {
			t.Fatalf("stride 1, k %d, first %d:\n got %v\nwant %v", k, first, to[pad:pad+many], want)
		}
	}
}

func BenchmarkStep(b *testing.B) {
	for _, size := range [][2]int{{5, 5}, {25, 5}, {125, 5}, {625, 5}} {
		stride, k := size[0], size[1]
		v, cost := make([]float64, 3125), make([]float64, k)
		var j jointSolver
		b.Run(fmt.Sprintf("rows/stride=%d", stride), func(b *testing.B) {
			for b.Loop() {
				j.stepRows(v, stride, k, 1, cost)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(v)), "ns/state")
		})
		if !hasVector {
			continue
		}
		b.Run(fmt.Sprintf("vector/stride=%d", stride), func(b *testing.B) {
			for b.Loop() {
				stepVector(&v[0], len(v)/(stride*k), stride, k, 1, &cost[0])
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(v)), "ns/state")
		})
	}
	v, cost := make([]float64, 3125), make([]float64, 5)
	b.Run("narrow/stride=1", func(b *testing.B) {
		for b.Loop() {
			stepNarrow(v, 1, 5, 1, cost)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(v)), "ns/state")
	})
	if !hasVector {
		return
	}
	from, to := make([]float64, pad+len(v)+pad), make([]float64, pad+len(v)+pad)
	b.Run("vector/stride=1", func(b *testing.B) {
		for b.Loop() {
			stepOne(from[pad:pad+len(v)], to[pad:pad+len(v)], 5, 1, cost)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(v)), "ns/state")
	})
}
