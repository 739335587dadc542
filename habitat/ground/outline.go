package ground

import (
	"math"
	"sort"
)

// outline is a shape on the plane of a survey: its edges in a tree, and for
// each edge where it begins along its ring, in true meters.
type outline struct {
	rings [][]xy
	tree  *edgeTree
	box   box
	// from holds where each edge begins, length the length of each ring.
	from   []float64
	length []float64
}

func newOutline(s Shape, pl *plane) *outline {
	o := &outline{}
	for r := range s.rings {
		o.rings = append(o.rings, pl.projectRing(r))
		var at float64
		first := r[0].vector()
		here := first
		for i := range r {
			o.from = append(o.from, at)
			next := first
			if i+1 < len(r) {
				next = r[i+1].vector()
			}
			at += longArc(r[i], r[(i+1)%len(r)], here, next)
			here = next
		}
		o.length = append(o.length, at)
	}
	o.tree = newEdgeTree(o.rings...)
	o.box = o.tree.box()
	return o
}

// longArc gives the length of an edge whose ends are known as vectors.
func longArc(a, b Point, va, vb vector) float64 {
	if chord := vb.minus(va).length(); chord <= 10_000 {
		return arc(chord)
	}
	return metersBetween(a, b)
}

// boundary gives the length of all rings in meters.
func (o *outline) boundary() (sum float64) {
	for _, l := range o.length {
		sum += l
	}
	return sum
}

// edgeLength gives the true length of edge i.
func (o *outline) edgeLength(i int) float64 {
	ring := o.tree.ring[i]
	if i+1 < o.tree.first[ring+1] {
		return o.from[i+1] - o.from[i]
	}
	return o.length[ring] - o.from[i]
}

// stretch is a part of a ring, from one position along it to another.
type stretch struct {
	ring     int32
	from, to float64
}

// steepest is the cosine of the largest angle, 45 degrees, between edges that
// are said to run along each other.
const steepest = math.Sqrt2 / 2

// along gives the stretches of o's boundary that run along edges of the tree
// within a distance. oneWay asks that the edges run the other way, as those of
// shapes side by side do.
//
// The part of an edge that counts is what lies abreast of the other edge, so
// that two shapes that only meet at a corner have nothing in common.
func (o *outline) along(other *edgeTree, distance float64, oneWay bool) []stretch {
	var found []stretch
	near := other.box().grown(distance)
	o.tree.search(near, 0, func(i int) bool {
		e := o.tree.edges[i]
		dx, dy := e.b.x-e.a.x, e.b.y-e.a.y
		size := math.Hypot(dx, dy)
		if size == 0 {
			return true
		}
		dx, dy = dx/size, dy/size
		stretchBy := o.edgeLength(i) / size
		other.search(e.box().grown(distance), 0, func(j int) bool {
			f := other.edges[j]
			fx, fy := f.b.x-f.a.x, f.b.y-f.a.y
			cos := (fx*dx + fy*dy) / math.Hypot(fx, fy)
			if oneWay {
				cos = -cos
			} else {
				cos = math.Abs(cos)
			}
			if !(cos >= steepest) {
				return true
			}
			if from, to, ok := abreast(e.a, dx, dy, size, f, distance); ok {
				found = append(found, stretch{o.tree.ring[i], o.from[i] + from*stretchBy, o.from[i] + to*stretchBy})
			}
			return true
		})
		return true
	})
	return o.joined(found, distance)
}

// abreast gives the part of an edge, by its start, direction and size, that lies
// beside f and within a distance of it.
func abreast(start xy, dx, dy, size float64, f segment, distance float64) (from, to float64, ok bool) {
	s0 := (f.a.x-start.x)*dx + (f.a.y-start.y)*dy
	s1 := (f.b.x-start.x)*dx + (f.b.y-start.y)*dy
	d0 := (f.a.y-start.y)*dx - (f.a.x-start.x)*dy
	d1 := (f.b.y-start.y)*dx - (f.b.x-start.x)*dy
	if s0 > s1 {
		s0, s1, d0, d1 = s1, s0, d1, d0
	}
	from, to = max(0, s0), min(size, s1)
	// The distance changes evenly from d0 at s0 to d1 at s1.
	if slope := (d1 - d0) / (s1 - s0); math.Abs(slope) > 1e-12 {
		near, far := s0+(-distance-d0)/slope, s0+(distance-d0)/slope
		from, to = max(from, min(near, far)), min(to, max(near, far))
	} else if math.Abs(d0) > distance {
		return 0, 0, false
	}
	return from, to, to > from
}

