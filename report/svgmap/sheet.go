package svgmap

import "emberquilt/habitat/ground"

// Sheet is what is drawn. Units, Places and lines are the same on all its maps.
type Sheet struct {
	// ID begins the names of the drawing's parts; sheets on one page need
	// different ones. Letters and digits are used, others left out.
	ID string
	// Title stands above the maps, Description is for those who cannot see them.
	Title, Description string
	Units              []Unit
	// Seasons and Classes name the seasons and the age classes, the youngest
	// class first, for the legend.
	Seasons, Classes []string
	Maps             []Map
	// Places are sensitive places; those too far off are shown at the edge with
	// their distance.
	Places []ground.Place
	// Standing are breaks that are there: roads, water. Planned are those to be
	// made.
	Standing, Planned []ground.Line
	// Width is that of the drawing in pixels; 0 means 900. 360 suits a phone.
	Width float64
	// Columns is how many maps stand side by side; 0 means what fits.
	Columns int
}

// Unit is a unit's name and ground.
type Unit struct {
	Name  string
	Shape ground.Shape
}

// Map is one year. States has one entry for each unit of the sheet.
type Map struct {
	// Title is short, such as "2027"; Note says more, such as "4 units, 310 acres".
	Title, Note string
	States      []State
	// Planned are breaks to be made in this year.
	Planned []ground.Line
}

// State is what a unit does in a year.
type State struct {
	Burns bool
	// Season indexes Sheet.Seasons when the unit burns; −1 means not known.
	Season int
	// Class indexes Sheet.Classes when it rests; −1 means not known.
	Class int
	// Detail is a few letters under the name, such as "age 3".
	Detail string
	// Overdue marks a unit past its maximum interval.
	Overdue bool
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
	n := max(1, len(s.Maps))
	if s.Columns > 0 {
		return min(n, s.Columns)
	}
	// A small map needs about 250 pixels.
	fits := max(1, min(n, int((s.width()-2*margin+gutter)/(250+gutter))))
	rows := (n + fits - 1) / fits
	return (n + rows - 1) / rows // five maps stand as three and two, not as four and one
}
