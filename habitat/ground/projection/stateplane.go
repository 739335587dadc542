package projection

import (
	_ "embed" // for the table
	"strconv"
	"strings"
	"sync"

	"emberquilt/habitat/ground"
)

// statePlaneText holds the state plane zones of NAD83, one a line: EPSG code,
// name, projection (T transverse Mercator, L Lambert), central meridian, latitude
// of origin, scale or first parallel, second parallel, false easting and
// northing, unit. The zone of Alaska's panhandle is oblique and not among them.
//
// Source: J. E. Stem, State Plane Coordinate System of 1983, NOAA Manual NOS
// NGS 5 (1989), as GDAL 3.6 with the EPSG dataset prints it.
//
//go:embed stateplane.tsv
var statePlaneText string

// unitMeters are the units of the zones. The survey foot is 1200/3937 m.
var unitMeters = map[string]float64{"m": 1, "ft": 0.3048, "ftUS": 1200.0 / 3937}

// statePlane is one zone.
type statePlane struct {
	code int
	name string
	line []string
}

var statePlanes = sync.OnceValue(func() []statePlane {
	var all []statePlane
	for _, line := range strings.Split(strings.TrimSpace(statePlaneText), "\n") {
		fields := strings.Split(line, "\t")
		code, err := strconv.Atoi(fields[0])
		if err != nil || len(fields) != 10 {
			panic("ground: bad line in stateplane.tsv: " + line)
		}
		all = append(all, statePlane{code, fields[1], fields})
	}
	return all
})

// statePlaneSystem finds a zone by its EPSG code, or, when that is 0, by its
// name, such as "Kansas North (ftUS)".
func statePlaneSystem(code int, name string) (System, bool) {
	for _, z := range statePlanes() {
		if z.code == code || (code == 0 && plainName(z.name) == plainName(name)) {
			return z.system(), true
		}
	}
	return System{}, false
}

func (z statePlane) system() System {
	var v [6]float64
	for i := range v {
		n, err := strconv.ParseFloat(z.line[3+i], 64)
		if err != nil {
			panic("ground: bad number in stateplane.tsv: " + z.line[3+i])
		}
		v[i] = n
	}
	meters := unitMeters[z.line[9]]
	inv := transverseMercator(grs80, v[0], v[1], v[2], v[4]*meters, v[5]*meters)
	if z.line[2] == "L" {
		inv = lambertConic(grs80, v[0], v[1], v[2], v[3], 1, v[4]*meters, v[5]*meters)
	}
	d := datum{name: "NAD83", spheroid: grs80, degree: 1, warning: nad83Warning}
	return d.over("NAD83 "+z.name, func(x, y float64) (ground.Point, bool) { return inv(x*meters, y*meters) }, false)
}
