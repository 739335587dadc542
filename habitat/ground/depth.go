package ground

import (
	"math"

	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/quantity"
)

// Depth is the size of a shape to a wind.
type Depth struct {
	WindFrom quantity.Bearing
	// Along is the extent along the wind: how far a fire has to go.
	Along quantity.Feet
	// Across is the extent across it: how wide the downwind edge is.
	Across quantity.Feet
	// Upwind and Downwind are the points of the shape that lie farthest that
	// way; of several, the first in the file.
	Upwind, Downwind Point
}

// Depth measures the shape for a wind from a bearing. The extent of a shape is
// that of its convex hull, and its points alone decide it. The empty shape has
// none.
func (s Shape) Depth(windFrom quantity.Bearing) Depth {
	return s.depths([]quantity.Bearing{windFrom})[0]
}

// Depths measures the shape for the sixteen compass points, clockwise from
// north, as quantity.CompassPoints lists them.
func (s Shape) Depths() [16]Depth {
	bearings := make([]quantity.Bearing, 16)
	for i := range bearings {
		bearings[i] = quantity.Bearing(float64(i) * 22.5)
	}
	return [16]Depth(s.depths(bearings))
}

func (s Shape) depths(from []quantity.Bearing) []Depth {
	out := make([]Depth, len(from))
	pl := NewPlane(s.Center())
	var points []Point
	var on []flat.XY
	for _, p := range s.Polygons { // holes cannot lie farther out
		points = append(points, p.Outer...)
		on = append(on, pl.ProjectRing(p.Outer)...)
	}
	for i, bearing := range from {
		out[i].WindFrom = bearing
		if len(on) == 0 {
			continue
		}
		sin, cos := math.Sincos(bearing.Radians())
		up, down, left, right := 0, 0, math.Inf(1), math.Inf(-1)
		upwind := func(p flat.XY) float64 { return p.X*sin + p.Y*cos }
		for k, p := range on {
			if upwind(p) > upwind(on[up]) {
				up = k
			}
			if upwind(p) < upwind(on[down]) {
				down = k
			}
			across := p.X*cos - p.Y*sin
			left, right = min(left, across), max(right, across)
		}
		out[i].Along = quantity.FeetFromMeters(upwind(on[up]) - upwind(on[down]))
		out[i].Across = quantity.FeetFromMeters(right - left)
		out[i].Upwind, out[i].Downwind = points[up], points[down]
	}
	return out
}
