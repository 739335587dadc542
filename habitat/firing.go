package habitat

import (
	"errors"
	"fmt"
	"math"

	"emberquilt/habitat/quantity"
)

// MaxLines is the largest number of interior lines that a firing may have.
const MaxLines = 200

// Firing is what the manager says of how a unit is burned; nil or 0 says
// nothing.
//
// The JSON keys are those of property files: they do not change.
type Firing struct {
	// Hours in a row and interior Lines follow from one another: at most one of
	// them is said. Lines points at 0 where the unit is backed through whole.
	Hours int  `json:"hours,omitempty"`
	Lines *int `json:"interior_lines,omitempty"`
	// Spacing is the most from one interior line to the next.
	Spacing quantity.Chains        `json:"line_spacing_chains,omitempty"`
	Rate    quantity.ChainsPerHour `json:"backing_chains_per_hour,omitempty"`
	// Adjustment is the eye-level wind as a share of the 20-foot wind.
	Adjustment quantity.Share `json:"wind_adjustment,omitempty"`
	// Within is how far a place is sensitive to smoke; Smoke keeps winds in that
	// carry smoke to one.
	Within quantity.Feet `json:"smoke_within_ft,omitempty"`
	Smoke  bool          `json:"smoke_allowed,omitempty"`
	// Depth is the same along every wind. Length, Width and Axis, in degrees from
	// north, are those of a rectangle. Either holds in place of a shape.
	Depth  quantity.Feet    `json:"depth_ft,omitempty"`
	Length quantity.Feet    `json:"length_ft,omitempty"`
	Width  quantity.Feet    `json:"width_ft,omitempty"`
	Axis   quantity.Bearing `json:"axis_deg,omitempty"`
}

// IsEmpty reports whether the firing says nothing.
func (f *Firing) IsEmpty() bool { return *f == Firing{} }

// Unsized leaves away what a unit of another size has otherwise: depth, length, width
// and axis, lines and hours.
func (f Firing) Unsized() Firing {
	f.Depth, f.Length, f.Width, f.Axis, f.Lines, f.Hours = 0, 0, 0, 0, nil, 0
	return f
}

// Over puts what the unit says over what holds for every unit. Depth, length,
// width and axis are those of one unit.
func (f Firing) Over(every Firing) Firing {
	if f.Hours == 0 && f.Lines == nil {
		f.Hours, f.Lines = every.Hours, every.Lines
	}
	if f.Spacing == 0 {
		f.Spacing = every.Spacing
	}
	if f.Rate == 0 {
		f.Rate = every.Rate
	}
	if f.Adjustment == 0 {
		f.Adjustment = every.Adjustment
	}
	if f.Within == 0 {
		f.Within = every.Within
	}
	f.Smoke = f.Smoke || every.Smoke
	return f
}

// Validate checks that every number is in range and that what is said goes
// together. The error joins one *FieldError for each fault.
func (f *Firing) Validate() error {
	var all []error
	add := func(field, accepts, format string, args ...any) {
		all = append(all, fieldErrorf(field, accepts, format, args...))
	}
	for _, of := range []struct {
		field string
		value float64
		most  float64
	}{
		{"depth_ft", float64(f.Depth), 1e6}, {"length_ft", float64(f.Length), 1e6}, {"width_ft", float64(f.Width), 1e6},
		{"backing_chains_per_hour", float64(f.Rate), 80}, {"line_spacing_chains", float64(f.Spacing), 1000},
		{"wind_adjustment", float64(f.Adjustment), 1}, {"smoke_within_ft", float64(f.Within), 1e6},
	} {
		if !(of.value >= 0 && of.value <= of.most) {
			add(of.field, fmt.Sprintf("a number above 0, up to %v, or nothing", quantity.Group(of.most, 0)), "%v is out of range", of.value)
		}
	}
	if axis := float64(f.Axis); !(axis >= 0 && axis <= 360) || math.IsNaN(axis) {
		add("axis_deg", "0 to 360 degrees", "%v is not a bearing", axis)
	}
	if f.Hours < 0 || f.Hours > 24 {
		add("hours", "1 to 24", "%d hours in a row are in no day", f.Hours)
	}
	if f.Lines != nil && (*f.Lines < 0 || *f.Lines > MaxLines) {
		add("interior_lines", fmt.Sprintf("0 to %d", MaxLines), "%d is not a number of lines", *f.Lines)
	}
	if f.Hours != 0 && f.Lines != nil {
		add("hours", "hours or interior_lines, since one follows from the other", "stands beside interior_lines")
	}
	if (f.Length == 0) != (f.Width == 0) {
		add("length_ft", "both length_ft and width_ft, or neither", "stands without the other")
	}
	return errors.Join(all...)
}

// Firings is what the manager says of the units of a property.
type Firings struct {
	// Every holds where a unit says nothing.
	Every Firing
	// Of holds the units that say something, by name.
	Of map[string]Firing
}

// For gives what holds for a unit: what it says itself over what holds for every
// unit.
func (f *Firings) For(unit string) Firing { return f.Of[unit].Over(f.Every) }
