package flat

// Tree finds the edges of a set of rings that meet a box.
//
// Edges that follow each other along a ring lie near each other, so boxes
// around runs of consecutive edges, and around runs of those, make a good tree
// without sorting: one box for eight edges, 4 bytes of tree a vertex.
type Tree struct {
	// Edges are those of all rings, in their order.
	Edges []Segment
	// Ring numbers the ring of each edge; First holds, for each ring, the index
	// of its first edge, and one past the last edge at the end.
	Ring  []int32
	First []int
	// levels[0] holds a box for each run of fanout edges, levels[k+1] one for
	// each run of fanout boxes of levels[k].
	levels [][]Box
}

const (
	fanoutBits = 3
	fanout     = 1 << fanoutBits
)

// NewTree takes rings that do not repeat their first point.
func NewTree(rings ...[]XY) *Tree {
	n := 0
	for _, r := range rings {
		n += len(r)
	}
	t := &Tree{Edges: make([]Segment, 0, n), Ring: make([]int32, 0, n), First: make([]int, 0, len(rings)+1)}
	for k, r := range rings {
		t.First = append(t.First, len(t.Edges))
		for i, p := range r {
			next := i + 1
			if next == len(r) {
				next = 0
			}
			t.Edges = append(t.Edges, Segment{p, r[next]})
			t.Ring = append(t.Ring, int32(k))
		}
	}
	t.First = append(t.First, len(t.Edges))
	t.build()
	return t
}

// NewLineTree takes open paths.
func NewLineTree(lines ...[]XY) *Tree {
	t := &Tree{}
	for k, l := range lines {
		t.First = append(t.First, len(t.Edges))
		for i := 1; i < len(l); i++ {
			t.Edges = append(t.Edges, Segment{l[i-1], l[i]})
			t.Ring = append(t.Ring, int32(k))
		}
	}
	t.First = append(t.First, len(t.Edges))
	t.build()
	return t
}

func (t *Tree) build() {
	level := make([]Box, 0, len(t.Edges)/fanout+1)
	for i := 0; i < len(t.Edges); i += fanout {
		b := NewBox()
		for _, e := range t.Edges[i:min(i+fanout, len(t.Edges))] {
			b.Join(e.Box())
		}
		level = append(level, b)
	}
	t.levels = append(t.levels, level)
	for len(level) > fanout {
		above := make([]Box, 0, len(level)/fanout+1)
		for i := 0; i < len(level); i += fanout {
			b := NewBox()
			for _, o := range level[i:min(i+fanout, len(level))] {
				b.Join(o)
			}
			above = append(above, b)
		}
		t.levels = append(t.levels, above)
		level = above
	}
}

// Box gives the box around all edges.
func (t *Tree) Box() Box {
	b := NewBox()
	for _, o := range t.levels[len(t.levels)-1] {
		b.Join(o)
	}
	return b
}

// Search calls visit with each edge whose box meets b, in index order and none
// below from, until visit returns false. It reports whether it came to the end.
func (t *Tree) Search(b Box, from int, visit func(i int) bool) bool {
	top := len(t.levels) - 1
	for k := range t.levels[top] {
		if !t.searchBox(top, k, b, from, visit) {
			return false
		}
	}
	return true
}

func (t *Tree) searchBox(level, k int, b Box, from int, visit func(i int) bool) bool {
	if (k+1)<<(fanoutBits*(level+1)) <= from || !t.levels[level][k].Meets(b) {
		return true
	}
	if level == 0 {
		for i := max(from, k*fanout); i < min((k+1)*fanout, len(t.Edges)); i++ {
			if t.Edges[i].Box().Meets(b) && !visit(i) {
				return false
			}
		}
		return true
	}
	below := t.levels[level-1]
	for j := k * fanout; j < min((k+1)*fanout, len(below)); j++ {
		if !t.searchBox(level-1, j, b, from, visit) {
			return false
		}
	}
	return true
}

// Side says where a point lies.
type Side int

// The sides of a set of rings.
const (
	Outside Side = iota
	OnEdge
	Inside
)

// SideOf tells on which side of the rings p lies, counting crossings of all of
// them: inside a hole is outside.
func (t *Tree) SideOf(p XY) Side {
	b := t.Box()
	if !b.Meets(Box{p.X, p.Y, p.X, p.Y}) {
		return Outside
	}
	found := Outside
	t.Search(Box{p.X, p.Y, b.MaxX, p.Y}, 0, func(i int) bool {
		e := t.Edges[i]
		low, high := e.A, e.B
		if low.Y > high.Y {
			low, high = high, low
		}
		side := Turn(low, high, p)
		if side == 0 && e.Holds(p) {
			found = OnEdge
			return false
		}
		if side > 0 && p.Y >= low.Y && p.Y < high.Y {
			found ^= Inside
		}
		return true
	})
	return found
}
