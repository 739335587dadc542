package ground_test

import (
	"math"
	"testing"

	"github.com/wroge/wgs84"

	"emberquilt/habitat/ground"
)

// The plane of a survey against the library's Lambert azimuthal equal-area
// projection, which goes another way to the same numbers.
func TestPlaneAgainstLibrary(t *testing.T) {
	center := ground.Point{Lon: -96.57, Lat: 39.1}
	ours := ground.NewPlane(center)
	theirs := wgs84.To(wgs84.WGS84().LambertAzimuthalEqualArea(center.Lon, center.Lat, 0, 0))
	for _, p := range []ground.Point{{Lon: -96.57, Lat: 39.1}, {Lon: -96.6, Lat: 39.12}, {Lon: -97.5, Lat: 38}, {Lon: -90, Lat: 45}, {Lon: -120, Lat: 30}, {Lon: -60, Lat: 60}} {
		x, y, _ := theirs(p.Lon, p.Lat, 0)
		got := ours.Project(p)
		if math.Hypot(got.X-x, got.Y-y) > 1e-3 {
			t.Errorf("%v lies at %v; the library says %v, %v", p, got, x, y)
		}
		if back := ours.Unproject(got); ground.MetersBetween(back, p) > 1e-6 {
			t.Errorf("%v comes back as %v", p, back)
		}
	}
}
