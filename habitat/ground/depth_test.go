package ground_test

import (
	"math"
	"math/rand/v2"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/quantity"
)

// onPlane gives a polygon of a shape from feet east and north of a point.
func onPlane(outer []float64, holes ...[]float64) ground.Polygon {
	plane := ground.NewPlane(ground.Point{Lon: -96.6, Lat: 39.2})
	ring := func(feet []float64) (r ground.Ring) {
		for i := 0; i < len(feet); i += 2 {
			at := flat.XY{X: feet[i] * 0.3048, Y: feet[i+1] * 0.3048}
			r = append(r, plane.Unproject(at))
		}
		return r
	}
	p := ground.Polygon{Outer: ring(outer)}
	for _, h := range holes {
		p.Holes = append(p.Holes, ring(h))
	}
	return p
}

// Runs that are plain by hand: how far a wind from the north, the east and the
// north-east goes inside a shape at most.
func TestLongestRunByHand(t *testing.T) {
	diagonal := math.Sqrt2
	for _, c := range []struct {
		name                   string
		shape                  []ground.Polygon
		north, east, northEast float64
	}{
		{"square", []ground.Polygon{onPlane([]float64{0, 0, 1000, 0, 1000, 1000, 0, 1000})}, 1000, 1000, 1000 * diagonal},
		{"strip", []ground.Polygon{onPlane([]float64{0, 0, 4000, 0, 4000, 400, 0, 400})}, 400, 4000, 400 * diagonal},
		// Aslant: the extent from the north is 2,400 ft, but no run is over 400.
		{"aslant", []ground.Polygon{onPlane([]float64{0, 0, 2000, 2000, 2000, 2400, 0, 400})}, 400, 400, 2000 * diagonal},
		{"L", []ground.Polygon{onPlane([]float64{0, 0, 2000, 0, 2000, 500, 500, 500, 500, 2000, 0, 2000})}, 2000, 2000, 500 * diagonal},
		{"hole", []ground.Polygon{onPlane([]float64{0, 0, 1000, 0, 1000, 1000, 0, 1000}, []float64{0, 400, 1000, 400, 1000, 600, 0, 600})}, 400, 1000, 400 * diagonal},
		{"two parts", []ground.Polygon{onPlane([]float64{0, 0, 300, 0, 300, 500, 0, 500}), onPlane([]float64{0, 1500, 300, 1500, 300, 2200, 0, 2200})}, 700, 300, 300 * diagonal},
		{"parts that share an edge", []ground.Polygon{onPlane([]float64{0, 0, 300, 0, 300, 500, 0, 500}), onPlane([]float64{0, 500, 300, 500, 300, 1200, 0, 1200})}, 1200, 300, 300 * diagonal},
	} {
		all := ground.Shape{Polygons: c.shape}.Depths()
		for i, want := range map[int]float64{0: c.north, 4: c.east, 2: c.northEast} {
			// The shape's own plane lies a little otherwise than that of the test.
			if got := float64(all[i].Run); math.Abs(got-want) > 0.5 {
				t.Errorf("%s, wind from %s: %.2f ft, want %.2f", c.name, all[i].WindFrom.Compass(), got, want)
			}
			if all[i].Run > all[i].Along || all[i].Run != all[i+8].Run {
				t.Errorf("%s, wind from %s: run %v, extent %v, from the other end %v", c.name, all[i].WindFrom.Compass(), all[i].Run, all[i].Along, all[i+8].Run)
			}
		}
	}
	if run := (ground.Shape{}).Depths()[0].Run; run != 0 {
		t.Errorf("the empty shape has a run of %v ft", run)
	}
}

// A comb of many teeth is all edge: it ends soon, and its run is not too short.
func TestLongestRunOfAComb(t *testing.T) {
	var feet []float64
	for i := range 6000 {
		feet = append(feet, float64(i), 1000*float64(i%2))
	}
	feet = append(feet, 6000, -500, 0, -500)
	d := ground.Shape{Polygons: []ground.Polygon{onPlane(feet)}}.Depths()[4]
	if d.Run > d.Along || float64(d.Run) < 5990 {
		t.Errorf("run %v of %v ft", d.Run, d.Along)
	}
}

