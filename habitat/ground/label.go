package ground

import (
	"container/heap"
	"math"

	"emberquilt/habitat/quantity"
)

// Plane is a flat map of a property: places in feet east and north of its
// center. It is equal-area, and true to length and direction for some miles
// around.
type Plane struct{ flat *plane }

// NewPlane gives the plane that touches the ground at center.
func NewPlane(center Point) *Plane { return &Plane{newPlane(center)} }

// Feet gives the place of a point.
func (p *Plane) Feet(at Point) (east, north quantity.Feet) {
	on := p.flat.project(at)
	return quantity.FeetFromMeters(on.x), quantity.FeetFromMeters(on.y)
}

// Label is where a name goes on a map: the middle of the largest circle that
// fits into a shape.
type Label struct {
	At     Point
	Radius quantity.Feet
}

// Label finds the place for a name in the largest polygon of the shape, to a
// fiftieth of its size. ok is false for the empty shape.
//
// Source: the search by cells with a bound on what each may hold is that of
// V. Agafonkin, "A new algorithm for finding a visual center of a polygon"
// (2016).
func (s Shape) Label() (label Label, ok bool) {
	var best *Polygon
	var most float64
	for i := range s.Polygons {
		if area := s.Polygons[i].squareMeters(); best == nil || area > most {
			best, most = &s.Polygons[i], area
		}
	}
	if best == nil {
		return Label{}, false
	}
	one := Shape{[]Polygon{*best}}
	pl := newPlane(one.Center())
	o := newOutline(one, pl)
	at, radius := widest(o.tree, o.box)
	return Label{pl.unproject(at), quantity.FeetFromMeters(radius)}, true
}

// cell is a square of a search: its middle, half its side, the distance of the
// middle to the edge (negative outside), and what any point in it may reach.
type cell struct {
	middle                xy
	half, distance, reach float64
}

type cells []cell

func (c cells) Len() int           { return len(c) }
func (c cells) Less(i, j int) bool { return c[i].reach > c[j].reach }
func (c cells) Swap(i, j int)      { c[i], c[j] = c[j], c[i] }

// Push and Pop are for package heap.
func (c *cells) Push(x any) { *c = append(*c, x.(cell)) }

// Pop gives the last cell.
func (c *cells) Pop() any {
	old := *c
	last := old[len(old)-1]
	*c = old[:len(old)-1]
	return last
}

// mostCells ends the search in shapes that are all edge.
const mostCells = 5000

// widest finds the point inside the rings that is farthest from their edges.
func widest(t *edgeTree, b box) (at xy, radius float64) {
	measure := func(p xy, half float64) cell {
		d, _, _, _ := t.nearest(segment{p, p}, math.Inf(1))
		if t.sideOf(p) == outside {
			d = -d
		}
		return cell{p, half, d, d + half*math.Sqrt2}
	}
	width, height := b.maxX-b.minX, b.maxY-b.minY
	best := measure(xy{b.minX + width/2, b.minY + height/2}, 0)
	side := min(width, height)
	if !(side > 0) {
		return best.middle, 0
	}
	precision := math.Sqrt(width*height) / 50
	side = max(side, max(width, height)/64)
	var queue cells
	for x := b.minX; x < b.maxX; x += side {
		for y := b.minY; y < b.maxY; y += side {
			queue = append(queue, measure(xy{x + side/2, y + side/2}, side/2))
		}
	}
	heap.Init(&queue)
	for n := 0; len(queue) > 0 && n < mostCells; n++ {
		c := heap.Pop(&queue).(cell)
		// Of places that are as good, the middle of the box is wanted.
		if c.distance > best.distance+precision/2 {
			best = c
		}
		if c.reach-best.distance <= precision {
			break
		}
		h := c.half / 2
		for _, d := range []xy{{-h, -h}, {h, -h}, {-h, h}, {h, h}} {
			heap.Push(&queue, measure(xy{c.middle.x + d.x, c.middle.y + d.y}, h))
		}
	}
	return best.middle, max(0, best.distance)
}
