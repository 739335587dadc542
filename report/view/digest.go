package view

import (
	"cmp"
	"fmt"
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// A program of more than mostCells units times years is told on paper by sums, and of its
// long lists no more than mostOnPaper lines are: 1,000 units over 20 years are 60 sheets
// that nobody reads, and a file that phones do not open. The workbook has all of it.
const (
	mostCells   = 5000
	mostOnPaper = 100
)

// IsLarge reports whether a paper tells the program by sums, not cell by cell.
func (v *Program) IsLarge() bool { return len(v.Units)*len(v.Years) > mostCells }

// LargeWords says what a paper of a large program leaves to other files; empty where it
// leaves nothing.
func (v *Program) LargeWords() string {
	if !v.IsLarge() {
		return ""
	}
	return fmt.Sprintf("%s over %s are too many to show one by one: this book sums them up and keeps the longest lists to %d lines; "+
		"the workbook (emberquilt tables) has every unit and year, and emberquilt map draws every year.",
		quantity.Count(len(v.Units), "unit"), quantity.Count(len(v.Years), "year"), mostOnPaper)
}

// CoverRow sums the units of one cover.
type CoverRow struct {
	// Cover is empty for units whose cover nobody stated.
	Cover string
	Units int
	Acres quantity.Acres
	Years []CoverYear
}

// CoverYear is what burns of a cover in one year, as things stand.
type CoverYear struct {
	Year  date.ProgramYear
	Burns int
	Acres quantity.Acres
	// Overdue counts the units that end the year at or past their longest interval.
	Overdue int
}

// Covers sums the grid by cover, in order of their names.
func (v *Program) Covers() []CoverRow {
	var rows []CoverRow
	at := map[string]int{}
	for i := range v.Units {
		u := &v.Units[i]
		k, known := at[u.Cover]
		if !known {
			k = len(rows)
			at[u.Cover] = k
			rows = append(rows, CoverRow{Cover: u.Cover, Years: make([]CoverYear, len(v.Years))})
		}
		row := &rows[k]
		row.Units++
		row.Acres += u.Acres
		for t := range u.Cells {
			year := &row.Years[t]
			year.Year = v.Years[t]
			if u.Cells[t].Counts != "" {
				year.Burns++
				year.Acres += u.Acres
			}
			if u.Cells[t].Overdue {
				year.Overdue++
			}
		}
	}
	slices.SortFunc(rows, func(a, b CoverRow) int { return cmp.Compare(a.Cover, b.Cover) })
	return rows
}

// OverdueOnPaper are the overdue units that a paper lists: all, or of a large program
// those that are longest overdue.
func (v *Program) OverdueOnPaper() []OverdueRow {
	rows := slices.Clone(v.Overdue)
	if !v.IsLarge() {
		return rows
	}
	slices.SortStableFunc(rows, func(a, b OverdueRow) int {
		return cmp.Or(cmp.Compare(len(b.Years), len(a.Years)), cmp.Compare(b.OldestAge-b.MaxInterval, a.OldestAge-a.MaxInterval), cmp.Compare(b.Acres, a.Acres))
	})
	return onPaper(v, rows)
}

// WaitingOnPaper are the units overdue and not burned that a paper lists, the first of
// very many.
func (v *Due) WaitingOnPaper() []WaitingUnit { return v.Waiting[:min(len(v.Waiting), mostOnPaper)] }

// AssumptionsOnPaper are the assumptions that a paper lists, of a large program the first.
func (v *Program) AssumptionsOnPaper() []string { return onPaper(v, v.Assumptions) }

// ChangesOnPaper are the changes that a paper lists, of a large program the first.
func (v *Program) ChangesOnPaper() []Change { return onPaper(v, v.Changes) }

// AsBurnedOnPaper are the rows of an as-burned map that a paper lists, of a large program
// the newest.
func (v *Program) AsBurnedOnPaper(b *AsBurned) []AsBurnedRow {
	if some := onPaper(v, b.Rows); len(some) < len(b.Rows) {
		return b.Rows[len(b.Rows)-len(some):]
	}
	return b.Rows
}

func onPaper[T any](v *Program, all []T) []T {
	if v.IsLarge() && len(all) > mostOnPaper {
		return all[:mostOnPaper]
	}
	return all
}
