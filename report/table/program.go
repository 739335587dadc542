package table

import (
	"fmt"
	"io"
	"strings"

	"charm.land/lipgloss/v2"

	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
)

// Program writes the whole plan: the unit × year table, acres, age classes,
// caps, overdue units, shortfall, gap and what they rest on. CSV holds one row a unit
// and year.
func Program(w io.Writer, v *view.Program, o Options) error {
	switch o.Format {
	case JSON:
		return writeJSON(w, v)
	case CSV:
		return ProgramSheet(v).WriteCSV(w)
	}
	p := newPage(o)
	p.overtaken(v.Stamp)
	p.line("%s", bold.render(programTitle(v)))
	p.note(v.GapWords)
	if len(v.Standing.Changed) > 0 {
		p.note("Tried: " + strings.Join(v.Standing.Changed, "; ") + ".")
	}
	if v.Status == problem.Infeasible {
		p.heading("What clashes")
		p.items(v.Clashes)
		return p.writeTo(w)
	}
	p.units(v)
	p.years(v)
	p.mixes(v)
	p.caps(v)
	p.overdue(v)
	p.shortfall(v)
	if len(v.Lines) > 0 {
		p.heading("Contract lines")
		for i := range v.Lines {
			p.items([]string{v.Lines[i].Words})
		}
	}
	if v.Changed != nil {
		p.heading("Changes against the plan before")
		p.note(view.ChangesWords(v.Changes))
		for _, c := range v.Changes {
			p.items([]string{c.Words})
		}
	}
	for _, list := range []struct {
		title string
		items []string
	}{{"Assumptions", v.Assumptions}, {"Warnings", v.Warnings}} {
		if len(list.items) > 0 {
			p.heading(list.title)
			p.items(list.items)
		}
	}
	p.line("")
	p.note(view.CautionLine)
	return p.writeTo(w)
}

func programTitle(v *view.Program) string {
	parts := []string{}
	if v.Stamp.Property != "" {
		parts = append(parts, name(v.Stamp.Property, 60))
	}
	if v.Plan > 0 {
		parts = append(parts, fmt.Sprintf("plan %d", v.Plan))
	}
	span := fmt.Sprintf("program years %d to %d", v.Years[0], v.Years[len(v.Years)-1])
	if len(v.Years) == 1 {
		span = fmt.Sprintf("program year %d", v.Years[0])
	}
	return strings.Join(append(parts, span), ", ")
}

// units sets the unit × year table, in blocks of as many years as fit.
func (p *page) units(v *view.Program) {
	longest, left := 4, 0
	for _, u := range v.Units {
		longest = max(longest, min(28, lipgloss.Width(name(u.ID, longestName))))
	}
	left = longest + 2 + 9 + 7 + 6
	block := max(1, (p.width-left)/8)
	var burned, overdue, locked, changed, assumed, done, missed bool
	for from := 0; from < len(v.Years); from += block {
		years := v.Years[from:min(from+block, len(v.Years))]
		p.line("")
		header := []string{"unit", "acres", "every", "age"}
		for _, y := range years {
			header = append(header, y.String())
		}
		var rows [][]cell
		for _, u := range v.Units {
			age := fmt.Sprint(u.AgeBefore)
			if u.Assumed {
				age, assumed = age+"?", true
			}
			row := []cell{plain(name(u.ID, longestName)), plain(u.Acres.String()), plain(u.Interval), plain(age)}
			for _, c := range u.Cells[from : from+len(years)] {
				row, done, missed = append(row, unitCell(c)), done || c.Done, missed || c.Missed
				burned, overdue, locked, changed = burned || c.Burn, overdue || c.Overdue && !c.Done, locked || c.Locked, changed || c.Changed
			}
			rows = append(rows, row)
		}
		total := []cell{styled("burned", bold), styled(v.Acres.String(), bold), plain(""), plain("")}
		for t := range years {
			total = append(total, styled(v.ByYear[from+t].Burned.String(), bold))
		}
		p.grid(header, append(rows, total), func(c int) bool { return c == 1 || c == 3 })
	}
	var key []string
	if burned {
		for _, s := range v.Seasons {
			key = append(key, fmt.Sprintf("● %s burns, %s", s.Letter, name(s.Name, longestName)))
		}
	}
	key = append(key, "number: stand age at the end of the year")
	for _, mark := range []struct {
		used bool
		text string
	}{{done, "✓: has burned"}, {missed, "✗: missed"}, {overdue, "!: overdue"}, {locked, "#: locked"}, {changed, "~: changed from the plan before"}, {assumed, "?: assumed age"}} {
		if mark.used {
			key = append(key, mark.text)
		}
	}
	p.key(strings.Join(key, "; "))
	for _, u := range v.Units {
		if u.Gone != "" {
			p.items([]string{u.Gone + "; the table shows it as the plan was made."})
		}
	}
}

