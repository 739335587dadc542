package projection

import (
	"fmt"
	"strconv"
	"strings"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
)

// System is a coordinate system: how to come from its coordinates to degrees
// on WGS 84.
type System struct {
	// Name says in words which system it is.
	Name string
	// ToDegrees is nil where the coordinates are degrees already. ok is false
	// for coordinates outside the system.
	ToDegrees func(ground.Point) (p ground.Point, ok bool)
	// Warning is said once a file, where the way to WGS 84 is not exact.
	Warning string
}

// Degrees is longitude and latitude on WGS 84.
var Degrees = System{Name: "WGS 84 longitude and latitude"}

// Accepted says which systems are read, for a message.
const Accepted = "degrees, UTM, state plane (Lambert or transverse Mercator), Albers and web Mercator on WGS 84, NAD83 or NAD27"

// AcceptedNames says what Parse takes, for a message.
const AcceptedNames = "EPSG codes of degrees, UTM, state plane, web Mercator and the national Albers, such as EPSG:26914, " +
	"names such as \"UTM 14N\" or \"Kansas North (ftUS)\", or the text of a .prj file"

var (
	wgs84Spheroid = spheroid{ground.EquatorMeters, ground.Flattening}
	grs80         = spheroid{6378137, 1 / 298.257222101}
)

// ByCode gives the system of a code such as EPSG:4326, 26914 or
// urn:ogc:def:crs:OGC:1.3:CRS84.
func ByCode(code string) (System, error) {
	upper := strings.ToUpper(strings.TrimSpace(code))
	last := upper[strings.LastIndexByte(upper, ':')+1:]
	if last == "CRS84" || last == "CRS84H" {
		return Degrees, nil
	}
	number, err := strconv.Atoi(last)
	if err != nil {
		return System{}, fmt.Errorf("%s is not a code that is known here", source.Clean(strconv.Quote(code)))
	}
	world := datum{name: "WGS 84", spheroid: wgs84Spheroid, degree: 1}
	nad83 := datum{name: "NAD83", spheroid: grs80, degree: 1, warning: nad83Warning}
	nad27 := datum{name: "NAD27", spheroid: clarke1866, degree: 1, warning: nad27Warning, shift: nad27ToWGS84}
	plain := func(x, y float64) (ground.Point, bool) { return ground.Point{Lon: x, Lat: y}, true }
	switch {
	case number == 4326 || number == 4979:
		return Degrees, nil
	case number == 4269:
		return nad83.over("NAD83 longitude and latitude", plain, true), nil
	case number == 4267:
		return nad27.over("NAD27 longitude and latitude", plain, true), nil
	case number == 3857 || number == 900913 || number == 102100 || number == 102113 || number == 3785:
		return world.over("web Mercator", webMercator(ground.EquatorMeters, 0, 0, 0), false), nil
	case number > 32600 && number <= 32660:
		return world.utm(number-32600, false), nil
	case number > 32700 && number <= 32760:
		return world.utm(number-32700, true), nil
	case number > 26900 && number <= 26923:
		return nad83.utm(number-26900, false), nil
	case number > 26700 && number <= 26722:
		return nad27.utm(number-26700, false), nil
	case number == 5070 || number == 102003 || number == 102039:
		lat0 := 23.0
		if number == 102003 {
			lat0 = 37.5
		}
		return nad83.over("NAD83 Albers of the contiguous states", albersConic(grs80, -96, lat0, 29.5, 45.5, 0, 0), false), nil
	}
	if s, ok := statePlaneSystem(number, ""); ok && number > 0 {
		return s, nil
	}
	return System{}, fmt.Errorf("the code %d is not known here", number)
}

// utm gives a zone of the universal transverse Mercator system.
func (d datum) utm(zone int, south bool) System {
	side, north0 := "N", 0.0
	if south {
		side, north0 = "S", 1e7
	}
	return d.over(fmt.Sprintf("%s UTM zone %d%s", d.name, zone, side),
		transverseMercator(d.spheroid, float64(zone)*6-183, 0, 0.9996, 500000, north0), false)
}

// Parse gives the system that the user states: a code, a UTM zone, or the
// text of a .prj file.
func Parse(text string) (System, error) {
	if s, ok := statePlaneSystem(0, text); ok {
		return s, nil
	}
	if strings.ContainsAny(text, "[(") {
		return FromWKT(text)
	}
	fields := strings.Fields(strings.ToUpper(strings.ReplaceAll(text, "ZONE", " ")))
	if len(fields) == 2 && fields[0] == "UTM" {
		zone := strings.TrimRight(fields[1], "NS")
		if n, err := strconv.Atoi(zone); err == nil && n >= 1 && n <= 60 {
			return datum{name: "WGS 84", spheroid: wgs84Spheroid, degree: 1}.utm(n, strings.HasSuffix(fields[1], "S")), nil
		}
	}
	switch plainName(text) {
	case "wgs84", "degrees", "lonlat":
		return Degrees, nil
	case "nad83":
		return ByCode("4269")
	case "nad27":
		return ByCode("4267")
	case "webmercator":
		return ByCode("3857")
	}
	return ByCode(text)
}
