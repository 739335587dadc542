package pdf

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/pdf/structure"
	"emberquilt/report/view"
)

// The rectangle of the map on a page of the field map, in millimeters.
const (
	fieldTop    = 27.0
	fieldHeight = 212.0
)

// fieldScales are the scales of the tiles, one to so many, from the largest on.
var fieldScales = []float64{6_000, 12_000, 24_000, 48_000, 100_000}

// mostTiles is how many pages a field map has at most beside the first.
const mostTiles = 60

// millimetersPerFoot of ground at a scale of one to one.
const millimetersPerFoot = 304.8

// WriteField writes a map for the field: one page of the whole ground and, where that is
// small in scale, tiles of it. Each page says where on earth it is (ISO 32000-2, clause
// 12.10, geospatial features), so that a phone which reads such files shows its own place
// on it. The map must be that of one program year.
func WriteField(w io.Writer, m *view.Map, stamp view.Stamp) error {
	p := newPaper("Field map, "+m.Caption, "", stamp)
	f := newFieldMap(p, m)
	lowEast, lowNorth, highEast, highNorth := boundsOf(shapesOf(m), f.plane.feet)
	whole := f.whole(lowEast, lowNorth, highEast, highNorth)
	tiles := f.tiles(whole.scale, lowEast, lowNorth, highEast, highNorth)
	f.page(whole, "The whole ground", tiles)
	for i, tile := range tiles {
		f.page(tile, fmt.Sprintf("Tile %d of %d", i+1, len(tiles)), nil)
	}
	return p.write(w)
}

func newFieldMap(p *paper, m *view.Map) *fieldMap {
	f := &fieldMap{paper: p, m: m, plane: newLocalPlane(m)}
	for i := range m.Units {
		u := view.GroundUnit{Unit: m.Units[i].Unit, Shape: m.Units[i].Shape, Burns: m.Years[0].States[i].Burns}
		f.units = append(f.units, u)
		lowEast, lowNorth, highEast, highNorth := boundsOf([]ground.Shape{u.Shape}, f.plane.feet)
		f.boxes = append(f.boxes, box{lowEast, lowNorth, highEast, highNorth})
	}
	f.standing, f.planned = f.boxed(m.Standing), f.boxed(m.Years[0].Planned)
	return f
}

// localPlane brings degrees to feet by two factors, so that degrees lie on the page in
// straight lines and a page is told by the degrees of its corners alone. Over ten miles at
// the latitude of Kansas the scale differs by less than two parts in a thousand.
type localPlane struct {
	origin                     ground.Point
	feetPerLonDegree, perLatFt float64
}

func newLocalPlane(m *view.Map) localPlane {
	center := ground.Center(shapesOf(m)...)
	plane := ground.NewPlane(center)
	const step = 0.001 // degrees
	east, _ := plane.Feet(ground.Point{Lon: center.Lon + step, Lat: center.Lat})
	_, north := plane.Feet(ground.Point{Lon: center.Lon, Lat: center.Lat + step})
	return localPlane{center, float64(east) / step, float64(north) / step}
}

func (l localPlane) feet(p ground.Point) (east, north float64) {
	return ground.WrapDegrees(p.Lon-l.origin.Lon) * l.feetPerLonDegree, (p.Lat - l.origin.Lat) * l.perLatFt
}

func (l localPlane) degrees(east, north float64) ground.Point {
	return ground.Point{Lon: ground.WrapDegrees(l.origin.Lon + east/l.feetPerLonDegree), Lat: l.origin.Lat + north/l.perLatFt}
}

type fieldMap struct {
	*paper
	m     *view.Map
	plane localPlane
	units []view.GroundUnit
	// boxes are the rectangles around the units.
	boxes []box
	// standing and planned are the breaks.
	standing, planned []boxedLine
}

// newFieldFrame places feet on the page of a field map.
func (f *fieldMap) newFieldFrame(lowEast, lowNorth, scale float64) *frame {
	return &frame{feet: f.plane.feet, scale: scale, east: lowEast, north: lowNorth, x: side, y: fieldTop, h: fieldHeight}
}

