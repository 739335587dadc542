package pdf

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strings"
	"unicode"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"codeberg.org/go-fonts/dejavu/dejavusansbold"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"

	"emberquilt/report/pdf/structure"
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
	*canvas
	stamp view.Stamp
	title string
	// mark stands on every page, such as "DRAFT – unsigned"; empty for none.
	mark string
	// family is the type in use.
	family string
	// level is that of the headings to come: 2 below the paper's own, 3 below one of
	// its parts.
	level int
	// entries are added to the dictionary of each page, where there are any.
	entries []string
}

func newPaper(title, mark string, stamp view.Stamp) *paper {
	p := &paper{canvas: newCanvas(), stamp: stamp, title: title, mark: mark, family: "text", level: 2}
	p.SetCatalogSort(true)
	p.SetCompression(false) // the structure's writer packs the pages
	p.SetCreationDate(stamp.On.Time())
	p.SetModificationDate(stamp.On.Time())
	p.SetProducer(printable(stamp.Program, longName), true)
	p.SetCreator("emberquilt", true)
	p.SetLang(language)
	p.SetTitle(printable(title+", "+stamp.Property, 2*longName), true)
	p.SetXmpMetadata(p.metadata(printable(title+", "+stamp.Property, 2*longName)))
	p.AddUTF8FontFromBytes("text", "", dejavusans.TTF)
	p.AddUTF8FontFromBytes("text", "B", dejavusansbold.TTF)
	p.AliasNbPages(pages)
	p.SetMargins(side, topEdge, side)
	p.SetAutoPageBreak(false, bottomEdge)
	p.setEdges(p.header, p.footer)
	return p
}

// language is that of the papers' own words.
const language = "en-US"

// metadata says in XML what the paper is (XMP, ISO 16684-1).
func (p *paper) metadata(title string) []byte {
	var b bytes.Buffer
	b.WriteString("<?xpacket begin=\"\ufeff\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n" +
		`<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">` +
		`<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">` +
		`<pdfuaid:part>1</pdfuaid:part>` + // testdata/pdfua checks that its rules hold
		`<dc:format>application/pdf</dc:format><dc:language><rdf:Bag><rdf:li>` + language + `</rdf:li></rdf:Bag></dc:language>` +
		`<dc:title><rdf:Alt><rdf:li xml:lang="x-default">`)
	if err := xml.EscapeText(&b, []byte(title)); err != nil {
		p.SetError(err)
	}
	on := p.stamp.On.Time().Format("2006-01-02")
	b.WriteString(`</rdf:li></rdf:Alt></dc:title><xmp:CreateDate>` + on + `</xmp:CreateDate><xmp:ModifyDate>` + on + `</xmp:ModifyDate>` +
		`<xmp:CreatorTool>emberquilt</xmp:CreatorTool></rdf:Description></rdf:RDF></x:xmpmeta>` + "\n<?xpacket end=\"r\"?>")
	return b.Bytes()
}

