package ground

import (
	"math"

	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/quantity"
)

// Point is a place on the ground in degrees of longitude and latitude on WGS 84,
// longitude −180 to 180, latitude −90 to 90.
type Point struct{ Lon, Lat float64 }

// Ring is a closed boundary of three or more points; the last does not repeat
// the first. Outer rings run counterclockwise and holes clockwise.
type Ring []Point

// Line is an open path of two or more points.
type Line []Point

// Polygon is one piece of ground with the holes in it.
type Polygon struct {
	Outer Ring
	Holes []Ring
}

// Shape is the ground of one unit or place: any number of polygons that do not
// overlap. The zero value is the empty shape.
type Shape struct {
	Polygons []Polygon
}

// IsEmpty reports whether the shape holds no polygon.
func (s Shape) IsEmpty() bool { return len(s.Polygons) == 0 }

// Vertices counts the points of all rings.
func (s Shape) Vertices() int {
	n := 0
	for ring := range s.Rings {
		n += len(ring)
	}
	return n
}

// Acres gives the area of the shape.
//
// It is within 1e-6 of the geodesic area; see the package comment.
func (s Shape) Acres() quantity.Acres {
	var squareMeters float64
	for _, p := range s.Polygons {
		squareMeters += p.squareMeters()
	}
	return quantity.AcresFromSquareMeters(squareMeters)
}

// Perimeter gives the length of all outer rings, and not of the holes.
func (s Shape) Perimeter() quantity.Feet {
	var meters float64
	for _, p := range s.Polygons {
		meters += p.Outer.Meters()
	}
	return quantity.FeetFromMeters(meters)
}

// Equal reports whether two shapes hold the same points in the same order.
func (s Shape) Equal(other Shape) bool {
	return s.matches(other, func(a, b Point) bool { return a == b })
}

// SameDegrees is how far two points of a shape may lie apart, in degrees, to be
// one point written with more or fewer decimals: half a unit of the seventh
// decimal, less than half an inch, and a little for the rounding.
const SameDegrees = 0.51e-7

// Same reports whether two shapes are one shape, written with more or fewer
// decimals: the same points in the same order within SameDegrees.
func (s Shape) Same(other Shape) bool {
	return s.matches(other, func(a, b Point) bool { return a.same(b) })
}

// same reports whether two points are one within SameDegrees.
func (p Point) same(other Point) bool {
	return math.Abs(p.Lon-other.Lon) <= SameDegrees && math.Abs(p.Lat-other.Lat) <= SameDegrees
}

// matches compares ring by ring, point by point.
func (s Shape) matches(other Shape, same func(a, b Point) bool) bool {
	if len(s.Polygons) != len(other.Polygons) {
		return false
	}
	for i, p := range s.Polygons {
		q := other.Polygons[i]
		if len(p.Holes) != len(q.Holes) || !ringsMatch(p.Outer, q.Outer, same) {
			return false
		}
		for h := range p.Holes {
			if !ringsMatch(p.Holes[h], q.Holes[h], same) {
				return false
			}
		}
	}
	return true
}

func ringsMatch(a, b Ring, same func(a, b Point) bool) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if !same(a[i], b[i]) {
			return false
		}
	}
	return true
}

// Rings gives the outer ring and then the holes of each polygon in turn.
func (s Shape) Rings(yield func(Ring) bool) {
	for _, p := range s.Polygons {
		if !yield(p.Outer) {
			return
		}
		for _, hole := range p.Holes {
			if !yield(hole) {
				return
			}
		}
	}
}

// Center gives the middle of the box around the shape, across the date line
// where the shape lies across it. An empty shape has the zero Point.
func (s Shape) Center() Point { return Center(s) }

// Center gives the middle of the box around all shapes.
func Center(shapes ...Shape) Point {
	b := flat.NewBox()
	var start float64
	hasStart := false
	for _, s := range shapes {
		for ring := range s.Rings {
			for _, p := range ring {
				if !hasStart {
					start, hasStart = p.Lon, true
				}
				b.Add(start+WrapDegrees(p.Lon-start), p.Lat)
			}
		}
	}
	if !hasStart {
		return Point{}
	}
	return Point{WrapDegrees((b.MinX + b.MaxX) / 2), (b.MinY + b.MaxY) / 2}
}

// WrapDegrees brings a longitude, or a difference of two, into [−180, 180].
func WrapDegrees(d float64) float64 {
	if d >= -180 && d <= 180 {
		return d
	}
	return math.Remainder(d, 360)
}

// Length gives the length of the line.
func (l Line) Length() quantity.Feet {
	var meters float64
	for i := 1; i < len(l); i++ {
		meters += MetersBetween(l[i-1], l[i])
	}
	return quantity.FeetFromMeters(meters)
}
