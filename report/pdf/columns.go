package pdf

import (
	"fmt"
	"strings"

	"emberquilt/report/pdf/structure"
)

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

// columnWidth is that of each of two columns.
const columnWidth = (textWidth - columnGap) / 2

// Leadings of the text of a column: the usual one, and a closer one that is taken where
// it saves a page.
var leadings = [...]float64{lineHeight(bodySize), 0.87 * lineHeight(bodySize)}

// space is what the page leaves for columns.
func (p *paper) space() float64 { return pageHeight - bottomEdge - p.GetY() - 1 }

// columns sets two columns of blocks below what stands on the page, and goes on on
// other pages where they do not fit. The page then stands below the longer one.
func (p *paper) columns(name string, left, right []block) {
	leading := leadings[0]
	if closer := leadings[1]; !p.fits(left, right, leading) {
		switch runLeft, runRight := runOn(left), runOn(right); {
		case p.fits(left, right, closer):
			leading = closer
		case p.fits(runLeft, runRight, closer):
			left, right, leading = runLeft, runRight, closer
		}
	}
	for {
		top := p.GetY() + 1
		restLeft, endLeft := p.column(left, side, top, leading)
		restRight, endRight := p.column(right, side+columnWidth+columnGap, top, leading)
		p.SetXY(side, max(endLeft, endRight))
		if len(restLeft)+len(restRight) == 0 {
			return
		}
		left, right = restLeft, restRight
		p.AddPage()
		p.tree.Suspend(structure.Repeated)
		p.font("B", 14)
		p.CellFormat(textWidth, 8, p.fit(fmt.Sprintf("%s, continued", printable(name, longName)), textWidth), "", 2, "L", false, 0, "")
		p.tree.Resume()
	}
}

// bullet stands before the items of a list.
const bullet = "· "

// runOn sets the plain lines below each title as one text, which saves what is left of
// their last lines.
func runOn(blocks []block) (all []block) {
	for i := range blocks {
		b := blocks[i]
		isPlain := !b.title && !b.box && !b.bold && b.lead == ""
		if last := len(all) - 1; isPlain && last >= 0 && !all[last].title && !all[last].box && !all[last].bold && len(all[last].text)+len(b.text) < longBlock {
			before := all[last].text
			text, isItem := strings.CutPrefix(b.text, bullet)
			switch {
			case strings.HasSuffix(before, "."), strings.HasSuffix(before, ":"):
			case strings.HasPrefix(blocks[i-1].text, bullet) && !isItem: // a sentence after a list
				before += "."
			default:
				before += ";"
			}
			all[last].text = before + " " + text
			continue
		}
		all = append(all, b)
	}
	return all
}

// fits reports whether the page has room for two columns.
func (p *paper) fits(left, right []block, leading float64) bool {
	return max(p.height(left, leading), p.height(right, leading)) <= p.space()
}

// balance moves the last titled part of a column that is too long for the page to the
// other one, where there is room for it; with the closer leading, where the usual one
// leaves none.
func (p *paper) balance(left, right *[]block) {
	for _, leading := range leadings {
		for _, pair := range [][2]*[]block{{left, right}, {right, left}} {
			from, to := pair[0], pair[1]
			at := 0
			for i := range *from {
				if (*from)[i].title {
					at = i
				}
			}
			part := (*from)[at:]
			if at > 0 && p.height(*from, leading) > p.space() && p.height(*to, leading)+p.height(part, leading) <= p.space() {
				*to = append(*to, part...)
				*from = (*from)[:at]
			}
		}
	}
}

// titleHeight is that of a title in a column.
const titleHeight = 2.2 + 0.2 + 1

// height is that of blocks below each other.
func (p *paper) height(blocks []block, leading float64) (total float64) {
	for i := range blocks {
		if blocks[i].title {
			total += titleHeight + lineHeight(bodySize+1.5)
			continue
		}
		lines, _ := p.blockLines(&blocks[i])
		total += float64(len(lines))*leading + 0.7
	}
	return total
}

