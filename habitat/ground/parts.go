package ground

import (
	"math"

	"github.com/peterstace/simplefeatures/rtree"

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
		return c.checkNesting(s, all, outer)
	}
	return c.measureMeeting(s, at, how, func() *source.Error { return c.checkNesting(s, all, outer) })
}

// ringsMeet finds a place where edges of two different rings cross, or, when
// there is none, one where they touch.
func ringsMeet(rings [][]xy) (at xy, worst meet) {
	t := newEdgeTree(rings...)
	for i, e := range t.edges {
		// All edges after this ring's own.
		t.search(e.box(), t.first[t.ring[i]+1], func(j int) bool {
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
	pl := newPlane(s.Centre())
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
	doubt := quantity.AcresFromSquareMetres(math.Abs(sum - found.a))
	whole := quantity.AcresFromSquareMetres(sum)
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

// flatArea gives the area of a ring on a plane, without its sign.
func flatArea(r []xy) float64 {
	var twice float64
	for i, p := range r {
		q := r[(i+1)%len(r)]
		twice += (p.x-r[0].x)*(q.y-r[0].y) - (q.x-r[0].x)*(p.y-r[0].y)
	}
	return math.Abs(twice) / 2
}

// checkNesting looks, in a shape whose rings do not cross, for holes outside
// their outer ring, holes in holes and parts inside parts.
func (c *cleaner) checkNesting(s *Shape, all [][]xy, outer []bool) *source.Error {
	items := make([]rtree.BulkItem, len(all))
	trees := make([]*edgeTree, len(all))
	for i, r := range all {
		trees[i] = newEdgeTree(r)
		b := trees[i].box()
		items[i] = rtree.BulkItem{Box: rtree.Box{MinX: b.minX, MinY: b.minY, MaxX: b.maxX, MaxY: b.maxY}, RecordID: i}
	}
	index := rtree.BulkLoad(items)
	owner := -1
	for i, r := range all {
		if outer[i] {
			owner = i
		} else if ringIn(r, trees[owner]) == outside {
			return c.refuse("holes inside the outer ring", "a hole at %s lies outside its outer ring", place(wrapped(r[0])))
		}
		depth, holder := 0, -1
		_ = index.RangeSearch(items[i].Box, func(j int) error {
			if j != i && contains(items[j].Box, items[i].Box) && ringIn(r, trees[j]) == inside {
				holder = j
				if outer[j] {
					depth++
				} else {
					depth--
				}
			}
			return nil
		})
		// Inside one outer ring and no hole, a hole is in its place; a part must
		// be inside as many holes as outer rings.
		if want := 0; outer[i] && depth != want {
			return c.refuse("parts that lie side by side", "a part at %s lies inside another part of the same shape", place(wrapped(r[0])))
		}
		if !outer[i] && depth != 1 && holder >= 0 {
			return c.refuse("holes that do not lie in each other", "a hole at %s lies inside another hole", place(wrapped(r[0])))
		}
	}
	return nil
}

func contains(a, b rtree.Box) bool {
	return a.MinX <= b.MinX && a.MinY <= b.MinY && a.MaxX >= b.MaxX && a.MaxY >= b.MaxY
}
