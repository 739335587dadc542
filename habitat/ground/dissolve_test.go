package ground

import (
	"math"
	"testing"
)

func box(x0, y0, x1, y1 float64) Shape {
	at := func(x, y float64) Point { return Point{Lon: -96.5 + x/1000, Lat: 39 + y/1000} }
	return Shape{Polygons: []Polygon{{Outer: Ring{at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)}}}}
}

// Joined shapes have the acres of their parts and an outline without the line between
// them: its feet are those of the parts less twice the shared line.
func TestDissolve(t *testing.T) {
	side := func(x0, y0, x1, y1 float64) float64 { return float64(box(x0, y0, x1, y1).Perimeter()) }
	for _, c := range []struct {
		name            string
		parts           []Shape
		polygons, holes int
		feet            float64
	}{
		{"side by side", []Shape{box(0, 0, 1, 1), box(1, 0, 2, 1)}, 1, 0, side(0, 0, 2, 1)},
		{"apart", []Shape{box(0, 0, 1, 1), box(3, 0, 4, 1)}, 2, 0, side(0, 0, 1, 1) + side(3, 0, 4, 1)},
		{"a ring of four", []Shape{box(0, 0, 3, 1), box(0, 2, 3, 3), box(0, 1, 1, 2), box(2, 1, 3, 2)}, 1, 1, side(0, 0, 3, 3)},
		{"one alone", []Shape{box(0, 0, 1, 1)}, 1, 0, side(0, 0, 1, 1)},
	} {
		one := Dissolve(c.parts...)
		var acres float64
		for _, p := range c.parts {
			acres += float64(p.Acres())
		}
		holes := 0
		for _, p := range one.Polygons {
			holes += len(p.Holes)
		}
		if len(one.Polygons) != c.polygons || holes != c.holes {
			t.Errorf("%s: %d polygons with %d holes, want %d with %d", c.name, len(one.Polygons), holes, c.polygons, c.holes)
		}
		if math.Abs(float64(one.Acres())-acres) > 1e-6*acres || math.Abs(float64(one.Perimeter())-c.feet) > 1e-3*c.feet {
			t.Errorf("%s: %v acres and %v ft, want %v and %v", c.name, one.Acres(), one.Perimeter(), acres, c.feet)
		}
	}
	// Ground that is counted twice is not joined away.
	over := Dissolve(box(0, 0, 2, 1), box(1, 0, 3, 1))
	if want := float64(box(0, 0, 2, 1).Acres() + box(1, 0, 3, 1).Acres()); len(over.Polygons) != 2 || math.Abs(float64(over.Acres())-want) > 1e-9*want {
		t.Errorf("overlapping shapes became %d polygons of %v acres", len(over.Polygons), over.Acres())
	}
}
