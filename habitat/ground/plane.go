package ground

import (
	"math"

	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/quantity"
)

// Plane is a flat map of a property: Lambert's azimuthal equal-area projection
// of the WGS 84 ellipsoid. Areas on it are true everywhere, lengths at its
// center; ten miles from the center lengths are off by 1e-6.
//
// It is written out here, with the constants computed once and the northing
// without cancellation, because the library's own does both for every point:
// 40 times slower. The test compares the two.
//
// Source: J. P. Snyder, Map Projections: A Working Manual, USGS Professional
// Paper 1395 (1987), eqs. 3-11, 3-12, 24-13 to 24-20.
type Plane struct {
	lon0               float64 // degrees
	sinBeta0, cosBeta0 float64
	beta0              float64
	authalicRadius     float64 // R_q
	stretch            float64 // D
	authalicPole       float64 // q_p
}

// NewPlane gives the plane that touches the ground at center.
func NewPlane(center Point) *Plane {
	// At the pole itself D is 0/0; a mile from it the formulae still hold.
	lat0 := max(-89.99, min(89.99, center.Lat))
	pl := &Plane{lon0: center.Lon, authalicPole: authalicQ(1)}
	sin, cos := math.Sincos(lat0 * radiansPerDegree)
	pl.beta0 = math.Asin(authalicQ(sin) / pl.authalicPole)
	pl.sinBeta0, pl.cosBeta0 = math.Sincos(pl.beta0)
	pl.authalicRadius = EquatorMeters * math.Sqrt(pl.authalicPole/2)
	pl.stretch = EquatorMeters * cos / (math.Sqrt(1-eccentricity2*sin*sin) * pl.authalicRadius * pl.cosBeta0)
	return pl
}

// authalicQ gives q of Snyder's equation 3-12 for the sine of a latitude.
func authalicQ(sin float64) float64 {
	return (1 - eccentricity2) * (sin/(1-eccentricity2*sin*sin) + math.Atanh(eccentricity*sin)/eccentricity)
}

// Project gives the place of p on the plane.
func (pl *Plane) Project(p Point) flat.XY {
	ratio := authalicQ(math.Sin(p.Lat*radiansPerDegree)) / pl.authalicPole
	beta := math.Asin(max(-1, min(1, ratio)))
	sinBeta, cosBeta := math.Sincos(beta)
	sinLon, cosLon := math.Sincos(WrapDegrees(p.Lon-pl.lon0) * radiansPerDegree)
	half := math.Sin(WrapDegrees(p.Lon-pl.lon0) * radiansPerDegree / 2)
	// The other side of the earth is a circle on this plane, not a point.
	below := max(1e-12, 1+pl.sinBeta0*sinBeta+pl.cosBeta0*cosBeta*cosLon)
	b := pl.authalicRadius * math.Sqrt(2/below)
	return flat.XY{
		X: b * pl.stretch * cosBeta * sinLon,
		Y: b / pl.stretch * (math.Sin(beta-pl.beta0) + 2*pl.sinBeta0*cosBeta*half*half),
	}
}

// Feet gives the place of a point in feet east and north of the center.
func (pl *Plane) Feet(at Point) (east, north quantity.Feet) {
	on := pl.Project(at)
	return quantity.FeetFromMeters(on.X), quantity.FeetFromMeters(on.Y)
}

// ProjectRing gives the places of a ring's points, in their order.
func (pl *Plane) ProjectRing(r Ring) []flat.XY {
	on := make([]flat.XY, len(r))
	for i, p := range r {
		on[i] = pl.Project(p)
	}
	return on
}

// squareMeters gives the area of the polygon: outer ring less holes.
func (p Polygon) squareMeters() float64 {
	pl := NewPlane(Shape{[]Polygon{p}}.Center())
	area := math.Abs(pl.ringArea(p.Outer))
	for _, hole := range p.Holes {
		area -= math.Abs(pl.ringArea(hole))
	}
	return max(0, area)
}

// ringArea gives the area of a ring in square meters, negative when the ring is
// clockwise. Its origin is the ring's first point, which keeps the products
// small.
func (pl *Plane) ringArea(r Ring) float64 {
	if len(r) < 3 {
		return 0
	}
	origin := pl.Project(r[0])
	from := origin
	var twice float64
	for i, p := range r {
		next := r[(i+1)%len(r)]
		to := pl.Project(next)
		twice += pl.sweep(p, next, from, to, origin, 0)
		from = to
	}
	return twice / 2
}

// maxHalvings ends the cutting of an edge even where the plane is torn: half
// the earth's circumference in pieces of 300 m.
const maxHalvings = 16

// sweep gives twice the area between the origin and an edge, which it cuts
// into pieces where it is long.
func (pl *Plane) sweep(a, b Point, pa, pb, origin flat.XY, halvings int) float64 {
	if math.Hypot(pb.X-pa.X, pb.Y-pa.Y) <= pieceMeters || halvings == maxHalvings {
		return (pa.X-origin.X)*(pb.Y-origin.Y) - (pb.X-origin.X)*(pa.Y-origin.Y)
	}
	m := midpoint(a, b)
	pm := pl.Project(m)
	return pl.sweep(a, m, pa, pm, origin, halvings+1) + pl.sweep(m, b, pm, pb, origin, halvings+1)
}

// Unproject gives the point on the ground that lies at p.
//
// Source: Snyder (1987), eqs. 24-26 to 24-30; the latitude by Newton's steps on
// eq. 3-16.
func (pl *Plane) Unproject(p flat.XY) Point {
	x, y := p.X/pl.stretch, p.Y*pl.stretch
	rho := math.Hypot(x, y)
	if rho == 0 {
		return Point{WrapDegrees(pl.lon0), pl.latitude(pl.sinBeta0)}
	}
	sinC, cosC := math.Sincos(2 * math.Asin(min(1, rho/(2*pl.authalicRadius))))
	sinBeta := cosC*pl.sinBeta0 + y*sinC*pl.cosBeta0/rho
	lon := math.Atan2(x*sinC, rho*pl.cosBeta0*cosC-y*pl.sinBeta0*sinC)
	return Point{WrapDegrees(pl.lon0 + lon/radiansPerDegree), pl.latitude(sinBeta)}
}

// latitude gives the latitude, in degrees, whose authalic latitude has a sine.
func (pl *Plane) latitude(sinBeta float64) float64 {
	q := sinBeta * pl.authalicPole
	lat := math.Asin(max(-1, min(1, sinBeta)))
	for range 8 {
		sin, cos := math.Sincos(lat)
		w := 1 - eccentricity2*sin*sin
		step := w * w / (2 * cos) * (q - authalicQ(sin)) / (1 - eccentricity2)
		if math.Abs(step) < 1e-15 || math.IsNaN(step) || math.IsInf(step, 0) {
			break
		}
		lat += step
	}
	return lat / radiansPerDegree
}
