package table

import "emberquilt/report/view"

// Calendar has a row for each candidate window of a program year, and one for each
// unit without any.
func Calendar(v *view.Calendar) *Sheet {
	s := &Sheet{
		Name:   "windows",
		Header: []string{"unit", "season", "first", "last", "usable_days", "expected_days", "best_week_from", "start", "prescription", "needed_hours", "interior_lines", "basis"},
	}
	for i := range v.Rows {
		row := &v.Rows[i]
		terms := []any{row.Terms.Prescription, count(row.Terms.Hours), count(row.Terms.Lines)}
		add := func(window []any, basis string) {
			cells := append([]any{row.Unit, row.Season}, window...)
			s.Rows = append(s.Rows, append(append(cells, terms...), basis))
		}
		for _, w := range row.Windows {
			add([]any{w.First, w.Last, w.UsableDays, w.Expected, w.BestFirst, w.StartHour}, w.Basis)
		}
		if len(row.Windows) == 0 {
			add([]any{nil, nil, 0, nil, nil, ""}, "no window: "+row.NoWindow.Short())
		}
	}
	return s
}
