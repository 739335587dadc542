package ground

import (
	"math"

	"emberquilt/habitat/quantity"
)

// Downwind is how the smoke of a fire at a shape's edge comes to a place with
// winds from some directions.
type Downwind struct {
	// Meets says that the place touches the shape, crosses it, lies in it or
	// holds it: every wind reaches it.
	Meets bool
	// Reached says for each wind whether the place is reached, Distance over
	// which way at least; Distance is 0 where it is not.
	Reached  []bool
	Distance []quantity.Feet
}

// How finely Downwind judges. Both widen what is reached, so that a place that
// is left out lies outside for certain.
const (
	// SmokeSlackDegrees is added to the half angle. North on the plane differs
	// from true north by the convergence of the meridians, which is added too: a
	// hundredth of a degree a mile at 45 degrees.
	SmokeSlackDegrees = 0.05
	// SmokeSlackFeet is added to the distance; places no farther off meet.
	SmokeSlackFeet quantity.Feet = 0.5
)

// Downwind says for which winds a place is reached by smoke: some point of the
// place lies from some point of the shape's edge in a bearing within half
// degrees of straight downwind, and no farther than within. half is 0 to 89
// degrees; from holds the directions from which the winds blow. ok is false
// where either is empty.
//
// It is exact on the shapes: for an edge of the shape and one of the place, the
// ways from a point of the one to a point of the other fill a parallelogram,
// and the smoke of a wind fills a wedge around its origin; the least way in both
// is either the shortest of the parallelogram or lies on a side of the wedge.
// What lies behind an edge needs no look: the way to it crosses the edge.
func (s Shape) Downwind(place Place, within quantity.Feet, half float64, from []quantity.Bearing) (d Downwind, ok bool) {
	away, ok := s.Away(place)
	if !ok {
		return Downwind{}, false
	}
	d = Downwind{Reached: make([]bool, len(from)), Distance: make([]quantity.Feet, len(from))}
	switch {
	case away.Distance <= SmokeSlackFeet:
		d.Meets = true
		for i := range d.Reached {
			d.Reached[i] = true
		}
		return d, true
	case away.Distance > within+SmokeSlackFeet:
		return d, true
	}
	pl := newPlane(s.Center())
	unit := planeTree(pl, s, nil, nil)
	other := planeTree(pl, place.Shape, place.Lines, place.Points)
	limit := (within + SmokeSlackFeet).Meters()
	size := unit.box()
	reach := math.Hypot(size.maxX-size.minX, size.maxY-size.minY)/2 + limit
	wedges := newWedges(from, half+SmokeSlackDegrees+convergence(s.Center(), reach), limit)
	around := box{size.minX - limit, size.minY - limit, size.maxX + limit, size.maxY + limit}
	other.search(around, 0, func(i int) bool {
		f := other.edges[i]
		b := f.box()
		unit.search(box{b.minX - limit, b.minY - limit, b.maxX + limit, b.maxY + limit}, 0, func(k int) bool {
			wedges.look(unit.edges[k], f)
			return true
		})
		return true
	})
	for i, w := range wedges.all {
		if w.least <= limit {
			d.Reached[i] = true
			d.Distance[i] = min(quantity.FeetFromMeters(w.least), within)
		}
	}
	return d, true
}

// convergence gives by how many degrees north on a plane and true north differ
// at most, some meters from the plane's center.
func convergence(center Point, meters float64) float64 {
	lat := min(89, math.Abs(center.Lat)+meters/111_000) * radiansPerDegree
	return meters / polarMeters * math.Tan(lat) / radiansPerDegree
}

// wedges are the smokes of several winds, with the least way found so far.
type wedges struct {
	all   []wedge
	half  float64 // degrees
	limit float64
}

// wedge is the smoke of one wind: the ways between two directions.
type wedge struct {
	down        float64 // bearing, degrees
	left, right xy      // unit vectors of its sides
	least       float64
}

func newWedges(from []quantity.Bearing, half, limit float64) *wedges {
	w := &wedges{all: make([]wedge, len(from)), half: half, limit: limit}
	for i, b := range from {
		down := float64(b.Opposite())
		w.all[i] = wedge{down: down, left: toward(down - half), right: toward(down + half), least: math.Inf(1)}
	}
	return w
}

// toward gives the unit vector of a bearing.
func toward(degrees float64) xy {
	sin, cos := math.Sincos(degrees * radiansPerDegree)
	return xy{sin, cos}
}

func cross(a, b xy) float64 { return a.x*b.y - a.y*b.x }

// look takes an edge of the shape and one of the place, which do not meet.
func (w *wedges) look(e, f segment) {
	// The shape lies to the left of its edges: ways that set out to the left
	// leave it again through another edge, nearer to the place.
	if turn(e.a, e.b, f.a) > 0 && turn(e.a, e.b, f.b) > 0 {
		return
	}
	way := shortestWay(e, f)
	shortest := math.Hypot(way.x, way.y)
	if shortest > w.limit {
		return
	}
	corners := [4]xy{ // in order around the parallelogram
		{f.a.x - e.a.x, f.a.y - e.a.y}, {f.b.x - e.a.x, f.b.y - e.a.y},
		{f.b.x - e.b.x, f.b.y - e.b.y}, {f.a.x - e.b.x, f.a.y - e.b.y},
	}
	// The parallelogram does not hold the origin, so that all of it lies within
	// a quarter turn of its shortest way.
	low, high := 0.0, 0.0 // degrees, clockwise from it
	for _, c := range corners {
		off := math.Atan2(-cross(way, c), way.x*c.x+way.y*c.y) / radiansPerDegree
		low, high = min(low, off), max(high, off)
	}
	bearing := math.Atan2(way.x, way.y) / radiansPerDegree
	for i := range w.all {
		v := &w.all[i]
		if shortest >= v.least {
			continue
		}
		off := v.down - bearing // of the wedge's middle from the shortest way
		for off > 180 {
			off -= 360
		}
		for off < -180 {
			off += 360
		}
		switch {
		case math.Abs(off) <= w.half:
			v.least = shortest
		case off-w.half <= high+1e-9 && off+w.half >= low-1e-9:
			for k := range corners {
				a, b := corners[k], corners[(k+1)&3]
				v.least = min(v.least, along(v.left, a, b), along(v.right, a, b))
			}
		}
	}
}

// shortestWay gives the shortest way from one segment to another; they do not
// cross.
func shortestWay(e, f segment) (way xy) {
	least := math.Inf(1)
	try := func(from, to xy) {
		v := xy{to.x - from.x, to.y - from.y}
		if d := v.x*v.x + v.y*v.y; d < least {
			least, way = d, v
		}
	}
	try(e.foot(f.a), f.a)
	try(e.foot(f.b), f.b)
	try(e.a, f.foot(e.a))
	try(e.b, f.foot(e.b))
	return way
}

// along gives how far out a ray from the origin meets the line from a to b;
// infinity where it does not. A line on the ray itself counts at its nearer end.
func along(ray, a, b xy) float64 {
	ca, cb := cross(ray, a), cross(ray, b)
	if ca > 0 && cb > 0 || ca < 0 && cb < 0 {
		return math.Inf(1)
	}
	da, db := ray.x*a.x+ray.y*a.y, ray.x*b.x+ray.y*b.y
	at := min(da, db)
	if ca != cb {
		at = da + (db-da)*(ca/(ca-cb))
	}
	if at < 0 {
		return math.Inf(1)
	}
	return at
}
