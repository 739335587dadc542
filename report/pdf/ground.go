package pdf

import (
	"math"

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

// ground draws the outlines into a rectangle: burning units hatched, the others
// plain, with names, a scale bar and an arrow to the north.
func (p *paper) ground(g *view.Ground, x, y, width, height float64) {
	const foot = 10.0 // room for the scale bar
	f := newFrame(g, x+2, y+2, width-4, height-foot-4)
	for _, burns := range []bool{false, true} { // hatching on top of plain neighbors
		for i := range g.Units {
			if u := &g.Units[i]; u.Burns == burns {
				p.outline(f, u)
			}
		}
	}
	p.places(g, f, x, y, width, height-foot)
	for i := range g.Units {
		p.label(f, &g.Units[i])
	}
	p.scaleBar(f, x+2, y+height-4)
	p.SetXY(x, y+height)
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
func (p *paper) hatch(points []fpdf.PointType) {
	low, high := points[0], points[0]
	for _, at := range points {
		low.X, low.Y = min(low.X, at.X), min(low.Y, at.Y)
		high.X, high.Y = max(high.X, at.X), max(high.Y, at.Y)
	}
	p.ClipPolygon(points, false)
	p.SetDrawColor(110, 110, 110)
	rise := high.Y - low.Y
	const apart = 2.2
	for x := low.X - rise; x < high.X; x += apart {
		p.Line(x, high.Y, x+rise, low.Y)
	}
	p.SetDrawColor(0, 0, 0)
	p.ClipEnd()
}

// label sets a unit's name into it, smaller or cut where there is little room.
func (p *paper) label(f *frame, u *view.GroundUnit) {
	label, ok := u.Shape.Label()
	if !ok {
		return
	}
	room := max(4, 2.1*float64(label.Radius)*f.scale)
	size := 7.5
	text := printable(u.Unit, 40)
	p.font("B", size)
	for ; size > 5 && p.GetStringWidth(text) > room; size -= 0.5 {
		p.font("B", size-0.5)
	}
	text = p.fit(text, room)
	wide := p.GetStringWidth(text)
	at := f.at(label.At)
	p.SetFillColor(255, 255, 255)
	if u.Burns { // clear of the hatching
		p.Rect(at.X-wide/2-0.6, at.Y-size*0.2, wide+1.2, size*0.4, "F")
	}
	p.Text(at.X-wide/2, at.Y+size*0.125, text)
}

// places marks sensitive places inside the rectangle; those outside are named
// in the text of the papers.
func (p *paper) places(g *view.Ground, f *frame, x, y, width, height float64) {
	inside := func(at fpdf.PointType) bool { return at.X > x && at.X < x+width && at.Y > y && at.Y < y+height }
	for i := range g.Places {
		place := &g.Places[i]
		points := place.Points
		for _, line := range place.Lines {
			p.SetDashPattern([]float64{1.5, 1}, 0)
			for j := range len(line) - 1 {
				if a, b := f.at(line[j]), f.at(line[j+1]); inside(a) && inside(b) {
					p.Line(a.X, a.Y, b.X, b.Y)
				}
			}
			p.SetDashPattern(nil, 0)
		}
		if !place.Shape.IsEmpty() {
			points = append(points, place.Shape.Center())
		}
		for _, point := range points {
			at := f.at(point)
			if !inside(at) {
				continue
			}
			p.SetFillColor(0, 0, 0)
			p.Rect(at.X-1, at.Y-1, 2, 2, "F")
			p.font("", 6.5)
			p.Text(at.X+1.8, at.Y+0.8, p.fit(printable(place.Name, 40), 40))
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
	p.font("", 7)
	p.Text(x+long+2, y+1, quantity.Feet(feet).String()+" ft")
	north := x + long + 24
	p.SetFillColor(0, 0, 0)
	p.Polygon([]fpdf.PointType{{X: north, Y: y - 4}, {X: north - 1.6, Y: y + 1}, {X: north, Y: y}, {X: north + 1.6, Y: y + 1}}, "F")
	p.font("B", 7)
	p.Text(north+2.5, y+1, "N")
	p.font("", 7)
	p.Text(north+10, y+1, "not a survey")
}
