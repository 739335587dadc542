package flat

import (
	"math"

	"github.com/peterstace/simplefeatures/rtree"
)

// Box is an axis-aligned box in whatever plane its user works in.
type Box struct{ MinX, MinY, MaxX, MaxY float64 }

// NewBox gives the box that holds nothing.
func NewBox() Box {
	return Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
}

// Add makes the box hold a point.
func (b *Box) Add(x, y float64) {
	b.MinX, b.MaxX = min(b.MinX, x), max(b.MaxX, x)
	b.MinY, b.MaxY = min(b.MinY, y), max(b.MaxY, y)
}

// Join makes the box hold another.
func (b *Box) Join(o Box) {
	b.MinX, b.MaxX = min(b.MinX, o.MinX), max(b.MaxX, o.MaxX)
	b.MinY, b.MaxY = min(b.MinY, o.MinY), max(b.MaxY, o.MaxY)
}

// Grown gives the box with as much more on every side.
func (b Box) Grown(by float64) Box {
	return Box{b.MinX - by, b.MinY - by, b.MaxX + by, b.MaxY + by}
}

// Meets reports whether two boxes have a point in common.
func (b Box) Meets(o Box) bool {
	return b.MinX <= o.MaxX && o.MinX <= b.MaxX && b.MinY <= o.MaxY && o.MinY <= b.MaxY
}

// TreeBox gives the box to the library of trees.
func TreeBox(b Box) rtree.Box {
	return rtree.Box{MinX: b.MinX, MinY: b.MinY, MaxX: b.MaxX, MaxY: b.MaxY}
}

// XY is a place on a plane, in meters east and north of its center, or in
// degrees where only the order of edges matters.
type XY struct{ X, Y float64 }
