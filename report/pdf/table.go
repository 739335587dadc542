package pdf

import (
	"slices"
	"strings"

	"emberquilt/report/pdf/structure"
)

// column is one column of a table.
type column struct {
	head  string
	width float64 // mm
	align string  // L, R or C
}

// table sets rows under a header that is repeated on every page. minimum is the
// least height of a row, for tables to be filled in by hand.
func (p *paper) table(columns []column, rows [][]string, size, minimum float64) {
	columns = p.numbersWhole(columns, rows, size)
	head := make([]string, len(columns))
	for i, c := range columns {
		head[i] = c.head
	}
	if len(rows) > 0 { // no header stands at the foot of a page alone, or over one row of many
		height := p.rowHeight(columns, head, "B", size, 0)
		for _, row := range rows[:min(2, len(rows))] {
			height += p.rowHeight(columns, row, "", size, minimum)
		}
		p.room(height)
	}
	p.in(structure.Table, func() {
		p.row(columns, head, "B", size, 0, true)
		for _, row := range rows {
			if height := p.rowHeight(columns, row, "", size, minimum); p.GetY()+height > pageHeight-bottomEdge {
				p.AddPage()
				p.tree.Suspend(structure.Repeated)
				p.row(columns, head, "B", size, 0, true)
				p.tree.Resume()
			}
			p.row(columns, row, "", size, minimum, false)
		}
	})
	p.SetXY(side, p.GetY()+2)
}

// leastText is how wide a column of texts stays in millimeters.
const leastText = 14.0

// numbersWhole widens columns of numbers until no number is broken, and takes what it
// needs from the widest column of texts.
func (p *paper) numbersWhole(columns []column, rows [][]string, size float64) []column {
	p.font("", size)
	all := slices.Clone(columns)
	for i := range all {
		if all[i].align != "R" {
			continue
		}
		var need float64
		for _, row := range rows {
			if !strings.Contains(row[i], " ") {
				// The cell's margins go off twice where its text is split.
				need = max(need, p.GetStringWidth(printable(row[i], longCell))+4*p.GetCellMargin()+0.1)
			}
		}
		widest := -1
		for j := range all {
			if all[j].align == "L" && (widest < 0 || all[j].width > all[widest].width) {
				widest = j
			}
		}
		if more := need - all[i].width; more > 0 && widest >= 0 {
			more = max(0, min(more, all[widest].width-leastText))
			all[i].width, all[widest].width = all[i].width+more, all[widest].width-more
		}
	}
	return all
}

func (p *paper) rowHeight(columns []column, texts []string, style string, size, minimum float64) float64 {
	p.font(style, size)
	lines := 1
	for i, c := range columns {
		lines = max(lines, len(p.cell(texts[i], c.width)))
	}
	return max(minimum, float64(lines)*lineHeight(size)+1.2)
}

// longCell is how much of a cell is printed: a reason that a unit has no window, at its
// longest, and no more of a name that somebody made to fill pages.
const longCell = 240

// cell breaks one cell's text into lines.
func (p *paper) cell(text string, width float64) []string {
	return p.split(printable(text, longCell), width)
}

func (p *paper) row(columns []column, texts []string, style string, size, minimum float64, head bool) {
	height := p.rowHeight(columns, texts, style, size, minimum)
	if head {
		p.room(height + 2*lineHeight(size))
	}
	p.font(style, size)
	x, y := p.GetX(), p.GetY()
	left := x
	set := func() {
		for i, c := range columns {
			p.SetXY(x, y+0.6)
			p.tableCell(head, "Column", func() {
				for _, line := range p.cell(texts[i], c.width) {
					width := c.width
					if strings.HasSuffix(line, " ") && c.align != "L" { // the space hangs over
						width += p.GetStringWidth(" ")
					}
					p.CellFormat(width, lineHeight(size), line, "", 2, c.align, false, 0, "")
				}
			})
			x += c.width
		}
	}
	// With cells that hold nothing.
	p.cover(left, y, left+total(columns), y+height)
	if p.tree.IsSuspended() { // the header once more
		set()
	} else {
		p.in(structure.Row, set)
	}
	p.SetLineWidth(0.15)
	if head {
		p.SetLineWidth(0.4)
	}
	p.Line(left, y+height, x, y+height)
	p.SetLineWidth(0.2)
	p.SetXY(left, y+height)
}

func total(columns []column) (width float64) {
	for _, c := range columns {
		width += c.width
	}
	return width
}

// tableCell sets a cell: one of a header for its column or its row, or one of data.
func (p *paper) tableCell(isHeader bool, scope string, set func()) {
	switch {
	case p.tree.IsSuspended():
		set()
	case isHeader:
		p.tree.In(structure.HeaderCell, structure.Attributes{Scope: scope}, set)
	default:
		p.in(structure.DataCell, set)
	}
}
