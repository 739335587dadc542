package ground

import (
	"math"

	"emberquilt/habitat/quantity"
)

// Place is a sensitive place: a house, a road, a school's ground.
type Place struct {
	Name string
	// Kind says what it is, such as "school", in the file's words; it may be
	// empty.
	Kind   string
	Shape  Shape
	Lines  []Line
	Points []Point
}

// PlaceOf takes a feature as a place.
func PlaceOf(f *Feature) Place {
	kind, _ := f.Attributes.Get("kind")
	return Place{Name: f.Label(), Kind: kind, Shape: f.Shape, Lines: f.Lines, Points: f.Points}
}

// Away says how far a place lies from a shape.
type Away struct {
	// Distance is that between the nearest points of both, 0 when they meet.
	Distance quantity.Feet
	// Toward is the bearing from the shape to the place: along the shortest
	// line between them, or, when they meet, from the shape's center to the
	// nearest point of the place. It is 0 when there is no way to tell.
	Toward quantity.Bearing
	// From and To are the ends of the shortest line.
	From, To Point
}

// Away measures how far a place lies from the shape. ok is false when either is
// empty.
func (s Shape) Away(place Place) (away Away, ok bool) {
	if s.IsEmpty() {
		return Away{}, false
	}
	pl := newPlane(s.Center())
	a := planeTree(pl, s, nil, nil)
	b := planeTree(pl, place.Shape, place.Lines, place.Points)
	if len(b.edges) == 0 {
		return Away{}, false
	}
	if within(b, a) || (!place.Shape.IsEmpty() && within(a, planeTree(pl, place.Shape, nil, nil))) {
		return meetingAt(pl, s, b), true
	}
	distance, onA, onB, found := closest(a, b, math.Inf(1))
	if !found {
		return Away{}, false
	}
	if distance == 0 {
		return meetingAt(pl, s, b), true
	}
	from, to := pl.unproject(onA), pl.unproject(onB)
	return Away{
		Distance: quantity.FeetFromMeters(metersBetween(from, to)),
		Toward:   bearingTo(from, to), From: from, To: to,
	}, true
}

// within reports whether a point of what lies inside the rings of in.
func within(what, in *edgeTree) bool {
	seen := int32(-1)
	for i, e := range what.edges {
		if what.ring[i] == seen {
			continue
		}
		seen = what.ring[i]
		if in.sideOf(e.a) != outside {
			return true
		}
	}
	return false
}

// meetingAt describes a place that the shape meets.
func meetingAt(pl *plane, s Shape, place *edgeTree) Away {
	center := s.Center()
	c := pl.project(center)
	_, on, _, _ := place.nearest(segment{c, c}, math.Inf(1))
	at := pl.unproject(on)
	away := Away{From: at, To: at}
	if on != c {
		away.Toward = bearingTo(center, at)
	}
	return away
}

// planeTree puts rings, lines and points on a plane; points become edges without
// length.
func planeTree(pl *plane, s Shape, lines []Line, points []Point) *edgeTree {
	var paths [][]xy
	for r := range s.rings {
		on := pl.projectRing(r)
		paths = append(paths, append(on, on[0]))
	}
	for _, l := range lines {
		paths = append(paths, pl.projectRing(Ring(l)))
	}
	for _, p := range points {
		on := pl.project(p)
		paths = append(paths, []xy{on, on})
	}
	return newLineTree(paths...)
}

// bearingTo gives the direction in which the shortest line from a to b sets out.
func bearingTo(a, b Point) quantity.Bearing {
	on := newPlane(a).project(b)
	return quantity.NewBearing(math.Atan2(on.x, on.y) / radiansPerDegree)
}
