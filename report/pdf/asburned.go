package pdf

import (
	"fmt"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"emberquilt/report/pdf/structure"
	"emberquilt/report/view"
)

// Measures of maps with marks, in millimeters: those of years stand side by side.
const (
	burnedColumns  = 2
	burnedGap      = 6.0
	burnedTitle    = 5.0
	tallestBurned  = 78.0
	tallestOnePage = 54.0
	scaleHeight    = 9.0
)

// Sizes of the words on its units in points.
const (
	largestWords = 8.5
	leastWords   = 6.0
)

// asBurned draws what burned by fiscal year, and says it in a table.
func (p *paper) asBurned(v *view.AsBurned) {
	if v == nil {
		return
	}
	if m := v.Map; m != nil {
		p.markedMaps(v.Title, m, burnedColumns, tallestBurned)
	} else {
		p.heading(v.Title)
	}
	for _, text := range v.Notes {
		p.para(text, "", 8)
	}
	var rows [][]string
	for i := range v.Rows {
		r := &v.Rows[i]
		rows = append(rows, []string{r.FiscalYear.String(), r.Unit, r.Says, r.Drawn, r.Behind()})
	}
	p.SetY(p.GetY() + 1)
	p.table([]column{{"Year", 12, "L"}, {"Unit", 28, "L"}, {"What the map shows", 84, "L"}, {"Outline", 30, "L"}, {"By", 27.9, "L"}}, rows, 7.5, 0)
}

// contractUnits draws where work of the contract remains.
func (p *paper) contractUnits(c *view.ContractMap) {
	if c == nil {
		return
	}
	p.markedMaps("Map: the contract's units", c.Map, 1, tallestOnePage)
	for _, text := range c.Notes {
		p.para(text, "", 8)
	}
}

// markedMaps draws a map a year, so many side by side, their patterns explained below;
// one that stands alone has a scale bar.
func (p *paper) markedMaps(title string, m *view.Map, columns int, tallest float64) {
	width := (textWidth - float64(columns-1)*burnedGap) / float64(columns)
	g := &view.Ground{}
	for _, u := range m.Units {
		g.Units = append(g.Units, view.GroundUnit{Unit: u.Unit, Shape: u.Shape})
	}
	height := burnedHeight(g, width, tallest)
	numbered := map[int]bool{}
	for i := range m.Years {
		if i%columns == 0 {
			below := height + 2*burnedTitle
			if columns == 1 {
				below += scaleHeight
			}
			if i == 0 {
				p.headingOver(title, below+4)
			} else if p.room(below) {
				p.SetY(p.GetY() + 1)
			}
		}
		x, y := side+float64(i%columns)*(width+burnedGap), p.GetY()
		p.burnedYear(m, g, i, x, y, width, height, numbered)
		p.SetXY(side, y)
		if i%columns == columns-1 || i == len(m.Years)-1 {
			p.SetXY(side, y+burnedTitle+height+2)
		}
	}
	if columns == 1 {
		f := newFrame(g, side+1, 0, width-2, height-2)
		p.scaleBar(f, side+1, p.GetY()+4)
		p.SetXY(side, p.GetY()+scaleHeight-2)
	}
	p.burnedLegend(m)
	var key []string
	for i, u := range m.Units {
		if numbered[i] {
			key = append(key, fmt.Sprintf("%d %s", i+1, printable(u.Unit, 60)))
		}
	}
	if len(key) > 0 {
		p.para(strings.Join(key, "   "), "", 8)
	}
}

// burnedHeight is the height of a map of a width that the ground fills.
func burnedHeight(g *view.Ground, width, tallest float64) float64 {
	f := newFrame(g, 0, 0, width-2, 1e6)
	_, lowNorth, _, highNorth := f.bounds(g)
	return min(tallest, max(width/3, (highNorth-lowNorth)*f.scale+2))
}

// burnedYear draws one year.
func (p *paper) burnedYear(m *view.Map, g *view.Ground, at int, x, y, width, height float64, numbered map[int]bool) {
	year := &m.Years[at]
	p.SetXY(x, y)
	p.font("B", 9)
	head := max(14, p.GetStringWidth(year.Title)+5)
	p.in(structure.Paragraph, func() {
		p.CellFormat(head, burnedTitle, year.Title, "", 0, "L", false, 0, "")
		for size := 8.0; size >= leastWords; size -= 0.5 {
			if p.font("", size); p.GetStringWidth(year.Note) <= width-head-1 {
				break
			}
		}
		p.CellFormat(width-head, burnedTitle, p.fit(printable(year.Note, longName), width-head-1), "", 0, "L", false, 0, "")
	})
	p.figure(m.YearInWords(at), func() { p.burnedDrawing(m, g, at, x, y, width, height, numbered) })
}

func (p *paper) burnedDrawing(m *view.Map, g *view.Ground, at int, x, y, width, height float64, numbered map[int]bool) {
	year := &m.Years[at]
	top := y + burnedTitle
	f := newFrame(g, x+1, top+1, width-2, height-2)
	p.SetLineWidth(0.1)
	p.Rect(x, top, width, height, "D")
	p.ClipRect(x, top, width, height, false)
	for i := range m.Units {
		for _, polygon := range m.Units[i].Shape.Polygons {
			points := f.ring(polygon.Outer)
			p.markArea(points, m, year.States[i].Mark, 0.2)
			for _, hole := range polygon.Holes {
				p.SetFillColor(255, 255, 255)
				p.Polygon(f.ring(hole), "FD")
			}
		}
	}
	for _, o := range year.Outlines {
		for _, polygon := range o.Shape.Polygons {
			p.markArea(f.ring(polygon.Outer), m, o.Mark, 0.45)
		}
	}
	for i := range m.Units {
		p.burnedWords(f, m, i, year.States[i].Detail, x, x+width, numbered)
	}
	p.ClipEnd()
}

