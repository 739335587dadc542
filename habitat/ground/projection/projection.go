package projection

import (
	"math"

	"emberquilt/habitat/ground"
)

// The inverse projections of this file bring eastings and northings in meters
// to degrees on their ellipsoid. They are written out: the library that the
// house takes for projections raises to the power 3/2 of whole numbers, that
// is 1, in its inverse transverse Mercator, which is meters wrong at the edge
// of a zone. The tests hold them against PROJ.

const degreeInRadians = math.Pi / 180

// spheroid is an ellipsoid of revolution.
type spheroid struct{ a, f float64 }

func (s spheroid) e2() float64 { return s.f * (2 - s.f) }

// inverse brings meters to degrees; ok is false outside the projection.
type inverse func(east, north float64) (p ground.Point, ok bool)

// finish turns radians into a Point on earth.
func finish(lon, lat float64) (ground.Point, bool) {
	p := ground.Point{Lon: lon / degreeInRadians, Lat: lat / degreeInRadians}
	if !(math.Abs(p.Lon) <= 540 && math.Abs(p.Lat) <= 90) {
		return ground.Point{}, false
	}
	p.Lon = ground.WrapDegrees(p.Lon)
	return p, true
}

// latitudeOf gives the latitude with an isometric latitude psi.
//
// Source: C. F. F. Karney, Transverse Mercator with an accuracy of a few
// nanometers, J. Geodesy 85 (2011), eqs. 7 to 9; the fixed point gains two
// digits a step.
func latitudeOf(psi, e float64) float64 {
	sin := math.Tanh(psi)
	for range 12 {
		next := math.Tanh(psi + e*math.Atanh(e*sin))
		if math.Abs(next-sin) < 1e-16 {
			break
		}
		sin = next
	}
	// asin loses half the digits near the poles; atan2 does not.
	s := psi + e*math.Atanh(e*sin)
	return math.Atan(math.Sinh(s))
}

// isometric gives the isometric latitude of a latitude.
func isometric(lat, e float64) float64 {
	sin := math.Sin(lat)
	return math.Asinh(math.Tan(lat)) - e*math.Atanh(e*sin)
}

// transverseMercator is the inverse of the Gauss-Krueger projection.
//
// Source: L. Krueger, Konforme Abbildung des Erdellipsoids in der Ebene (1912),
// series in n to order 4 as in Karney (2011), eqs. 14, 35, 36: below a
// thousandth of a millimeter within 3,000 km of the meridian.
func transverseMercator(s spheroid, lon0, lat0, scale, east0, north0 float64) inverse {
	n := s.f / (2 - s.f)
	e := math.Sqrt(s.e2())
	n2, n3, n4 := n*n, n*n*n, n*n*n*n
	radius := s.a / (1 + n) * (1 + n2/4 + n4/64) * scale
	alpha := [4]float64{
		n/2 - 2*n2/3 + 5*n3/16 + 41*n4/180,
		13*n2/48 - 3*n3/5 + 557*n4/1440,
		61*n3/240 - 103*n4/140,
		49561 * n4 / 161280,
	}
	beta := [4]float64{
		n/2 - 2*n2/3 + 37*n3/96 - n4/360,
		n2/48 + n3/15 - 437*n4/1440,
		17*n3/480 - 37*n4/840,
		4397 * n4 / 161280,
	}
	conformal := math.Atan(math.Sinh(isometric(lat0*degreeInRadians, e)))
	origin := conformal
	for j, a := range alpha {
		origin += a * math.Sin(2*float64(j+1)*conformal)
	}
	return func(east, north float64) (ground.Point, bool) {
		xi := (north-north0)/radius + origin
		eta := (east - east0) / radius
		if !(math.Abs(xi) <= math.Pi && math.Abs(eta) <= 1) {
			return ground.Point{}, false
		}
		x, y := xi, eta
		for j, b := range beta {
			k := 2 * float64(j+1)
			x -= b * math.Sin(k*xi) * math.Cosh(k*eta)
			y -= b * math.Cos(k*xi) * math.Sinh(k*eta)
		}
		sin, cos := math.Sincos(x)
		psi := math.Asinh(sin / math.Hypot(math.Sinh(y), cos))
		return finish(lon0*degreeInRadians+math.Atan2(math.Sinh(y), cos), latitudeOf(psi, e))
	}
}

// lambertConic is the inverse of Lambert's conformal conic projection with two
// standard parallels, or with one and a scale.
//
// Source: Snyder, USGS Professional Paper 1395 (1987), eqs. 15-1 to 15-11.
func lambertConic(s spheroid, lon0, lat0, lat1, lat2, scale, east0, north0 float64) inverse {
	e := math.Sqrt(s.e2())
	m := func(lat float64) float64 {
		sin, cos := math.Sincos(lat)
		return cos / math.Sqrt(1-s.e2()*sin*sin)
	}
	first, second := lat1*degreeInRadians, lat2*degreeInRadians
	psi1, psi2 := isometric(first, e), isometric(second, e)
	cone := math.Sin(first)
	if math.Abs(first-second) > 1e-10 {
		cone = math.Log(m(first)/m(second)) / (psi2 - psi1)
	}
	factor := s.a * scale * m(first) * math.Exp(cone*psi1) / cone
	rho0 := factor * math.Exp(-cone*isometric(lat0*degreeInRadians, e))
	return func(east, north float64) (ground.Point, bool) {
		x, y := east-east0, rho0-(north-north0)
		rho := math.Copysign(math.Hypot(x, y), cone)
		if rho == 0 || cone == 0 {
			return ground.Point{}, false
		}
		theta := math.Atan2(x*math.Copysign(1, cone), y*math.Copysign(1, cone))
		return finish(lon0*degreeInRadians+theta/cone, latitudeOf(-math.Log(rho/factor)/cone, e))
	}
}

