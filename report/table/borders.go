package table

import "emberquilt/report/view"

// Borders has a row for each two units that meet.
func Borders(v *view.Borders) *Sheet {
	s := &Sheet{Name: "neighbors", Header: []string{"unit_a", "unit_b", "meet_at", "shared_feet", "gap_ft", "overlap_acres", "kept_as", "kept_feet"}}
	for _, r := range v.Rows {
		var kept, feet, overlap any
		if r.Kept != nil {
			kept = string(r.Kept.Kind)
			if r.Kept.SharedFeet > 0 {
				feet = rounded(float64(r.Kept.SharedFeet), 0)
			}
		}
		if r.Overlap != nil {
			overlap = rounded(float64(*r.Overlap), 3)
		}
		s.Rows = append(s.Rows, []any{r.A, r.B, r.Meet, rounded(float64(r.Shared), 0), rounded(float64(r.Gap), 1), overlap, kept, feet})
	}
	return s
}

// PairChanges has a row for each pair that changes.
func PairChanges(v *view.PairChanges) *Sheet {
	s := &Sheet{Name: "changes", Header: []string{"action", "unit_a", "unit_b", "from", "to"}}
	for _, c := range v.Changes {
		s.Rows = append(s.Rows, []any{c.Action, c.UnitA, c.UnitB, c.From, c.To})
	}
	return s
}
