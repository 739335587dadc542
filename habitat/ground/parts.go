package ground

import (
	"math"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// checkParts makes sure that the rings of a shape of several rings do not claim
// the same ground twice: holes lie inside their outer ring and apart from each
// other, parts lie side by side. Rings that cross by so little that it does not
// matter are left as they are, with a note.
func (c *cleaner) checkParts(s *Shape) *source.Error {
	var all [][]xy
	var outer []bool
	for _, p := range s.Polygons {
		on := unwrapped(p.Outer)
		all, outer = append(all, on), append(outer, true)
		if len(p.Holes) == 0 {
			continue
		}
		t := newEdgeTree(on)
		for _, h := range p.Holes {
			all, outer = append(all, unwrappedNear(h, t)), append(outer, false)
		}
	}
	if len(all) < 2 {
		return nil
	}
	at, how := ringsMeet(all)
	if how == apart {
		return c.checkNesting(all, outer)
	}
	return c.measureMeeting(s, at, how, func() *source.Error { return c.checkNesting(all, outer) })
}

// ringsMeet finds a place where edges of two different rings cross, or, when
// there is none, one where they touch.
func ringsMeet(rings [][]xy) (at xy, worst meet) {
	t := newEdgeTree(rings...)
	tests := 0
	for i, e := range t.edges {
		// All edges after this ring's own.
		t.search(e.box(), t.first[t.ring[i]+1], func(j int) bool {
			if tests++; tests > maxEdgeTests {
				return false
			}
			how, place, on, back := e.meets(t.edges[j])
			switch {
			case how == crossing:
				at, worst = place, crossing
				return false
			case how == touching && worst == apart:
				at, worst = append(on, back...)[0], touching
			}
			return true
		})
		if worst == crossing {
			break
		}
	}
	return at, worst
}

// measureMeeting compares the ground that rings which meet each other cover
// with the sum of their areas, and refuses the shape where the ground that is
// claimed twice, or not at all, matters. otherwise is asked about rings that
// touch and are too wild to measure.
func (c *cleaner) measureMeeting(s *Shape, at xy, how meet, otherwise func() *source.Error) *source.Error {
	pl := newPlane(s.Center())
	var rings [][]xy
	for r := range s.rings {
		rings = append(rings, pl.projectRing(r))
	}
	var sum float64
	for _, p := range s.Polygons {
		sum += flatArea(pl.projectRing(p.Outer))
		for _, h := range p.Holes {
			sum -= flatArea(pl.projectRing(h))
		}
	}
	found, ok := sweepAreas(rings, nil, math.Inf(-1), math.Inf(1))
	if !ok && how == touching {
		return otherwise()
	}
	doubt := quantity.AcresFromSquareMeters(math.Abs(sum - found.a))
	whole := quantity.AcresFromSquareMeters(sum)
	verb := "cross"
	if how == touching {
		verb = "lie on each other"
	}
	switch {
	case !ok:
		return c.refuse("parts and holes that do not cross each other", "two rings of the shape cross at %s", place(wrapped(at)))
	case doubt > safeAcres || doubt > safeShare*whole:
		return c.refuse("parts and holes that do not claim the same ground",
			"two rings of the shape %s at %s, and %s are claimed twice or not at all", verb, place(wrapped(at)), areaText(doubt))
	case how == crossing:
		c.note(Mended, doubt, "two rings of the shape cross at %s; only %s is in doubt, so they were left as they are",
			place(wrapped(at)), areaText(doubt))
	}
	return nil
}
