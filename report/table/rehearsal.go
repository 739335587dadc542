package table

import (
	"fmt"
	"io"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// Rehearsal writes what a rehearsal found, in words first. CSV holds one row a
// rule.
func Rehearsal(w io.Writer, v *view.Rehearsal, o Options) error {
	switch o.Format {
	case JSON:
		return writeJSON(w, v)
	case CSV:
		return RehearsalSheet(v).WriteCSV(w)
	}
	p := newPage(o)
	p.line("%s", bold.render(fmt.Sprintf("Plan %d rehearsed, %d to %d", v.Plan, v.FirstYear, int(v.FirstYear)+v.Years-1)))
	for _, text := range v.Headlines {
		p.note(text)
	}
	p.rulesTable(v)
	first := &v.Rules[0]
	p.heading("By year, under rule " + first.Name)
	var rows [][]cell
	for k, year := range v.YearList() {
		rows = append(rows, []cell{plain(year.String()), plain(middle(first.Acres[k])), plain(middle(first.OverdueAcres[k])), plain(quantity.Group(first.OverdueUnits[k].Mean, 1))})
	}
	p.grid([]string{"year", "acres burned", "acres overdue", "units overdue"}, rows, func(c int) bool { return c > 0 })
	p.key("the middle future, and between one future in ten and nine in ten; units on average")
	p.happened(v)
	p.chances(v, first)
	p.heading("How it was played")
	p.items(v.Method)
	p.parts = append(p.parts, "")
	for _, text := range v.Cautions {
		p.note(text)
	}
	return p.writeTo(w)
}

// middle gives "40 (0 to 82)".
func middle(s habitat.Spread) string {
	return fmt.Sprintf("%s (%s to %s)", quantity.Group(s.P50, 0), quantity.Group(s.P10, 0), quantity.Group(s.P90, 0))
}

func (p *page) rulesTable(v *view.Rehearsal) {
	p.heading("Rules side by side: shortfall in acre-years")
	header := []string{"rule", "mean", "95% interval", "1 in 10 below", "1 in 10 above", "from " + v.Rules[0].Name, "none late"}
	if v.Foresight != nil {
		header = append(header, "with foresight")
	}
	var rows [][]cell
	for i := range v.Rules {
		rule := &v.Rules[i]
		s := rule.Shortfall
		from := "–"
		if i > 0 {
			from = v.ShortDifference(rule)
		}
		row := []cell{plain(name(rule.Name, longestName)), styled(quantity.Group(s.Mean, 1), bold), plain(quantity.Group(s.Low, 1) + " to " + quantity.Group(s.High, 1)),
			plain(quantity.Group(s.P10, 1)), plain(quantity.Group(s.P90, 1)), plain(from), plain(view.Percent(rule.OnTime))}
		if v.Foresight != nil {
			row = append(row, plain(quantity.Group(rule.Foresight.Mean, 1)))
		}
		rows = append(rows, row)
	}
	p.grid(header, rows, func(c int) bool { return c > 0 })
}

// happened lists what was counted, one column a rule.
func (p *page) happened(v *view.Rehearsal) {
	p.heading("What happened, on average")
	header := []string{""}
	for i := range v.Rules {
		header = append(header, name(v.Rules[i].Name, longestName))
	}
	var rows [][]cell
	for _, figure := range v.Happened {
		row := []cell{plain(name(figure.Name, longestName))}
		for _, value := range figure.ByRule {
			row = append(row, plain(value))
		}
		rows = append(rows, row)
	}
	p.grid(header, rows, func(c int) bool { return c > 0 })
}

// mostChances is how many units the terminal lists.
const mostChances = 15

// chances lists the units by how often they are overdue.
func (p *page) chances(v *view.Rehearsal, rule *habitat.RehearsedRule) {
	units := view.ByChance(rule.Units)
	if len(units) == 0 || units[0].Ever == 0 {
		return
	}
	p.heading("Chance to end a year overdue, under rule " + rule.Name)
	header := []string{"unit", "ever"}
	for _, y := range v.YearList() {
		header = append(header, y.String())
	}
	header = append(header, "years between burns")
	var rows [][]cell
	for _, u := range units[:min(len(units), mostChances)] {
		if u.Ever == 0 {
			break
		}
		row := []cell{plain(name(u.Unit, longestName)), styled(view.Percent(u.Ever), bold)}
		for _, chance := range u.Overdue {
			row = append(row, plain(view.Percent(chance)))
		}
		interval := "none"
		if u.Interval > 0 {
			interval = quantity.Group(u.Interval, 1)
		}
		rows = append(rows, append(row, plain(interval)))
	}
	p.series(2, header, rows, func(c int) bool { return c > 0 })
	late := slices.IndexFunc(units, func(u habitat.RehearsedUnit) bool { return u.Ever == 0 })
	if late < 0 {
		late = len(units)
	}
	if more := late - len(rows); more > 0 {
		p.note(fmt.Sprintf("%s more were overdue in some future; --json lists all.", quantity.Count(more, "unit")))
	}
}

// RehearsalSheet holds one row a rule.
func RehearsalSheet(v *view.Rehearsal) *Sheet {
	s := &Sheet{Name: "rehearsal", Header: []string{"rule", "futures", "shortfall_mean", "shortfall_low", "shortfall_high", "p10", "p50", "p90",
		"difference_mean", "difference_low", "difference_high", "difference_seen", "futures_none_overdue", "futures_at_most_one_year_late", "foresight_mean"}}
	for i := range v.Rules {
		r := &v.Rules[i]
		var foresight any
		if r.Foresight != nil {
			foresight = r.Foresight.Mean
		}
		f, d := r.Shortfall, r.Difference
		s.Rows = append(s.Rows, []any{r.Name, v.Futures, f.Mean, f.Low, f.High, f.P10, f.P50, f.P90, d.Mean, d.Low, d.High, i > 0 && v.Differs(r), r.OnTime, r.OneLate, foresight})
	}
	return s
}
