package geofile

import (
	"math"
	"regexp"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/groundtest"
)

// comparePlanimeter holds the acres of each shape and the perimeter of each
// ring against GeographicLib, within 1e-6 and the rounding of what it prints.
func comparePlanimeter(t *testing.T, features []Feature) (worst float64) {
	t.Helper()
	var rings []ground.Ring
	for _, f := range features {
		for r := range f.Shape.Rings {
			rings = append(rings, r)
		}
	}
	perimeters, areas := groundtest.Planimeter(t, rings)
	k := 0
	for _, f := range features {
		var want float64
		for _, p := range f.Shape.Polygons {
			for i := 0; i <= len(p.Holes); i++ {
				if i == 0 {
					want += areas[k]
				} else {
					want -= areas[k]
				}
				if got := rings[k].Meters(); math.Abs(got-perimeters[k]) > 1e-6*perimeters[k] {
					t.Errorf("%s: perimeter %v m, Planimeter says %v", f.Position, got, perimeters[k])
				}
				k++
			}
		}
		got := f.Shape.Acres().SquareMeters()
		const sliver = 2e-5 // m²: what Planimeter prints, and rounds on the way
		off := math.Abs(got - want)
		if off > 1e-6*want+sliver {
			t.Errorf("%s: %v m², Planimeter says %v", f.Position, got, want)
		}
		if want > 1000 {
			worst = max(worst, off/want)
		}
	}
	return worst
}

func regexpReplace(text, pattern, with string) string {
	return regexp.MustCompile(pattern).ReplaceAllString(text, with)
}
