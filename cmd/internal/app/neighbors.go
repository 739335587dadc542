package app

import (
	"context"
	"fmt"
	"math"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/store"
)

// BorderOptions say how boundaries are measured.
type BorderOptions struct {
	// Tolerance is how far two boundaries may lie apart and be one.
	Tolerance quantity.Feet
	// LongerThan leaves out pairs that share no more than this.
	LongerThan quantity.Feet
}

func (o *BorderOptions) validate() error {
	switch {
	case !(o.Tolerance >= 0 && o.Tolerance <= 1000):
		return badOption("tolerance", "0 to 1000 feet", "%v ft is not a tolerance", float64(o.Tolerance))
	case !(o.LongerThan >= 0 && o.LongerThan < 1e7):
		return badOption("longer-than", "feet of 0 or more", "%v ft is not a length", float64(o.LongerThan))
	}
	return nil
}

// PairRule says which pairs are made of the boundaries that units share.
type PairRule struct {
	BorderOptions
	// Apart makes all of them apart pairs, ApartWith those of these units.
	Apart     bool
	ApartWith []string
	// DryRun changes nothing.
	DryRun  bool
	Because string
}

// NoPair is the kind that takes a pair away.
const NoPair habitat.PairKind = "none"

// PairOptions say what two units are to each other.
type PairOptions struct {
	Units [2]string
	// As is habitat.Neighbors, habitat.Apart or NoPair.
	As        habitat.PairKind
	Tolerance quantity.Feet
	// DryRun changes nothing.
	DryRun  bool
	Because string
}

// SameUnitError is a pair of a unit with itself.
type SameUnitError struct{ Unit string }

// Error names the unit.
func (e *SameUnitError) Error() string { return e.Unit + " is paired with itself" }

// border is how the units with shapes lie to each other.
type border struct {
	units   []string
	pairs   []ground.Pair
	missing []string
}

// border measures the units that have a shape.
func (s *Session) border(ctx context.Context, tolerance quantity.Feet) (*border, error) {
	b := &border{}
	var measured []ground.Shape
	shapes := s.Current().Shapes
	for i := range s.Units {
		id := s.Units[i].ID
		if shape, ok := shapes[id]; ok {
			b.units, measured = append(b.units, id), append(measured, shape)
		} else {
			b.missing = append(b.missing, id)
		}
	}
	var err error
	b.pairs, err = ground.NewSurvey(measured, tolerance).Neighbors(ctx)
	return b, err
}

// shared gives the feet of boundary that two units share, 0 where there are none.
func (b *border) shared(one, two string) quantity.Feet {
	i, j := slices.Index(b.units, one), slices.Index(b.units, two)
	for _, p := range b.pairs {
		if p.A == min(i, j) && p.B == max(i, j) && !p.Corner {
			return wholeFeet(p.Shared)
		}
	}
	return 0
}

func wholeFeet(f quantity.Feet) quantity.Feet { return quantity.Feet(math.Round(float64(f))) }

// Borders says which units border which, and along how many feet.
func (s *Session) Borders(ctx context.Context, o BorderOptions) (*view.Borders, error) {
	if err := o.validate(); err != nil {
		return nil, err
	}
	b, err := s.border(ctx, o.Tolerance)
	if err != nil {
		return nil, err
	}
	return view.NewBorders(view.BordersInput{
		Property: s.Property.Name, Units: b.units, Missing: b.missing, Pairs: b.pairs, Kept: s.Pairs, Tolerance: o.Tolerance, LongerThan: o.LongerThan,
	}), nil
}