func shapesOf(m *view.Map) []ground.Shape {
	all := make([]ground.Shape, len(m.Units))
	for i := range m.Units {
		all[i] = m.Units[i].Shape
	}
	return all
}

// whole shows all units, with a margin of a twentieth.
func (f *fieldMap) whole(lowEast, lowNorth, highEast, highNorth float64) *frame {
	scale := min(textWidth/max(1, highEast-lowEast), fieldHeight/max(1, highNorth-lowNorth)) / 1.1
	scale = min(scale, millimetersPerFoot/1000) // a single small patch is not blown up
	return f.newFieldFrame((lowEast+highEast)/2-textWidth/2/scale, (lowNorth+highNorth)/2-fieldHeight/2/scale, scale)
}

// tiles cut the ground into pages of the largest scale that takes at most mostTiles of
// them; those that no unit reaches are left out. There are none where the whole is of
// that scale already.
func (f *fieldMap) tiles(whole, lowEast, lowNorth, highEast, highNorth float64) []*frame {
	for _, one := range fieldScales {
		scale := millimetersPerFoot / one
		if scale <= whole {
			return nil
		}
		wide, high := textWidth/scale, fieldHeight/scale
		columns, rows := math.Ceil((highEast-lowEast)/wide), math.Ceil((highNorth-lowNorth)/high)
		if columns*rows > 100*mostTiles {
			continue
		}
		left := (lowEast+highEast)/2 - columns*wide/2
		low := (lowNorth+highNorth)/2 - rows*high/2
		var all []*frame
		for row := rows - 1; row >= 0; row-- {
			for column := range int(columns) {
				tile := f.newFieldFrame(left+float64(column)*wide, low+row*high, scale)
				if f.holdsUnit(tile, wide, high) {
					all = append(all, tile)
				}
			}
		}
		if len(all) <= mostTiles {
			return all
		}
	}
	return nil
}

func (f *fieldMap) holdsUnit(tile *frame, wide, high float64) bool {
	return slices.ContainsFunc(f.boxes, func(b box) bool { return b.meets(tile.east, tile.north, wide, high) })
}

// page draws one page, with the edges of tiles.
func (f *fieldMap) page(at *frame, title string, tiles []*frame) {
	f.AddPage()
	f.SetXY(side, 18)
	f.font("B", 10)
	for size := 10.0; size > 7.5 && f.GetStringWidth(f.scaled(title, at)) > textWidth-2; size -= 0.5 {
		f.font("B", size)
	}
	f.Bookmark(title, 0)
	f.in(map[bool]structure.Role{true: structure.Heading1, false: structure.Heading2}[f.PageNo() == 1], func() {
		f.CellFormat(textWidth, 5, f.fit(f.scaled(title, at), textWidth), "", 2, "L", false, 0, "")
	})
	f.figure(f.inWords(at), func() { f.draw(at, tiles) })
	place := f.viewport(at)
	f.entries = append(f.entries, place.entry())
}

func (f *fieldMap) draw(at *frame, tiles []*frame) {
	f.ClipRect(side, fieldTop, textWidth, fieldHeight, false)
	for _, burns := range []bool{false, true} {
		for i := range f.units {
			if u := &f.units[i]; u.Burns == burns && f.isOn(at, &f.boxes[i]) {
				f.outline(at, u)
			}
		}
	}
	f.lines(at, f.standing, 1.1, nil)
	f.lines(at, f.planned, 0.9, []float64{3, 1.6})
	f.places(&view.Ground{Places: f.m.Places}, at, side, fieldTop, textWidth, fieldHeight)
	for i := range f.units {
		if f.isOn(at, &f.boxes[i]) && !f.label(at, &f.units[i]) {
			f.stacked(at, &f.units[i])
		}
	}
	for i, tile := range tiles {
		f.tileEdge(at, tile, i+1)
	}
	f.ClipEnd()
	f.SetLineWidth(0.3)
	f.Rect(side, fieldTop, textWidth, fieldHeight, "D")
	f.corners(at)
	f.scaleBar(at, side+2, fieldTop+fieldHeight+9)
	f.key(side+97, fieldTop+fieldHeight+6)
}

