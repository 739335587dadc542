package ground

import (
	"math"

	"github.com/peterstace/simplefeatures/rtree"

	"emberquilt/habitat/source"
)

// soup is a ring of which nobody has said what it is.
type soup struct {
	ring  []Point
	on    []xy
	tree  *edgeTree // nil for rings of less than three points
	box   rtree.Box
	area  float64
	depth int
	owner int
}

// nest sorts rings of which nobody says what they are into polygons: a ring
// inside an odd number of others is a hole of the smallest of them.
func (c *cleaner) nest(rings [][]Point) ([][][]Point, *source.Error) {
	if len(rings) == 1 {
		return [][][]Point{rings}, nil
	}
	all := make([]soup, len(rings))
	var items []rtree.BulkItem
	for i, r := range rings {
		for _, p := range r {
			if err := c.checkRange(p); err != nil {
				return nil, err
			}
		}
		all[i] = soup{ring: r, owner: -1}
		if len(r) < 3 {
			continue
		}
		e := &all[i]
		e.on = unwrapped(r)
		e.tree = newEdgeTree(e.on)
		b := e.tree.box()
		e.box = rtree.Box{MinX: b.minX, MinY: b.minY, MaxX: b.maxX, MaxY: b.maxY}
		e.area = math.Abs(signedDegrees(r))
		items = append(items, rtree.BulkItem{Box: e.box, RecordID: i})
	}
	index := rtree.BulkLoad(items)
	for i := range all {
		e := &all[i]
		if e.tree == nil {
			continue
		}
		_ = index.RangeSearch(e.box, func(j int) error {
			o := &all[j]
			if i != j && o.area > e.area && contains(o.box, e.box) && ringIn(e.on, o.tree) == inside {
				e.depth++
				if e.owner < 0 || o.area < all[e.owner].area || (o.area == all[e.owner].area && j < e.owner) {
					e.owner = j
				}
			}
			return nil
		})
	}
	return gather(all), nil
}

// gather puts each hole to its owner, in the order of the file.
func gather(all []soup) [][][]Point {
	var out [][][]Point
	home := make(map[int]int)
	for i, e := range all {
		if e.depth%2 == 0 {
			home[i] = len(out)
			out = append(out, [][]Point{e.ring})
		}
	}
	for _, e := range all {
		if e.depth%2 == 0 {
			continue
		}
		if k, ok := home[e.owner]; ok {
			out[k] = append(out[k], e.ring)
		} else { // rings that cross; cleaning finds them
			out = append(out, [][]Point{e.ring})
		}
	}
	return out
}
