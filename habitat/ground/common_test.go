package ground_test

import (
	"math"
	"testing"

	"emberquilt/habitat/ground"
)

func TestCommonAcresOfHalf(t *testing.T) {
	square := func(west, east float64) ground.Shape {
		return ground.Shape{Polygons: []ground.Polygon{{Outer: ground.Ring{{Lon: west, Lat: 41}, {Lon: east, Lat: 41}, {Lon: east, Lat: 41.01}, {Lon: west, Lat: 41.01}}}}}
	}
	unit := square(-93, -92.99)
	for name, c := range map[string]struct {
		burned ground.Shape
		share  float64
	}{
		"half, and as much outside": {square(-92.995, -92.985), 0.5},
		"whole":                     {unit, 1},
		"beside it":                 {square(-92.98, -92.97), 0},
	} {
		got, ok := ground.CommonAcres(c.burned, unit)
		if want := c.share * float64(unit.Acres()); !ok || math.Abs(float64(got)-want) > 1e-4*float64(unit.Acres()) {
			t.Errorf("%s: %v acres, %v, want %v", name, got, ok, want)
		}
	}
}