// leastStacked is the smallest type of names in lines, in points: the tiles bear them larger.
const leastStacked = 7.0

// stacked sets a name that does not fit into its unit as one line in lines of a word or
// two: a burn without its name is of no use in the field.
func (f *fieldMap) stacked(at *frame, u *view.GroundUnit) {
	label, ok := u.Shape.Label()
	words := strings.Fields(printable(u.Unit, 40))
	if !ok || len(words) < 2 {
		return
	}
	room := 2.1 * float64(label.Radius) * at.scale
	half := (len(words) + 1) / 2
	inTwo := []string{strings.Join(words[:half], " "), strings.Join(words[half:], " ")}
	for size := nameSize; size >= leastStacked; size -= 0.5 {
		f.font("B", size)
		for _, lines := range [][]string{inTwo, words} {
			high, wide := size*0.4, 0.0
			for _, line := range lines {
				wide = max(wide, f.GetStringWidth(line))
			}
			if math.Hypot(wide, high*float64(len(lines))) > room {
				continue
			}
			spot := at.at(label.At)
			spot.Y -= high * float64(len(lines)-1) / 2
			for _, line := range lines {
				f.mapName(spot, line, size, u.Burns)
				spot.Y += high
			}
			return
		}
	}
}

// inWords says what a page shows, for those who cannot see it.
func (f *fieldMap) inWords(at *frame) string {
	wide, high := textWidth/at.scale, fieldHeight/at.scale
	var burning, others, places []string
	for i := range f.units {
		switch u := &f.units[i]; {
		case !f.boxes[i].meets(at.east, at.north, wide, high):
			// not on the page
		case u.Burns:
			burning = append(burning, u.Unit)
		default:
			others = append(others, u.Unit)
		}
	}
	for i := range f.m.Places {
		for _, spot := range at.anchors(&f.m.Places[i]) {
			if spot.east > at.east && spot.east < at.east+wide && spot.north > at.north && spot.north < at.north+high {
				places = append(places, f.m.Places[i].Name)
				break
			}
		}
	}
	low, up := f.plane.degrees(at.east, at.north), f.plane.degrees(at.east+wide, at.north+high)
	return fmt.Sprintf("%s From %.5f, %.5f to %.5f, %.5f (WGS 84). %s", view.GroundInWords(burning, others, places), low.Lat, low.Lon, up.Lat, up.Lon, view.CautionLine)
}

// box is a rectangle in feet.
type box struct{ lowEast, lowNorth, highEast, highNorth float64 }

// meets reports whether a rectangle from a corner on lies over the box.
func (b *box) meets(east, north, wide, high float64) bool {
	return b.lowEast < east+wide && b.highEast > east && b.lowNorth < north+high && b.highNorth > north
}

// scaled words the title with the scale.
func (f *fieldMap) scaled(title string, at *frame) string {
	return fmt.Sprintf("%s, about 1 to %s; %s", title, quantity.Group(math.Round(millimetersPerFoot/at.scale/100)*100, 0), f.m.Years[0].Note)
}

// boxedLine is a line with the rectangle around it.
type boxedLine struct {
	line ground.Line
	box  box
}

func (f *fieldMap) boxed(all []ground.Line) []boxedLine {
	var boxed []boxedLine
	for _, line := range all {
		lowEast, lowNorth, highEast, highNorth := boundsOf([]ground.Shape{{Polygons: []ground.Polygon{{Outer: ground.Ring(line)}}}}, f.plane.feet)
		boxed = append(boxed, boxedLine{line, box{lowEast, lowNorth, highEast, highNorth}})
	}
	return boxed
}

// isOn reports whether any of a rectangle, with the width of what is drawn along its edge, is
// on a page.
func (f *fieldMap) isOn(at *frame, b *box) bool {
	edge := 2 / at.scale // two millimeters
	return b.meets(at.east-edge, at.north-edge, textWidth/at.scale+2*edge, fieldHeight/at.scale+2*edge)
}

