package pdf

import (
	"fmt"
	"io"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/report/pdf/structure"
	"emberquilt/report/view"
)

// bodySize is the type of the season sheet's text: readable at arm's length.
const bodySize = 11.0

// Sheet writes the season sheet: a page that lists the units, one page a unit, and one
// for the day. A unit with more to say than a page holds goes on on another.
func Sheet(w io.Writer, v *view.Sheet) error {
	p := newPaper("Season sheet", "", v.Due.Stamp)
	p.setNarrow()
	p.AddPage()
	p.overview(v)
	for i := range v.Units {
		p.AddPage()
		p.unit(v, &v.Units[i])
	}
	if len(v.Units) > 0 {
		p.AddPage()
		p.day(v)
	}
	return p.write(w)
}

func (p *paper) overview(v *view.Sheet) {
	due := v.Due
	p.mainHeading(due.Stamp.Property, 20, 10)
	days := ""
	if !due.First.IsZero() {
		days = fmt.Sprintf(", %s to %s", view.ShortDay(due.First), due.Last.Words())
	}
	p.para(fmt.Sprintf("%s%s; %s", habitat.SeasonWords(due.Season, due.Year), days, due.BurnYear), "", bodySize)
	for _, note := range v.Notes {
		p.para(note, "B", bodySize)
	}
	p.SetXY(side, p.GetY()+1)
	p.cautionsIn(due.Cautions, bodySize)
	for _, warning := range due.Warnings {
		p.para("Weather record: "+printable(warning, 400)+".", "", bodySize)
	}
	p.heading("What burns this season")
	for _, gone := range due.Gone {
		p.para(printable(gone, longText), "", bodySize)
	}
	switch {
	case len(due.Units) == 0:
		p.para(due.Nothing, "", bodySize)
	case len(v.Units) == 0:
		p.para("Every unit of this season has burned.", "", bodySize)
	default:
		p.unitTable(v)
	}
	if len(v.Units) > 0 {
		for _, words := range due.Crew.Words {
			p.para(printable(words, longText), "", bodySize)
		}
	}
	for _, words := range due.Templates {
		p.para(printable(words, longText), "", bodySize)
	}
	for _, basis := range v.Basis {
		p.para("Candidate windows: "+printable(basis, 300)+".", "", bodySize)
	}
	for _, note := range v.BreakNotes {
		p.para("Breaks: "+printable(note, 400), "", bodySize)
	}
	p.others(due)
	if v.Ground != nil {
		p.groundWithKey(v.Ground)
	}
}

// unitTable lists the units in the order of their first windows.
func (p *paper) unitTable(v *view.Sheet) {
	var rows [][]string
	for i := range v.Units {
		u := &v.Units[i]
		state, winds := "may wait", ""
		if u.OverdueIfRested {
			state = "last chance"
		}
		if u.Rose != nil {
			winds = u.Rose.Suits
		}
		rows = append(rows, []string{fmt.Sprint(u.Number), u.Unit, u.Left.String(), windows(u), winds, state})
	}
	p.table([]column{{"No.", 10.8, "R"}, {"Unit", 36, "L"}, {"Acres", 15, "R"}, {"Candidate windows", 63.2, "L"}, {"Winds from", 32, "L"}, {"State", 24.9, "L"}}, rows, bodySize, 0)
	p.para(fmt.Sprintf("%s acres left to burn in all, in the order of the first windows. Last chance: the unit burns this year or ends it overdue.", v.Due.Acres), "", bodySize)
}

