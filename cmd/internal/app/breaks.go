package app

import (
	"context"
	"fmt"
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/store"
)

// Breaks measures the breaks of the property's units and of a plan's years.
func (s *Session) Breaks(years []view.YearBurns, tolerance quantity.Feet) *view.Breaks {
	current := s.Current()
	return view.NewBreaks(view.BreaksInput{Units: s.Units, Shapes: current.Shapes, Standing: s.Standing, Years: years, Tolerance: tolerance})
}

// breakFeet gives the feet of break that each unit with a shape needs when it
// burns alone, where the property counts what they cost.
func (s *Session) breakFeet() map[string]quantity.Feet {
	if s.Property.BreakDollars == 0 {
		return nil
	}
	feet := map[string]quantity.Feet{}
	if b := s.Breaks(nil, ground.DefaultTolerance); b != nil {
		for _, u := range b.Units {
			feet[u.Unit] = u.Needed
		}
	}
	return feet
}

// YearBurns gives the burns of each year that a plan shows.
func (s *StoredPlan) YearBurns() []view.YearBurns {
	years := make([]view.YearBurns, s.Years)
	for t := range years {
		years[t].Year = s.FirstYear + date.ProgramYear(t)
	}
	for _, burn := range s.Burns() {
		years[burn.Year-s.FirstYear].Units = append(years[burn.Year-s.FirstYear].Units, burn.Unit)
	}
	return years
}

// BreaksOf says for which units feet of break are asked.
type BreaksOf int

// Years of the plan by default, or units alone where there is no plan.
const (
	BreaksOfYears BreaksOf = iota
	BreaksOfEach
	BreaksOfUnits
	BreaksOfYear
	BreaksOfPairs
)

// BreakOptions ask for feet of break.
type BreakOptions struct {
	Of BreaksOf
	// Units are those of BreaksOfUnits, Year is that of BreaksOfYear.
	Units []string
	Year  date.ProgramYear
	// Plan is its number; 0 is the newest.
	Plan int
	// Tolerance is how far two boundaries may lie apart and be one.
	Tolerance quantity.Feet
	// Widths are shown in acres, in place of the planning widths, which take the
	// height of the fuel.
	Widths     []quantity.Feet
	FuelHeight quantity.Feet
	// DollarsPerFoot is shown as information; 0 leaves it out.
	DollarsPerFoot float64
}

func (o *BreakOptions) validate() error {
	switch {
	case !(o.Tolerance > 0 && o.Tolerance <= 1000):
		return badOption("tolerance", "a number of feet above 0, up to 1000", "%v ft is not a tolerance", float64(o.Tolerance))
	case !(o.FuelHeight >= 0 && o.FuelHeight <= 100):
		return badOption("fuel-height", "0 to 100 feet", "%v ft is not a height of fuel", float64(o.FuelHeight))
	case !(o.DollarsPerFoot >= 0 && o.DollarsPerFoot < 1e6):
		return badOption("dollars", "dollars of 0 or more", "%v is not a price", o.DollarsPerFoot)
	}
	for _, w := range o.Widths {
		if !(w > 0 && w <= 1000) {
			return badOption("width", "feet above 0, up to 1000", "%v ft is not a width", float64(w))
		}
	}
	return nil
}

// BreakReport counts the feet of break of what is asked for.
func (s *Session) BreakReport(ctx context.Context, o BreakOptions) (*view.BreakReport, error) {
	if err := o.validate(); err != nil {
		return nil, err
	}
	var years []view.YearBurns
	if s.Adopted() > 0 || o.Plan != 0 || o.Of == BreaksOfYear {
		plan, err := s.Plan(ctx, o.Plan)
		if err != nil {
			return nil, err
		}
		years = plan.YearBurns()
	}
	b := s.Breaks(years, o.Tolerance)
	if b == nil {
		return nil, &NoShapesError{s.Property.Name}
	}
	v := &view.BreakReport{Widths: view.StatedWidths(o.Widths), DollarsPerFoot: o.DollarsPerFoot, Standing: b.Standing, Missing: b.Missing}
	if len(o.Widths) == 0 {
		v.Widths = view.BreakWidths(o.FuelHeight)
	}
	switch {
	case o.Of == BreaksOfUnits:
		units, err := s.UnitsNamed(o.Units)
		if err != nil {
			return nil, err
		}
		set := b.Together(units)
		v.Set = &set
	case o.Of == BreaksOfYear:
		at := slices.IndexFunc(b.Years, func(y view.YearBreak) bool { return y.Year == o.Year })
		if at < 0 {
			return nil, badOption("year", fmt.Sprintf("%d to %d", years[0].Year, years[len(years)-1].Year), "%d is not a year of the plan", o.Year)
		}
		v.Set = &b.Years[at]
	case o.Of == BreaksOfPairs:
		pairs, err := b.Survey().Neighbors(ctx)
		if err != nil {
			return nil, err
		}
		v.Savings, v.HasSavings = b.Savings(pairs), true
	case o.Of == BreaksOfEach || len(years) == 0:
		v.Alone = b.Units
	default:
		v.Years = b.Years
	}
	return v, nil
}

// StandingBreaks lists the breaks that are there, with their length.
func (s *Session) StandingBreaks() []view.StandingBreak {
	all := make([]view.StandingBreak, len(s.Standing))
	for i := range s.Standing {
		b := &s.Standing[i]
		all[i] = view.StandingBreak{Name: b.Name, Kind: b.Kind, Length: b.Shape.Perimeter()}
		for _, line := range b.Lines {
			all[i].Length += line.Length()
		}
	}
	return all
}

// RemoveStanding takes a standing break away.
func (s *Session) RemoveStanding(ctx context.Context, name, because string) error {
	return s.update(ctx, reason("remove the standing break "+name, because), func(tx *store.Tx) error { return tx.RemoveStanding(name) })
}
