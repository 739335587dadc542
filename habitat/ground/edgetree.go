package ground

// edgeTree finds the edges of a set of rings that meet a box.
//
// Edges that follow each other along a ring lie near each other, so boxes
// around runs of consecutive edges, and around runs of those, make a good tree
// without sorting: one box for eight edges, 4 bytes of tree a vertex.
type edgeTree struct {
	edges []segment
	// ring numbers the ring of each edge; first holds, for each ring, the index
	// of its first edge, and one past the last edge at the end.
	ring  []int32
	first []int
	// levels[0] holds a box for each run of fanout edges, levels[k+1] one for
	// each run of fanout boxes of levels[k].
	levels [][]box
}

const (
	fanoutBits = 3
	fanout     = 1 << fanoutBits
)

// newEdgeTree takes rings that do not repeat their first point.
func newEdgeTree(rings ...[]xy) *edgeTree {
	n := 0
	for _, r := range rings {
		n += len(r)
	}
	t := &edgeTree{edges: make([]segment, 0, n), ring: make([]int32, 0, n), first: make([]int, 0, len(rings)+1)}
	for k, r := range rings {
		t.first = append(t.first, len(t.edges))
		for i, p := range r {
			next := i + 1
			if next == len(r) {
				next = 0
			}
			t.edges = append(t.edges, segment{p, r[next]})
			t.ring = append(t.ring, int32(k))
		}
	}
	t.first = append(t.first, len(t.edges))
	t.build()
	return t
}

// newLineTree takes open paths.
func newLineTree(lines ...[]xy) *edgeTree {
	t := &edgeTree{}
	for k, l := range lines {
		t.first = append(t.first, len(t.edges))
		for i := 1; i < len(l); i++ {
			t.edges = append(t.edges, segment{l[i-1], l[i]})
			t.ring = append(t.ring, int32(k))
		}
	}
	t.first = append(t.first, len(t.edges))
	t.build()
	return t
}

func (t *edgeTree) build() {
	level := make([]box, 0, len(t.edges)/fanout+1)
	for i := 0; i < len(t.edges); i += fanout {
		b := newBox()
		for _, e := range t.edges[i:min(i+fanout, len(t.edges))] {
			b.join(e.box())
		}
		level = append(level, b)
	}
	t.levels = append(t.levels, level)
	for len(level) > fanout {
		above := make([]box, 0, len(level)/fanout+1)
		for i := 0; i < len(level); i += fanout {
			b := newBox()
			for _, o := range level[i:min(i+fanout, len(level))] {
				b.join(o)
			}
			above = append(above, b)
		}
		t.levels = append(t.levels, above)
		level = above
	}
}

// box gives the box around all edges.
func (t *edgeTree) box() box {
	b := newBox()
	for _, o := range t.levels[len(t.levels)-1] {
		b.join(o)
	}
	return b
}

// search calls visit with each edge whose box meets b, in index order and none
// below from, until visit returns false. It reports whether it came to the end.
func (t *edgeTree) search(b box, from int, visit func(i int) bool) bool {
	top := len(t.levels) - 1
	for k := range t.levels[top] {
		if !t.searchBox(top, k, b, from, visit) {
			return false
		}
	}
	return true
}

func (t *edgeTree) searchBox(level, k int, b box, from int, visit func(i int) bool) bool {
	if (k+1)<<(fanoutBits*(level+1)) <= from || !t.levels[level][k].meets(b) {
		return true
	}
	if level == 0 {
		for i := max(from, k*fanout); i < min((k+1)*fanout, len(t.edges)); i++ {
			if t.edges[i].box().meets(b) && !visit(i) {
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

// side says where a point lies.
type side int

const (
	outside side = iota
	onEdge
	inside
)

// sideOf tells on which side of the rings p lies, counting crossings of all of
// them: inside a hole is outside.
func (t *edgeTree) sideOf(p xy) side {
	b := t.box()
	if !b.meets(box{p.x, p.y, p.x, p.y}) {
		return outside
	}
	found := outside
	t.search(box{p.x, p.y, b.maxX, p.y}, 0, func(i int) bool {
		e := t.edges[i]
		low, high := e.a, e.b
		if low.y > high.y {
			low, high = high, low
		}
		side := turn(low, high, p)
		if side == 0 && e.holds(p) {
			found = onEdge
			return false
		}
		if side > 0 && p.y >= low.y && p.y < high.y {
			found ^= inside
		}
		return true
	})
	return found
}
