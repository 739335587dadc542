package repair

import (
	"math"
	"sort"

	"github.com/peterstace/simplefeatures/rtree"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/source"
)

// nested is a ring and the ring right around it.
type nested struct {
	on   []flat.XY
	tree *flat.Tree // nil for rings of less than three points
	box  rtree.Box
	area float64
	// around is the index of the smallest ring that holds this one, −1 for none;
	// depth counts the rings around.
	around, depth int
}

// nestRings finds what lies in what among rings that do not cross.
func nestRings(rings [][]flat.XY) []nested {
	all := make([]nested, len(rings))
	var items []rtree.BulkItem
	var order []int
	for i, on := range rings {
		all[i] = nested{on: on, around: -1}
		if len(on) < 3 {
			continue
		}
		e := &all[i]
		e.tree = flat.NewTree(on)
		e.box = flat.TreeBox(e.tree.Box())
		e.area = flatArea(on)
		items = append(items, rtree.BulkItem{Box: e.box, RecordID: i})
		order = append(order, i)
	}
	index := rtree.BulkLoad(items)
	var candidates []int
	for i := range all {
		e := &all[i]
		if e.tree == nil {
			continue
		}
		candidates = candidates[:0]
		_ = index.RangeSearch(e.box, func(j int) error {
			if o := &all[j]; i != j && o.area > e.area && contains(o.box, e.box) {
				candidates = append(candidates, j)
			}
			return nil
		})
		e.around = smallestAround(all, e, candidates)
	}
	// The larger ring has its depth before those in it.
	sort.SliceStable(order, func(a, b int) bool { return all[order[a]].area > all[order[b]].area })
	for _, i := range order {
		if all[i].around >= 0 {
			all[i].depth = all[all[i].around].depth + 1
		}
	}
	return all
}

// smallestAround tries candidates from the smallest on; mostly the first holds
// the ring.
func smallestAround(all []nested, e *nested, candidates []int) int {
	for len(candidates) > 0 {
		least := 0
		for k, j := range candidates {
			o, best := all[j], all[candidates[least]]
			if o.area < best.area || (o.area == best.area && j < candidates[least]) {
				least = k
			}
		}
		j := candidates[least]
		if ringIn(e.on, all[j].tree) == flat.Inside {
			return j
		}
		candidates[least] = candidates[len(candidates)-1]
		candidates = candidates[:len(candidates)-1]
	}
	return -1
}

// Nest sorts rings of which nobody says what they are into polygons: a ring
// inside an odd number of others is a hole of the one right around it.
func (c *Cleaner) Nest(rings [][]ground.Point) ([][][]ground.Point, *source.Error) {
	if len(rings) == 1 {
		return [][][]ground.Point{rings}, nil
	}
	on := make([][]flat.XY, len(rings))
	for i, r := range rings {
		for _, p := range r {
			if err := c.CheckRange(p); err != nil {
				return nil, err
			}
		}
		on[i] = unwrapped(r)
	}
	all := nestRings(on)
	var out [][][]ground.Point
	home := make(map[int]int)
	for i, e := range all {
		if e.depth%2 == 0 {
			home[i] = len(out)
			out = append(out, [][]ground.Point{rings[i]})
		}
	}
	for i, e := range all {
		if e.depth%2 == 0 {
			continue
		}
		if k, ok := home[e.around]; ok {
			out[k] = append(out[k], rings[i])
		} else { // rings that cross; cleaning finds them
			out = append(out, [][]ground.Point{rings[i]})
		}
	}
	return out, nil
}

func contains(a, b rtree.Box) bool {
	return a.MinX <= b.MinX && a.MinY <= b.MinY && a.MaxX >= b.MaxX && a.MaxY >= b.MaxY
}

// checkNesting looks, in a shape whose rings do not cross, for holes outside
// their outer ring, holes in holes and parts inside parts: around a part there
// is nothing or a hole, around a hole its own outer ring. outer says which rings
// are outer ones; the holes of each follow it.
func (c *Cleaner) checkNesting(all [][]flat.XY, outer []bool) *source.Error {
	owner := -1
	for i, e := range nestRings(all) {
		at := place(wrapped(all[i][0]))
		switch {
		case outer[i]:
			owner = i
			if e.around >= 0 && outer[e.around] {
				return c.Refuse("parts that lie side by side", "a part at %s lies inside another part of the same shape", at)
			}
		case e.around < 0:
			return c.Refuse("holes inside the outer ring", "a hole at %s lies outside its outer ring", at)
		case !outer[e.around]:
			return c.Refuse("holes that do not lie in each other", "a hole at %s lies inside another hole", at)
		case e.around != owner:
			return c.Refuse("holes inside the outer ring", "a hole at %s lies outside its outer ring", at)
		}
	}
	return nil
}

// flatArea gives the area of a ring on a plane, without its sign.
func flatArea(r []flat.XY) float64 {
	var twice float64
	for i, p := range r {
		q := r[(i+1)%len(r)]
		twice += (p.X-r[0].X)*(q.Y-r[0].Y) - (q.X-r[0].X)*(p.Y-r[0].Y)
	}
	return math.Abs(twice) / 2
}
