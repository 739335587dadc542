package table

import (
	"fmt"
	"io"
	"math"
	"strings"

	"charm.land/lipgloss/v2"

	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
)

// Beside writes any number of plans side by side: a table, a chart of their
// shortfalls, and what was changed for each. CSV holds one row a plan.
func Beside(w io.Writer, v *view.Beside, o Options) error {
	switch o.Format {
	case JSON:
		return writeJSON(w, v)
	case CSV:
		return BesideSheet(v).WriteCSV(w)
	}
	p := newPage(o)
	years := fmt.Sprintf("program years %d to %d", v.Years[0], v.Years[len(v.Years)-1])
	if len(v.Years) == 1 {
		years = fmt.Sprintf("program year %d", v.Years[0])
	}
	p.line("%s", bold.render(name(v.Stamp.Property, 60)+", "+years))
	var rows [][]cell
	for i := range v.Plans {
		one := &v.Plans[i]
		row := []cell{plain(fmt.Sprint(one.Plan)), plain(name(one.Name, 26))}
		if one.Whole == nil {
			row = append(row, plain("–"), plain("–"), plain("–"), plain("–"), plain("–"), styled("no plan exists", alarm), plain(""), plain(""))
		} else {
			row = append(row, plain(one.Acres.String()), plain(fmt.Sprint(one.Burns)), plain(one.Cost.String()), plain(quantity.Acres(one.Overdue).String()), plain(fmt.Sprint(one.Units)),
				styled(one.Text, bold), plain(one.Difference), plain(one.GapText))
		}
		rows = append(rows, row)
	}
	first := fmt.Sprintf("from plan %d", v.Plans[0].Plan)
	p.grid([]string{"plan", "", "acres", "burns", "cost", "overdue", "units", "shortfall", first, "gap"}, rows, func(c int) bool { return c == 0 || c > 1 && c < 9 })
	p.key(
		"acres burned, number of burns and their cost in all the years; overdue: acres that end a year overdue, added over the years, and the units that ever do; shortfall in acre-years, of all years solved; gap: how much smaller another plan could be",
	)
	p.besideChart(v)
	p.heading("What was changed for each")
	for i := range v.Plans {
		p.items([]string{v.Plans[i].Head() + ": " + v.Plans[i].Words()})
	}
	for _, note := range v.Notes {
		p.note(note)
	}
	p.line("")
	p.note(view.CautionLine)
	return p.writeTo(w)
}

// besideChart draws the shortfalls as bars: what is proven that no plan is below, and
// the rest.
func (p *page) besideChart(v *view.Beside) {
	most, longest, left := 0.0, 0, 0
	for i := range v.Plans {
		one := &v.Plans[i]
		longest = max(longest, lipgloss.Width(name(one.Head(), 34)))
		if one.Whole != nil {
			most, left = math.Max(most, *one.Whole), max(left, len(one.Text))
		}
	}
	if most <= 0 {
		return
	}
	p.heading("Shortfall")
	room := max(10, p.width-longest-left-4)
	for i := range v.Plans {
		one := &v.Plans[i]
		if one.Whole == nil {
			continue
		}
		all := int(math.Round(float64(room) * *one.Whole / most))
		sure := all
		if one.Status != problem.Optimal {
			sure = min(all, max(0, int(math.Floor(float64(room)**one.Bound/most))))
		}
		label := name(one.Head(), 34)
		p.line(
			"%s%s  %s%s %s",
			label,
			strings.Repeat(" ", longest-lipgloss.Width(label)),
			ember.render(strings.Repeat("█", sure)),
			faint.render(strings.Repeat("░", all-sure)),
			one.Text,
		)
	}
	p.parts = append(p.parts, faint.render("█ no such plan is below; ░ what the search could not rule out"))
}

// BesideSheet holds one row a plan.
func BesideSheet(v *view.Beside) *Sheet {
	s := &Sheet{
		Name: "beside",
		Header: []string{
			"plan",
			"name",
			"standing",
			"first_year",
			"last_year",
			"acres_burned",
			"burns",
			"cost",
			"overdue_acre_years",
			"overdue_units",
			"shortfall_acre_years",
			"gap",
			"difference",
			"changed",
			"changed_since",
		},
	}
	for i := range v.Plans {
		one := &v.Plans[i]
		s.Rows = append(
			s.Rows,
			[]any{
				one.Plan,
				one.Name,
				string(one.Standing.Standing),
				v.Years[0],
				v.Years[len(v.Years)-1],
				one.Acres,
				one.Burns,
				one.Cost,
				float64(one.Overdue),
				one.Units,
				one.Text,
				one.GapText,
				one.Difference,
				strings.Join(one.Changed, "; "),
				one.Since,
			},
		)
	}
	return s
}
