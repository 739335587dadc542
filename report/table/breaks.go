package table

import (
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// Breaks is the table of a report on feet of break.
func Breaks(v *view.BreakReport) *Sheet {
	switch {
	case v.HasSavings:
		return savingSheet(v)
	case v.Set != nil:
		s := breakSheet(v, "together", "unit", "acres", "boundary_ft", "shared_ft", "standing_ft", "break_ft")
		for _, u := range v.Set.Units {
			s.Rows = append(s.Rows, breakRow(v, u.Needed, u.Unit, u.Acres, whole(u.Boundary), whole(u.Shared), whole(u.Standing), whole(u.Needed)))
		}
		return s
	case v.Years != nil:
		s := breakSheet(v, "by year", "program_year", "burns", "each_alone_ft", "saved_ft", "standing_ft", "break_ft")
		for i := range v.Years {
			y := &v.Years[i]
			s.Rows = append(s.Rows, breakRow(v, y.Needed, int(y.Year), len(y.Units), whole(y.Alone), whole(y.Saved), whole(y.Standing), whole(y.Needed)))
		}
		return s
	}
	s := breakSheet(v, "each alone", "unit", "acres", "boundary_ft", "standing_ft", "break_ft")
	for _, u := range v.Alone {
		s.Rows = append(s.Rows, breakRow(v, u.Needed, u.Unit, u.Acres, whole(u.Boundary), whole(u.Standing), whole(u.Needed)))
	}
	return s
}

// breakSheet heads a table whose feet of break are followed by acres and dollars.
func breakSheet(v *view.BreakReport, name string, header ...string) *Sheet {
	for _, w := range v.Widths {
		header = append(header, "acres_at_"+view.Figure(float64(w.Width))+"_ft")
	}
	if v.DollarsPerFoot > 0 {
		header = append(header, "dollars")
	}
	return &Sheet{Name: name, Header: header}
}

// breakRow puts acres and dollars of so many feet after the cells.
func breakRow(v *view.BreakReport, feet quantity.Feet, cells ...any) []any {
	for _, w := range v.Widths {
		cells = append(cells, rounded(float64(quantity.BreakAcres(feet, w.Width)), 2))
	}
	if v.DollarsPerFoot > 0 {
		cells = append(cells, rounded(float64(feet)*v.DollarsPerFoot, 0))
	}
	return cells
}

func savingSheet(v *view.BreakReport) *Sheet {
	s := &Sheet{Name: "savings", Header: []string{"unit_a", "unit_b", "saved_ft", "together_in"}}
	if v.DollarsPerFoot > 0 {
		s.Header = append(s.Header, "dollars")
	}
	for i := range v.Savings {
		p := &v.Savings[i]
		row := []any{p.A, p.B, whole(p.Saved), p.Together()}
		if v.DollarsPerFoot > 0 {
			row = append(row, rounded(float64(p.Saved)*v.DollarsPerFoot, 0))
		}
		s.Rows = append(s.Rows, row)
	}
	return s
}

func whole(feet quantity.Feet) float64 { return rounded(float64(feet), 0) }

// StandingBreaks lists the standing breaks with their length.
func StandingBreaks(all []view.StandingBreak) *Sheet {
	s := &Sheet{Name: "standing breaks", Header: []string{"name", "kind", "length_ft"}}
	for _, b := range all {
		s.Rows = append(s.Rows, []any{b.Name, b.Kind, whole(b.Length)})
	}
	return s
}