func (p *paper) header() {
	p.tree.NewPage()
	p.tree.Suspend(structure.Header)
	defer p.tree.Resume()
	if p.mark != "" {
		// Pale, under everything, so that a copied page still says it.
		p.SetFont("text", "B", 62)
		p.SetTextColor(238, 238, 238)
		p.tree.Text() // before what is turned begins
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
	p.tree.Suspend(structure.Footer)
	defer p.tree.Resume()
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
	made, content, err := p.end()
	if err == nil {
		err = p.tree.Write(w, made, structure.Additions{Entries: p.entries, Content: content})
	}
	if err != nil {
		return fmt.Errorf("write the paper: %w", err)
	}
	return nil
}

// in does something within an element.
func (p *paper) in(role structure.Role, do func()) { p.tree.In(role, structure.Attributes{}, do) }

// figure draws something that a text says for those who cannot see it.
func (p *paper) figure(alt string, draw func()) {
	p.tree.In(structure.Figure, structure.Attributes{Alt: printable(alt, longAlt)}, draw)
}

// longAlt is how much is said in place of a figure.
const longAlt = 2000

// item sets an item of a list: a sign before it and its text. isDone is that of a box.
func (p *paper) item(sign string, drawSign, body func()) {
	p.in(structure.Item, func() {
		if drawSign != nil {
			p.tree.In(structure.Label, structure.Attributes{Actual: sign}, drawSign)
		}
		p.in(structure.Body, body)
	})
}

// signed sets an item of a list whose lines begin with a sign: that is its label. cell sets a
// text into a line, so far from where the line begins.
func (p *paper) signed(sign string, lines []string, cell func(line int, inset float64, text string)) {
	p.in(structure.Item, func() {
		p.in(structure.Label, func() { cell(0, 0, sign) })
		p.in(structure.Body, func() {
			cell(0, p.GetStringWidth(sign), strings.TrimPrefix(lines[0], sign))
			for i, line := range lines[1:] {
				cell(i+1, 0, line)
			}
		})
	})
}

// The signs of boxes.
const (
	emptyBox   = "☐"
	checkedBox = "☑"
)

// mainHeading sets the paper's own heading.
func (p *paper) mainHeading(text string, size, height float64) {
	p.font("B", size)
	p.in(structure.Heading1, func() {
		p.CellFormat(textWidth, height, p.fit(printable(text, longName), textWidth), "", 2, "L", false, 0, "")
	})
}

// part begins a part of the paper, such as a unit's page, under a heading of its own. The
// headings in it are one level below.
func (p *paper) part(text string, size, height float64) {
	p.level = 3
	p.tree.OpenSection(1)
	p.font("B", size)
	p.Bookmark(printable(text, longName), 0)
	p.in(structure.Heading2, func() {
		p.CellFormat(textWidth, height, p.fit(printable(text, longName), textWidth), "", 2, "L", false, 0, "")
	})
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

// split breaks a text into lines of a width in the font that is set. A line that ends at
// a space keeps it, so that its last word and the next one are two for whoever reads the
// text aloud or copies it.
func (p *paper) split(text string, width float64) []string {
	if text == "" {
		return []string{""}
	}
	lines, rest := p.SplitText(text, width-2*p.GetCellMargin()), []rune(text)
	for i := range max(0, len(lines)-1) {
		if rest = rest[len([]rune(lines[i])):]; len(rest) > 0 && unicode.IsSpace(rest[0]) {
			lines[i], rest = lines[i]+" ", rest[1:]
		}
	}
	return lines
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
// below it, and reports whether that is a new one.
func (p *paper) headingOver(text string, below float64) (isNew bool) {
	isNew = p.room(11 + below)
	p.SetY(p.GetY() + 3)
	p.tree.OpenSection(p.level - 1)
	p.font("B", 12)
	p.Bookmark(printable(text, longName), p.level-2)
	p.in(headings[p.level], func() {
		p.CellFormat(textWidth, 6.5, p.fit(printable(text, longName), textWidth), "", 2, "L", false, 0, "")
	})
	p.rule(p.GetY(), 0.3)
	p.SetXY(side, p.GetY()+1.5)
	return isNew
}

// headings are the roles of headings by their level.
var headings = [...]structure.Role{1: structure.Heading1, structure.Heading2, structure.Heading3}

// para sets a paragraph over the whole width.
func (p *paper) para(text, style string, size float64) {
	p.whole(printable(text, longText), style, size)
}

// whole sets a printable text of any length over the whole width.
func (p *paper) whole(text, style string, size float64) {
	p.font(style, size)
	p.in(structure.Paragraph, func() {
		for _, line := range p.split(text, textWidth) {
			p.room(lineHeight(size))
			p.font(style, size)
			p.SetX(side)
			p.CellFormat(textWidth, lineHeight(size), line, "", 2, "L", false, 0, "")
		}
	})
}

// dash stands before a caution.
const dash = "– "

// cautions sets the cautions in a box.
func (p *paper) cautions(lines []string) { p.cautionsIn(lines, 8.5) }

func (p *paper) cautionsIn(lines []string, size float64) {
	height := 3.0
	p.font("", size)
	var plain, items [][]string
	count := 0
	add := func(to *[][]string, text string) {
		split := p.split(text, textWidth-6)
		*to = append(*to, split)
		count += len(split)
	}
	if p.stamp.Overtaken != "" {
		add(&plain, p.stamp.Overtaken)
	}
	for _, text := range p.stamp.LineList() {
		add(&plain, text)
	}
	for _, line := range lines {
		add(&items, dash+line)
	}
	height += float64(count) * lineHeight(size)
	p.room(height + 2)
	y := p.GetY() + 1
	p.SetLineWidth(0.6)
	p.Rect(side, y, textWidth, height, "D")
	p.SetLineWidth(0.2)
	p.SetXY(side+3, y+1.5)
	p.font("", size)
	set := func(lines []string) {
		for _, line := range lines {
			p.CellFormat(textWidth-6, lineHeight(size), line, "", 2, "L", false, 0, "")
		}
	}
	for _, lines := range plain {
		p.in(structure.Paragraph, func() { set(lines) })
	}
	p.in(structure.List, func() {
		for _, lines := range items {
			top := p.GetY()
			p.signed(dash, lines, func(line int, inset float64, text string) {
				p.SetXY(side+3+inset, top+float64(line)*lineHeight(size))
				p.CellFormat(textWidth-6-inset, lineHeight(size), text, "", 2, "L", false, 0, "")
			})
			p.SetXY(side+3, p.GetY())
		}
	})
	p.SetXY(side, y+height+2)
}