// KeepPairs makes the boundaries that units share pairs of the property. A pair that
// is there already keeps its kind, unless the rule says apart, and takes the
// measured feet.
func (s *Session) KeepPairs(ctx context.Context, o PairRule) (*view.PairChanges, error) {
	if err := o.validate(); err != nil {
		return nil, err
	}
	b, err := s.border(ctx, o.Tolerance)
	if err != nil {
		return nil, err
	}
	apart, err := s.UnitsNamed(o.ApartWith)
	if err != nil {
		return nil, err
	}
	v := &view.PairChanges{Changes: []view.PairChange{}}
	var pairs []habitat.Pair
	for _, p := range b.pairs {
		if p.Corner || p.Shared <= o.LongerThan {
			continue
		}
		pair := habitat.NewPair(b.units[p.A], b.units[p.B], habitat.Neighbors)
		pair.SharedFeet = wholeFeet(p.Shared)
		was := s.pairOf(pair.A, pair.B)
		if was != nil {
			pair.Kind = was.Kind
		}
		if o.Apart || slices.Contains(apart, pair.A) || slices.Contains(apart, pair.B) {
			pair.Kind = habitat.Apart
		}
		if was != nil && *was == pair {
			v.Same++
			continue
		}
		v.Changes, pairs = append(v.Changes, view.NewPairChange(was, &pair)), append(pairs, pair)
	}
	return v, s.changePairs(ctx, v, "keep the pairs that the shapes show", o.Because, o.DryRun, func(tx *store.Tx) error {
		for _, pair := range pairs {
			if err := tx.PutPair(pair); err != nil {
				return err
			}
		}
		return nil
	})
}

// Pair says what two units are to each other. The feet that they share are measured
// where both have a shape.
func (s *Session) Pair(ctx context.Context, o PairOptions) (*view.PairChanges, error) {
	border := BorderOptions{Tolerance: o.Tolerance}
	if err := border.validate(); err != nil {
		return nil, err
	}
	if o.As != habitat.Neighbors && o.As != habitat.Apart && o.As != NoPair {
		return nil, badOption("as", "neighbors, apart or none", "%q does not say what the two units are", o.As)
	}
	b, err := s.border(ctx, o.Tolerance)
	if err != nil {
		return nil, err
	}
	var found [2]string
	for i, name := range o.Units {
		unit, err := FindUnit(s.Snapshot, name)
		if err != nil {
			return nil, err
		}
		found[i] = unit.ID
	}
	if found[0] == found[1] {
		return nil, &SameUnitError{found[0]}
	}
	pair := habitat.NewPair(found[0], found[1], o.As)
	pair.SharedFeet = b.shared(found[0], found[1])
	was := s.pairOf(pair.A, pair.B)
	if was != nil && pair.SharedFeet == 0 {
		pair.SharedFeet = was.SharedFeet
	}
	v := &view.PairChanges{Changes: []view.PairChange{}}
	put := func(tx *store.Tx) error { return tx.PutPair(pair) }
	switch {
	case o.As == NoPair && was != nil:
		v.Changes = append(v.Changes, view.NewPairChange(was, nil))
		put = func(tx *store.Tx) error { return tx.RemovePair(pair.A, pair.B) }
	case o.As != NoPair && (was == nil || *was != pair):
		v.Changes = append(v.Changes, view.NewPairChange(was, &pair))
	}
	return v, s.changePairs(ctx, v, fmt.Sprintf("pair %s and %s as %s", pair.A, pair.B, o.As), o.Because, o.DryRun, put)
}

// changePairs carries the changes out, unless it is a dry run or there are none.
func (s *Session) changePairs(ctx context.Context, v *view.PairChanges, why, because string, dryRun bool, put func(*store.Tx) error) error {
	if len(v.Changes) == 0 || dryRun {
		return nil
	}
	v.Changed = true
	return s.update(ctx, reason(why, because), put)
}

// pairOf gives the pair that is kept of two units; nil where there is none.
func (s *Session) pairOf(a, b string) *habitat.Pair {
	for i := range s.Pairs {
		if p := &s.Pairs[i]; p.A == min(a, b) && p.B == max(a, b) {
			was := *p
			return &was
		}
	}
	return nil
}
