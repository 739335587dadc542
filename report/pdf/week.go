package pdf

import (
	"fmt"
	"io"
	"slices"

	"emberquilt/report/pdf/structure"
	"emberquilt/report/view"
)

// Week writes what seven days ask for: one page, as long as it has room.
func Week(w io.Writer, v *view.Week) error {
	p := newPaper("This week", "", v.Stamp)
	p.AddPage()
	p.mainHeading(v.Stamp.Property, 18, 9)
	p.para(fmt.Sprintf("%s to %s", v.First.Words(), v.Last.Words()), "", 12)
	p.SetXY(side, p.GetY()+2)
	p.cautions(v.Cautions)
	p.heading("Windows open this week")
	if len(v.Open) == 0 {
		p.para(view.NoOpenWindow, "", 10)
	}
	p.in(structure.List, func() {
		for _, line := range v.OpenLines() {
			p.box(printable(line, 4*longLine), 10)
		}
	})
	for _, line := range slices.Concat(v.Gone, v.Held) {
		p.para(printable(line, longLine), "", 10)
	}
	p.heading("Who burns")
	for _, words := range v.Crew.Words {
		p.para(printable(words, longLine), "", 9)
	}
	p.heading("To do")
	if len(v.Tasks) == 0 {
		p.para(view.NothingToDo, "", 10)
	}
	p.in(structure.List, func() {
		for _, t := range v.ByTask() {
			p.box(printable(t.Words(), longLine), 8.5)
		}
	})
	p.heading("What slipped")
	if len(v.Slipped) == 0 {
		p.para(view.NothingSlipped, "", 10)
	}
	for _, line := range v.SlippedLines() {
		p.para(printable(line, 2*longLine), "", 8.5)
	}
	for _, u := range v.Unfinished {
		p.para(printable(u.Unit+": "+u.Words, longLine), "", 8.5)
	}
	p.heading("Budget")
	for _, line := range v.Budget.Words {
		p.para(line, "", 9)
	}
	for _, warning := range v.Warnings {
		p.para("Weather record: "+printable(warning, longLine)+".", "", 10)
	}
	return p.write(w)
}

// longLine is how much of a line of the week is printed.
const longLine = 400