// GEOS cuts each shape by lines along each wind, just beside each of its corners, and
// measures the pieces.
const shapelyRuns = `
import sys, math
from shapely import wkt, affinity
from shapely.geometry import LineString
for line in sys.stdin:
    shape = wkt.loads(line).buffer(0)
    out = []
    for k in range(8):
        s = affinity.rotate(shape, 22.5 * k, origin=(0, 0)) # the wind along y
        x0, y0, x1, y1 = s.bounds
        best = 0.0
        parts = list(s.geoms) if hasattr(s, "geoms") else [s]
        for p in parts:
            for ring in [p.exterior] + list(p.interiors):
                for x, _ in ring.coords:
                    for at in (x - 1e-6, x + 1e-6):
                        cut = s.intersection(LineString([(at, y0 - 1), (at, y1 + 1)]))
                        for piece in (cut.geoms if hasattr(cut, "geoms") else [cut]):
                            best = max(best, piece.length)
        out.append(repr(best))
    print(" ".join(out))
`

// Outside: Shapely (GEOS), on the units of Konza and on random shapes, by another way:
// cuts at every corner in place of a sweep. With the 55 units of up to 150 corners
// and 40 random shapes it takes half a minute, and agrees as well.
func TestLongestRunAgainstGEOS(t *testing.T) {
	python := "/usr/bin/python3"
	if exec.Command(python, "-c", "import shapely").Run() != nil {
		t.Skip("shapely is not installed (Debian package python3-shapely)")
	}
	var shapes []ground.Shape
	r := rand.New(rand.NewPCG(13, 29))
	for range 8 { // stars: no edge crosses another, and most are bent
		var feet []float64
		n := 5 + r.IntN(12)
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			far := 200 + 3000*r.Float64()
			feet = append(feet, far*cos, far*sin)
		}
		shapes = append(shapes, ground.Shape{Polygons: []ground.Polygon{onPlane(feet)}})
	}
	t.Run("random", func(t *testing.T) { compareRuns(t, python, shapes) })
	t.Run("Konza", func(t *testing.T) { compareRuns(t, python, fewCorners(readShapes(t, "konza/GIS032.shp"), 30)) })
}

func compareRuns(t *testing.T, python string, shapes []ground.Shape) {
	var wkt strings.Builder
	for _, s := range shapes {
		wkt.WriteString(planeWKT([]ground.Shape{s}))
	}
	cmd := exec.Command(python, "-c", shapelyRuns)
	cmd.Stdin = strings.NewReader(wkt.String())
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) != len(shapes) {
		t.Fatalf("%d answers of %d", len(lines), len(shapes))
	}
	shorter := 0
	for i, s := range shapes {
		all := s.Depths()
		for k, text := range strings.Fields(lines[i]) {
			meters, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			want := float64(quantity.FeetFromMeters(meters))
			if got := float64(all[k].Run); math.Abs(got-want) > 0.01 {
				t.Errorf("shape %d, wind from %s: %.3f ft, GEOS says %.3f", i, all[k].WindFrom.Compass(), got, want)
			}
			if all[k].Run < 0.9*all[k].Along {
				shorter++
			}
		}
	}
	t.Logf("%d shapes, %d of %d runs are below 0.9 of the extent", len(shapes), shorter, 8*len(shapes))
	if shorter < len(shapes) {
		t.Errorf("only %d of %d runs are much shorter than the extent: the comparison says little", shorter, 8*len(shapes))
	}
}

// fewCorners gives the shapes of so many corners at most.
func fewCorners(all []ground.Shape, most int) (few []ground.Shape) {
	for _, s := range all {
		n := 0
		for r := range s.Rings {
			n += len(r)
		}
		if n <= most {
			few = append(few, s)
		}
	}
	return few
}