func (f *fieldMap) lines(at *frame, all []boxedLine, width float64, dashes []float64) {
	f.SetLineWidth(width)
	f.SetDrawColor(47, 72, 88)
	f.SetDashPattern(dashes, 0)
	for i := range all {
		if !f.isOn(at, &all[i].box) {
			continue
		}
		line := all[i].line
		// As one path: dashes would begin anew with each piece.
		for j, point := range line {
			if to := at.at(point); j == 0 {
				f.MoveTo(to.X, to.Y)
			} else {
				f.LineTo(to.X, to.Y)
			}
		}
		f.DrawPath("D")
	}
	f.SetDashPattern(nil, 0)
	f.SetDrawColor(0, 0, 0)
	f.SetLineWidth(0.2)
}

func (f *fieldMap) tileEdge(at, tile *frame, number int) {
	x := at.x + (tile.east-at.east)*at.scale
	y := at.y + at.h - (tile.north-at.north)*at.scale
	wide, high := textWidth/tile.scale*at.scale, fieldHeight/tile.scale*at.scale
	f.SetDashPattern([]float64{0.6, 1.2}, 0)
	f.Rect(x, y-high, wide, high, "D")
	f.SetDashPattern(nil, 0)
	f.font("", 7)
	f.Text(max(x, side)+1, max(y-high, fieldTop)+3, fmt.Sprintf("tile %d", number))
}

// corners names the degrees at the left lower and right upper corner.
func (f *fieldMap) corners(at *frame) {
	f.font("", 6.5)
	low := f.plane.degrees(at.east, at.north)
	high := f.plane.degrees(at.east+textWidth/at.scale, at.north+fieldHeight/at.scale)
	f.Text(side, fieldTop+fieldHeight+3, fmt.Sprintf("%.5f, %.5f", low.Lat, low.Lon))
	text := fmt.Sprintf("%.5f, %.5f", high.Lat, high.Lon)
	f.Text(side+textWidth-f.GetStringWidth(text), fieldTop-1, text)
}

// key says what the signs mean.
func (f *fieldMap) key(x, y float64) {
	f.font("", 7)
	f.Rect(x, y, 6, 3.4, "D")
	f.hatch([]fpdf.PointType{{X: x, Y: y}, {X: x + 6, Y: y}, {X: x + 6, Y: y + 3.4}, {X: x, Y: y + 3.4}})
	f.Text(x+8, y+2.8, "burns")
	f.lineSign(x+20, y+1.7, 1.1, nil)
	f.Text(x+30, y+2.8, "road, water, standing break")
	f.lineSign(x+20, y+6.2, 0.9, []float64{3, 1.6})
	f.Text(x+30, y+7.3, "break to make")
	f.SetFillColor(0, 0, 0)
	f.Rect(x+2, y+5.2, 2, 2, "F")
	f.Text(x+8, y+7.3, "place")
	f.Text(x+72, y+7.3, "WGS 84")
}

func (f *fieldMap) lineSign(x, y, width float64, dashes []float64) {
	f.SetLineWidth(width)
	f.SetDrawColor(47, 72, 88)
	f.SetDashPattern(dashes, 0)
	f.Line(x, y, x+8, y)
	f.SetDashPattern(nil, 0)
	f.SetDrawColor(0, 0, 0)
	f.SetLineWidth(0.2)
}

// viewport is where the page's map is on earth.
func (f *fieldMap) viewport(at *frame) viewport {
	wide, high := textWidth/at.scale, fieldHeight/at.scale
	low, up := f.plane.degrees(at.east, at.north), f.plane.degrees(at.east+wide, at.north+high)
	// Between the corners readers go by proportion: a page across 180 degrees counts on.
	if up.Lon < low.Lon {
		up.Lon += 360
	}
	return viewport{
		left: side, right: side + textWidth, top: fieldTop, bottom: fieldTop + fieldHeight,
		corners: [4]ground.Point{low, {Lon: low.Lon, Lat: up.Lat}, up, {Lon: up.Lon, Lat: low.Lat}},
	}
}
