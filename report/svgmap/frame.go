package svgmap

import (
	"math"
	"strconv"

	"emberquilt/habitat/ground"
)

// point is a place on the drawing in pixels, y down.
type point struct{ x, y float64 }

// frame turns places on the ground into places on one map.
type frame struct {
	plane                    *ground.Plane
	west, south, east, north float64 // feet
	scale                    float64 // pixels a foot
	width, height            float64 // pixels
}

// tallest is the height of a map in parts of its width.
const tallest = 1.35

// newFrame fits all units, and the places near them, into a width.
func newFrame(s *Sheet, width float64) *frame {
	shapes := make([]ground.Shape, len(s.Units))
	for i, u := range s.Units {
		shapes[i] = u.Shape
	}
	f := &frame{plane: ground.NewPlane(ground.Center(shapes...)), width: width}
	f.west, f.south, f.east, f.north = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, shape := range shapes {
		f.include(shape)
	}
	if f.west > f.east { // no unit has a shape
		f.west, f.south, f.east, f.north = -1000, -600, 1000, 600
	}
	f.includeNear(s.Places)
	pad := 0.03 * math.Max(f.east-f.west, f.north-f.south)
	pad = math.Max(pad, 10)
	f.west, f.south, f.east, f.north = f.west-pad, f.south-pad, f.east+pad, f.north+pad
	wide, high := f.east-f.west, f.north-f.south
	if high < wide/3 { // a strip still gets a map
		middle := (f.south + f.north) / 2
		f.south, f.north, high = middle-wide/6, middle+wide/6, wide/3
	}
	f.scale = width / wide
	f.height = high * f.scale
	if f.height > tallest*width {
		f.height = tallest * width
		f.scale = f.height / high
		spare := width/f.scale - wide
		f.west, f.east = f.west-spare/2, f.east+spare/2
	}
	return f
}

func (f *frame) include(shape ground.Shape) {
	for _, p := range shape.Polygons {
		for _, at := range p.Outer {
			f.includePoint(at)
		}
	}
}

func (f *frame) includePoint(at ground.Point) {
	east, north := f.plane.Feet(at)
	f.west, f.east = math.Min(f.west, float64(east)), math.Max(f.east, float64(east))
	f.south, f.north = math.Min(f.south, float64(north)), math.Max(f.north, float64(north))
}

// includeNear widens the frame for places that lie at most a sixth of its size
// outside it.
func (f *frame) includeNear(places []ground.Place) {
	reach := math.Max(f.east-f.west, f.north-f.south) / 6
	west, south, east, north := f.west-reach, f.south-reach, f.east+reach, f.north+reach
	for _, place := range places {
		at, ok := f.anchor(place)
		if !ok {
			continue
		}
		x, y := f.plane.Feet(at)
		if e, n := float64(x), float64(y); e >= west && e <= east && n >= south && n <= north {
			f.includePoint(at)
		}
	}
}

// anchor gives the point at which a place is marked: of a road the one that is nearest
// to the middle of the frame, which a long road's own middle may be miles from.
func (f *frame) anchor(place ground.Place) (at ground.Point, ok bool) {
	if len(place.Points) > 0 || !place.Shape.IsEmpty() || len(place.Lines) == 0 {
		return placeCenter(place)
	}
	middleEast, middleNorth := (f.west+f.east)/2, (f.south+f.north)/2
	least := math.Inf(1)
	for _, line := range place.Lines {
		for i := range line {
			to := line[min(i+1, len(line)-1)]
			fromEast, fromNorth := f.plane.Feet(line[i])
			toEast, toNorth := f.plane.Feet(to)
			e, n := float64(toEast-fromEast), float64(toNorth-fromNorth)
			share := 0.0
			if long := e*e + n*n; long > 0 {
				share = min(1, max(0, ((middleEast-float64(fromEast))*e+(middleNorth-float64(fromNorth))*n)/long))
			}
			away := math.Hypot(float64(fromEast)+share*e-middleEast, float64(fromNorth)+share*n-middleNorth)
			if away < least {
				least, ok = away, true
				at = ground.Point{Lon: line[i].Lon + share*(to.Lon-line[i].Lon), Lat: line[i].Lat + share*(to.Lat-line[i].Lat)}
			}
		}
	}
	return at, ok
}

