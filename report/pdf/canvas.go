package pdf

import (
	"cmp"
	"errors"

	"codeberg.org/go-pdf/fpdf"

	"emberquilt/report/pdf/structure"
)

// canvas is the library's page, whose text and lines go into the paper's structure. Every
// method of the library by which the papers draw is here, so that nothing is drawn that is
// neither content nor an artifact, and so that figures and tables know where they lie.
type canvas struct {
	// Fpdf is what is drawn on: whole, or leaf.
	*fpdf.Fpdf
	tree *structure.Tree
	// whole is the library's document: the first pages, as many as mostHeld, and an empty one
	// for each that is a leaf, so that it knows the number of each page.
	whole *fpdf.Fpdf
	// leaf is the one under way, nil before the first.
	leaf   *leaf
	leaves leaves
	// header and footer draw what stands at the edges of a page.
	header, footer func()
	// clips bound what is drawn, each within the one before.
	clips []structure.Box
}

func newCanvas() *canvas {
	c := &canvas{Fpdf: fpdf.New("P", "mm", "Letter", "")}
	c.whole = c.Fpdf
	c.tree = structure.NewTree(func(operators string) { c.RawWriteStr(operators) })
	return c
}

// setEdges sets what is drawn at the edges of each page.
func (c *canvas) setEdges(header, footer func()) {
	c.header, c.footer = header, footer
	c.whole.SetHeaderFunc(header)
	c.whole.SetFooterFunc(footer)
}

// cover says that a rectangle of the page is drawn in, in millimeters from its left upper
// corner; what is clipped off it is not.
func (c *canvas) cover(left, top, right, bottom float64) {
	if box := c.clipped(left, top, right, bottom); box.Left < box.Right && box.Bottom < box.Top {
		c.tree.Cover(box)
	}
}

func (c *canvas) clipped(left, top, right, bottom float64) structure.Box {
	box := structure.Box{Left: points(left), Bottom: points(pageHeight - bottom), Right: points(right), Top: points(pageHeight - top)}
	if len(c.clips) > 0 {
		clip := c.clips[len(c.clips)-1]
		box = structure.Box{Left: max(box.Left, clip.Left), Bottom: max(box.Bottom, clip.Bottom), Right: min(box.Right, clip.Right), Top: min(box.Top, clip.Top)}
	}
	return box
}

// coverLine covers what a line within a rectangle draws.
func (c *canvas) coverLine(x1, y1, x2, y2 float64) {
	half := c.GetLineWidth() / 2
	c.cover(min(x1, x2)-half, min(y1, y2)-half, max(x1, x2)+half, max(y1, y2)+half)
}

// AddPage begins a page.
func (c *canvas) AddPage() {
	c.tree.Stop()
	if c.Error() != nil || c.whole.PageCount() < mostHeld {
		c.Fpdf.AddPage()
		return
	}
	next := newLeaf(c.Fpdf) // before the footer, which sets type and colors of its own
	c.footer()
	c.endLeaf()
	c.whole.SetHeaderFunc(nil)
	c.whole.SetFooterFunc(nil)
	c.whole.AddPage()
	c.leaf, c.Fpdf = next, next.Fpdf
	c.SetHeaderFunc(c.header)
	c.Fpdf.AddPage()
}

// endLeaf ends the leaf under way, if there is one.
func (c *canvas) endLeaf() {
	if c.leaf == nil {
		return
	}
	content, err := c.leaf.content()
	if err == nil {
		err = c.leaves.add(content)
	}
	c.whole.SetError(cmp.Or(c.leaf.Error(), err))
	c.leaf, c.Fpdf = nil, c.whole
}

// end ends the last page and gives the library's file; nothing can be drawn after it. content
// gives the content of a page that the file does not hold, by its index, and nil for one that
// it does. It is nil itself where the file holds all.
func (c *canvas) end() (made []byte, content func(page int) ([]byte, error), err error) {
	if c.leaf != nil {
		if c.Error() == nil {
			c.tree.Stop()
			c.footer()
		}
		c.endLeaf()
	}
	count, held := c.whole.PageCount(), c.whole.PageCount()-len(c.leaves.packed)
	err = c.whole.Output((*taken)(&made))
	c.Fpdf, c.whole = nil, nil // they hold the types, and the pages once more
	if err != nil || len(c.leaves.packed) == 0 {
		return made, nil, err
	}
	c.leaves.packer = nil
	return made, func(page int) ([]byte, error) {
		if page < held {
			return nil, nil
		}
		return c.leaves.take(page-held, count)
	}, nil
}