// others lists what else the year holds.
func (p *paper) others(due *view.Due) {
	for _, list := range []struct {
		title string
		units []view.BurnedUnit
	}{{"Burned this year", due.Burned}, {"Burned in part this year", due.Unfinished}} {
		if len(list.units) > 0 {
			p.heading(list.title)
		}
		for _, u := range list.units {
			p.para(fmt.Sprintf("%s (%s acres): %s", printable(u.Unit, longName), u.Acres, u.Words), "", bodySize)
		}
	}
	if len(due.Waiting) > 0 {
		p.heading("Overdue and not burned this year")
		for _, u := range due.Waiting {
			words := fmt.Sprintf("%s (%s acres) ends the year %s after its last burn.", printable(u.Unit, longName), u.Acres, quantity.Count(u.Age, "year"))
			for _, o := range u.Obstacles {
				words += " " + o.Words
			}
			p.para(words, "", bodySize)
		}
	}
	if len(due.Elsewhere) > 0 {
		p.heading("In other seasons of the year")
		for _, e := range due.Elsewhere {
			p.para(fmt.Sprintf("%s, %s acres, %s", printable(e.Unit, longName), e.Acres, printable(e.Season, longName)), "", bodySize)
		}
	}
}

func windows(u *view.SheetUnit) string {
	all := u.Windows
	if len(all) == 0 {
		return u.NoWindow.Short()
	}
	text := fmt.Sprintf("%s to %s", view.ShortDay(all[0].First), all[0].Last.Words())
	if len(all) > 1 {
		text += fmt.Sprintf("; %d more", len(all)-1)
	}
	return text
}

// unit fills one page, and another where it has more to say.
func (p *paper) unit(v *view.Sheet, u *view.SheetUnit) {
	p.part(fmt.Sprintf("%d  %s", u.Number, printable(u.Unit, longName)), 24, 11)
	line := u.Acres.String() + " acres"
	if u.Burned > 0 {
		line += ", " + u.Left.String() + " left to burn"
	}
	if u.Cover != "" {
		line += ", " + printable(u.Cover, longName)
	}
	line += fmt.Sprintf("; %s, %s", printable(habitat.SeasonWords(v.Due.Season, v.Due.Year), longName), view.BurnDays(u.BurnDays))
	p.font("", 12)
	p.in(structure.Paragraph, func() {
		p.CellFormat(textWidth, 6, p.fit(line, textWidth), "", 2, "L", false, 0, "")
	})
	p.band(u)
	if u.Wind != nil {
		p.windBox(u.Wind)
	}
	left, right := leftBlocks(u), rightBlocks(u)
	p.balance(&left, &right)
	p.columns(u.Unit, left, right)
}

// leftBlocks say when and why.
func leftBlocks(u *view.SheetUnit) []block {
	left := []block{{text: "When", title: true}}
	for _, w := range u.Windows {
		left = append(left, block{text: windowWords(w), bold: true})
	}
	if len(u.Windows) == 0 {
		left = append(left, block{text: "No window: " + u.NoWindow.Short() + ".", bold: true})
		if remedies := u.NoWindow.Remedies(); len(remedies) > 0 {
			left = append(left, block{text: "Would give windows (no advice):"})
			for _, words := range remedies {
				left = append(left, block{text: bullet + words})
			}
		}
	}
	if u.Rose != nil {
		for _, words := range u.Terms.OnSheet() {
			left = append(left, block{text: words})
		}
	}
	left = append(left, titled("Why this one", u.Plain)...)
	return append(left, titled("Sensitive places", u.Places)...)
}

// rightBlocks say what must be done before, and what is known of the ground.
func rightBlocks(u *view.SheetUnit) []block {
	right := []block{{text: "Before it burns", title: true}}
	switch {
	case u.TasksNote != "":
		right = append(right, block{text: u.TasksNote})
	case len(u.Tasks) > 0:
		right = append(right, block{text: fmt.Sprintf("Last working days for a burn on %s:", view.ShortDay(u.Tasks[0].For))})
	default:
		right = append(right, block{text: "No task is listed."})
	}
	for _, t := range u.Tasks {
		b := block{text: t.Name, box: true, lead: view.ShortDay(t.By), isDone: !t.DoneOn.IsZero()}
		switch {
		case b.isDone:
			b.lead, b.text = "done", fmt.Sprintf("%s (%s)", t.Name, view.ShortDay(t.DoneOn))
		case t.State == "late":
			b.text += ": LATE"
		}
		right = append(right, b)
	}
	if u.Notes != "" {
		right = append(right, titled("Notes on it", []string{u.Notes})...)
	}
	return append(right, titled("Breaks", u.Breaks)...)
}

