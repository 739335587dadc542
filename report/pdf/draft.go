package pdf

import (
	"io"

	"emberquilt/habitat"
	"emberquilt/report/pdf/structure"
	"emberquilt/report/view"
)

// Draft writes a burn plan draft: known fields filled, blank lines where only
// the person responsible can write, every box empty.
func Draft(w io.Writer, v *view.Draft) error {
	p := newPaper("Burn plan draft", view.DraftMark, v.Stamp)
	p.AddPage()
	p.mainHeading("Burn plan for "+v.Unit, 18, 9)
	p.para(v.Stamp.Property+" · "+habitat.SeasonWords(v.Season, v.Year), "", 10)
	p.para("A draft from stored records. It becomes a plan when a certified person has completed, checked and signed it.", "B", 9)
	if v.Note != "" {
		p.para(v.Note, "B", 9)
	}
	p.SetXY(side, p.GetY()+1)
	p.cautions(v.Cautions)
	for _, s := range v.Sections {
		p.headingOver(s.Title, p.fieldHeight(s.Fields[0]))
		p.in(structure.Table, func() {
			for _, f := range s.Fields {
				p.in(structure.Row, func() { p.field(f) })
			}
		})
	}
	p.heading("Notification")
	var rows [][]string
	for _, c := range v.Contacts {
		rows = append(rows, []string{c.Role, c.Name, c.Phone, c.When, "", ""})
	}
	rows = append(rows, make([]string, 6), make([]string, 6))
	p.table([]column{{"Who", 40, "L"}, {"Name", 32, "L"}, {"Phone", 28, "L"}, {"When to call", 32, "L"}, {"Date and time called", 27, "L"}, {"Person told", 22.9, "L"}}, rows, 8, 9)
	p.heading("Go or no-go, checked by the burn boss on the day")
	p.para("Every box is empty on purpose. One box that stays empty means no-go.", "", 9)
	p.in(structure.List, func() {
		for _, question := range v.GoNoGo {
			p.box(question, 10)
		}
	})
	p.heading("Weather on the day")
	p.readings(v.ReadingRows)
	p.headingOver("Signatures", 5+signatureHeight*float64(len(v.Signatures)))
	p.para("Unsigned.", "B", 9)
	p.signatures(v.Signatures)
	sketch := 90.0
	if v.Ground != nil {
		sketch = 150 // names must be readable
	}
	p.room(sketch)
	p.heading("Sketch: unit, adjoining uses, hazards, breaks, firing sequence")
	height := pageHeight - bottomEdge - p.GetY() - 3
	if v.Ground != nil {
		height -= p.keyHeight(v.Ground, fieldSize)
	}
	p.Rect(side, p.GetY()+1, textWidth, height, "D")
	if v.Ground != nil {
		numbered := p.ground(v.Ground, side+2, p.GetY()+3, textWidth-4, height-4)
		p.SetXY(side, p.GetY()+3)
		p.key(numbered, fieldSize)
	}
	return p.write(w)
}

// labelWidth is that of the left column of a form.
const labelWidth = 52.0

// Measures of a form.
const (
	fieldSize   = 9.0
	blankHeight = 7.5
)

// fieldHeight is what a field needs on one page: its label and its blanks or
// boxes whole, of its words the first line.
func (p *paper) fieldHeight(f view.DraftField) float64 {
	p.font("B", 8)
	height := float64(len(p.split(printable(f.Label, 200), labelWidth))) * lineHeight(8)
	switch {
	case len(f.Lines) > 0:
		height = max(height, lineHeight(fieldSize))
	case f.Blank > 0:
		height = max(height, blankHeight*float64(f.Blank))
	case len(f.Boxes) > 0:
		height = max(height, float64((len(f.Boxes)+1)/2)*(lineHeight(fieldSize)+0.5))
	}
	return height + 2
}

