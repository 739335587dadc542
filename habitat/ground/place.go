package ground

import (
	"math"
	"slices"

	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/quantity"
)

// Place is a sensitive place: a house, a road, a school's ground.
type Place struct {
	Name string
	// Kind says what it is, such as "school", in the file's words; it may be
	// empty.
	Kind string
	// Tolerated marks a place of the user's own that smoke may reach.
	Tolerated bool
	Shape     Shape
	Lines     []Line
	Points    []Point
}

// SameGround reports whether two places lie on one ground, written with more or fewer
// decimals: the same points in the same order within SameDegrees.
func (p *Place) SameGround(other *Place) bool {
	same := func(a, b Point) bool { return a.same(b) }
	line := func(a, b Line) bool { return slices.EqualFunc(a, b, same) }
	return p.Shape.Same(other.Shape) && slices.EqualFunc(p.Lines, other.Lines, line) && slices.EqualFunc(p.Points, other.Points, same)
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
	pl := NewPlane(s.Center())
	a := planeTree(pl, s, nil, nil)
	b := planeTree(pl, place.Shape, place.Lines, place.Points)
	if len(b.Edges) == 0 {
		return Away{}, false
	}
	if within(b, a) || (!place.Shape.IsEmpty() && within(a, planeTree(pl, place.Shape, nil, nil))) {
		return meetingAt(pl, s, b), true
	}
	distance, onA, onB, found := flat.Closest(a, b, math.Inf(1))
	if !found {
		return Away{}, false
	}
	if distance == 0 {
		return meetingAt(pl, s, b), true
	}
	from, to := pl.Unproject(onA), pl.Unproject(onB)
	return Away{
		Distance: quantity.FeetFromMeters(MetersBetween(from, to)),
		Toward:   bearingTo(from, to), From: from, To: to,
	}, true
}

// within reports whether a point of what lies inside the rings of in.
func within(what, in *flat.Tree) bool {
	seen := int32(-1)
	for i, e := range what.Edges {
		if what.Ring[i] == seen {
			continue
		}
		seen = what.Ring[i]
		if in.SideOf(e.A) != flat.Outside {
			return true
		}
	}
	return false
}

// meetingAt describes a place that the shape meets.
func meetingAt(pl *Plane, s Shape, place *flat.Tree) Away {
	center := s.Center()
	c := pl.Project(center)
	_, on, _, _ := place.Nearest(flat.Segment{A: c, B: c}, math.Inf(1))
	at := pl.Unproject(on)
	away := Away{From: at, To: at}
	if on != c {
		away.Toward = bearingTo(center, at)
	}
	return away
}

// planeTree puts rings, lines and points on a plane; points become edges without
// length.
func planeTree(pl *Plane, s Shape, lines []Line, points []Point) *flat.Tree {
	var paths [][]flat.XY
	for r := range s.Rings {
		on := pl.ProjectRing(r)
		paths = append(paths, append(on, on[0]))
	}
	for _, l := range lines {
		paths = append(paths, pl.ProjectRing(Ring(l)))
	}
	for _, p := range points {
		on := pl.Project(p)
		paths = append(paths, []flat.XY{on, on})
	}
	return flat.NewLineTree(paths...)
}

// bearingTo gives the direction in which the shortest line from a to b sets out.
func bearingTo(a, b Point) quantity.Bearing {
	on := NewPlane(a).Project(b)
	return quantity.NewBearing(math.Atan2(on.X, on.Y) / radiansPerDegree)
}