// titled gives lines below a title; nothing where there are none.
func titled(title string, lines []string) []block {
	if len(lines) == 0 {
		return nil
	}
	blocks := []block{{text: title, title: true}}
	for _, words := range lines {
		if words != "" {
			blocks = append(blocks, block{text: words})
		}
	}
	return blocks
}

func windowWords(w view.WindowRow) string {
	words := fmt.Sprintf("%s to %s: ", view.ShortDay(w.First), view.ShortDay(w.Last))
	days := quantity.Count(w.UsableDays, "usable day")
	if w.Expected == nil {
		return words + days
	}
	words += fmt.Sprintf("%s of %s expected", quantity.Group(*w.Expected, 1), days)
	if w.StartHour != "" {
		words += ", usual start " + w.StartHour
	}
	return words
}

// Measures of the band over a unit's columns.
const (
	roseSide  = 47.0
	limitWide = 81.0
	bandGap   = 3.0
)

// band sets the rose of winds and what it says beside the box of limits.
func (p *paper) band(u *view.SheetUnit) {
	top := p.GetY() + 1.5
	x, width, end := side, textWidth-limitWide-bandGap, top
	if u.Rose != nil {
		p.figure(u.Rose.InWords(), func() { p.rose(u.Rose, side+roseSide/2, top+roseSide/2, roseSide/2-6.5) })
		x, width, end = side+roseSide+bandGap, width-roseSide-bandGap, top+roseSide
	}
	y := top
	p.font("B", 12)
	p.SetXY(x, y)
	p.in(structure.Heading3, func() {
		p.CellFormat(width, lineHeight(12), "Winds", "", 0, "L", false, 0, "")
	})
	y += lineHeight(12) + 0.8
	if u.Rose == nil {
		y = p.lines(x, y, width, "Neither a shape nor a depth is known, so nobody can say which winds suit.", "", bodySize)
		for _, words := range u.Terms.Brief() {
			y = p.lines(x, y, width, words, "", bodySize)
		}
	} else {
		for _, l := range u.Rose.Lines {
			inset := 0.0
			if l.Kind != "" {
				p.swatch(l.Kind, x+1, y+0.9)
				inset = 7
			}
			y = p.lines(x+inset, y, width-inset, l.Words, "", bodySize) + 0.8
		}
	}
	end = max(end, y)
	p.SetXY(side, max(end, p.limitBox(u, side+textWidth-limitWide, top, limitWide)))
}

// lines sets a paragraph into a width from a height on and gives where it ends.
func (p *paper) lines(x, y, width float64, text, style string, size float64) float64 {
	return p.linesAs(structure.Paragraph, x, y, width, text, style, size)
}

// linesAs sets a text as an element of a role.
func (p *paper) linesAs(role structure.Role, x, y, width float64, text, style string, size float64) float64 {
	p.font(style, size)
	p.in(role, func() {
		for _, line := range p.split(printable(text, longText), width) {
			p.SetXY(x, y)
			p.CellFormat(width, lineHeight(size), line, "", 0, "L", false, 0, "")
			y += lineHeight(size)
		}
	})
	return y
}

// limitBox sets the limits of the prescription into one box and gives where it ends.
func (p *paper) limitBox(u *view.SheetUnit, x, top, width float64) float64 {
	const label = 29.5
	y := top + 1.2
	title := "Limits"
	if u.Terms.Prescription != "" {
		title += ": " + printable(u.Terms.Prescription, 60)
	}
	y = p.linesAs(structure.Heading3, x+2, y, width-4, title, "B", bodySize) + 0.5
	p.in(structure.Table, func() {
		for _, row := range u.Limits {
			p.in(structure.Row, func() {
				p.font("", bodySize)
				p.SetXY(x+2, y)
				p.tableCell(true, "Row", func() {
					p.CellFormat(label, lineHeight(bodySize), row.Limit, "", 0, "L", false, 0, "")
				})
				y = p.linesAs(structure.DataCell, x+2+label, y, width-4-label, row.Value, "B", bodySize)
			})
		}
	})
	if len(u.Limits) == 0 {
		y = p.lines(x+2, y, width-4, "No prescription is loaded: write the limits of the signed plan here.", "", bodySize)
		for range 5 {
			y += 7
			p.Line(x+3, y, x+width-3, y)
		}
		y += 2
	}
	y = p.lines(x+2, y+0.4, width-4, "The signed plan sets the limits that hold.", "", bodySize) + 1.2
	p.SetLineWidth(0.6)
	p.Rect(x, top, width, y-top, "D")
	p.SetLineWidth(0.2)
	return y
}

