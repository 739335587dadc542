package ground

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// sharedPolygons gives a file of the reference polygons, or skips the test.
func sharedPolygons(t testing.TB, name string) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Skip("no go.mod above the test")
		}
		dir = up
	}
	path := filepath.Join(dir, "..", "shared", "reference", "data", "polygons", name)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("reference data are not here: %v", err)
	}
	return path
}

// tool gives the path of an outside program, or skips the test.
func tool(t testing.TB, name, debianPackage string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not installed (Debian package %s)", name, debianPackage)
	}
	return path
}

// planimeter gives, for each ring, the geodesic perimeter in meters and area in
// square meters that GeographicLib computes.
func planimeter(t testing.TB, rings []Ring) (perimeters, areas []float64) {
	t.Helper()
	var in bytes.Buffer
	for _, r := range rings {
		for _, p := range r {
			fmt.Fprintf(&in, "%.17g %.17g\n", p.Lon, p.Lat)
		}
		in.WriteString("\n")
	}
	cmd := exec.Command(tool(t, "Planimeter", "geographiclib-tools"), "-w", "-p", "10")
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

// comparePlanimeter holds the acres of each shape and the perimeter of each
// ring against GeographicLib, within 1e-6 and the rounding of what it prints.
func comparePlanimeter(t *testing.T, features []Feature) (worst float64) {
	t.Helper()
	var rings []Ring
	for _, f := range features {
		for r := range f.Shape.rings {
			rings = append(rings, r)
		}
	}
	perimeters, areas := planimeter(t, rings)
	k := 0
	for _, f := range features {
		var want float64
		for _, p := range f.Shape.Polygons {
			for i := 0; i <= len(p.Holes); i++ {
				if i == 0 {
					want += areas[k]
				} else {
					want -= areas[k]
				}
				if got := rings[k].meters(); math.Abs(got-perimeters[k]) > 1e-6*perimeters[k] {
					t.Errorf("%s: perimeter %v m, Planimeter says %v", f.Position, got, perimeters[k])
				}
				k++
			}
		}
		got := f.Shape.Acres().SquareMeters()
		const sliver = 2e-5 // m²: what Planimeter prints, and rounds on the way
		off := math.Abs(got - want)
		if off > 1e-6*want+sliver {
			t.Errorf("%s: %v m², Planimeter says %v", f.Position, got, want)
		}
		if want > 1000 {
			worst = max(worst, off/want)
		}
	}
	return worst
}

func regexpReplace(text, pattern, with string) string {
	return regexp.MustCompile(pattern).ReplaceAllString(text, with)
}