// placeCenter gives one point for a place.
func placeCenter(place ground.Place) (ground.Point, bool) {
	switch {
	case len(place.Points) > 0:
		return place.Points[0], true
	case !place.Shape.IsEmpty():
		label, ok := place.Shape.Label()
		return label.At, ok
	case len(place.Lines) > 0 && len(place.Lines[0]) > 0:
		return place.Lines[0][len(place.Lines[0])/2], true
	}
	return ground.Point{}, false
}

// at gives the place of a point on the map.
func (f *frame) at(p ground.Point) point {
	east, north := f.plane.Feet(p)
	return point{(float64(east) - f.west) * f.scale, (f.north - float64(north)) * f.scale}
}

// holds reports whether a point lies on the map.
func (f *frame) holds(p point) bool {
	return p.x >= 0 && p.x <= f.width && p.y >= 0 && p.y <= f.height
}

// unseen is how far a line may run beside a point that is left out, in tenths of a
// pixel: less than a fifth of the thinnest stroke.
const unseen = 1.5

// spot is a place on a map in tenths of a pixel.
type spot struct{ x, y int }

// seen rounds the points of a ring or line and leaves out those that nobody would see:
// no point lies farther than unseen from the line that is left. The first and the last
// stay.
func (f *frame) seen(points []ground.Point) []spot {
	if len(points) == 0 {
		return nil
	}
	var kept []spot
	// From the point that was kept last, the line may run in directions that pass all
	// points since: those from least to most round the direction of the first of them.
	var from, last spot
	var base, least, most, far float64
	for i, p := range points {
		at := f.at(p)
		now := spot{int(math.Round(at.x * 10)), int(math.Round(at.y * 10))}
		if i == 0 {
			kept, from, last = append(kept, now), now, now
			continue
		}
		for {
			away := math.Hypot(float64(now.x-from.x), float64(now.y-from.y))
			if away <= unseen && far == 0 {
				break
			}
			direction := math.Atan2(float64(now.y-from.y), float64(now.x-from.x))
			if far == 0 {
				base, least, most = direction, -math.Pi, math.Pi
			}
			turn := math.Remainder(direction-base, 2*math.Pi)
			if away >= far && turn >= least && turn <= most {
				reach := math.Asin(unseen / away)
				least, most, far = max(least, turn-reach), min(most, turn+reach), away
				break
			}
			kept, from, far = append(kept, last), last, 0
		}
		last = now
	}
	if last != kept[len(kept)-1] {
		kept = append(kept, last)
	}
	return kept
}

// path gives a ring or line as SVG path commands: its first point, and from there step
// by step.
func (f *frame) path(out []byte, points []ground.Point, closed bool) []byte {
	kept := f.seen(points)
	for i, at := range kept {
		x, y := at.x, at.y
		switch i {
		case 0:
			out = append(out, 'M')
		case 1:
			out = append(out, 'l')
		}
		if i > 0 {
			x, y = x-kept[i-1].x, y-kept[i-1].y
			if i > 1 && x >= 0 {
				out = append(out, ' ')
			}
		}
		out = appendTenths(out, x)
		if y >= 0 {
			out = append(out, ' ')
		}
		out = appendTenths(out, y)
	}
	if closed && len(kept) > 0 {
		out = append(out, 'Z')
	}
	return out
}

// appendTenths writes a number of tenths as short as SVG allows.
func appendTenths(out []byte, n int) []byte {
	if n < 0 {
		out, n = append(out, '-'), -n
	}
	if n >= 10 || n == 0 {
		out = strconv.AppendInt(out, int64(n/10), 10)
	}
	if n%10 != 0 {
		out = append(out, '.', byte('0'+n%10))
	}
	return out
}

func (f *frame) shapePath(s ground.Shape) string {
	var out []byte
	for _, p := range s.Polygons {
		out = f.path(out, p.Outer, true)
		for _, hole := range p.Holes {
			out = f.path(out, hole, true)
		}
	}
	return string(out)
}
