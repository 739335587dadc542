package ground

import (
	"math"

	"emberquilt/habitat/ground/internal/flat"
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
	pl := NewPlane(s.Center())
	unit := planeTree(pl, s, nil, nil)
	other := planeTree(pl, place.Shape, place.Lines, place.Points)
	limit := (within + SmokeSlackFeet).Meters()
	size := unit.Box()
	reach := math.Hypot(size.MaxX-size.MinX, size.MaxY-size.MinY)/2 + limit
	wedges := newWedges(from, half+SmokeSlackDegrees+convergence(s.Center(), reach), limit)
	around := flat.Box{MinX: size.MinX - limit, MinY: size.MinY - limit, MaxX: size.MaxX + limit, MaxY: size.MaxY + limit}
	other.Search(around, 0, func(i int) bool {
		f := other.Edges[i]
		b := f.Box()
		unit.Search(flat.Box{MinX: b.MinX - limit, MinY: b.MinY - limit, MaxX: b.MaxX + limit, MaxY: b.MaxY + limit}, 0, func(k int) bool {
			wedges.look(unit.Edges[k], f)
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
	left, right flat.XY // unit vectors of its sides
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
func toward(degrees float64) flat.XY {
	sin, cos := math.Sincos(degrees * radiansPerDegree)
	return flat.XY{X: sin, Y: cos}
}

func cross(a, b flat.XY) float64 { return a.X*b.Y - a.Y*b.X }

// look takes an edge of the shape and one of the place, which do not meet.
func (w *wedges) look(e, f flat.Segment) {
	// The shape lies to the left of its edges: ways that set out to the left
	// leave it again through another edge, nearer to the place.
	if flat.Turn(e.A, e.B, f.A) > 0 && flat.Turn(e.A, e.B, f.B) > 0 {
		return
	}
	way := shortestWay(e, f)
	shortest := math.Hypot(way.X, way.Y)
	if shortest > w.limit {
		return
	}
	// In order around the parallelogram.
	corners := [4]flat.XY{between(e.A, f.A), between(e.A, f.B), between(e.B, f.B), between(e.B, f.A)}
	// The parallelogram does not hold the origin, so that all of it lies within
	// a quarter turn of its shortest way.
	low, high := 0.0, 0.0 // degrees, clockwise from it
	for _, c := range corners {
		off := math.Atan2(-cross(way, c), way.X*c.X+way.Y*c.Y) / radiansPerDegree
		low, high = min(low, off), max(high, off)
	}
	bearing := math.Atan2(way.X, way.Y) / radiansPerDegree
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

// between gives the way from one place to another.
func between(from, to flat.XY) flat.XY { return flat.XY{X: to.X - from.X, Y: to.Y - from.Y} }

// shortestWay gives the shortest way from one segment to another; they do not
// cross.
func shortestWay(e, f flat.Segment) (way flat.XY) {
	least := math.Inf(1)
	try := func(from, to flat.XY) {
		v := flat.XY{X: to.X - from.X, Y: to.Y - from.Y}
		if d := v.X*v.X + v.Y*v.Y; d < least {
			least, way = d, v
		}
	}
	try(e.Foot(f.A), f.A)
	try(e.Foot(f.B), f.B)
	try(e.A, f.Foot(e.A))
	try(e.B, f.Foot(e.B))
	return way
}

// along gives how far out a ray from the origin meets the line from a to b;
// infinity where it does not. A line on the ray itself counts at its nearer end.
func along(ray, a, b flat.XY) float64 {
	ca, cb := cross(ray, a), cross(ray, b)
	if ca > 0 && cb > 0 || ca < 0 && cb < 0 {
		return math.Inf(1)
	}
	da, db := ray.X*a.X+ray.Y*a.Y, ray.X*b.X+ray.Y*b.Y
	at := min(da, db)
	if ca != cb {
		at = da + (db-da)*(ca/(ca-cb))
	}
	if at < 0 {
		return math.Inf(1)
	}
	return at
}
