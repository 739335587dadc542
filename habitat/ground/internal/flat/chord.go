package flat

import "math"

// chordBudget ends the search for a chord in rings that are all edge: edges looked at.
const chordBudget = 4_000_000

// sameEdge is how near two edges lie, in units of the plane, to be one: parts of a
// shape that share it hold together.
const sameEdge = 0.01

// LongestChord gives the length of the longest stretch along x that lies inside the
// rings, by the even-odd rule: a stretch ends at each edge, save at one that two parts
// share. It is exact: between the heights of two points next to each other the length of
// a stretch changes linearly with height, so that it is longest at one of them. ok is
// false when the budget ran out.
func LongestChord(rings [][]XY) (length float64, ok bool) {
	s := sweep{low: math.Inf(-1), high: math.Inf(1), budget: chordBudget}
	s.add(rings, 0)
	s.each = func(from, to float64, active []sweepEdge) {
		for i := 0; i+1 < len(active); {
			last := i + 1
			for last+2 < len(active) && isOneEdge(&active[last], &active[last+1], from, to) {
				last += 2
			}
			first, end := &active[i], &active[last]
			length = max(length, end.at(from)-first.at(from), end.at(to)-first.at(to))
			i = last + 1
		}
	}
	if !s.run() {
		return 0, false
	}
	return length, true
}

// isOneEdge reports whether two edges lie on one another from one height to another.
func isOneEdge(a, b *sweepEdge, from, to float64) bool {
	return math.Abs(b.at(from)-a.at(from)) <= sameEdge && math.Abs(b.at(to)-a.at(to)) <= sameEdge
}