// taken takes over what is written to it at once, without a copy: the library's buffer, of
// which it makes no further use.
type taken []byte

func (t *taken) Write(all []byte) (int, error) {
	if *t != nil {
		return 0, errors.New("the library wrote its file in parts")
	}
	*t = all
	return len(all), nil
}

// PageNo is the number of the page under way.
func (c *canvas) PageNo() int { return c.whole.PageNo() }

// Bookmark sets a bookmark at the height at which the page is.
func (c *canvas) Bookmark(text string, level int) { c.whole.Bookmark(text, level, c.GetY()) }

// AddUTF8FontFromBytes makes a type known.
func (c *canvas) AddUTF8FontFromBytes(family, style string, font []byte) {
	c.whole.AddUTF8FontFromBytes(family, style, font)
}

// CellFormat sets a text into a cell.
func (c *canvas) CellFormat(w, h float64, text, border string, ln int, align string, fill bool, link int, linkTo string) {
	if text != "" {
		c.tree.Text()
		c.cover(c.GetX(), c.GetY(), c.GetX()+w, c.GetY()+h)
	}
	c.Fpdf.CellFormat(w, h, text, border, ln, align, fill, link, linkTo)
}

// Text sets a text at a place.
func (c *canvas) Text(x, y float64, text string) {
	c.tree.Text()
	_, size := c.GetFontSize()
	c.cover(x, y-0.95*size, x+c.GetStringWidth(text), y+0.25*size) // the type's ascent and descent
	c.Fpdf.Text(x, y, text)
}

// Line draws a line.
func (c *canvas) Line(x1, y1, x2, y2 float64) {
	c.tree.Drawing()
	c.coverLine(x1, y1, x2, y2)
	c.Fpdf.Line(x1, y1, x2, y2)
}

// Rect draws a rectangle.
func (c *canvas) Rect(x, y, w, h float64, style string) {
	c.tree.Drawing()
	c.coverLine(x, y, x+w, y+h)
	c.Fpdf.Rect(x, y, w, h, style)
}

// Circle draws a circle.
func (c *canvas) Circle(x, y, r float64, style string) {
	c.tree.Drawing()
	c.coverLine(x-r, y-r, x+r, y+r)
	c.Fpdf.Circle(x, y, r, style)
}

// Polygon draws a polygon.
func (c *canvas) Polygon(points []fpdf.PointType, style string) {
	c.tree.Drawing()
	low, high := corners(points)
	c.coverLine(low.X, low.Y, high.X, high.Y)
	c.Fpdf.Polygon(points, style)
}

// MoveTo begins a path, which LineTo goes on with and DrawPath draws.
func (c *canvas) MoveTo(x, y float64) {
	c.tree.Drawing()
	c.coverLine(x, y, x, y)
	c.Fpdf.MoveTo(x, y)
}

// LineTo goes on with a path.
func (c *canvas) LineTo(x, y float64) {
	c.coverLine(x, y, x, y)
	c.Fpdf.LineTo(x, y)
}

// ClipRect bounds what is drawn until ClipEnd.
func (c *canvas) ClipRect(x, y, w, h float64, outline bool) {
	c.tree.Drawing()
	c.clips = append(c.clips, c.clipped(x, y, x+w, y+h))
	c.Fpdf.ClipRect(x, y, w, h, outline)
}

// ClipPolygon bounds what is drawn until ClipEnd.
func (c *canvas) ClipPolygon(points []fpdf.PointType, outline bool) {
	c.tree.Drawing()
	low, high := corners(points)
	c.clips = append(c.clips, c.clipped(low.X, low.Y, high.X, high.Y))
	c.Fpdf.ClipPolygon(points, outline)
}

// ClipEnd ends the last bound.
func (c *canvas) ClipEnd() {
	c.clips = c.clips[:max(0, len(c.clips)-1)]
	c.Fpdf.ClipEnd()
}
