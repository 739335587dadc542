package app

import (
	"context"
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/store"
)

// FiringChange is what a caller says of how a unit is burned; nil leaves as it is
// what was kept.
type FiringChange struct {
	// Depth, Length, Width and Axis are those of one unit.
	Depth, Length, Width *quantity.Feet
	Axis                 *quantity.Bearing
	Rate                 *quantity.ChainsPerHour
	Spacing              *quantity.Chains
	Adjustment           *quantity.Share
	Within               *quantity.Feet
	// At most one of Hours and Lines is said.
	Hours, Lines *int
	Smoke        *bool
}

// Onto puts the change over what is kept. An OptionError says which number is out
// of range.
func (c *FiringChange) Onto(f habitat.Firing) (habitat.Firing, error) {
	var err error
	within := func(option string, v, most float64) {
		if err == nil && !(v > 0 && v <= most) {
			err = badOption(option, fmt.Sprintf("a number above 0, up to %s", view.Figure(most)), "%v is out of range", v)
		}
	}
	if c.Depth != nil {
		within("depth", float64(*c.Depth), 1e6)
		f.Depth = *c.Depth
	}
	if c.Length != nil {
		within("length", float64(*c.Length), 1e6)
		f.Length, f.Depth = *c.Length, 0
	}
	if c.Width != nil {
		within("width", float64(*c.Width), 1e6)
		f.Width = *c.Width
	}
	if c.Rate != nil {
		within("rate", float64(*c.Rate), 80)
		f.Rate = *c.Rate
	}
	if c.Spacing != nil {
		within("spacing", float64(*c.Spacing), 1000)
		f.Spacing = *c.Spacing
	}
	if c.Adjustment != nil {
		within("adjustment", float64(*c.Adjustment), 1)
		f.Adjustment = *c.Adjustment
	}
	if c.Within != nil {
		within("within", float64(*c.Within), 1e6)
		f.Within = *c.Within
	}
	if c.Axis != nil {
		if v := float64(*c.Axis); err == nil && !(v >= 0 && v <= 360) {
			err = badOption("axis", "0 to 360 degrees", "%v is not a bearing", v)
		}
		f.Axis = *c.Axis
	}
	if c.Hours != nil {
		if err == nil && (*c.Hours < 1 || *c.Hours > 24) {
			err = badOption("hours", "1 to 24", "%d hours in a row are in no day", *c.Hours)
		}
		f.Hours, f.Lines = *c.Hours, nil
	}
	if c.Lines != nil {
		if err == nil && (*c.Lines < 0 || *c.Lines > habitat.MaxLines) {
			err = badOption("lines", fmt.Sprintf("0 to %d", habitat.MaxLines), "%d is not a number of lines", *c.Lines)
		}
		f.Lines, f.Hours = c.Lines, 0
	}
	if c.Smoke != nil {
		f.Smoke = *c.Smoke
	}
	return f, err
}

// SaveFiring keeps how a unit is burned; an empty unit means every unit that says
// nothing itself. A firing that says nothing takes away what was kept.
func (s *Session) SaveFiring(ctx context.Context, unit string, f habitat.Firing) error {
	name := unit
	if unit == "" {
		name = "every unit"
	}
	return s.update(ctx, "say how "+name+" is burned", func(tx *store.Tx) error {
		if unit == "" {
			return tx.PutEveryFiring(f)
		}
		return tx.PutFiring(unit, f)
	})
}
