package ground

import (
	"math"
	"sort"

	"emberquilt/habitat/ground/internal/flat"
)

// outline is a shape on the plane of a survey: its edges in a tree, and for
// each edge where it begins along its ring, in true meters.
type outline struct {
	rings [][]flat.XY
	tree  *flat.Tree
	box   flat.Box
	// from holds where each edge begins, length the length of each ring.
	from   []float64
	length []float64
}

func newOutline(s Shape, pl *Plane) *outline {
	o := &outline{}
	for r := range s.Rings {
		o.rings = append(o.rings, pl.ProjectRing(r))
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
	o.tree = flat.NewTree(o.rings...)
	o.box = o.tree.Box()
	return o
}

// longArc gives the length of an edge whose ends are known as vectors.
func longArc(a, b Point, va, vb vector) float64 {
	if chord := vb.minus(va).length(); chord <= 10_000 {
		return arc(chord)
	}
	return MetersBetween(a, b)
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
	ring := o.tree.Ring[i]
	if i+1 < o.tree.First[ring+1] {
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
func (o *outline) along(other *flat.Tree, distance float64, oneWay bool) []stretch {
	var found []stretch
	near := other.Box().Grown(distance)
	o.tree.Search(near, 0, func(i int) bool {
		e := o.tree.Edges[i]
		dx, dy := e.B.X-e.A.X, e.B.Y-e.A.Y
		size := math.Hypot(dx, dy)
		if size == 0 {
			return true
		}
		dx, dy = dx/size, dy/size
		stretchBy := o.edgeLength(i) / size
		other.Search(e.Box().Grown(distance), 0, func(j int) bool {
			f := other.Edges[j]
			fx, fy := f.B.X-f.A.X, f.B.Y-f.A.Y
			cos := (fx*dx + fy*dy) / math.Hypot(fx, fy)
			if oneWay {
				cos = -cos
			} else {
				cos = math.Abs(cos)
			}
			if !(cos >= steepest) {
				return true
			}
			if from, to, ok := abreast(e.A, dx, dy, size, f, distance); ok {
				found = append(found, stretch{o.tree.Ring[i], o.from[i] + from*stretchBy, o.from[i] + to*stretchBy})
			}
			return true
		})
		return true
	})
	return o.joined(found, distance)
}

// abreast gives the part of an edge, by its start, direction and size, that lies
// beside f and within a distance of it.
func abreast(start flat.XY, dx, dy, size float64, f flat.Segment, distance float64) (from, to float64, ok bool) {
	s0 := (f.A.X-start.X)*dx + (f.A.Y-start.Y)*dy
	s1 := (f.B.X-start.X)*dx + (f.B.Y-start.Y)*dy
	d0 := (f.A.Y-start.Y)*dx - (f.A.X-start.X)*dy
	d1 := (f.B.Y-start.Y)*dx - (f.B.X-start.X)*dy
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
