package ground

import (
	"context"
	"sort"

	"github.com/peterstace/simplefeatures/rtree"

	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/quantity"
)

// DefaultTolerance is how far the boundaries of two units may lie apart and
// still be one boundary: a break or a lane of 12 to 20 ft (Western Farm
// Press, Fire key to wildlife management) fits between, and so does a slip in
// drawing.
const DefaultTolerance quantity.Feet = 30

// Survey holds the shapes of a property ready for questions about how they lie
// to each other. It is read-only once made.
type Survey struct {
	shapes    []Shape
	plane     *Plane
	outlines  []*outline // nil for empty shapes
	index     *rtree.RTree
	tolerance float64 // meters
}

// NewSurvey prepares shapes. Boundaries within the tolerance of each other are
// taken as one boundary; 0 asks for boundaries that lie on each other.
func NewSurvey(shapes []Shape, tolerance quantity.Feet) *Survey {
	// Below a millimeter rounding decides.
	s := &Survey{shapes: shapes, plane: NewPlane(Center(shapes...)), tolerance: max(0.001, tolerance.Meters())}
	s.outlines = make([]*outline, len(shapes))
	var items []rtree.BulkItem
	for i, shape := range shapes {
		if shape.IsEmpty() {
			continue
		}
		s.outlines[i] = newOutline(shape, s.plane)
		items = append(items, rtree.BulkItem{Box: flat.TreeBox(s.outlines[i].box), RecordID: i})
	}
	s.index = rtree.BulkLoad(items)
	return s
}

// near gives the indices of shapes whose boxes come within the tolerance of
// that of shape i, ascending, without i.
func (s *Survey) near(i int) []int {
	var found []int
	_ = s.index.RangeSearch(flat.TreeBox(s.outlines[i].box.Grown(s.tolerance)), func(j int) error {
		if j != i {
			found = append(found, j)
		}
		return nil
	})
	sort.Ints(found)
	return found
}

// Pair says how two shapes lie to each other; A < B are indices.
type Pair struct {
	A, B int
	// Shared is the length of boundary that they have in common: the mean of
	// what each of them has along the other.
	Shared quantity.Feet
	// Corner means that they meet at a point, or along no more than the
	// tolerance.
	Corner bool
	// Gap is the least distance between the boundaries; 0 also where one lies
	// inside the other.
	Gap quantity.Feet
	// Overlap is the ground that both claim; below SmallOverlap it is what is
	// left of drawing one boundary twice.
	Overlap quantity.Acres
	// Unmeasured means that the boundaries were too wild for the overlap to be
	// measured, and Overlap is 0 for that reason.
	Unmeasured bool
}

// SmallOverlap is the ground, 44 sq ft, that two drawings of one boundary may
// both claim without a word about it.
const SmallOverlap quantity.Acres = 0.001

// Neighbors gives the pairs of shapes whose boundaries come within the
// tolerance of each other, or that overlap, in order of their indices. On
// cancellation it gives the pairs so far and the context's error.
func Neighbors(ctx context.Context, shapes []Shape, tolerance quantity.Feet) ([]Pair, error) {
	return NewSurvey(shapes, tolerance).Neighbors(ctx)
}

// Neighbors gives the pairs of the survey; see the function of that name.
func (s *Survey) Neighbors(ctx context.Context) ([]Pair, error) {
	var pairs []Pair
	for i, o := range s.outlines {
		if i%64 == 0 && ctx.Err() != nil {
			return pairs, ctx.Err()
		}
		if o == nil {
			continue
		}
		for _, j := range s.near(i) {
			if j > i {
				if p, ok := s.pair(i, j); ok {
					pairs = append(pairs, p)
				}
			}
		}
	}
	return pairs, nil
}

func (s *Survey) pair(i, j int) (Pair, bool) {
	a, b := s.outlines[i], s.outlines[j]
	distance, _, _, close := flat.Closest(a.tree, b.tree, s.tolerance*(1+1e-9))
	squareMeters, measured := overlapOf(a, b)
	overlap := quantity.AcresFromSquareMeters(squareMeters)
	if !close && overlap == 0 && measured {
		return Pair{}, false
	}
	p := Pair{A: i, B: j, Overlap: overlap, Unmeasured: !measured}
	if close {
		p.Gap = quantity.FeetFromMeters(distance)
		onA := lengthOf(a.along(b.tree, s.tolerance, true))
		onB := lengthOf(b.along(a.tree, s.tolerance, true))
		p.Shared = quantity.FeetFromMeters((onA + onB) / 2)
	}
	p.Corner = p.Shared.Meters() <= s.tolerance
	return p, true
}

// overlapOf gives the square meters that two outlines have in common; ok is
// false when they are too wild to be measured.
func overlapOf(a, b *outline) (squareMeters float64, ok bool) {
	if !a.box.Meets(b.box) {
		return 0, true
	}
	low, high := max(a.box.MinY, b.box.MinY), min(a.box.MaxY, b.box.MaxY)
	got, ok := flat.SweepAreas(a.rings, b.rings, low, high)
	// What is left of rounding on a shared boundary.
	const noise = 1e-6
	if !ok || got.Both < noise {
		return 0, ok
	}
	return got.Both, true
}
