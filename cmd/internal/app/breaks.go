package app

import (
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
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
