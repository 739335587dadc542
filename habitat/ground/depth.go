package ground

import (
	"math"

	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/quantity"
)

// Depth is the size of a shape to a wind.
type Depth struct {
	WindFrom quantity.Bearing
	// Along is the extent along the wind, from the point farthest upwind to the one
	// farthest downwind.
	Along quantity.Feet
	// Run is the longest stretch of the wind inside the shape: how far a backing fire
	// that is lit along the downwind edge has to go. Holes and gaps between parts end a
	// stretch. It is never above Along, and far below it in a shape that is long and lies
	// aslant, is bent, or has parts. In a shape that is all edge it is taken as Along.
	Run quantity.Feet
	// Across is the extent across it: how wide the downwind edge is.
	Across quantity.Feet
	// Upwind and Downwind are the points of the shape that lie farthest that
	// way; of several, the first in the file.
	Upwind, Downwind Point
}

// Depths measures the shape for winds from the sixteen compass points, clockwise from
// north. The extent of a shape is that of its convex hull, and its points alone decide
// it; its longest run is its longest chord along the wind. The empty shape has neither.
func (s Shape) Depths() (out [16]Depth) {
	pl := NewPlane(s.Center())
	var points []Point
	var on []flat.XY
	var rings [][]flat.XY
	for _, p := range s.Polygons { // holes cannot lie farther out
		ring := pl.ProjectRing(p.Outer)
		points = append(points, p.Outer...)
		on = append(on, ring...)
		rings = append(rings, ring)
		for _, hole := range p.Holes {
			rings = append(rings, pl.ProjectRing(hole))
		}
	}
	for i := range out {
		bearing := quantity.Bearing(float64(i) * 22.5)
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
		if i >= 8 {
			out[i].Run = out[i-8].Run // the same stretches from the other end
			continue
		}
		out[i].Run = out[i].Along
		if run, ok := flat.LongestChord(turned(rings, sin, cos)); ok {
			out[i].Run = min(out[i].Along, quantity.FeetFromMeters(run))
		}
	}
	return out
}

// turned gives rings with the upwind way, a bearing's sine and cosine, along x.
func turned(rings [][]flat.XY, sin, cos float64) [][]flat.XY {
	out := make([][]flat.XY, len(rings))
	for i, ring := range rings {
		out[i] = make([]flat.XY, len(ring))
		for k, p := range ring {
			out[i][k] = flat.XY{X: p.X*sin + p.Y*cos, Y: p.X*cos - p.Y*sin}
		}
	}
	return out
}
