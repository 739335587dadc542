package flat

import (
	"math"
	"sort"
)

// areas are what sweepAreas measures, in square units of its plane.
type areas struct {
	// a and b are the areas of the two sets of rings, by the even-odd rule.
	A, B float64
	// Both is the area that lies in Both.
	Both float64
}

// sweepBudget ends a sweep over rings that are too wild: edges looked at.
const sweepBudget = 40_000_000

// SweepAreas measures two sets of rings and what they have in common.
//
// The plane is cut into slabs at the height of each point. Within a slab no
// edge begins or ends, so the widths of a, b and of both change linearly with
// height, and width at mid-height times height is exact. A slab in which edges
// cross is cut at the crossing. Nothing here can fail on rings that touch,
// overlap or nearly coincide: an error in a crossing's place costs an area of
// its own size, no more.
//
// Only heights from low to high are swept; −Inf and +Inf sweep all. ok is false
// when the budget ran out.
func SweepAreas(a, b [][]XY, low, high float64) (got areas, ok bool) {
	s := sweep{low: low, high: high, budget: sweepBudget}
	if !math.IsInf(low, 0) {
		s.heights = append(s.heights, low, high)
	}
	s.add(a, 0)
	s.add(b, 1)
	if !s.run() {
		return areas{}, false
	}
	return s.got, true
}

// run goes from slab to slab; ok is false when the budget ran out.
func (s *sweep) run() (ok bool) {
	sort.Slice(s.edges, func(i, j int) bool { return s.edges[i].low.Y < s.edges[j].low.Y })
	sort.Float64s(s.heights)
	next, fresh := 0, 0
	for k := 1; k < len(s.heights); k++ {
		from, to := s.heights[k-1], s.heights[k]
		if from == to {
			continue
		}
		keep := s.active[:0]
		for _, e := range s.active {
			if e.high.Y > from {
				keep = append(keep, e)
			}
		}
		s.active = keep
		for fresh = 0; next < len(s.edges) && s.edges[next].low.Y <= from; next++ {
			s.active = append(s.active, s.edges[next])
			fresh++
		}
		s.slab(from, to, 0, fresh > 16)
		if s.spent > s.budget {
			return false
		}
	}
	return true
}

type sweepEdge struct {
	low, high XY
	set       int
	x         float64 // at the middle of the slab in hand
}

func (e *sweepEdge) at(y float64) float64 {
	return e.low.X + (y-e.low.Y)/(e.high.Y-e.low.Y)*(e.high.X-e.low.X)
}

type sweep struct {
	edges, active []sweepEdge
	heights       []float64
	low, high     float64
	got           areas
	spent, budget int
	// each, if set, looks at each slab in place of measuring areas; its edges stand in
	// order, and none of them cross.
	each func(from, to float64, active []sweepEdge)
}

func (s *sweep) add(rings [][]XY, set int) {
	for _, r := range rings {
		for i, p := range r {
			q := r[(i+1)%len(r)]
			if p.Y >= s.low && p.Y <= s.high {
				s.heights = append(s.heights, p.Y)
			}
			switch {
			case max(p.Y, q.Y) <= s.low || min(p.Y, q.Y) >= s.high:
			case p.Y < q.Y:
				s.edges = append(s.edges, sweepEdge{low: p, high: q, set: set})
			case q.Y < p.Y:
				s.edges = append(s.edges, sweepEdge{low: q, high: p, set: set})
			}
		}
	}
}

// mostCuts ends the cutting of a slab in which edges cross.
const mostCuts = 24

// slab measures what lies between two heights. mixed says that the edges are
// not nearly in order.
func (s *sweep) slab(from, to float64, cuts int, mixed bool) {
	if s.spent += len(s.active); s.spent > s.budget {
		return
	}
	mid := from + (to-from)/2
	for i := range s.active {
		s.active[i].x = s.active[i].at(mid)
	}
	if mixed {
		sort.Slice(s.active, func(i, j int) bool { return s.active[i].x < s.active[j].x })
	}
	// The order changes little from slab to slab.
	for i := 1; i < len(s.active); i++ {
		for j := i; j > 0 && s.active[j].x < s.active[j-1].x; j-- {
			s.active[j], s.active[j-1] = s.active[j-1], s.active[j]
			s.spent++
		}
	}
	if cuts < mostCuts {
		if y, ok := s.crossingIn(from, to); ok {
			s.slab(from, y, cuts+1, false)
			s.slab(y, to, cuts+1, false)
			return
		}
	}
	if s.each != nil {
		s.each(from, to, s.active)
		return
	}
	var in [2]bool
	var since [2]float64
	var bothSince float64
	height := to - from
	for i := range s.active {
		e := &s.active[i]
		if in[0] && in[1] {
			s.got.Both += (e.x - bothSince) * height
		}
		if in[e.set] {
			width := (e.x - since[e.set]) * height
			if e.set == 0 {
				s.got.A += width
			} else {
				s.got.B += width
			}
		}
		in[e.set] = !in[e.set]
		since[e.set], bothSince = e.x, e.x
	}
}

// crossingIn gives the height of a crossing of two edges next to each other.
func (s *sweep) crossingIn(from, to float64) (y float64, ok bool) {
	for i := 1; i < len(s.active); i++ {
		e, f := &s.active[i-1], &s.active[i]
		low, high := f.at(from)-e.at(from), f.at(to)-e.at(to)
		if low >= 0 && high >= 0 {
			continue
		}
		// Where they cross, the distance passes zero.
		y = from + (to-from)*low/(low-high)
		if margin := (to - from) * 1e-9; math.Signbit(low) != math.Signbit(high) && y > from+margin && y < to-margin {
			return y, true
		}
	}
	return 0, false
}