// joined sorts stretches and joins those that overlap or leave a gap of at most
// gap between them, also over the start of a ring. The result is in the order
// of rings; a stretch that runs over the start has a to above the ring's length.
// all is used up.
func (o *outline) joined(all []stretch, gap float64) []stretch {
	if len(all) == 0 {
		return nil
	}
	for i := range all {
		if length := o.length[all[i].ring]; all[i].to > length {
			all = append(all, stretch{all[i].ring, 0, min(all[i].to-length, length)})
			all[i].to = length
		}
	}
	sort.Slice(all, func(i, j int) bool {
		if all[i].ring != all[j].ring {
			return all[i].ring < all[j].ring
		}
		return all[i].from < all[j].from
	})
	out := all[:0:0]
	for i := 0; i < len(all); {
		k := i
		first := len(out)
		for ; k < len(all) && all[k].ring == all[i].ring; k++ {
			if last := len(out) - 1; last >= first && all[k].from <= out[last].to+gap {
				out[last].to = max(out[last].to, all[k].to)
			} else {
				out = append(out, all[k])
			}
		}
		length := o.length[all[i].ring]
		last := len(out) - 1
		switch over := out[first].from + length; {
		case last == first && over <= out[first].to+gap:
			out[first].from, out[first].to = 0, length
		case last > first && over <= out[last].to+gap:
			out[last].to = max(out[last].to, out[first].to+length)
			out = append(out[:first], out[first+1:]...)
		}
		i = k
	}
	return out
}

// lengthOf sums stretches that are joined.
func lengthOf(all []stretch) (sum float64) {
	for _, s := range all {
		sum += s.to - s.from
	}
	return sum
}

// closest gives the least distance between edges of two trees, and the places
// on both. Anything at or above limit is not looked for: found is false then.
func closest(a, b *edgeTree, limit float64) (distance float64, onA, onB xy, found bool) {
	distance = limit
	for _, e := range b.edges {
		if d, p, q, ok := a.nearest(e, distance); ok {
			distance, onA, onB, found = d, p, q, true
			if d == 0 {
				return
			}
		}
	}
	return
}

// nearest gives the place on the tree's edges that is nearest to e, if it is
// below limit.
func (t *edgeTree) nearest(e segment, limit float64) (distance float64, on, onE xy, found bool) {
	distance = limit
	b := e.box()
	var visit func(level, k int)
	visit = func(level, k int) {
		if t.levels[level][k].distance(b) >= distance {
			return
		}
		if level > 0 {
			for j := k * fanout; j < min((k+1)*fanout, len(t.levels[level-1])); j++ {
				visit(level-1, j)
			}
			return
		}
		for _, f := range t.edges[k*fanout : min((k+1)*fanout, len(t.edges))] {
			if d, p, q := f.distanceTo(e); d < distance {
				distance, on, onE, found = d, p, q, true
			}
		}
	}
	for k := range t.levels[len(t.levels)-1] {
		visit(len(t.levels)-1, k)
	}
	return
}

// distance gives the least distance between two boxes.
func (b box) distance(o box) float64 {
	dx := max(0, b.minX-o.maxX, o.minX-b.maxX)
	dy := max(0, b.minY-o.maxY, o.minY-b.maxY)
	return math.Hypot(dx, dy)
}

// distanceTo gives the least distance between two segments and the places.
func (s segment) distanceTo(o segment) (distance float64, onS, onO xy) {
	switch { // neighbors mostly share points
	case s.a == o.a || s.a == o.b:
		return 0, s.a, s.a
	case s.b == o.a || s.b == o.b:
		return 0, s.b, s.b
	}
	if how, at, on, back := s.meets(o); how == crossing {
		return 0, at, at
	} else if how == touching {
		p := append(on, back...)[0]
		return 0, p, p
	}
	distance = math.Inf(1)
	try := func(p, q xy, swap bool) {
		if d := math.Hypot(p.x-q.x, p.y-q.y); d < distance {
			distance, onS, onO = d, p, q
			if swap {
				onS, onO = q, p
			}
		}
	}
	try(s.foot(o.a), o.a, false)
	try(s.foot(o.b), o.b, false)
	try(o.foot(s.a), s.a, true)
	try(o.foot(s.b), s.b, true)
	return distance, onS, onO
}

// foot gives the place on the segment that is nearest to p.
func (s segment) foot(p xy) xy {
	dx, dy := s.b.x-s.a.x, s.b.y-s.a.y
	square := dx*dx + dy*dy
	if square == 0 {
		return s.a
	}
	t := ((p.x-s.a.x)*dx + (p.y-s.a.y)*dy) / square
	switch {
	case t <= 0:
		return s.a
	case t >= 1:
		return s.b
	}
	return xy{s.a.x + t*dx, s.a.y + t*dy}
}
