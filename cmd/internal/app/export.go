package app

import (
	"fmt"

	"emberquilt/habitat/ground/geofile"
	"emberquilt/report/view"
)

// Ground lays the plan out by unit, with its shape.
func (c *Contents) Ground() (layer *geofile.Table, missing []string) {
	number := func(name string, decimals int) geofile.Column {
		return geofile.Column{Name: name, Number: true, Decimals: decimals}
	}
	layer = &geofile.Table{Name: c.Session.Property.Name, Made: c.Program.Stamp.On, Columns: []geofile.Column{
		{Name: "unit"}, number("acres", 3), number("min_int", 0), number("max_int", 0), number("age", 0), {Name: "last_burn", Day: true}, {Name: "cover"}, number("break_ft", 0),
	}}
	for _, year := range c.Program.Years {
		layer.Columns = append(layer.Columns, geofile.Column{Name: "burn_" + year.String()})
	}
	shapes := c.Session.Current().Shapes
	for i := range c.Program.Units {
		u := &c.Program.Units[i]
		shape, ok := shapes[u.ID]
		if !ok {
			missing = append(missing, u.ID)
			continue
		}
		layer.Rows = append(layer.Rows, geofile.Row{Name: u.ID, Shape: shape, Values: c.groundValues(u)})
	}
	return layer, missing
}

func (c *Contents) groundValues(u *view.UnitRow) []string {
	feet := ""
	if alone, ok := c.Breaks().Alone(u.ID); ok {
		feet = fmt.Sprintf("%.0f", float64(alone.Needed))
	}
	values := []string{
		u.ID,
		fmt.Sprintf("%.3f", float64(u.Acres)),
		fmt.Sprint(u.MinInterval),
		fmt.Sprint(u.MaxInterval),
		fmt.Sprint(u.AgeBefore),
		u.LastBurn.String(),
		u.Cover,
		feet,
	}
	for _, cell := range u.Cells {
		values = append(values, cell.Season)
	}
	return values
}
