package pdf

import "fmt"

// block is a part of a column: a title, or a text with or without a box before it.
type block struct {
	text  string
	title bool
	box   bool
	bold  bool
	// lead stands before the text of a box, in a column of its own; isDone checks the
	// box.
	lead   string
	isDone bool
}

// Measures of columns.
const (
	columnGap = 8.0
	boxInset  = 5.5
	leadWide  = 25.0
	// longBlock cuts one text of a column, so that a page always holds it.
	longBlock = 700
)

// columns sets two columns of blocks below what stands on the page, and goes on on
// other pages where they do not fit. The page then stands below the longer one.
func (p *paper) columns(name string, left, right []block) {
	const width = (textWidth - columnGap) / 2
	for {
		top := p.GetY() + 1
		restLeft, endLeft := p.column(left, side, top, width)
		restRight, endRight := p.column(right, side+width+columnGap, top, width)
		p.SetXY(side, max(endLeft, endRight))
		if len(restLeft)+len(restRight) == 0 {
			return
		}
		left, right = restLeft, restRight
		p.AddPage()
		p.font("B", 14)
		p.CellFormat(textWidth, 8, p.fit(fmt.Sprintf("%s, continued", printable(name, longName)), textWidth), "", 2, "L", false, 0, "")
	}
}

// balance moves the last titled part of a column that is too long for the page to the
// other one, where there is room for it.
func (p *paper) balance(left, right *[]block) {
	const width = (textWidth - columnGap) / 2
	space := pageHeight - bottomEdge - p.GetY() - 1
	for _, pair := range [][2]*[]block{{left, right}, {right, left}} {
		from, to := pair[0], pair[1]
		at := 0
		for i := range *from {
			if (*from)[i].title {
				at = i
			}
		}
		part := (*from)[at:]
		if at > 0 && p.height(*from, width) > space && p.height(*to, width)+p.height(part, width) <= space {
			*to = append(*to, part...)
			*from = (*from)[:at]
		}
	}
}

// titleHeight is that of a title in a column.
const titleHeight = 2.2 + 0.2 + 1

// height is that of blocks below each other.
func (p *paper) height(blocks []block, width float64) (total float64) {
	for i := range blocks {
		if blocks[i].title {
			total += titleHeight + lineHeight(bodySize+1.5)
			continue
		}
		lines, _ := p.blockLines(&blocks[i], width)
		total += float64(len(lines))*lineHeight(bodySize) + 0.7
	}
	return total
}

// blockLines breaks a block's text into lines and says how far they are set in.
func (p *paper) blockLines(b *block, width float64) (lines []string, inset float64) {
	if b.box {
		inset = boxInset
	}
	if b.lead != "" {
		inset += leadWide
	}
	p.font(map[bool]string{true: "B"}[b.bold], bodySize)
	return p.split(printable(b.text, longBlock), width-inset), inset
}

// column draws the blocks that fit on the page from a height on, and gives the others
// and where it ends. A title stays with what follows it.
func (p *paper) column(blocks []block, x, y, width float64) (rest []block, end float64) {
	const size = bodySize
	bottom := pageHeight - bottomEdge
	first := true
	for i := range blocks {
		b := &blocks[i]
		if b.title {
			next := 0.0
			if i+1 < len(blocks) {
				lines, _ := p.blockLines(&blocks[i+1], width)
				next = float64(len(lines)) * lineHeight(size)
			}
			if !first && y+3+lineHeight(size+1.5)+1.2+next > bottom {
				return blocks[i:], y
			}
			y += 2.2
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
		lines, inset := p.blockLines(b, width)
		if !first && y+float64(len(lines))*lineHeight(size) > bottom {
			return blocks[i:], y
		}
		first = false
		if b.box {
			edge := size * 0.3
			at := y + (lineHeight(size)-edge)/2
			p.Rect(x+1, at, edge, edge, "D")
			if b.isDone {
				p.Line(x+1.6, at+edge/2, x+1+edge/2, at+edge-0.6)
				p.Line(x+1+edge/2, at+edge-0.6, x+0.6+edge, at+0.6)
			}
		}
		if b.lead != "" {
			p.font("B", size)
			p.SetXY(x+boxInset-1, y)
			p.CellFormat(leadWide, lineHeight(size), b.lead, "", 0, "L", false, 0, "")
		}
		p.font(map[bool]string{true: "B"}[b.bold], size)
		for _, line := range lines {
			p.SetXY(x+inset, y)
			p.CellFormat(width-inset, lineHeight(size), line, "", 0, "L", false, 0, "")
			y += lineHeight(size)
		}
		y += 0.7
	}
	return nil, y
}
