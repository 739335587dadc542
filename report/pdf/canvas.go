package pdf

import (
	"codeberg.org/go-pdf/fpdf"

	"emberquilt/report/pdf/structure"
)

// canvas is the library's page, whose text and lines go into the paper's structure. Every
// method of the library by which the papers draw is here, so that nothing is drawn that is
// neither content nor an artifact, and so that figures and tables know where they lie.
type canvas struct {
	*fpdf.Fpdf
	tree *structure.Tree
	// clips bound what is drawn, each within the one before.
	clips []structure.Box
}

func newCanvas() canvas {
	f := fpdf.New("P", "mm", "Letter", "")
	return canvas{Fpdf: f, tree: structure.NewTree(f.RawWriteStr)}
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
	c.Fpdf.AddPage()
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
