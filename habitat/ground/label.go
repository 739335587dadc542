package ground

import (
	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/quantity"
)

// Label is where a name goes on a map: the middle of the largest circle that
// fits into a shape.
type Label struct {
	At     Point
	Radius quantity.Feet
}

// Label finds the place for a name in the largest polygon of the shape, to a
// fiftieth of its size. ok is false for the empty shape.
//
// Source: the search by cells with a bound on what each may hold is that of
// V. Agafonkin, "A new algorithm for finding a visual center of a polygon"
// (2016).
func (s Shape) Label() (label Label, ok bool) {
	var best *Polygon
	var most float64
	for i := range s.Polygons {
		if area := s.Polygons[i].squareMeters(); best == nil || area > most {
			best, most = &s.Polygons[i], area
		}
	}
	if best == nil {
		return Label{}, false
	}
	one := Shape{[]Polygon{*best}}
	pl := NewPlane(one.Center())
	o := newOutline(one, pl)
	at, radius := flat.Widest(o.tree, o.box)
	return Label{pl.Unproject(at), quantity.FeetFromMeters(radius)}, true
}