// blockLines breaks a block's text into lines and says how far they are set in.
func (p *paper) blockLines(b *block) (lines []string, inset float64) {
	if b.box {
		inset = boxInset
	}
	if b.lead != "" {
		inset += leadWide
	}
	p.font(map[bool]string{true: "B"}[b.bold], bodySize)
	return p.split(printable(b.text, longBlock), columnWidth-inset), inset
}

// column draws the blocks that fit on the page from a height on, and gives the others
// and where it ends. A title stays with what follows it.
func (p *paper) column(blocks []block, x, y, leading float64) (rest []block, end float64) {
	const size, width = bodySize, columnWidth
	bottom := pageHeight - bottomEdge
	first, inList := true, false
	list := func(is bool) {
		if is && !inList {
			p.tree.Open(structure.List, structure.Attributes{})
		} else if !is && inList {
			p.tree.Close()
		}
		inList = is
	}
	defer func() { list(false) }()
	for i := range blocks {
		b := &blocks[i]
		if b.title {
			list(false)
			next := 0.0
			if i+1 < len(blocks) {
				lines, _ := p.blockLines(&blocks[i+1])
				next = float64(len(lines)) * leading
			}
			if !first && y+3+lineHeight(size+1.5)+1.2+next > bottom {
				return blocks[i:], y
			}
			y += 2.2
			p.font("B", size+1.5)
			p.SetXY(x, y)
			if text := strings.TrimSpace(b.text); text != "" { // a title that goes on beside has none
				p.in(structure.Heading3, func() {
					p.CellFormat(width, lineHeight(size+1.5), text, "", 0, "L", false, 0, "")
				})
			}
			y += lineHeight(size+1.5) + 0.2
			p.SetLineWidth(0.4)
			p.Line(x+1, y, x+width, y)
			p.SetLineWidth(0.2)
			y++
			continue
		}
		lines, inset := p.blockLines(b)
		if !first && y+float64(len(lines))*leading > bottom {
			return blocks[i:], y
		}
		first = false
		set := func() {
			if b.lead != "" {
				p.font("B", size)
				p.SetXY(x+boxInset-1, y)
				p.CellFormat(leadWide, leading, b.lead, "", 0, "L", false, 0, "")
			}
			p.font(map[bool]string{true: "B"}[b.bold], size)
			for _, line := range lines {
				p.SetXY(x+inset, y)
				p.CellFormat(width-inset, leading, line, "", 0, "L", false, 0, "")
				y += leading
			}
		}
		switch isItem := strings.HasPrefix(b.text, bullet); {
		case b.box:
			list(true)
			p.item(boxSign(b.isDone), func() { p.columnBox(x, y, leading, b.isDone) }, set)
		case isItem:
			list(true)
			top := y
			p.font("", size)
			p.signed(bullet, lines, func(line int, inset float64, text string) {
				y = top + float64(line)*leading
				p.SetXY(x+inset, y)
				p.CellFormat(width-inset, leading, text, "", 0, "L", false, 0, "")
				y += leading
			})
		default:
			list(false)
			p.in(structure.Paragraph, set)
		}
		y += 0.7
	}
	return nil, y
}

// columnBox draws a box before a text of a column, checked where it is done.
func (p *paper) columnBox(x, y, leading float64, isDone bool) {
	const edge = bodySize * 0.3
	at := y + (leading-edge)/2
	p.Rect(x+1, at, edge, edge, "D")
	if isDone {
		p.Line(x+1.6, at+edge/2, x+1+edge/2, at+edge-0.6)
		p.Line(x+1+edge/2, at+edge-0.6, x+0.6+edge, at+0.6)
	}
}

func boxSign(isDone bool) string {
	if isDone {
		return checkedBox
	}
	return emptyBox
}