// markArea fills an area with the pattern of a mark.
func (p *paper) markArea(points []fpdf.PointType, m *view.Map, number int, edge float64) {
	mark, _ := m.MarkOf(number)
	p.SetFillColor(255, 255, 255)
	if mark.Pattern == view.Filled {
		p.SetFillColor(205, 205, 205)
	}
	p.Polygon(points, "F")
	switch mark.Pattern {
	case view.Hatched:
		p.hatchIn(points, 2.2, 0.2, 60, 60, 60)
	case view.Crossed:
		p.hatchIn(points, 2.6, 0.15, 60, 60, 60)
		p.strokesIn(points, 2.6, true)
	case view.Ruled:
		p.strokesIn(points, 1.6, false)
	case view.Dotted:
		p.dotsIn(points, 2)
	}
	p.SetLineWidth(edge)
	p.Polygon(points, "D")
	p.SetLineWidth(0.2)
}

// corners gives the least rectangle around points.
func corners(points []fpdf.PointType) (low, high fpdf.PointType) {
	low, high = points[0], points[0]
	for _, at := range points {
		low.X, low.Y = min(low.X, at.X), min(low.Y, at.Y)
		high.X, high.Y = max(high.X, at.X), max(high.Y, at.Y)
	}
	return low, high
}

// strokesIn draws lines so far apart inside a polygon: level ones, or ones that fall to
// the right.
func (p *paper) strokesIn(points []fpdf.PointType, apart float64, falling bool) {
	low, high := corners(points)
	p.ClipPolygon(points, false)
	p.SetLineWidth(0.15)
	p.SetDrawColor(100, 100, 100)
	if falling {
		fall := high.Y - low.Y
		for x := low.X - fall; x < high.X; x += apart {
			p.Line(x, low.Y, x+fall, high.Y)
		}
	} else {
		for y := low.Y; y < high.Y; y += apart {
			p.Line(low.X, y, high.X, y)
		}
	}
	p.SetDrawColor(0, 0, 0)
	p.SetLineWidth(0.2)
	p.ClipEnd()
}

// dotsIn fills a polygon with dots so far apart.
func (p *paper) dotsIn(points []fpdf.PointType, apart float64) {
	low, high := corners(points)
	p.ClipPolygon(points, false)
	p.SetFillColor(60, 60, 60)
	for row, y := 0, low.Y+apart/2; y < high.Y; row, y = row+1, y+apart {
		for x := low.X + apart/2 + float64(row%2)*apart/2; x < high.X; x += apart {
			p.Rect(x-0.25, y-0.25, 0.5, 0.5, "F")
		}
	}
	p.ClipEnd()
}

// burnedWords sets a unit's name over what became of it, or its number where the name
// does not fit; all of it stands between left and right, the edges of the map.
func (p *paper) burnedWords(f *frame, m *view.Map, i int, detail string, left, right float64, numbered map[int]bool) {
	label, ok := m.Units[i].Shape.Label()
	if !ok {
		return
	}
	at, room := f.at(label.At), 2.1*float64(label.Radius)*f.scale
	words := func(name string) []string {
		if detail == "" {
			return []string{name}
		}
		return []string{name, detail}
	}
	name, number := printable(m.Units[i].Unit, 40), fmt.Sprint(i+1)
	for _, one := range []string{name, number} {
		for size := largestWords; size >= leastWords; size -= 0.5 {
			if p.wordsFit(words(one), size, room) {
				p.stackedWords(at, words(one), size)
				numbered[i] = numbered[i] || one == number
				return
			}
		}
	}
	// What became of it stands there in any case, past the edge of the unit if it must.
	const size, edge = leastWords - 0.5, 1
	half := 0.0
	for k, line := range words(number) {
		p.font(map[bool]string{true: "B"}[k == 0], size)
		half = max(half, p.GetStringWidth(line)/2+edge)
	}
	at.X = max(left+half, min(right-half, at.X))
	p.stackedWords(at, words(number), size)
	numbered[i] = true
}

func (p *paper) wordsFit(lines []string, size, room float64) bool {
	if float64(len(lines))*size*0.42 > room {
		return false
	}
	p.font("B", size)
	for _, line := range lines {
		if p.GetStringWidth(line) > room {
			return false
		}
	}
	return true
}

// stackedWords sets lines around a point, each on white.
func (p *paper) stackedWords(at fpdf.PointType, lines []string, size float64) {
	step := size * 0.42
	y := at.Y - step*float64(len(lines)-1)/2
	for k, line := range lines {
		p.font(map[bool]string{true: "B"}[k == 0], size)
		p.mapName(fpdf.PointType{X: at.X, Y: y}, line, size, true)
		y += step
	}
}

// burnedLegend explains the patterns that were drawn.
func (p *paper) burnedLegend(m *view.Map) {
	p.room(6)
	x, y := side, p.GetY()
	p.font("", 8)
	p.in(structure.List, func() {
		for _, number := range m.UsedMarks() {
			mark, _ := m.MarkOf(number)
			wide := 10 + p.GetStringWidth(mark.Text) + 5
			if x > side && x+wide > side+textWidth {
				x, y = side, y+5
			}
			sample := []fpdf.PointType{{X: x, Y: y + 0.7}, {X: x + 7, Y: y + 0.7}, {X: x + 7, Y: y + 4}, {X: x, Y: y + 4}}
			p.item(string(mark.Pattern)+": ", func() { p.markArea(sample, m, number, 0.2) }, func() { p.Text(x+8.5, y+3.4, mark.Text) })
			x += wide
		}
	})
	p.SetXY(side, y+6)
}
