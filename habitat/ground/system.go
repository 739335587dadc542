package ground

import (
	"errors"
	"strings"
)

// system is a coordinate system: how to come from its coordinates to degrees
// on WGS 84.
type system struct {
	name string
	// toDegrees is nil where the coordinates are degrees already. ok is false
	// for coordinates outside the system.
	toDegrees func(Point) (p Point, ok bool)
	// warning is said once a file, where the way to WGS 84 is not exact.
	warning string
}

// degrees is longitude and latitude on WGS 84.
var degrees = system{name: "WGS 84 longitude and latitude"}

const acceptedSystems = "WGS 84 or NAD83 degrees"

// systemByCode gives the system of a code such as EPSG:4326 or
// urn:ogc:def:crs:OGC:1.3:CRS84.
func systemByCode(code string) (system, error) {
	upper := strings.ToUpper(strings.TrimSpace(code))
	switch upper[strings.LastIndexByte(upper, ':')+1:] {
	case "CRS84", "4326", "4979", "CRS84H":
		return degrees, nil
	case "4269":
		return degrees, nil
	}
	return system{}, errors.New("this coordinate system is not known here")
}

// stateSystem gives the system that the user states.
func stateSystem(text string) (system, error) { return systemByCode(text) }
