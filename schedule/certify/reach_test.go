package certify

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
		{[]float64{100, 100}, 99.9, 0},
		{[]float64{100, 250}, 499.9, 450},
		{[]float64{1.5, 0, 2}, 6.7, 6.5},
		{[]float64{0.5, 1}, 6.5000065, 6.5},
		{[]float64{1}, 3.0000030000000001, 3},
		{[]float64{0, 0}, 7.3, 7.3},
		{nil, 7.3, 7.3},
		{[]float64{100}, math.Inf(1), math.Inf(1)},
		{[]float64{3 << 40, 5 << 40}, 1.5 * (1 << 40), 1 << 40},
		// Tenths are no whole multiples of anything coarse.
		{[]float64{0.1, 12.3}, 25.05, 25.05},
	} {
		var d divisor
		for _, a := range c.amounts {
			d.add(a)
		}
		if got := d.reach(c.limit); got != c.want && !(c.want == 25.05 && math.Abs(got-c.want) < 1e-12 && got <= c.limit) {
			t.Errorf("%v within %v: got %v, want %v", c.amounts, c.limit, got, c.want)
		}
	}
}
