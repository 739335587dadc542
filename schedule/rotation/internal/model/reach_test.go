package model

import (
	"math"
	"testing"
)

// What sums of whole burns can come to, by hand.
func TestReach(t *testing.T) {
	for _, c := range []struct {
		amounts     []float64
		limit, want float64
	}{
		{[]float64{100, 100}, 125, 100},
		{[]float64{100, 250}, 499.9, 450},
		{[]float64{100}, 99.9, 0},
		{[]float64{1.5, 0, 2}, 6.7, 6.5},
		{[]float64{0.5, 1}, 6.5000065, 6.5},
		{nil, 7.3, 7.3},
		{[]float64{100}, math.Inf(1), math.Inf(1)},
		{[]float64{0.1, 12.3}, 25.05, 25.05},
		{[]float64{1e300}, 2.5e300, 2.5e300},
	} {
		if got := reach(c.limit, divisor(c.amounts)); got != c.want {
			t.Errorf("%v within %v: got %v, want %v", c.amounts, c.limit, got, c.want)
		}
	}
}
