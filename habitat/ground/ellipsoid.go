package ground

import "math"

// The WGS 84 ellipsoid. GRS 80, that of NAD83, differs from it by a tenth of a
// millimeter at the poles. Source: NIMA TR8350.2 (2000), table 3.1.
const (
	// EquatorMeters is half the longer axis.
	EquatorMeters = 6378137.0
	// Flattening is what the shorter axis lacks, as a part of the longer.
	Flattening = 1 / 298.257223563

	eccentricity2 = Flattening * (2 - Flattening)
	polarMeters   = EquatorMeters * (1 - Flattening)
	// meanMeters is good enough where only a small correction depends on it.
	meanMeters = 6371008.8
)

var eccentricity = math.Sqrt(eccentricity2)

const radiansPerDegree = math.Pi / 180

// pieceMeters is the longest edge that is taken as straight on a plane: the
// area between it and the geodesic is below a thousandth of a square meter
// within five miles of the plane's center, which matters for shapes that are
// ten miles long and ten yards wide.
const pieceMeters = 500

// vector is a place in meters from the middle of the earth: x toward 0° 0°, y
// toward 90° E, z toward the north pole.
type vector struct{ x, y, z float64 }

func (p Point) vector() vector {
	sinLat, cosLat := math.Sincos(p.Lat * radiansPerDegree)
	sinLon, cosLon := math.Sincos(p.Lon * radiansPerDegree)
	across := EquatorMeters / math.Sqrt(1-eccentricity2*sinLat*sinLat)
	return vector{across * cosLat * cosLon, across * cosLat * sinLon, across * (1 - eccentricity2) * sinLat}
}

func (v vector) minus(o vector) vector { return vector{v.x - o.x, v.y - o.y, v.z - o.z} }

func (v vector) dot(o vector) float64 { return v.x*o.x + v.y*o.y + v.z*o.z }

func (v vector) length() float64 { return math.Sqrt(v.dot(v)) }

// point gives the place on the ellipsoid whose normal passes through v. v must
// lie near the surface.
//
// Source: B. R. Bowring, Transformation from spatial to geographical
// coordinates, Survey Review 23 (1976), eq. 5 (from memory); one step is good
// to 1e-9 m down to the middle of a chord of 100 km.
func (v vector) point() Point {
	p := math.Hypot(v.x, v.y)
	sin, cos := math.Sincos(math.Atan2(v.z*EquatorMeters, p*polarMeters))
	const second2 = eccentricity2 / (1 - eccentricity2)
	lat := math.Atan2(v.z+second2*polarMeters*sin*sin*sin, p-eccentricity2*EquatorMeters*cos*cos*cos)
	return Point{math.Atan2(v.y, v.x) / radiansPerDegree, lat / radiansPerDegree}
}

// FromMiddle gives the place on the ellipsoid above or below a point near its
// surface that is given in meters from the middle of the earth: x toward 0° 0°,
// y toward 90° E, z toward the north pole.
func FromMiddle(x, y, z float64) Point { return vector{x, y, z}.point() }

// midpoint gives the middle of the line on the ground from a to b: the foot of
// the middle of the chord.
func midpoint(a, b Point) Point {
	v, w := a.vector(), b.vector()
	return vector{(v.x + w.x) / 2, (v.y + w.y) / 2, (v.z + w.z) / 2}.point()
}

// MetersBetween gives the length of the shortest line on the ellipsoid between
// two places: the chord, made longer by the bend of the earth, in pieces.
func MetersBetween(a, b Point) float64 {
	chord := b.vector().minus(a.vector()).length()
	if chord <= 10_000 || chord > EquatorMeters {
		return arc(chord)
	}
	m := midpoint(a, b)
	return MetersBetween(a, m) + MetersBetween(m, b)
}

// arc gives the length along a circle of the earth's size over a chord. The
// flattening changes it by 5e-10 at 10 km.
func arc(chord float64) float64 {
	return 2 * meanMeters * math.Asin(min(1, chord/(2*meanMeters)))
}

// Meters gives the length of the ring.
func (r Ring) Meters() float64 {
	var sum float64
	for i, p := range r {
		sum += MetersBetween(p, r[(i+1)%len(r)])
	}
	return sum
}