// albersConic is the inverse of Albers' equal-area conic projection.
//
// Source: Snyder (1987), eqs. 14-12 to 14-21, 3-12 and 3-16.
func albersConic(s spheroid, lon0, lat0, lat1, lat2, east0, north0 float64) inverse {
	e2 := s.e2()
	e := math.Sqrt(e2)
	q := func(sin float64) float64 {
		return (1 - e2) * (sin/(1-e2*sin*sin) + math.Atanh(e*sin)/e)
	}
	m2 := func(lat float64) float64 {
		sin, cos := math.Sincos(lat)
		return cos * cos / (1 - e2*sin*sin)
	}
	first, second := lat1*degreeInRadians, lat2*degreeInRadians
	q1, q2 := q(math.Sin(first)), q(math.Sin(second))
	cone := math.Sin(first)
	if math.Abs(first-second) > 1e-10 {
		cone = (m2(first) - m2(second)) / (q2 - q1)
	}
	c := m2(first) + cone*q1
	rho0 := s.a * math.Sqrt(c-cone*q(math.Sin(lat0*degreeInRadians))) / cone
	return func(east, north float64) (ground.Point, bool) {
		x, y := east-east0, rho0-(north-north0)
		want := (c - (x*x+y*y)*cone*cone/(s.a*s.a)) / cone
		if !(math.Abs(want) < q(1)) || cone == 0 {
			return ground.Point{}, false
		}
		theta := math.Atan2(x*math.Copysign(1, cone), y*math.Copysign(1, cone))
		lat := math.Asin(want / 2)
		for range 20 {
			sin, cos := math.Sincos(lat)
			w := 1 - e2*sin*sin
			step := w * w / (2 * cos) * (want - q(sin)) / (1 - e2)
			lat += step
			if math.Abs(step) < 1e-15 {
				break
			}
		}
		return finish(lon0*degreeInRadians+theta/cone, lat)
	}
}

// webMercator is the inverse of the projection of web maps: Mercator's formulae
// for a sphere, fed with latitudes on the ellipsoid. Source: EPSG method 1024.
func webMercator(a, lon0, east0, north0 float64) inverse {
	return func(east, north float64) (ground.Point, bool) {
		if math.Abs(east-east0) > 3*math.Pi*a || math.Abs(north-north0) > 3*math.Pi*a {
			return ground.Point{}, false
		}
		return finish(lon0*degreeInRadians+(east-east0)/a, math.Atan(math.Sinh((north-north0)/a)))
	}
}

// mercator is the inverse of Mercator's projection of the ellipsoid, true along
// a parallel or with a scale. Source: Snyder (1987), eqs. 7-6 to 7-9.
func mercator(s spheroid, lon0, lat1, scale, east0, north0 float64) inverse {
	e := math.Sqrt(s.e2())
	sin, cos := math.Sincos(lat1 * degreeInRadians)
	radius := s.a * scale * cos / math.Sqrt(1-s.e2()*sin*sin)
	return func(east, north float64) (ground.Point, bool) {
		if !(radius > 0) || math.Abs(east-east0) > 3*math.Pi*radius || math.Abs(north-north0) > 3*math.Pi*radius {
			return ground.Point{}, false
		}
		return finish(lon0*degreeInRadians+(east-east0)/radius, latitudeOf((north-north0)/radius, e))
	}
}

var clarke1866 = spheroid{6378206.4, 1 / 294.9786982}

// nad27Shift holds the meters from NAD27's center to that of WGS 84, the mean
// for the contiguous United States. Its stated error is 5, 5 and 6 m.
//
// Source: NIMA TR8350.2 (2000), appendix B, NAD 27 mean CONUS (EPSG 1173).
var nad27Shift = [3]float64{-8, 160, 176}

// nad27ToWGS84 shifts degrees on NAD27. ok is false outside the contiguous
// states, for which the shift holds.
func nad27ToWGS84(p ground.Point) (ground.Point, bool) {
	if p.Lon < -125 || p.Lon > -66 || p.Lat < 24 || p.Lat > 50 {
		return ground.Point{}, false
	}
	sinLat, cosLat := math.Sincos(p.Lat * degreeInRadians)
	sinLon, cosLon := math.Sincos(p.Lon * degreeInRadians)
	e2 := clarke1866.e2()
	across := clarke1866.a / math.Sqrt(1-e2*sinLat*sinLat)
	return ground.FromMiddle(across*cosLat*cosLon+nad27Shift[0], across*cosLat*sinLon+nad27Shift[1], across*(1-e2)*sinLat+nad27Shift[2]), true
}
