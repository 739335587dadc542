package pdf

import (
	"fmt"
	"io"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"codeberg.org/go-fonts/dejavu/dejavusansbold"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"codeberg.org/go-pdf/fpdf"

	"emberquilt/report/view"
)

// Measures of the page in millimeters.
const (
	pageWidth  = 215.9
	pageHeight = 279.4
	side       = 17.0
	topEdge    = 22.0
	bottomEdge = 21.0
	textWidth  = pageWidth - 2*side
)

// pages stands for the number of pages until it is known. It lies in the
// private use area, which printable never lets through.
const pages = "\uE0FE\uE0FF"

// Lengths to which a user's text is cut.
const (
	longName = 90
	longText = 700
)

// paper is one PDF in the making.
type paper struct {
	*fpdf.Fpdf
	stamp view.Stamp
	title string
	// mark stands on every page, such as "DRAFT – unsigned"; empty for none.
	mark string
	// family is the type in use.
	family string
}

func newPaper(title, mark string, stamp view.Stamp) *paper {
	p := &paper{Fpdf: fpdf.New("P", "mm", "Letter", ""), stamp: stamp, title: title, mark: mark, family: "text"}
	p.SetCatalogSort(true)
	p.SetCompression(true)
	p.SetCreationDate(stamp.On.Time())
	p.SetModificationDate(stamp.On.Time())
	p.SetProducer(printable("emberquilt "+stamp.Program, longName), true)
	p.SetCreator("emberquilt", true)
	p.SetLang("en")
	p.SetTitle(printable(title+", "+stamp.Property, 2*longName), true)
	p.AddUTF8FontFromBytes("text", "", dejavusans.TTF)
	p.AddUTF8FontFromBytes("text", "B", dejavusansbold.TTF)
	p.AliasNbPages(pages)
	p.SetMargins(side, topEdge, side)
	p.SetAutoPageBreak(false, bottomEdge)
	p.SetHeaderFunc(p.header)
	p.SetFooterFunc(p.footer)
	return p
}

func (p *paper) header() {
	if p.mark != "" {
		// Pale, under everything, so that a copied page still says it.
		p.SetFont("text", "B", 62)
		p.SetTextColor(238, 238, 238)
		p.TransformBegin()
		p.TransformRotate(52, pageWidth/2, pageHeight/2)
		width := p.GetStringWidth(p.mark)
		p.Text((pageWidth-width)/2, pageHeight/2, p.mark)
		p.TransformEnd()
	}
	p.SetTextColor(0, 0, 0)
	p.SetXY(side, 10)
	p.font("B", 9)
	p.CellFormat(textWidth/2, 5, printable(p.title, longName), "", 0, "L", false, 0, "")
	p.font("", 9)
	right := p.fit(printable(p.stamp.Property, longName), textWidth/2-4)
	if p.mark != "" {
		right = p.mark
		p.font("B", 9)
	}
	p.CellFormat(textWidth/2, 5, right, "", 0, "R", false, 0, "")
	p.rule(16, 0.5)
	p.SetXY(side, topEdge)
}

func (p *paper) footer() {
	p.rule(pageHeight-18, 0.2)
	p.SetXY(side, pageHeight-17)
	p.font("", 7)
	p.SetTextColor(70, 70, 70)
	p.CellFormat(textWidth, 4, p.fit(view.CautionLine, textWidth), "", 2, "L", false, 0, "")
	left := fmt.Sprintf("%s · %s · program %s · %s", p.stamp.On.Words(), printable(p.stamp.Change(), 40), printable(p.stamp.Program, 20), printable(p.stamp.Property, longName))
	p.CellFormat(textWidth-30, 4, p.fit(left, textWidth-32), "", 0, "L", false, 0, "")
	p.CellFormat(30, 4, fmt.Sprintf("page %d of %s", p.PageNo(), pages), "", 0, "R", false, 0, "")
	p.SetTextColor(0, 0, 0)
}

