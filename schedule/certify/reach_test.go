package certify

import (
	"math"
	"strings"
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
		// Tenths are not whole multiples of anything coarse.
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

// Bounds go up to the next cost that a plan can have, and no further.
func TestRaise(t *testing.T) {
	grid := `{"format": "rotation-problem/1", "first_year": 2027, "years": 3, "seasons": ["dormant"], "units": [
 {"id": "a", "acres": 100, "min_interval": 1, "max_interval": 2, "age": 3, "seasons": {"dormant": 0}},
 {"id": "b", "acres": 250, "min_interval": 1, "max_interval": 2, "age": 3, "seasons": {"dormant": 0.5}}],
 "weights": {"overdue": 3, "mix": 2, "season": 0.5, "evenness": 1, "neighbours": 1, "keep": 1}%s}`
	for _, c := range []struct {
		more        string
		bound, want float64
	}{
		// 100 · 1, 100 · 3, 250 · 1, 250 · 3, 0.5 · 0.5 · 250 = 62.5: steps of 12.5.
		{"", 100.0001, 112.5},
		{"", 112.5, 112.5},
		{"", 0, 0},
		{"", math.Inf(1), math.Inf(1)},
		{`, "evenness": {"min_acres": 60.5}`, 100.0001, 100.5},
		{`, "neighbours": [["a", "b"]]`, 100.0001, 112.5},
		{`, "mixes": {"m": [{"class": "x", "from": 0}]}`, 100.0001, 100.0001},
	} {
		f := newFrame(readText(t, strings.Replace(grid, "%s", c.more, 1)))
		got := f.raise(c.bound)
		if got > c.want || got < c.bound || got < c.want-1e-9 {
			t.Errorf("%s: %v raised to %v, want %v", c.more, c.bound, got, c.want)
		}
	}
}
