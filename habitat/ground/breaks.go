package ground

import (
	"slices"
	"sort"

	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/quantity"
)

// Break says how much break one shape needs in a set of shapes that burn
// together.
type Break struct {
	// Shape is an index into the survey's shapes.
	Shape int
	// Boundary is the length of all rings: an island of cover that must not
	// burn needs a break as well.
	Boundary quantity.Feet
	// Shared is the boundary toward shapes that burn together with this one.
	Shared quantity.Feet
	// Standing is the boundary, not counted in Shared, that runs along standing
	// breaks such as roads and water.
	Standing quantity.Feet
	// Needed is what remains: Boundary less Shared less Standing.
	Needed quantity.Feet
}

// Standing is a set of lines along which fire stops by itself, ready for
// questions: roads, streams, plowed ground.
type Standing struct{ tree *flat.Tree }

// NewStanding prepares lines for the survey. Shapes, such as ponds, count with
// their boundaries.
func (s *Survey) NewStanding(lines []Line, shapes ...Shape) *Standing {
	var paths [][]flat.XY
	for _, l := range lines {
		paths = append(paths, s.plane.ProjectRing(Ring(l)))
	}
	for _, shape := range shapes {
		for r := range shape.Rings {
			on := s.plane.ProjectRing(r)
			paths = append(paths, append(on, on[0]))
		}
	}
	t := flat.NewLineTree(paths...)
	if len(t.Edges) == 0 {
		return nil
	}
	return &Standing{t}
}

// Breaks gives the feet of break for shapes that burn together, one for each
// index of together that has a shape, in that order. standing may be nil.
//
// Two shapes side by side save the boundary between them on both sides: the
// saving of burning them together is the sum over single calls less that over
// one call.
func (s *Survey) Breaks(together []int, standing *Standing) []Break {
	in := make(map[int]bool, len(together))
	for _, i := range together {
		in[i] = true
	}
	var all []Break
	for _, i := range together {
		o := s.outlines[i]
		if o == nil {
			continue
		}
		shared := s.shared(i, in)
		saved := lengthOf(shared)
		either := saved
		if standing != nil {
			either = lengthOf(s.held(i, shared, standing))
		}
		boundary := o.boundary()
		all = append(all, Break{
			Shape:    i,
			Boundary: quantity.FeetFromMeters(boundary),
			Shared:   quantity.FeetFromMeters(saved),
			Standing: quantity.FeetFromMeters(max(0, either-saved)),
			Needed:   quantity.FeetFromMeters(max(0, boundary-max(saved, either))),
		})
	}
	return all
}

// shared gives the stretches of a shape's boundary toward those in a set.
func (s *Survey) shared(i int, in map[int]bool) []stretch {
	o := s.outlines[i]
	var shared []stretch
	for _, j := range s.near(i) {
		if in[j] {
			shared = append(shared, o.along(s.outlines[j].tree, s.tolerance, true)...)
		}
	}
	return o.joined(shared, s.tolerance)
}

// held adds the stretches along standing breaks.
func (s *Survey) held(i int, shared []stretch, standing *Standing) []stretch {
	o := s.outlines[i]
	return o.joined(append(slices.Clone(shared), o.along(standing.tree, s.tolerance, false)...), s.tolerance)
}

// ToMake gives the stretches of boundary along which break is to be made when
// shapes burn together: what Breaks counts as Needed, as lines for a map.
func (s *Survey) ToMake(together []int, standing *Standing) []Line {
	in := make(map[int]bool, len(together))
	for _, i := range together {
		in[i] = true
	}
	var lines []Line
	for _, i := range together {
		o := s.outlines[i]
		if o == nil {
			continue
		}
		held := s.shared(i, in)
		if standing != nil {
			held = s.held(i, held, standing)
		}
		r := int32(0)
		for ring := range s.shapes[i].Rings {
			for _, free := range o.rest(r, held) {
				lines = append(lines, o.cut(ring, free))
			}
			r++
		}
	}
	return lines
}

// rest gives the stretches of a ring that are not among the held ones, which are
// joined.
func (o *outline) rest(ring int32, held []stretch) []stretch {
	var on []stretch
	for _, h := range held {
		if h.ring == ring {
			on = append(on, h)
		}
	}
	length := o.length[ring]
	if len(on) == 0 {
		return []stretch{{ring, 0, length}}
	}
	var free []stretch
	for k, h := range on {
		until := on[0].from + length
		if k+1 < len(on) {
			until = on[k+1].from
		}
		if until > h.to {
			free = append(free, stretch{ring, h.to, until})
		}
	}
	return free
}

// cut gives the points of a ring from one position along it to another, which
// may lie beyond the ring's end.
func (o *outline) cut(ring Ring, part stretch) Line {
	first := o.tree.First[part.ring]
	length := o.length[part.ring]
	at := func(k int) float64 { // of point k, counted on beyond the ring's end
		return float64(k/len(ring))*length + o.from[int(first)+k%len(ring)]
	}
	between := func(k int, where float64) Point {
		a, b := ring[k%len(ring)], ring[(k+1)%len(ring)]
		share := 0.0
		if d := at(k+1) - at(k); d > 0 {
			share = (where - at(k)) / d
		}
		return Point{a.Lon + share*(b.Lon-a.Lon), a.Lat + share*(b.Lat-a.Lat)}
	}
	k := sort.Search(2*len(ring)-1, func(k int) bool { return at(k+1) > part.from })
	line := Line{between(k, part.from)}
	for k++; k < 2*len(ring) && at(k) < part.to; k++ {
		line = append(line, ring[k%len(ring)])
	}
	return append(line, between(k-1, part.to))
}