// write finishes the paper.
func (p *paper) write(w io.Writer) error {
	if err := p.Output(w); err != nil {
		return fmt.Errorf("write the paper: %w", err)
	}
	return p.Error()
}

func (p *paper) font(style string, size float64) { p.SetFont(p.family, style, size) }

// setNarrow sets what follows in type that is a tenth narrower, so that a page holds
// more of it at the same height.
func (p *paper) setNarrow() {
	p.family = "narrow"
	p.AddUTF8FontFromBytes(p.family, "", dejavusanscondensed.TTF)
	p.AddUTF8FontFromBytes(p.family, "B", dejavusanscondensedbold.TTF)
}

func (p *paper) rule(y, width float64) {
	p.SetLineWidth(width)
	p.Line(side, y, pageWidth-side, y)
	p.SetLineWidth(0.2)
}

// lineHeight is that of a type size in points, in millimeters.
func lineHeight(size float64) float64 { return size * 0.3528 * 1.32 }

// fit shortens a text, with a mark, until it fits a width in the font that is
// set.
func (p *paper) fit(text string, width float64) string {
	runes := []rune(text)
	for n := len(runes); p.GetStringWidth(text) > width && n > 1; {
		n = min(n-1, int(float64(n)*width/p.GetStringWidth(text))+1)
		text = string(runes[:n-1]) + "…"
	}
	return text
}

// split breaks a text into lines of a width in the font that is set.
func (p *paper) split(text string, width float64) []string {
	if text == "" {
		return []string{""}
	}
	return p.SplitText(text, width-2*p.GetCellMargin())
}

// room starts a new page where less than a height is left on this one.
func (p *paper) room(height float64) bool {
	if p.GetY()+height <= pageHeight-bottomEdge {
		return false
	}
	p.AddPage()
	return true
}

// heading sets a section's title over a thin rule, with room for what follows.
func (p *paper) heading(text string) { p.headingOver(text, 11) }

// headingOver sets a heading on a page that has room for as many millimeters
// below it.
func (p *paper) headingOver(text string, below float64) {
	p.room(11 + below)
	p.SetY(p.GetY() + 3)
	p.font("B", 12)
	p.Bookmark(printable(text, longName), 0, -1)
	p.CellFormat(textWidth, 6.5, p.fit(printable(text, longName), textWidth), "", 2, "L", false, 0, "")
	p.rule(p.GetY(), 0.3)
	p.SetXY(side, p.GetY()+1.5)
}

// para sets a paragraph over the whole width.
func (p *paper) para(text, style string, size float64) {
	p.whole(printable(text, longText), style, size)
}

// whole sets a printable text of any length over the whole width.
func (p *paper) whole(text, style string, size float64) {
	p.font(style, size)
	for _, line := range p.split(text, textWidth) {
		p.room(lineHeight(size))
		p.font(style, size)
		p.SetX(side)
		p.CellFormat(textWidth, lineHeight(size), line, "", 2, "L", false, 0, "")
	}
}

// cautions sets the cautions in a box.
func (p *paper) cautions(lines []string) { p.cautionsIn(lines, 8.5) }

func (p *paper) cautionsIn(lines []string, size float64) {
	height := 3.0
	p.font("", size)
	var all []string
	if p.stamp.Overtaken != "" {
		all = p.split(p.stamp.Overtaken, textWidth-6)
	}
	for _, text := range p.stamp.LineList() {
		all = append(all, p.split(text, textWidth-6)...)
	}
	for _, line := range lines {
		all = append(all, p.split("– "+line, textWidth-6)...)
	}
	height += float64(len(all)) * lineHeight(size)
	p.room(height + 2)
	y := p.GetY() + 1
	p.SetLineWidth(0.6)
	p.Rect(side, y, textWidth, height, "D")
	p.SetLineWidth(0.2)
	p.SetXY(side+3, y+1.5)
	p.font("", size)
	for _, line := range all {
		p.CellFormat(textWidth-6, lineHeight(size), line, "", 2, "L", false, 0, "")
	}
	p.SetXY(side, y+height+2)
}
