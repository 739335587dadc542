package pdf

import (
	"fmt"
	"io"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// Sheet writes the this-season sheet: a page that lists the units, then one
// page a unit.
func Sheet(w io.Writer, v *view.Sheet) error {
	p := newPaper("This-season sheet", "", v.Due.Stamp)
	p.AddPage()
	p.overview(v)
	for i := range v.Units {
		p.AddPage()
		p.unit(v, &v.Units[i])
	}
	return p.write(w)
}

func (p *paper) overview(v *view.Sheet) {
	due := v.Due
	p.font("B", 20)
	p.CellFormat(textWidth, 10, p.fit(printable(due.Stamp.Property, longName), textWidth), "", 2, "L", false, 0, "")
	days := ""
	if !due.First.IsZero() {
		days = fmt.Sprintf(", %s to %s", due.First.Words(), due.Last.Words())
	}
	p.para(fmt.Sprintf("%s%s; %s", habitat.SeasonWords(due.Season, due.Year), days, due.BurnYear), "", 12)
	p.SetXY(side, p.GetY()+2)
	p.cautions(due.Cautions)
	for _, warning := range due.Warnings {
		p.para("Weather record: "+printable(warning, 400)+".", "", 10)
	}
	p.heading("What burns this season")
	switch {
	case len(due.Units) == 0:
		p.para("No unit burns in this season.", "", 11)
	case len(v.Units) == 0:
		p.para("Every unit of this season has burned.", "", 11)
	default:
		var rows [][]string
		for _, u := range v.Units {
			state := "may wait"
			if u.OverdueIfRested {
				state = "last chance"
			}
			rows = append(rows, []string{u.Unit, u.Left.String(), u.Interval, fmt.Sprint(u.AgeBefore), windows(&u), state})
		}
		p.table([]column{{"Unit", 44, "L"}, {"Acres", 16, "R"}, {"Years", 15, "L"}, {"Since", 15, "R"}, {"Candidate windows", 68, "L"}, {"", 23.9, "L"}}, rows, 9.5, 0)
		p.para(fmt.Sprintf("%s acres left to burn in all. Years: how many years apart the burns are to be. Since: years since it burned, at the end of the year before. Last chance: the unit burns now or ends the year overdue.", due.Acres), "", 9)
	}
	for _, list := range []struct {
		title string
		units []view.BurnedUnit
	}{{"Burned this year", due.Burned}, {"Burned in part this year", due.Unfinished}} {
		if len(list.units) > 0 {
			p.heading(list.title)
		}
		for _, u := range list.units {
			p.para(fmt.Sprintf("%s (%s acres): %s", printable(u.Unit, longName), u.Acres, u.Words), "", 10)
		}
	}
	if len(due.Waiting) > 0 {
		p.heading("Overdue and not burned this year")
		for _, u := range due.Waiting {
			words := fmt.Sprintf("%s (%s acres) ends the year %s after its last burn.", printable(u.Unit, longName), u.Acres, quantity.Count(u.Age, "year"))
			for _, o := range u.Obstacles {
				words += " " + o.Words
			}
			p.para(words, "", 10)
		}
	}
	if len(due.Elsewhere) > 0 {
		p.heading("In other seasons of the year")
		for _, e := range due.Elsewhere {
			p.para(fmt.Sprintf("%s, %s acres, %s", printable(e.Unit, longName), e.Acres, printable(e.Season, longName)), "", 10)
		}
	}
	if v.Ground != nil {
		p.headingOver("Where: what burns is hatched", 55)
		p.ground(v.Ground, side, p.GetY()+1, textWidth, min(120, pageHeight-bottomEdge-p.GetY()-3))
	}
}

func windows(u *view.SheetUnit) string {
	all := u.Windows
	if len(all) == 0 {
		return u.NoWindow.Short()
	}
	text := ""
	for i, w := range all {
		if i > 0 {
			text += "; "
		}
		text += fmt.Sprintf("%s to %s", w.First.Words(), w.Last.Words())
	}
	return text
}

// block is a part of a column: a title, or a line with or without a box.
type block struct {
	text  string
	title bool
	box   bool
	bold  bool
}

// unit fills one page, in smaller type where a unit has much to say.
func (p *paper) unit(v *view.Sheet, u *view.SheetUnit) {
	p.font("B", 26)
	p.CellFormat(textWidth, 12, p.fit(printable(u.Unit, longName), textWidth), "", 2, "L", false, 0, "")
	line := u.Acres.String() + " acres"
	if u.Burned > 0 {
		line += ", " + u.Left.String() + " left to burn,"
	}
	if u.Cover != "" {
		line += " of " + printable(u.Cover, longName)
	}
	p.font("", 12)
	p.CellFormat(textWidth, 6, p.fit(line, textWidth), "", 2, "L", false, 0, "")
	p.font("", 11)
	p.CellFormat(textWidth, 6, p.fit(fmt.Sprintf("%s, %s", printable(habitat.SeasonWords(v.Due.Season, v.Due.Year), longName), view.BurnDays(u.BurnDays)), textWidth), "", 2, "L", false, 0, "")
	left := []block{{text: "Why this one", title: true}}
	for _, r := range u.Plain {
		left = append(left, block{text: r})
	}
	left = append(left, block{text: u.Waiting.Words})
	left = append(left, block{text: "When", title: true})
	for _, w := range u.Windows {
		left = append(left, block{text: windowWords(w), bold: true})
	}
	if len(u.Windows) == 0 {
		for i, words := range u.NoWindow.Lines() {
			left = append(left, block{text: words, bold: i == 0})
		}
	}
	for _, words := range u.Terms.Brief() {
		left = append(left, block{text: words})
	}
	left = append(left, block{text: "Before it burns", title: true})
	if u.TasksNote != "" {
		left = append(left, block{text: u.TasksNote})
	} else if len(u.Tasks) > 0 {
		left = append(left, block{text: fmt.Sprintf("Counted back from %s to days that are worked.", u.Tasks[0].For.Words())})
	}
	for _, t := range u.Tasks {
		left = append(left, block{text: taskWords(t), box: t.DoneOn.IsZero()})
	}
	if len(u.Tasks) == 0 {
		left = append(left, block{text: "No task is listed."})
	}
	right := []block{{text: "Have on site", title: true}}
	for _, item := range u.OnSite {
		right = append(right, block{text: item.Words, box: true})
	}
	right = append(right, block{text: "Common practice, no source: the signed burn plan says how many."}, block{text: "Call, in this order", title: true})
	for i, c := range v.Contacts {
		right = append(right, block{text: contactWords(i+1, c)})
	}
	right = append(right, titled("Breaks", u.Breaks)...)
	left = append(left, titled("Sensitive places", u.Places)...)
	const gap = 8.0
	width := (textWidth - gap) / 2
	top := p.GetY() + 2
	table := 13 + lineHeight(8) + 1.2 + 7.5*float64(v.ReadingRows)
	space := pageHeight - bottomEdge - table - top
	size := 10.5
	for ; size > 6.5 && max(p.height(left, width, size), p.height(right, width, size)) > space; size -= 0.25 {
	}
	p.column(left, side, top, width, size, space)
	p.column(right, side+width+gap, top, width, size, space)
	p.SetXY(side, top+space)
	p.heading("Weather on the day")
	p.readings(v.ReadingRows)
}

// titled gives lines below a title; nothing where there are none.
func titled(title string, lines []string) []block {
	if len(lines) == 0 {
		return nil
	}
	blocks := []block{{text: title, title: true}}
	for _, words := range lines {
		blocks = append(blocks, block{text: words})
	}
	return blocks
}

func windowWords(w view.WindowRow) string {
	words := fmt.Sprintf("%s to %s: %s", w.First.Words(), w.Last.Words(), quantity.Count(w.UsableDays, "usable day"))
	if w.Expected != nil {
		return words + fmt.Sprintf(", %s expected from past weather", view.BurnDays(*w.Expected))
	}
	return words + "; " + w.Basis
}

func taskWords(t view.TaskRow) string {
	switch t.State {
	case "done":
		return "done " + t.DoneOn.Words() + ": " + t.Name
	case "late":
		return "LATE, by " + t.By.Words() + ": " + t.Name
	}
	return "by " + t.By.Words() + ": " + t.Name
}

func contactWords(number int, c habitat.Contact) string {
	name, phone := c.Name, c.Phone
	if phone == "" {
		phone = "______________"
	}
	words := fmt.Sprintf("%d. %s", number, c.Role)
	if name != "" {
		words += ", " + name
	}
	words += ": " + phone
	if c.When != "" {
		words += " (" + c.When + ")"
	}
	return words
}

// longBlock cuts one line of a column, so that a page always fits.
const longBlock = 220

func (p *paper) blockLines(b block, width, size float64) []string {
	style, inset := "", 0.0
	if b.bold {
		style = "B"
	}
	if b.box {
		inset = 5
	}
	p.font(style, size)
	return p.split(printable(b.text, longBlock), width-inset)
}

func (p *paper) height(blocks []block, width, size float64) float64 {
	total := 0.0
	for _, b := range blocks {
		if b.title {
			total += 3 + lineHeight(size+1.5) + 1.2
			continue
		}
		total += float64(len(p.blockLines(b, width, size)))*lineHeight(size) + 0.8
	}
	return total
}

// column draws the blocks that fit into a space and says when some do not.
func (p *paper) column(blocks []block, x, y, width, size, space float64) {
	end := y + space
	for i, b := range blocks {
		if b.title {
			y += 3
			p.font("B", size+1.5)
			p.SetXY(x, y)
			p.CellFormat(width, lineHeight(size+1.5), b.text, "", 0, "L", false, 0, "")
			y += lineHeight(size+1.5) + 0.2
			p.SetLineWidth(0.4)
			p.Line(x+1, y, x+width, y)
			p.SetLineWidth(0.2)
			y++
			continue
		}
		lines := p.blockLines(b, width, size)
		if y+float64(len(lines))*lineHeight(size) > end-lineHeight(size) && i < len(blocks)-1 {
			p.font("B", size)
			p.SetXY(x, y)
			p.CellFormat(width, lineHeight(size), fmt.Sprintf("… and %d more lines in the program book", len(blocks)-i), "", 0, "L", false, 0, "")
			return
		}
		inset := 0.0
		if b.box {
			edge := size * 0.3
			p.Rect(x+1, y+(lineHeight(size)-edge)/2, edge, edge, "D")
			inset = 5
		}
		for _, line := range lines {
			p.SetXY(x+inset, y)
			p.CellFormat(width-inset, lineHeight(size), line, "", 0, "L", false, 0, "")
			y += lineHeight(size)
		}
		y += 0.8
	}
}
