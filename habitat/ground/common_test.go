package ground

import (
	"math"
	"testing"
)

func TestCommonAcresOfHalf(t *testing.T) {
	square := func(west, east float64) Shape {
		return Shape{[]Polygon{{Outer: Ring{{west, 41}, {east, 41}, {east, 41.01}, {west, 41.01}}}}}
	}
	unit := square(-93, -92.99)
	for name, c := range map[string]struct {
		burned Shape
		share  float64
	}{
		"half, and as much outside": {square(-92.995, -92.985), 0.5},
		"whole":                     {unit, 1},
		"beside it":                 {square(-92.98, -92.97), 0},
	} {
		got, ok := CommonAcres(c.burned, unit)
		if want := c.share * float64(unit.Acres()); !ok || math.Abs(float64(got)-want) > 1e-4*float64(unit.Acres()) {
			t.Errorf("%s: %v acres, %v, want %v", name, got, ok, want)
		}
	}
}
