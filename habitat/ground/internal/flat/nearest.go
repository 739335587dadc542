package flat

import (
	"math"
)

// Closest gives the least distance between edges of two trees, and the places
// on both. Anything at or above limit is not looked for: found is false then.
func Closest(a, b *Tree, limit float64) (distance float64, onA, onB XY, found bool) {
	distance = limit
	for _, e := range b.Edges {
		if d, p, q, ok := a.Nearest(e, distance); ok {
			distance, onA, onB, found = d, p, q, true
			if d == 0 {
				return
			}
		}
	}
	return
}

// Nearest gives the place on the tree's edges that is Nearest to e, if it is
// below limit.
func (t *Tree) Nearest(e Segment, limit float64) (distance float64, on, onE XY, found bool) {
	distance = limit
	b := e.Box()
	var visit func(level, k int)
	visit = func(level, k int) {
		if t.levels[level][k].distance(b) >= distance {
			return
		}
		if level > 0 {
			for j := k * fanout; j < min((k+1)*fanout, len(t.levels[level-1])); j++ {
				visit(level-1, j)
			}
			return
		}
		for _, f := range t.Edges[k*fanout : min((k+1)*fanout, len(t.Edges))] {
			if d, p, q := f.distanceTo(e); d < distance {
				distance, on, onE, found = d, p, q, true
			}
		}
	}
	for k := range t.levels[len(t.levels)-1] {
		visit(len(t.levels)-1, k)
	}
	return
}

// distance gives the least distance between two boxes.
func (b Box) distance(o Box) float64 {
	dx := max(0, b.MinX-o.MaxX, o.MinX-b.MaxX)
	dy := max(0, b.MinY-o.MaxY, o.MinY-b.MaxY)
	return math.Hypot(dx, dy)
}

// distanceTo gives the least distance between two segments and the places.
func (s Segment) distanceTo(o Segment) (distance float64, onS, onO XY) {
	switch { // neighbors mostly share points
	case s.A == o.A || s.A == o.B:
		return 0, s.A, s.A
	case s.B == o.A || s.B == o.B:
		return 0, s.B, s.B
	}
	if how, at, on, back := s.Meets(o); how == Crossing {
		return 0, at, at
	} else if how == Touching {
		p := append(on, back...)[0]
		return 0, p, p
	}
	distance = math.Inf(1)
	try := func(p, q XY, swap bool) {
		if d := math.Hypot(p.X-q.X, p.Y-q.Y); d < distance {
			distance, onS, onO = d, p, q
			if swap {
				onS, onO = q, p
			}
		}
	}
	try(s.Foot(o.A), o.A, false)
	try(s.Foot(o.B), o.B, false)
	try(o.Foot(s.A), s.A, true)
	try(o.Foot(s.B), s.B, true)
	return distance, onS, onO
}

// Foot gives the place on the segment that is nearest to p.
func (s Segment) Foot(p XY) XY {
	dx, dy := s.B.X-s.A.X, s.B.Y-s.A.Y
	square := dx*dx + dy*dy
	if square == 0 {
		return s.A
	}
	t := ((p.X-s.A.X)*dx + (p.Y-s.A.Y)*dy) / square
	switch {
	case t <= 0:
		return s.A
	case t >= 1:
		return s.B
	}
	return XY{s.A.X + t*dx, s.A.Y + t*dy}
}
