package table

import (
	"slices"

	"emberquilt/report/view"
)

// AllProperties puts the rows of many properties under one another, each with the name
// of its property and its file; one that failed has a row with the reason.
type AllProperties struct {
	sheet  *Sheet
	header []string
	rows   []propertyRow
}

type propertyRow struct {
	property, file, failed string
	cells                  []any
}

// NewAllProperties begins a table.
func NewAllProperties(name string) *AllProperties { return &AllProperties{sheet: &Sheet{Name: name}} }

// Add adds the rows of a property.
func (t *AllProperties) Add(property, file string, rows *Sheet) {
	t.header = rows.Header
	for _, row := range rows.Rows {
		t.rows = append(t.rows, propertyRow{property, file, "", row})
	}
}

// Fail adds a property that failed.
func (t *AllProperties) Fail(property, file, reason string) {
	t.rows = append(t.rows, propertyRow{property, file, reason, nil})
}

// Rows counts the rows.
func (t *AllProperties) Rows() int { return len(t.rows) }

// Sheet gives the whole table. What failed stands second, where no width cuts it.
func (t *AllProperties) Sheet() *Sheet {
	s := &Sheet{Name: t.sheet.Name, Header: slices.Concat([]string{"property", "failed"}, t.header, []string{"property_file"})}
	for _, r := range t.rows {
		if r.cells == nil {
			r.cells = make([]any, len(t.header))
		}
		s.Rows = append(s.Rows, slices.Concat([]any{r.property, r.failed}, r.cells, []any{r.file}))
	}
	return s
}

// ClientLines has a row for each line of a property's contracts, or one that says that
// it has none.
func ClientLines(v *view.Client) *Sheet {
	s := &Sheet{
		Name: "lines",
		Header: []string{
			"client",
			"contract",
			"number",
			"line",
			"practice",
			"unit",
			"fiscal_year",
			"measure",
			"planned",
			"done",
			"behind",
			"state",
			"plan_says",
			"next_burn",
			"next_season",
			"window_first",
			"window_last",
			"no_window",
			"permit_by",
			"permit",
		},
	}
	for i := range v.Lines {
		l := &v.Lines[i]
		s.Rows = append(
			s.Rows,
			[]any{l.Client, l.Contract, l.Number, l.Line, l.Practice, l.Unit, l.FiscalYear, string(l.Measure), l.Planned, l.Done, l.Behind, string(l.State), string(l.PlanSays),
				orNone(int(l.NextYear)), l.NextSeason, l.First, l.Last, l.NoWindow, l.PermitBy, l.Permit},
		)
	}
	if len(v.Lines) == 0 {
		row := make([]any, len(s.Header))
		row[slices.Index(s.Header, "state")] = v.State()
		s.Rows = append(s.Rows, row)
	}
	return s
}

// ClientPermits has a row for each permit to be had.
func ClientPermits(v *view.Client) *Sheet {
	s := &Sheet{Name: "permits", Header: []string{"by", "from", "state", "unit", "program_year", "task"}}
	for _, t := range v.Permits {
		s.Rows = append(s.Rows, []any{t.By, t.From, t.State, t.Unit, t.Year, t.Task})
	}
	return s
}

// MissedSheet has a row for each burn that was missed.
func MissedSheet(all []view.Missed) *Sheet {
	s := &Sheet{Name: "missed", Header: []string{"unit", "season", "program_year", "shortfall_acre_years", "had_it_burned", "both_proven_best"}}
	for i := range all {
		m := &all[i]
		s.Rows = append(s.Rows, []any{m.Unit, m.Season, m.Year, m.Cost, m.CostBurned, m.Proven})
	}
	return s
}
