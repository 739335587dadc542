package table

import (
	"strings"

	"emberquilt/report/view"
)

// PlansSheet lists the plans that were made.
func PlansSheet(all []view.PlanLine) *Sheet {
	s := &Sheet{
		Name: "plans",
		Header: []string{
			"plan",
			"made_for",
			"first_year",
			"last_year",
			"status",
			"shortfall_acre_years",
			"bound_acre_years",
			"gap_pct",
			"data_version",
			"note",
			"standing",
			"since",
			"by",
			"because",
			"trial",
			"changed",
		},
	}
	for _, p := range all {
		s.Rows = append(
			s.Rows,
			[]any{
				p.Number,
				p.MadeFor,
				p.First,
				int(p.Last),
				string(p.Status),
				p.Cost,
				p.Bound,
				p.GapPercent,
				p.Data,
				p.Note,
				string(p.Standing.Standing),
				p.Standing.On,
				p.Standing.By,
				p.Standing.Why,
				p.Standing.Trial,
				strings.Join(p.Standing.Changed, "; "),
			},
		)
	}
	return s
}
