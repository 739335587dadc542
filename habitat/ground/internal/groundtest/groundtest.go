package groundtest

import (
	"bytes"
	"fmt"
	"math"
	"os/exec"
	"strings"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/quantity"
)

// Tool gives the path of an outside program, or skips the test.
func Tool(t testing.TB, name, debianPackage string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not installed (Debian package %s)", name, debianPackage)
	}
	return path
}

// Planimeter gives, for each ring, the geodesic perimeter in meters and area in
// square meters that GeographicLib computes.
func Planimeter(t testing.TB, rings []ground.Ring) (perimeters, areas []float64) {
	t.Helper()
	var in bytes.Buffer
	for _, r := range rings {
		for _, p := range r {
			fmt.Fprintf(&in, "%.17g %.17g\n", p.Lon, p.Lat)
		}
		in.WriteString("\n")
	}
	cmd := exec.Command(Tool(t, "Planimeter", "geographiclib-tools"), "-w", "-p", "10")
	cmd.Stdin = &in
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		var n int
		var perimeter, area float64
		if _, err := fmt.Sscan(line, &n, &perimeter, &area); err != nil {
			t.Fatalf("Planimeter says %q: %v", line, err)
		}
		perimeters, areas = append(perimeters, perimeter), append(areas, math.Abs(area))
	}
	if len(areas) != len(rings) {
		t.Fatalf("Planimeter answered for %d of %d rings", len(areas), len(rings))
	}
	return perimeters, areas
}

// Rectangle gives a Rectangle of feet, its south-west corner at feet east and
// north of 96.6 W, 39.1 N, turned by degrees clockwise about that corner.
func Rectangle(east, north, width, height, turned float64) ground.Shape {
	pl := ground.NewPlane(ground.Point{Lon: -96.6, Lat: 39.1})
	sin, cos := math.Sincos(turned * math.Pi / 180)
	var r ground.Ring
	for _, c := range [][2]float64{{0, 0}, {width, 0}, {width, height}, {0, height}} {
		x, y := c[0]*cos+c[1]*sin, c[1]*cos-c[0]*sin
		r = append(r, pl.Unproject(flat.XY{X: (east + x) * quantity.MetersPerFoot, Y: (north + y) * quantity.MetersPerFoot}))
	}
	return ground.Shape{Polygons: []ground.Polygon{{Outer: r}}}
}