// unitCell writes a burn as "● D", a rest as its age, each with its marks.
func unitCell(c view.UnitYear) cell {
	unit := plain(fmt.Sprint(c.Age))
	if c.Burn {
		unit = cell{"● " + c.Letter, ember}
	}
	if c.Overdue && !c.Done {
		unit = cell{unit.text + "!", alarm}
	}
	if c.Done {
		unit = cell{unit.text + "✓", ember}
	}
	if c.Missed {
		unit = cell{unit.text + "✗", alarm}
	}
	if c.Locked {
		unit.text += "#"
	}
	if c.Changed {
		unit.text += "~"
	}
	return unit
}

func (p *page) years(v *view.Program) {
	p.heading("Acres by year")
	header := []string{"year", "burned", "rested", "burns"}
	for _, s := range v.Seasons {
		header = append(header, name(s.Name, longestName))
	}
	header = append(header, "overdue", "cost")
	var rows [][]cell
	for _, y := range v.ByYear {
		row := []cell{plain(y.Year.String()), marked(y.Burned, y.Short > 0, y.Over > 0), plain(y.Rested.String()), plain(fmt.Sprint(y.Burns))}
		for _, s := range y.Seasons {
			row = append(row, plain(s.Acres.String()))
		}
		rows = append(rows, append(row, plain(y.OverdueAcres.String()), plain(y.Cost.String())))
	}
	p.grid(header, rows, func(c int) bool { return c > 0 })
	if v.EvenLo != nil || v.EvenHi != nil {
		p.key("wanted burned a year: " + bandWords(v.EvenLo, v.EvenHi) + "; < below it, > above it")
	}
}

// marked sets acres with the sign of the side on which they miss their band;
// a blank holds its place, so that the digits stand in line.
func marked(acres quantity.Acres, below, above bool) cell {
	switch {
	case below:
		return cell{acres.String() + "<", ember}
	case above:
		return cell{acres.String() + ">", ember}
	}
	return plain(acres.String() + " ")
}

// bandWords gives "250.0 to 400.0 acres" with either side absent.
func bandWords(lo, hi *float64) string {
	switch {
	case lo == nil:
		return "up to " + quantity.Acres(*hi).String() + " acres"
	case hi == nil:
		return quantity.Acres(*lo).String() + " acres or more"
	}
	return quantity.Acres(*lo).String() + " to " + quantity.Acres(*hi).String() + " acres"
}

func (p *page) mixes(v *view.Program) {
	if len(v.Mixes) == 0 {
		return
	}
	p.heading("Acres by age class at the end of the year")
	header := []string{"mix", "class", "ages", "wanted"}
	for _, y := range v.Years {
		header = append(header, y.String())
	}
	var rows [][]cell
	for _, m := range v.Mixes {
		for i, c := range m.Classes {
			label := ""
			if i == 0 {
				label = name(m.Name, longestName)
			}
			row := []cell{plain(label), plain(name(c.Name, longestName)), plain(c.Ages), plain(quantity.Group(float64(c.Lo), 0) + "–" + quantity.Group(float64(c.Hi), 0))}
			for _, y := range c.Years {
				row = append(row, marked(y.Acres, y.Off < 0, y.Off > 0))
			}
			rows = append(rows, row)
		}
	}
	p.series(4, header, rows, func(c int) bool { return c > 2 })
	p.key("< below the wanted acres, > above them")
}

