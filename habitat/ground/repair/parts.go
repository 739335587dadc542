package repair

import (
	"math"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// checkParts makes sure that the rings of a shape of several rings do not claim
// the same ground twice: holes lie inside their outer ring and apart from each
// other, parts lie side by side. Rings that cross by so little that it does not
// matter are left as they are, with a note.
func (c *Cleaner) checkParts(s *ground.Shape) *source.Error {
	var all [][]flat.XY
	var outer []bool
	for _, p := range s.Polygons {
		on := unwrapped(p.Outer)
		all, outer = append(all, on), append(outer, true)
		if len(p.Holes) == 0 {
			continue
		}
		t := flat.NewTree(on)
		for _, h := range p.Holes {
			all, outer = append(all, unwrappedNear(h, t)), append(outer, false)
		}
	}
	if len(all) < 2 {
		return nil
	}
	at, how := ringsMeet(all)
	if how == flat.Apart {
		return c.checkNesting(all, outer)
	}
	return c.measureMeeting(s, at, how, func() *source.Error { return c.checkNesting(all, outer) })
}

// ringsMeet finds a place where edges of two different rings cross, or, when
// there is none, one where they touch.
func ringsMeet(rings [][]flat.XY) (at flat.XY, worst flat.Meet) {
	t := flat.NewTree(rings...)
	tests := 0
	for i, e := range t.Edges {
		// All edges after this ring's own.
		t.Search(e.Box(), t.First[t.Ring[i]+1], func(j int) bool {
			if tests++; tests > maxEdgeTests {
				return false
			}
			how, place, on, back := e.Meets(t.Edges[j])
			switch {
			case how == flat.Crossing:
				at, worst = place, flat.Crossing
				return false
			case how == flat.Touching && worst == flat.Apart:
				at, worst = append(on, back...)[0], flat.Touching
			}
			return true
		})
		if worst == flat.Crossing {
			break
		}
	}
	return at, worst
}

// measureMeeting compares the ground that rings which meet each other cover
// with the sum of their areas, and refuses the shape where the ground that is
// claimed twice, or not at all, matters. otherwise is asked about rings that
// touch and are too wild to measure.
func (c *Cleaner) measureMeeting(s *ground.Shape, at flat.XY, how flat.Meet, otherwise func() *source.Error) *source.Error {
	pl := ground.NewPlane(s.Center())
	var rings [][]flat.XY
	for r := range s.Rings {
		rings = append(rings, pl.ProjectRing(r))
	}
	var sum float64
	for _, p := range s.Polygons {
		sum += flatArea(pl.ProjectRing(p.Outer))
		for _, h := range p.Holes {
			sum -= flatArea(pl.ProjectRing(h))
		}
	}
	found, ok := flat.SweepAreas(rings, nil, math.Inf(-1), math.Inf(1))
	if !ok && how == flat.Touching {
		return otherwise()
	}
	doubt := quantity.AcresFromSquareMeters(math.Abs(sum - found.A))
	whole := quantity.AcresFromSquareMeters(sum)
	verb := "cross"
	if how == flat.Touching {
		verb = "lie on each other"
	}
	switch {
	case !ok:
		return c.Refuse("parts and holes that do not cross each other", "two rings of the shape cross at %s", place(wrapped(at)))
	case doubt > safeAcres || doubt > safeShare*whole:
		return c.Refuse("parts and holes that do not claim the same ground",
			"two rings of the shape %s at %s, and %s are claimed twice or not at all", verb, place(wrapped(at)), AreaText(doubt))
	case how == flat.Crossing:
		c.Note(ground.Mended, doubt, "two rings of the shape cross at %s; only %s is in doubt, so they were left as they are",
			place(wrapped(at)), AreaText(doubt))
	}
	return nil
}
