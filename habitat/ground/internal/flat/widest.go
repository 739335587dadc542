package flat

import (
	"container/heap"
	"math"
)

// cell is a square of a search: its middle, half its side, the distance of the
// middle to the edge (negative outside), and what any point in it may reach.
type cell struct {
	middle                XY
	half, distance, reach float64
}

type cells []cell

func (c cells) Len() int { return len(c) }

func (c cells) Less(i, j int) bool { return c[i].reach > c[j].reach }

func (c cells) Swap(i, j int) { c[i], c[j] = c[j], c[i] }

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

// Widest finds the point inside the rings that is farthest from their edges.
func Widest(t *Tree, b Box) (at XY, radius float64) {
	measure := func(p XY, half float64) cell {
		d, _, _, _ := t.Nearest(Segment{p, p}, math.Inf(1))
		if t.SideOf(p) == Outside {
			d = -d
		}
		return cell{p, half, d, d + half*math.Sqrt2}
	}
	width, height := b.MaxX-b.MinX, b.MaxY-b.MinY
	best := measure(XY{b.MinX + width/2, b.MinY + height/2}, 0)
	side := min(width, height)
	if !(side > 0) {
		return best.middle, 0
	}
	precision := math.Sqrt(width*height) / 50
	side = max(side, max(width, height)/64)
	var queue cells
	for x := b.MinX; x < b.MaxX; x += side {
		for y := b.MinY; y < b.MaxY; y += side {
			queue = append(queue, measure(XY{x + side/2, y + side/2}, side/2))
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
		for _, d := range []XY{{-h, -h}, {h, -h}, {-h, h}, {h, h}} {
			heap.Push(&queue, measure(XY{c.middle.X + d.X, c.middle.Y + d.Y}, h))
		}
	}
	return best.middle, max(0, best.distance)
}