func (p *page) caps(v *view.Program) {
	if len(v.Caps)+len(v.Refuges) == 0 {
		return
	}
	p.heading("Limits: used/allowed")
	header := []string{"limit"}
	for _, y := range v.Years {
		header = append(header, y.String())
	}
	var rows [][]cell
	for _, c := range v.Caps {
		row := []cell{plain(name(c.Name, longestName))}
		for _, use := range c.Years {
			used := cell{view.Number(use.Used) + "/–", faint}
			if use.Limit != nil {
				used = plain(view.Number(use.Used) + "/" + view.Number(*use.Limit))
				if *use.Left <= 0 {
					used.style = bold
				}
			}
			row = append(row, used)
		}
		rows = append(rows, row)
	}
	for _, r := range v.Refuges {
		row := []cell{plain(name("refuge "+r.Name, longestName))}
		for _, acres := range r.Burned {
			row = append(row, plain(view.Number(float64(acres))+"/"+view.Number(float64(r.Limit))))
		}
		rows = append(rows, row)
	}
	p.series(1, header, rows, func(c int) bool { return c > 0 })
}

func (p *page) overdue(v *view.Program) {
	p.heading("Overdue")
	if len(v.Overdue) == 0 {
		p.note("No unit ends a plan year at or past its longest interval.")
		return
	}
	var rows [][]cell
	for _, o := range v.Overdue {
		years := make([]string, len(o.Years))
		for i, y := range o.Years {
			years[i] = y.String()
		}
		burns := "not in these years"
		if o.Burns != 0 {
			burns = o.Burns.String()
		}
		rows = append(rows, []cell{plain(name(o.Unit, longestName)), plain(o.Acres.String()), plain(fmt.Sprint(o.MaxInterval)), plain(fmt.Sprint(o.OldestAge)),
			plain(burns), styled(strings.Join(years, " "), alarm)})
	}
	p.grid([]string{"unit", "acres", "longest interval", "oldest age", "first burn", "overdue at the end of"}, rows, func(c int) bool { return c > 0 && c < 4 })
}

func (p *page) shortfall(v *view.Program) {
	p.heading("Shortfall, in acre-years")
	p.note(view.ShortfallLine)
	oneDecimal := func(a quantity.AcreYears) string { return tenths(a, v.Decimals) }
	var rows [][]cell
	var shown, later quantity.AcreYears
	for _, part := range v.Parts {
		var here quantity.AcreYears
		for _, y := range part.ByYear {
			here += y
		}
		shown, later = shown+here, later+part.Later
		rows = append(rows, []cell{plain(part.Name), plain(oneDecimal(here)), plain(oneDecimal(part.Later)), plain(oneDecimal(part.Total)), styled(part.Short, faint)})
	}
	rows = append(rows, []cell{styled("all", bold), styled(oneDecimal(shown), bold), styled(oneDecimal(later), bold), styled(oneDecimal(quantity.AcreYears(*v.Cost)), bold),
		styled("no plan has less than "+v.BoundText, faint)})
	p.grid([]string{"part", "plan years", "lookahead", "together", "counts"}, rows, func(c int) bool { return c > 0 && c < 4 })
	if len(v.CapCosts) > 0 {
		p.heading("What the limits add to the shortfall")
		for _, c := range v.CapCosts {
			p.items([]string{c.Words})
		}
	}
	if len(v.Springs) > 0 {
		p.heading("A year with more or fewer burn days")
		for _, s := range v.Springs {
			p.items([]string{s.Words})
		}
	}
}

// ProgramSheet is the plan with one row a unit and year.
func ProgramSheet(v *view.Program) *Sheet {
	s := &Sheet{Name: "plan", Header: []string{"unit", "acres", "min_interval", "max_interval", "program_year", "what", "season", "age_at_end", "overdue", "locked", "changed"}}
	for _, u := range v.Units {
		for _, c := range u.Cells {
			what := "rest"
			if c.Burn {
				what = "burn"
			}
			s.Rows = append(s.Rows, []any{u.ID, u.Acres, u.MinInterval, u.MaxInterval, c.Year, what, c.Season, c.Age, c.Overdue, c.Locked, c.Changed})
		}
	}
	return s
}
