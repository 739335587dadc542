package pdf

import (
	"codeberg.org/go-pdf/fpdf"

	"emberquilt/report/pdf/structure"
)

// canvas is the library's page, whose text and lines go into the paper's structure. Every
// method of the library by which the papers draw is here, so that nothing is drawn that is
// neither content nor an artifact.
type canvas struct {
	*fpdf.Fpdf
	tree *structure.Tree
}

func newCanvas() canvas {
	f := fpdf.New("P", "mm", "Letter", "")
	return canvas{f, structure.NewTree(f.RawWriteStr)}
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
	}
	c.Fpdf.CellFormat(w, h, text, border, ln, align, fill, link, linkTo)
}

// Text sets a text at a place.
func (c *canvas) Text(x, y float64, text string) {
	c.tree.Text()
	c.Fpdf.Text(x, y, text)
}

// Line draws a line.
func (c *canvas) Line(x1, y1, x2, y2 float64) {
	c.tree.Drawing()
	c.Fpdf.Line(x1, y1, x2, y2)
}

// Rect draws a rectangle.
func (c *canvas) Rect(x, y, w, h float64, style string) {
	c.tree.Drawing()
	c.Fpdf.Rect(x, y, w, h, style)
}

// Circle draws a circle.
func (c *canvas) Circle(x, y, r float64, style string) {
	c.tree.Drawing()
	c.Fpdf.Circle(x, y, r, style)
}

// Polygon draws a polygon.
func (c *canvas) Polygon(points []fpdf.PointType, style string) {
	c.tree.Drawing()
	c.Fpdf.Polygon(points, style)
}

// MoveTo begins a path, which LineTo goes on with and DrawPath draws.
func (c *canvas) MoveTo(x, y float64) {
	c.tree.Drawing()
	c.Fpdf.MoveTo(x, y)
}

// ClipRect bounds what is drawn until ClipEnd.
func (c *canvas) ClipRect(x, y, w, h float64, outline bool) {
	c.tree.Drawing()
	c.Fpdf.ClipRect(x, y, w, h, outline)
}

// ClipPolygon bounds what is drawn until ClipEnd.
func (c *canvas) ClipPolygon(points []fpdf.PointType, outline bool) {
	c.tree.Drawing()
	c.Fpdf.ClipPolygon(points, outline)
}
