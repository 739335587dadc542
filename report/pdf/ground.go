package pdf

import (
	"fmt"
	"math"
	"slices"

	"codeberg.org/go-pdf/fpdf"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// frame places the ground in a rectangle of the page: north is up, the scale
// is the same in both directions.
type frame struct {
	// feet brings a point to feet east and north of some point.
	feet        func(ground.Point) (east, north float64)
	scale       float64 // mm a foot
	east, north float64 // feet of the rectangle's left lower corner
	x, y, h     float64 // mm of its left upper corner, and its height
	// middleEast and middleNorth are the middle of the units in feet.
	middleEast, middleNorth float64
}

// spot is a point in feet east and north.
type spot struct{ east, north float64 }

// anchors gives the points at which a place is marked and named: its points, the
// center of its area, and of its lines the point that is nearest to the middle.
func (f *frame) anchors(place *ground.Place) []spot {
	var all []spot
	add := func(at ground.Point) {
		e, n := f.feet(at)
		all = append(all, spot{e, n})
	}
	for _, at := range place.Points {
		add(at)
	}
	if !place.Shape.IsEmpty() {
		add(place.Shape.Center())
	}
	best, least := spot{}, math.Inf(1)
	for _, line := range place.Lines {
		for i := range line {
			e, n := f.feet(line[i])
			from := spot{e, n}
			to := from
			if i+1 < len(line) {
				to.east, to.north = f.feet(line[i+1])
			}
			at := f.nearest(from, to)
			if away := math.Hypot(at.east-f.middleEast, at.north-f.middleNorth); away < least {
				best, least = at, away
			}
		}
	}
	if !math.IsInf(least, 1) {
		all = append(all, best)
	}
	return all
}

// nearest gives the point between two others that is nearest to the middle.
func (f *frame) nearest(from, to spot) spot {
	e, n := to.east-from.east, to.north-from.north
	long := e*e + n*n
	if long == 0 {
		return from
	}
	share := ((f.middleEast-from.east)*e + (f.middleNorth-from.north)*n) / long
	share = min(1, max(0, share))
	return spot{from.east + share*e, from.north + share*n}
}

// on gives the place of a spot on the page.
func (f *frame) on(at spot) fpdf.PointType {
	return fpdf.PointType{X: f.x + (at.east-f.east)*f.scale, Y: f.y + f.h - (at.north-f.north)*f.scale}
}

func newFrame(g *view.Ground, x, y, width, height float64) *frame {
	shapes := make([]ground.Shape, len(g.Units))
	for i := range g.Units {
		shapes[i] = g.Units[i].Shape
	}
	plane := ground.NewPlane(ground.Center(shapes...))
	f := &frame{x: x, y: y, h: height, feet: func(at ground.Point) (east, north float64) {
		e, n := plane.Feet(at)
		return float64(e), float64(n)
	}}
	lowEast, lowNorth, highEast, highNorth := boundsOf(shapes, f.feet)
	// Places that lie at most a fourth of its size outside are on the map too: of a
	// road the point that is nearest to the middle.
	reach := max(highEast-lowEast, highNorth-lowNorth) / 4
	w, s, e, n := lowEast-reach, lowNorth-reach, highEast+reach, highNorth+reach
	f.middleEast, f.middleNorth = (lowEast+highEast)/2, (lowNorth+highNorth)/2
	for i := range g.Places {
		for _, at := range f.anchors(&g.Places[i]) {
			if at.east >= w && at.east <= e && at.north >= s && at.north <= n {
				lowEast, highEast = min(lowEast, at.east), max(highEast, at.east)
				lowNorth, highNorth = min(lowNorth, at.north), max(highNorth, at.north)
			}
		}
	}
	f.scale = min(width/max(1, highEast-lowEast), height/max(1, highNorth-lowNorth))
	f.east = (lowEast+highEast)/2 - width/2/f.scale
	f.north = (lowNorth+highNorth)/2 - height/2/f.scale
	return f
}

// boundsOf gives the rectangle in feet around shapes.
func boundsOf(shapes []ground.Shape, feet func(ground.Point) (east, north float64)) (lowEast, lowNorth, highEast, highNorth float64) {
	lowEast, lowNorth, highEast, highNorth = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, s := range shapes {
		for _, polygon := range s.Polygons {
			for _, at := range polygon.Outer {
				e, n := feet(at)
				lowEast, highEast = min(lowEast, e), max(highEast, e)
				lowNorth, highNorth = min(lowNorth, n), max(highNorth, n)
			}
		}
	}
	return lowEast, lowNorth, highEast, highNorth
}

// bounds gives the rectangle in feet around the ground's units.
func (f *frame) bounds(g *view.Ground) (lowEast, lowNorth, highEast, highNorth float64) {
	shapes := make([]ground.Shape, len(g.Units))
	for i := range g.Units {
		shapes[i] = g.Units[i].Shape
	}
	return boundsOf(shapes, f.feet)
}

func (f *frame) at(point ground.Point) fpdf.PointType {
	e, n := f.feet(point)
	return fpdf.PointType{X: f.x + (e-f.east)*f.scale, Y: f.y + f.h - (n-f.north)*f.scale}
}

func (f *frame) ring(ring ground.Ring) []fpdf.PointType {
	points := make([]fpdf.PointType, len(ring))
	for i, at := range ring {
		points[i] = f.at(at)
	}
	return points
}

// groundWithKey draws the ground under a heading, as large as the page leaves room for,
// with the names of the units that have a number below it.
func (p *paper) groundWithKey(g *view.Ground) {
	const least = 62.0
	p.headingOver("Where: what burns is hatched", least)
	height := max(least-10, min(135, pageHeight-bottomEdge-p.GetY()-3-p.keyHeight(g, bodySize)))
	p.key(p.ground(g, side, p.GetY()+1, textWidth, height), bodySize)
}

// numberedUnit is a unit that has a number on the map in place of its name.
type numberedUnit struct {
	number int
	unit   string
}

// key names the units that have a number on the map, in order of the numbers.
func (p *paper) key(numbered []numberedUnit, size float64) {
	if len(numbered) > 0 {
		p.whole(keyText(numbered), "", size)
	}
}

func keyText(numbered []numberedUnit) string {
	slices.SortFunc(numbered, func(a, b numberedUnit) int { return a.number - b.number })
	text := ""
	for _, one := range numbered {
		text += fmt.Sprintf("%d %s   ", one.number, printable(one.unit, 60))
	}
	return text
}

// mostKey bounds the room that is kept for a key; a longer one goes on on the next page.
const mostKey = 60.0

// keyHeight is the room that a key may need at most, when no name fits.
func (p *paper) keyHeight(g *view.Ground, size float64) float64 {
	all := make([]numberedUnit, len(g.Units))
	for i := range g.Units {
		all[i] = numberedUnit{len(g.Units), g.Units[i].Unit}
	}
	p.font("", size)
	return min(mostKey, lineHeight(size)*float64(len(p.split(keyText(all), textWidth))))
}

// ground draws the outlines into a rectangle: burning units hatched, the others
// plain, with roads, places and names, a scale bar and an arrow to the north. It gives
// the units that have a number in place of a name.
func (p *paper) ground(g *view.Ground, x, y, width, height float64) (numbered []numberedUnit) {
	p.figure(g.InWords(), func() { numbered = p.drawGround(g, x, y, width, height) })
	return numbered
}

func (p *paper) drawGround(g *view.Ground, x, y, width, height float64) (numbered []numberedUnit) {
	const foot = 10.0 // room for the scale bar
	f := newFrame(g, x+2, y+2, width-4, height-foot-4)
	p.ClipRect(x, y, width, height-foot, false)
	for _, burns := range []bool{false, true} { // hatching on top of plain neighbors
		for i := range g.Units {
			if u := &g.Units[i]; u.Burns == burns {
				p.outline(f, u)
			}
		}
	}
	p.roads(g, f)
	next := 0
	for i := range g.Units {
		next = max(next, g.Units[i].Number)
	}
	for i := range g.Units {
		u := &g.Units[i]
		if p.label(f, u) {
			continue
		}
		number := u.Number
		if number == 0 {
			next++
			number = next
		}
		p.number(f, u, number)
		numbered = append(numbered, numberedUnit{number, u.Unit})
	}
	p.places(g, f, x, y, width, height-foot)
	p.ClipEnd()
	p.scaleBar(f, x+2, y+height-4)
	p.SetXY(x, y+height)
	return numbered
}

// roads draws the lines of places and of what holds a fire, dark with a light middle,
// so that they show on hatching too.
func (p *paper) roads(g *view.Ground, f *frame) {
	for _, layer := range []struct {
		width float64
		gray  int
	}{{1.3, 40}, {0.7, 255}} {
		p.SetLineWidth(layer.width)
		p.SetDrawColor(layer.gray, layer.gray, layer.gray)
		draw := func(line ground.Line) {
			for i := range len(line) - 1 {
				a, b := f.at(line[i]), f.at(line[i+1])
				p.Line(a.X, a.Y, b.X, b.Y)
			}
		}
		for i := range g.Places {
			for _, line := range g.Places[i].Lines {
				draw(line)
			}
		}
		for _, line := range g.Standing {
			draw(line)
		}
	}
	p.SetLineWidth(0.2)
	p.SetDrawColor(0, 0, 0)
}

func (p *paper) outline(f *frame, u *view.GroundUnit) {
	for _, polygon := range u.Shape.Polygons {
		points := f.ring(polygon.Outer)
		p.SetFillColor(255, 255, 255)
		if u.Burns {
			p.SetFillColor(222, 222, 222)
		}
		p.SetLineWidth(0.2)
		p.Polygon(points, "F")
		if u.Burns {
			p.hatch(points)
		}
		for _, hole := range polygon.Holes {
			p.SetFillColor(255, 255, 255)
			p.Polygon(f.ring(hole), "FD")
		}
		if u.Burns {
			p.SetLineWidth(0.6)
		}
		p.Polygon(points, "D")
		p.SetLineWidth(0.2)
	}
}

// hatch draws slanting lines inside a polygon, so that it shows in a poor copy.
func (p *paper) hatch(points []fpdf.PointType) { p.hatchIn(points, 2.2, 0.2, 110, 110, 110) }

// hatchIn draws slanting lines so far apart, of a width and a color.
func (p *paper) hatchIn(points []fpdf.PointType, apart, width float64, r, g, b int) {
	low, high := corners(points)
	p.ClipPolygon(points, false)
	p.SetDrawColor(r, g, b)
	p.SetLineWidth(width)
	rise := high.Y - low.Y
	for x := low.X - rise; x < high.X; x += apart {
		p.Line(x, high.Y, x+rise, low.Y)
	}
	p.SetDrawColor(0, 0, 0)
	p.SetLineWidth(0.2)
	p.ClipEnd()
}

// Sizes of names on the map in points.
const (
	nameSize  = 10.0
	leastName = 8.5
)

// label sets a unit's name into it, and gives false where there is no room for it whole.
func (p *paper) label(f *frame, u *view.GroundUnit) bool {
	label, ok := u.Shape.Label()
	if !ok {
		return true // nothing to name
	}
	room := 2.1 * float64(label.Radius) * f.scale
	text := printable(u.Unit, 40)
	if u.Number > 0 {
		text = fmt.Sprintf("%d %s", u.Number, text)
	}
	for size := nameSize; size >= leastName; size -= 0.5 {
		p.font("B", size)
		if p.GetStringWidth(text) <= room && room > size*0.45 {
			p.mapName(f.at(label.At), text, size, u.Burns)
			return true
		}
	}
	return false
}

// number sets a number into a unit whose name does not fit.
func (p *paper) number(f *frame, u *view.GroundUnit, number int) {
	label, _ := u.Shape.Label()
	p.font("B", leastName)
	p.mapName(f.at(label.At), fmt.Sprint(number), leastName, true)
}

// mapName sets a text around a point, clear of what lies below it.
func (p *paper) mapName(at fpdf.PointType, text string, size float64, clear bool) {
	wide := p.GetStringWidth(text)
	if clear {
		p.SetFillColor(255, 255, 255)
		p.Rect(at.X-wide/2-0.7, at.Y-size*0.2, wide+1.4, size*0.4, "F")
	}
	p.Text(at.X-wide/2, at.Y+size*0.125, text)
}

// places marks and names the sensitive places inside the rectangle; those outside are
// named in the text of the papers.
func (p *paper) places(g *view.Ground, f *frame, x, y, width, height float64) {
	inside := func(at fpdf.PointType) bool { return at.X > x && at.X < x+width && at.Y > y && at.Y < y+height }
	for i := range g.Places {
		place := &g.Places[i]
		text := printable(place.Name, 40)
		all := f.anchors(place)
		for k, spot := range all {
			at := f.on(spot)
			if !inside(at) {
				continue
			}
			p.font("", 9)
			isLine := len(place.Lines) > 0 && k == len(all)-1
			if !isLine {
				p.SetFillColor(0, 0, 0)
				p.Rect(at.X-1.1, at.Y-1.1, 2.2, 2.2, "F")
			}
			text := p.fit(text, width/3)
			wide := p.GetStringWidth(text)
			left := at.X + 2.2
			switch {
			case isLine: // beside the road, within the map
				left = min(max(at.X-wide/2, x+1), x+width-wide-2)
				at.Y += 3.4
				if at.Y+2 > y+height {
					at.Y -= 6.8
				}
			case left+wide > x+width-1:
				left = at.X - 2.2 - wide
			}
			p.SetFillColor(255, 255, 255)
			p.Rect(left-0.4, at.Y-1.9, wide+0.8, 3.8, "F")
			p.Text(left, at.Y+1.1, text)
		}
	}
}

// scaleBar draws a round number of feet, and the arrow to the north.
func (p *paper) scaleBar(f *frame, x, y float64) {
	feet := 1.0
	for _, round := range []float64{100, 200, 500, 1000, 2000, 5000, 10000, 20000, 50000} {
		if round*f.scale < 45 {
			feet = round
		}
	}
	long := feet * f.scale
	p.SetLineWidth(0.5)
	p.Line(x, y, x+long, y)
	p.Line(x, y-1, x, y+1)
	p.Line(x+long, y-1, x+long, y+1)
	p.SetLineWidth(0.2)
	p.font("", 9)
	p.Text(x+long+2, y+1, quantity.Feet(feet).String()+" ft")
	north := x + long + 26
	p.SetFillColor(0, 0, 0)
	p.Polygon([]fpdf.PointType{{X: north, Y: y - 4}, {X: north - 1.6, Y: y + 1}, {X: north, Y: y}, {X: north + 1.6, Y: y + 1}}, "F")
	p.font("B", 9)
	p.Text(north+2.5, y+1, "N")
	p.font("", 9)
	p.Text(north+10, y+1, "not a survey")
}