// field sets a label beside what is known, or beside lines to write on.
func (p *paper) field(f view.DraftField) {
	const size = fieldSize
	p.room(p.fieldHeight(f))
	p.font("B", 8)
	label := p.split(printable(f.Label, 200), labelWidth)
	y := p.GetY() + 0.8
	p.SetXY(side, y)
	p.font("B", 8)
	p.tableCell(true, "Row", func() {
		for _, line := range label {
			p.CellFormat(labelWidth, lineHeight(8), line, "", 2, "L", false, 0, "")
		}
	})
	labelEnd, labelPage := p.GetY(), p.PageNo()
	p.SetXY(side+labelWidth, y)
	p.font("", size)
	p.in(structure.DataCell, func() {
		for _, text := range f.Lines {
			p.in(structure.Paragraph, func() {
				for _, line := range p.split(printable(text, longText), textWidth-labelWidth) {
					if p.room(lineHeight(size)) {
						p.font("", size)
					}
					p.SetX(side + labelWidth)
					p.CellFormat(textWidth-labelWidth, lineHeight(size), line, "", 2, "L", false, 0, "")
				}
			})
		}
		p.boxes(f.Boxes, size)
	})
	for range f.Blank {
		at := p.GetY() + blankHeight - 1
		p.SetDrawColor(120, 120, 120)
		p.Line(side+labelWidth+1, at, side+textWidth, at)
		p.SetDrawColor(0, 0, 0)
		p.cover(side, p.GetY(), side+textWidth, at)
		p.SetXY(side+labelWidth, p.GetY()+blankHeight)
	}
	end := p.GetY()
	if p.PageNo() == labelPage {
		end = max(end, labelEnd)
	}
	p.SetXY(side, end+0.8)
}

// boxes sets empty boxes in two columns beside the label.
func (p *paper) boxes(all []string, size float64) {
	const width = (textWidth - labelWidth) / 2
	half := (len(all) + 1) / 2
	top, end := p.GetY(), p.GetY()
	p.in(structure.List, func() {
		for i, text := range all {
			if i == half {
				p.SetY(top)
			}
			p.SetX(side + labelWidth + width*float64(i/max(half, 1)))
			p.boxAt(text, size, width)
			end = max(end, p.GetY())
		}
	})
	p.SetXY(side+labelWidth, end)
}

// box sets an empty box with its text over the whole width.
func (p *paper) box(text string, size float64) {
	p.SetX(side)
	p.boxAt(text, size, textWidth)
}

func (p *paper) boxAt(text string, size, width float64) {
	p.font("", size)
	x := p.GetX()
	lines := p.split(printable(text, longText), width-6)
	if p.room(float64(len(lines)) * lineHeight(size)) {
		p.font("", size)
	}
	y := p.GetY()
	edge := size * 0.3
	p.item(emptyBox, func() { p.Rect(x+1, y+(lineHeight(size)-edge)/2, edge, edge, "D") }, func() {
		p.SetXY(x+6, y)
		for _, line := range lines {
			p.CellFormat(width-6, lineHeight(size), line, "", 2, "L", false, 0, "")
		}
	})
	p.SetXY(x, p.GetY()+0.5)
}

// readings sets a blank weather table.
func (p *paper) readings(count int) { p.readingsIn(count, 8) }

// Heights of the weather table in millimeters: of a blank line, and of its head with the
// heading above.
const (
	readingHeight = 7.5
	readingHead   = 14
)

func (p *paper) readingsIn(count int, size float64) {
	rows := make([][]string, count)
	for i := range rows {
		rows[i] = make([]string, 7)
	}
	p.table(
		[]column{
			{"Time", 20, "L"},
			{"Temp. °F", 27, "L"},
			{"Humidity %", 24, "L"},
			{"Wind mph", 24, "L"},
			{"Wind from", 24, "L"},
			{"Cloud, remarks", 40, "L"},
			{"Read by", 22.9, "L"},
		},
		rows,
		size,
		readingHeight,
	)
}
