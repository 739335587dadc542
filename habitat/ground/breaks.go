package ground

import "emberquilt/habitat/quantity"

// Break says how much break one shape needs in a set of shapes that burn
// together.
type Break struct {
	// Shape is an index into the survey's shapes.
	Shape int
	// Boundary is the length of all rings: an island of cover that must not
	// burn needs a break as well.
	Boundary quantity.Feet
	// Shared is the boundary towards shapes that burn together with this one.
	Shared quantity.Feet
	// Standing is the boundary, not counted in Shared, that runs along standing
	// breaks such as roads and water.
	Standing quantity.Feet
	// Needed is what remains: Boundary less Shared less Standing.
	Needed quantity.Feet
}

// Standing is a set of lines along which fire stops by itself, ready for
// questions: roads, streams, ploughed ground.
type Standing struct{ tree *edgeTree }

// NewStanding prepares lines for the survey. Shapes, such as ponds, count with
// their boundaries.
func (s *Survey) NewStanding(lines []Line, shapes ...Shape) *Standing {
	var paths [][]xy
	for _, l := range lines {
		paths = append(paths, s.plane.projectRing(Ring(l)))
	}
	for _, shape := range shapes {
		for r := range shape.rings {
			on := s.plane.projectRing(r)
			paths = append(paths, append(on, on[0]))
		}
	}
	t := newLineTree(paths...)
	if len(t.edges) == 0 {
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
		var shared []stretch
		for _, j := range s.near(i) {
			if in[j] {
				shared = append(shared, o.along(s.outlines[j].tree, s.tolerance, true)...)
			}
		}
		shared = o.joined(shared, s.tolerance)
		saved := lengthOf(shared)
		either := saved
		if standing != nil {
			both := append(shared, o.along(standing.tree, s.tolerance, false)...)
			either = lengthOf(o.joined(both, s.tolerance))
		}
		boundary := o.boundary()
		all = append(all, Break{
			Shape:    i,
			Boundary: quantity.FeetFromMetres(boundary),
			Shared:   quantity.FeetFromMetres(saved),
			Standing: quantity.FeetFromMetres(max(0, either-saved)),
			Needed:   quantity.FeetFromMetres(max(0, boundary-max(saved, either))),
		})
	}
	return all
}

// Needed sums what remains to be made.
func Needed(breaks []Break) (sum quantity.Feet) {
	for _, b := range breaks {
		sum += b.Needed
	}
	return sum
}
