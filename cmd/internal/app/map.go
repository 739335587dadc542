package app

import (
	"cmp"
	"context"
	"fmt"

	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/report/view"
)

// MapOptions say what is drawn.
type MapOptions struct {
	// Plan is a plan's number; 0 is the newest.
	Plan int
	// Year is one program year alone; 0 is all of the plan.
	Year date.ProgramYear
}

// NoShapesError is a property of which there is nothing to draw or to measure.
type NoShapesError struct{ Property string }

// Error names the property.
func (e *NoShapesError) Error() string { return e.Property + " has no shapes" }

// Map draws the ground of a plan. An OptionError refuses a year that is not the
// plan's; a NoShapesError says that no unit has a shape.
func (s *Session) Map(ctx context.Context, o MapOptions) (*view.Map, error) {
	c, err := s.Contents(ctx, o.Plan)
	if err != nil {
		return nil, err
	}
	return c.Map(o.Year)
}

// Map draws the ground of a program year, or of all for 0.
func (c *Contents) Map(year date.ProgramYear) (*view.Map, error) {
	if c.Program.Cost == nil {
		return nil, fmt.Errorf("plan %d does not exist: there is nothing to draw", c.Stored.Number)
	}
	if first, last := c.Stored.FirstYear, c.Stored.LastYear(); year != 0 && (year < first || year > last) {
		return nil, badOption("year", fmt.Sprintf("%d to %d", first, last), "%d is not a year of the plan", year)
	}
	drawn := c.draw(year)
	if drawn == nil {
		return nil, &NoShapesError{c.Session.Property.Name}
	}
	return drawn, nil
}

// Maps draws for the book the plan's first year and then all of them, of a large program
// the first year alone; nothing where there are no shapes.
func (c *Contents) Maps() []*view.Map {
	if c.Program.Cost == nil {
		return nil
	}
	var all []*view.Map
	for _, year := range []date.ProgramYear{c.Stored.FirstYear, 0} {
		if year == 0 && c.Program.IsLarge() {
			break
		}
		if drawn := c.draw(year); drawn != nil {
			all = append(all, drawn)
		}
	}
	return all
}

// MapOf draws a program year; nil where there are no shapes, or the plan does not have
// that year.
func (c *Contents) MapOf(year date.ProgramYear) *view.Map {
	if c.Program.Cost == nil || year < c.Stored.FirstYear || year > c.Stored.LastYear() {
		return nil
	}
	return c.draw(year)
}

func (c *Contents) draw(year date.ProgramYear) *view.Map {
	current := c.Session.Current()
	return view.NewMap(c.Program, view.MapInput{Shapes: current.Shapes, Places: current.Places, Standing: current.Standing, Breaks: c.Breaks()}, year)
}

// FieldMap is the ground of one program year for a phone in the field.
type FieldMap struct {
	Stamp view.Stamp
	Map   *view.Map
	// Units are the units with what the plan does with them.
	Units  *geofile.Table
	Places []ground.Place
	// Lines are breaks by what they are.
	Lines map[string][]ground.Line
}

// FieldMap draws one program year, the plan's first where none is named.
func (s *Session) FieldMap(ctx context.Context, o MapOptions) (*FieldMap, error) {
	c, err := s.Contents(ctx, o.Plan)
	if err != nil {
		return nil, err
	}
	drawn, err := c.Map(cmp.Or(o.Year, c.Stored.FirstYear))
	if err != nil {
		return nil, err
	}
	units, _ := c.Ground()
	return &FieldMap{Stamp: c.Program.Stamp, Map: drawn, Units: units, Places: drawn.Places,
		Lines: map[string][]ground.Line{"standing breaks": drawn.Standing, "breaks to make": drawn.Years[0].Planned}}, nil
}
