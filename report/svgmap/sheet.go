package svgmap

import "emberquilt/report/view"

// Sheet is a map that is drawn, and how.
type Sheet struct {
	view.Map
	// ID begins the names of the drawing's parts; sheets on one page need
	// different ones. Letters and digits are used, others left out.
	ID string
	// Width is that of the drawing in pixels; 0 means 900. 360 suits a phone.
	Width float64
	// Columns is how many maps stand side by side; 0 means what fits.
	Columns int
}

const (
	defaultWidth = 900
	narrowest    = 240
	margin       = 12
	gutter       = 18
)

func (s *Sheet) width() float64 {
	if s.Width == 0 {
		return defaultWidth
	}
	return max(narrowest, min(s.Width, 4000))
}

func (s *Sheet) columns() int {
	n := max(1, len(s.Years))
	if s.Columns > 0 {
		return min(n, s.Columns)
	}
	// A small map needs about 250 pixels.
	fits := max(1, min(n, int((s.width()-2*margin+gutter)/(250+gutter))))
	rows := (n + fits - 1) / fits
	return (n + rows - 1) / rows // five maps stand as three and two, not as four and one
}
