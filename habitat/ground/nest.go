package ground

import "emberquilt/habitat/source"

// nest sorts rings of which nobody says what they are into polygons: a ring
// inside an odd number of others is a hole of the smallest of them.
func (c *cleaner) nest(rings [][]Point) ([][][]Point, *source.Error) {
	if len(rings) == 1 {
		return [][][]Point{rings}, nil
	}
	type entry struct {
		ring  []Point
		on    []xy
		tree  *edgeTree
		box   box
		area  float64
		depth int
		owner int
	}
	all := make([]entry, 0, len(rings))
	for _, r := range rings {
		for _, p := range r {
			if err := c.checkRange(p); err != nil {
				return nil, err
			}
		}
		if len(r) < 3 {
			all = append(all, entry{ring: r, owner: -1})
			continue
		}
		on := unwrapped(r)
		t := newEdgeTree(on)
		area := signedDegrees(r)
		all = append(all, entry{r, on, t, t.box(), max(area, -area), 0, -1})
	}
	for i := range all {
		e := &all[i]
		if e.tree == nil {
			continue
		}
		for j := range all {
			o := &all[j]
			if i == j || o.tree == nil || o.area <= e.area || !o.box.meets(e.box) || ringIn(e.on, o.tree) != inside {
				continue
			}
			e.depth++
			if e.owner < 0 || o.area < all[e.owner].area {
				e.owner = j
			}
		}
	}
	var out [][][]Point
	home := make(map[int]int)
	for i, e := range all {
		if e.depth%2 == 0 {
			home[i] = len(out)
			out = append(out, [][]Point{e.ring})
		}
	}
	for _, e := range all {
		if e.depth%2 == 1 {
			k := home[e.owner]
			out[k] = append(out[k], e.ring)
		}
	}
	return out, nil
}