// windBox says what the wind means that the sheet is made for.
func (p *paper) windBox(w *view.DayWind) {
	y := p.GetY() + 1.5
	top := y
	y += 1
	for i, words := range w.Lines() {
		y = p.lines(side+2, y, textWidth-4, words, map[bool]string{true: "B"}[i == 0], bodySize)
	}
	y++
	p.Rect(side, top, textWidth, y-top, "D")
	p.SetXY(side, y)
}

// day sets what every burn of the season needs on its day: whom to call, what to have
// on site, readings, and what follows.
func (p *paper) day(v *view.Sheet) {
	p.part("On the day", 24, 11)
	p.para("One copy for each burn. Unit: ________________  Date: ____________  In charge: ________________", "", bodySize)
	left := []block{{text: "Call, in this order", title: true}}
	for i, c := range v.Contacts {
		left = append(left, block{text: view.ContactWords(i+1, c)})
	}
	right := []block{{text: "After it has burned", title: true}}
	for _, t := range v.After {
		right = append(right, block{text: t.Name + ": " + t.When, box: true})
	}
	if len(v.After) == 0 {
		right = append(right, block{text: "No task is listed."})
	}
	p.columns("On the day", left, right)
	p.onSite(v)
	// Heading and lines stand on one page; one that holds nothing else has room for a long
	// burn.
	rows := v.ReadingRows
	if p.headingOver("Weather on the day", float64(rows)*readingHeight+readingHead) {
		rows *= 4
	}
	p.readingsIn(rows, bodySize)
}

// mostInWords is for how many units the numbers of what to have on site stand in words,
// mostOnSite for how many side by side in a table.
const (
	mostInWords = 4
	mostOnSite  = 6
)

// onSite lists what to have on site: in two columns, or in tables with a column a unit.
func (p *paper) onSite(v *view.Sheet) {
	const note = "Common practice, no source: the signed burn plan says how many."
	if len(v.Units) <= mostInWords {
		var items []block
		for _, line := range v.OnSite {
			items = append(items, block{text: line.Words, box: true})
		}
		half := (len(items) + 1) / 2
		title := "Have on site"
		if len(v.Units) > 1 {
			title += ", (1) for unit 1 and so on"
		}
		p.columns(title, append([]block{{text: title, title: true}}, items[:half]...), append([]block{{text: " ", title: true}}, items[half:]...))
		p.para(note, "", bodySize)
		return
	}
	for from := 0; from < len(v.Units); from += mostOnSite {
		upTo := min(len(v.Units), from+mostOnSite)
		p.headingOver("Have on site", 20)
		var names []string
		cells := []column{{"", 0, "L"}}
		for i := from; i < upTo; i++ {
			names = append(names, fmt.Sprintf("%d %s", v.Units[i].Number, printable(v.Units[i].Unit, 30)))
			cells = append(cells, column{fmt.Sprint(v.Units[i].Number), 15, "R"})
		}
		cells[0].width = textWidth - 15*float64(upTo-from)
		cells[0].head = "for " + strings.Join(names, ", ")
		var rows [][]string
		for _, line := range v.OnSite {
			name := line.Name
			if line.Unit != "" {
				name += ", " + line.Unit
			}
			rows = append(rows, append([]string{emptyBox + "  " + name}, line.Counts[from:upTo]...))
		}
		p.table(cells, rows, bodySize, 0)
	}
	p.para(note, "", bodySize)
}
