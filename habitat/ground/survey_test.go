package ground_test

import (
	"context"
	"math"
	"math/rand/v2"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/peterstace/simplefeatures/geom"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/habitat/ground/internal/groundtest"
	"emberquilt/habitat/ground/repair"
	"emberquilt/habitat/quantity"
	"emberquilt/testdata/refdata"
)

// needed sums what remains to be made.
func needed(breaks []ground.Break) (sum quantity.Feet) {
	for i := range breaks {
		sum += breaks[i].Needed
	}
	return sum
}

// exactPairs gives the pairs of shapes that have an edge with exactly the same
// ends, and the feet of those edges: a computation of the test's own.
func exactPairs(shapes []ground.Shape) map[[2]int]float64 {
	type edge struct{ a, b ground.Point }
	owners := make(map[edge][]int)
	for i, s := range shapes {
		for r := range s.Rings {
			for k, p := range r {
				e := edge{p, r[(k+1)%len(r)]}
				if e.b.Lon < e.a.Lon || (e.b.Lon == e.a.Lon && e.b.Lat < e.a.Lat) {
					e.a, e.b = e.b, e.a
				}
				owners[e] = append(owners[e], i)
			}
		}
	}
	pairs := make(map[[2]int]float64)
	for e, all := range owners {
		length := float64(quantity.FeetFromMeters(ground.MetersBetween(e.a, e.b)))
		for x, i := range all {
			for _, j := range all[:x] {
				if i != j {
					pairs[[2]int{min(i, j), max(i, j)}] += length
				}
			}
		}
	}
	return pairs
}

// Anchors are the counts of pairs with an exactly equal edge, and of those that
// meet in a line or overlap (GEOS), in the PROVENANCE.md beside each file.
var neighborAnchors = []struct {
	name        string
	exact, line int
}{
	{"konza/derived_GIS032_wgs84.geojson", 161, 186},
	{"mecklenburg/voting_precincts.geojson", 481, 505},
	{"mecklenburg/engineering_grid.geojson", 1249, 1317},
	{"mecklenburg/political_boundaries.geojson", 72, 78},
	{"mecklenburg/wetlands.geojson", 71, 0},
	{"large/us_counties_2010_20m.geojson", 8968, 0},
	{"shapefiles/nc_counties_nad27.shp", 0, 231},
}

func TestNeighborsHoldExactEdges(t *testing.T) {
	for _, c := range neighborAnchors {
		t.Run(c.name, func(t *testing.T) {
			shapes := readShapes(t, c.name)
			exact := exactPairs(shapes)
			if c.exact > 0 && math.Abs(float64(len(exact)-c.exact)) > 0.01*float64(c.exact) {
				t.Errorf("%d pairs share an exactly equal edge; PROVENANCE.md counts %d", len(exact), c.exact)
			}
			pairs, err := ground.Neighbors(context.Background(), shapes, 0)
			if err != nil {
				t.Fatal(err)
			}
			found := make(map[[2]int]ground.Pair)
			lines := 0
			for _, p := range pairs {
				found[[2]int{p.A, p.B}] = p
				if !p.Corner || p.Overlap > 0 {
					lines++
				}
			}
			t.Logf("%d exact pairs (PROVENANCE %d), %d lines or overlaps (%d)", len(exact), c.exact, lines, c.line)
			for pair, feet := range exact {
				// Shapes on each other run the same way along their common edge.
				if p := found[pair]; p.Overlap == 0 && float64(p.Shared) < feet*(1-1e-6)-0.01 {
					t.Errorf("%v share %.1f ft of equal edges and are said to share %v", pair, feet, p.Shared)
				}
			}
			// Two that meet at a sharp wedge run along each other for a moment:
			// GEOS says point, a tolerance of 1 mm says line.
			if c.line > 0 && (lines < c.line || float64(lines) > 1.03*float64(c.line)) {
				t.Errorf("%d pairs meet in a line or overlap; GEOS counts %d", lines, c.line)
			}
		})
	}
}

const shapelySharedLength = `
import sys
from shapely import wkt
from shapely.strtree import STRtree
tol = float(sys.argv[1])
shapes = [wkt.loads(line) for line in sys.stdin]
rings = [s.boundary for s in shapes]
zones = [r.buffer(tol, resolution=32) for r in rings]
for i in range(len(shapes)):
    for j in range(i):
        if shapes[i].envelope.distance(shapes[j].envelope) <= tol:
            a = rings[i].intersection(zones[j]).length
            b = rings[j].intersection(zones[i]).length
            print(j, i, (a + b) / 2, rings[i].distance(rings[j]), shapes[i].buffer(0).intersection(shapes[j].buffer(0)).area)
`

// Shared lengths, gaps and overlaps of all pairs of Konza against GEOS (Debian
// python3-shapely) on the same plane. GEOS measures what lies within the
// tolerance of the other boundary, which at each end of a shared run takes in
// the neighboring edges for up to the tolerance; ours does not.
func TestNeighborsAgainstGEOS(t *testing.T) {
	python := "/usr/bin/python3"
	if exec.Command(python, "-c", "import shapely").Run() != nil {
		t.Skip("shapely is not installed (Debian package python3-shapely)")
	}
	shapes := readShapes(t, "konza/GIS032.shp")
	survey := ground.NewSurvey(shapes, ground.DefaultTolerance)
	cmd := exec.Command(python, "-c", shapelySharedLength, strconv.FormatFloat(ground.DefaultTolerance.Meters(), 'g', -1, 64))
	cmd.Stdin = strings.NewReader(planeWKT(shapes))
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	pairs, _ := survey.Neighbors(context.Background())
	ours := make(map[[2]int]ground.Pair)
	for _, p := range pairs {
		ours[[2]int{p.A, p.B}] = p
	}
	compared, worst := 0, 0.0
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		f := strings.Fields(line)
		a, _ := strconv.Atoi(f[0])
		b, _ := strconv.Atoi(f[1])
		length, _ := strconv.ParseFloat(f[2], 64)
		gap, _ := strconv.ParseFloat(f[3], 64)
		overlap, _ := strconv.ParseFloat(f[4], 64)
		p, ok := ours[[2]int{a, b}]
		if !ok {
			if gap <= ground.DefaultTolerance.Meters() || overlap > 1e-3 {
				t.Errorf("pair %d %d: GEOS says gap %v m, overlap %v m²; not found", a, b, gap, overlap)
			}
			continue
		}
		delete(ours, [2]int{a, b})
		compared++
		if got := p.Gap.Meters(); math.Abs(got-gap) > 1e-6 {
			t.Errorf("pair %d %d: gap %v m, GEOS says %v", a, b, got, gap)
		}
		if got := p.Overlap.SquareMeters(); math.Abs(got-overlap) > 1e-5*overlap+0.01 {
			t.Errorf("pair %d %d: overlap %v m², GEOS says %v", a, b, got, overlap)
		}
		smaller := min(shapes[a].Acres(), shapes[b].Acres())
		if smaller < repair.SliverAcres || p.Overlap > smaller/2 {
			continue // both sides of a sliver, or one in the other, lie within the tolerance
		}
		got := p.Shared.Meters()
		if got > length*1.001+0.01 || got < length-6*ground.DefaultTolerance.Meters()-0.05*length {
			t.Errorf("pair %d %d: shared %.2f m, GEOS says %.2f within the tolerance", a, b, got, length)
		}
		if length > 200 {
			worst = max(worst, math.Abs(got-length)/length)
		}
	}
	if compared < 186 || len(ours) > 0 {
		t.Errorf("%d pairs compared, %d unknown to GEOS", compared, len(ours))
	}
	t.Logf("%d pairs; shared lengths above 200 m differ by up to %.1f%%", compared, 100*worst)
}

// planeWKT writes the shapes of a survey, one a line, in meters on its plane.
func planeWKT(shapes []ground.Shape) string {
	plane := ground.NewPlane(ground.Center(shapes...))
	var out strings.Builder
	ring := func(r ground.Ring) {
		out.WriteByte('(')
		for i := 0; i <= len(r); i++ {
			p := plane.Project(r[i%len(r)])
			if i > 0 {
				out.WriteByte(',')
			}
			out.WriteString(strconv.FormatFloat(p.X, 'g', -1, 64) + " " + strconv.FormatFloat(p.Y, 'g', -1, 64))
		}
		out.WriteByte(')')
	}
	for _, shape := range shapes {
		out.WriteString("MULTIPOLYGON(")
		for i, p := range shape.Polygons {
			if i > 0 {
				out.WriteByte(',')
			}
			out.WriteByte('(')
			ring(p.Outer)
			for _, h := range p.Holes {
				out.WriteByte(',')
				ring(h)
			}
			out.WriteByte(')')
		}
		out.WriteString(")\n")
	}
	return out.String()
}

const shapelyOuterBoundary = `
import sys
from shapely import wkt
from shapely.ops import unary_union
half = float(sys.argv[1]) / 2
shapes = [wkt.loads(line).buffer(0) for line in sys.stdin]
print(unary_union([s.buffer(half, join_style=2) for s in shapes]).buffer(-half, join_style=2).length)
`

// The break that all units of Konza need when they burn together is the outer
// boundary of their union, which GEOS computes after closing gaps of up to the
// tolerance.
func TestBreaksAgainstGEOS(t *testing.T) {
	python := "/usr/bin/python3"
	if exec.Command(python, "-c", "import shapely").Run() != nil {
		t.Skip("shapely is not installed (Debian package python3-shapely)")
	}
	shapes := readShapes(t, "konza/GIS032.shp")
	survey := ground.NewSurvey(shapes, ground.DefaultTolerance)
	for _, c := range []struct {
		name string
		take func(i int) bool
	}{{"all", func(int) bool { return true }}, {"every third", func(i int) bool { return i%3 == 0 }}, {"first half", func(i int) bool { return i < 38 }}} {
		var together []int
		var some []ground.Shape
		for i, s := range shapes {
			if c.take(i) && s.Acres() > 0.01 {
				together = append(together, i)
				some = append(some, s)
			}
		}
		cmd := exec.Command(python, "-c", shapelyOuterBoundary, strconv.FormatFloat(ground.DefaultTolerance.Meters(), 'g', -1, 64))
		cmd.Stdin = strings.NewReader(planeWKT(some))
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		want, err := strconv.ParseFloat(strings.TrimSpace(string(out)), 64)
		if err != nil {
			t.Fatal(err)
		}
		got := needed(survey.Breaks(together, nil)).Meters()
		t.Logf("%s: %.0f m of break, GEOS has %.0f m of outer boundary", c.name, got, want)
		if math.Abs(got-want) > 0.03*want {
			t.Errorf("%s: %.0f m of break, GEOS has %.0f m of outer boundary", c.name, got, want)
		}
	}
}

// Overlaps of neighboring precincts against simplefeatures' intersection.
func TestOverlapAgainstSimplefeatures(t *testing.T) {
	shapes := readShapes(t, "mecklenburg/voting_precincts.geojson")
	survey := ground.NewSurvey(shapes, 0)
	lines := strings.Split(planeWKT(shapes), "\n")
	pairs, _ := survey.Neighbors(context.Background())
	compared := 0
	for k, p := range pairs {
		if k%7 != 0 || p.Overlap == 0 {
			continue
		}
		a, errA := geom.UnmarshalWKT(lines[p.A])
		b, errB := geom.UnmarshalWKT(lines[p.B])
		if errA != nil || errB != nil {
			continue // touching rings that its validity check refuses
		}
		both, err := geom.Intersection(a, b)
		if err != nil {
			continue
		}
		compared++
		if want := both.Area(); math.Abs(p.Overlap.SquareMeters()-want) > 1e-6*want+1e-4 {
			t.Errorf("pair %d %d: %v m², simplefeatures says %v", p.A, p.B, p.Overlap.SquareMeters(), want)
		}
	}
	if compared < 20 {
		t.Errorf("only %d overlaps compared", compared)
	}
}

func near(t *testing.T, name string, got, want, tolerance float64) {
	t.Helper()
	if math.Abs(got-want) > tolerance {
		t.Errorf("%s: got %v, want %v", name, got, want)
	}
}

func TestBreaksOfSquares(t *testing.T) {
	// Two 1,320-ft squares (40 acres) side by side with a lane of 20 ft between,
	// a third at their corner, a road along the west side of the first.
	shapes := []ground.Shape{groundtest.Rectangle(0, 0, 1320, 1320, 0), groundtest.Rectangle(1340, 0, 1320, 1320, 0), groundtest.Rectangle(2660, 1320, 1320, 1320, 0), {}}
	s := ground.NewSurvey(shapes, ground.DefaultTolerance)
	road := ground.Line{groundtest.Rectangle(-10, -500, 1, 1, 0).Polygons[0].Outer[0], groundtest.Rectangle(-10, 3000, 1, 1, 0).Polygons[0].Outer[0]}
	standing := s.NewStanding([]ground.Line{road})
	pairs, err := s.Neighbors(context.Background())
	if err != nil || len(pairs) != 2 {
		t.Fatalf("%+v, %v", pairs, err)
	}
	near(t, "shared", float64(pairs[0].Shared), 1320, 0.01)
	near(t, "gap", float64(pairs[0].Gap), 20, 0.001)
	if pairs[0].Corner || !pairs[1].Corner || pairs[1].A != 1 || pairs[1].B != 2 || pairs[1].Gap > 0.001 {
		t.Errorf("corner: %+v", pairs)
	}
	alone := needed(s.Breaks([]int{0}, nil)) + needed(s.Breaks([]int{1}, nil))
	near(t, "alone", float64(alone), 8*1320, 0.02)
	together := s.Breaks([]int{0, 1, 3}, nil)
	near(t, "together", float64(needed(together)), 6*1320, 0.02)
	near(t, "road", float64(s.Breaks([]int{0}, standing)[0].Standing), 1320, 0.01)
	both := s.Breaks([]int{0, 1}, standing)
	near(t, "road and neighbor", float64(both[0].Needed), 2*1320, 0.01)
	if len(together) != 2 {
		t.Errorf("%d breaks for two shapes and an empty one", len(together))
	}
	if wide := ground.NewSurvey(shapes, 10); len(mustNeighbors(t, wide)) != 1 {
		t.Error("a lane of 20 ft is within a tolerance of 10 ft")
	}
	// Real ground: shared length is on both sides of the account.
	konza := readShapes(t, "konza/GIS032.shp")
	survey := ground.NewSurvey(konza, ground.DefaultTolerance)
	all := make([]int, len(konza))
	var single quantity.Feet
	for i := range konza {
		all[i] = i
		single += needed(survey.Breaks([]int{i}, nil))
	}
	t.Logf("Konza: each unit alone %v ft, all together %v ft", single, needed(survey.Breaks(all, nil)))
}

func mustNeighbors(t *testing.T, s *ground.Survey) []ground.Pair {
	t.Helper()
	pairs, err := s.Neighbors(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return pairs
}

func TestNeighborsStopsWhenCanceled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := ground.Neighbors(ctx, []ground.Shape{groundtest.Rectangle(0, 0, 10, 10, 0)}, 30); err == nil {
		t.Error("a canceled context is not an error")
	}
}

func TestDepthOfRectangles(t *testing.T) {
	for k := range 16 {
		d := groundtest.Rectangle(100, 200, 660, 1320, float64(k)*22.5).Depths()[k]
		near(t, "along", float64(d.Along), 1320, 0.05) // north turns by 4e-5 over the shape
		near(t, "across", float64(d.Across), 660, 0.05)
	}
	// A wind from the north goes south: the downwind point is the southernmost.
	d := groundtest.Rectangle(0, 0, 660, 1320, 10).Depths()[0]
	if d.Downwind.Lat >= d.Upwind.Lat {
		t.Errorf("downwind of a north wind: %+v", d)
	}
	// Width of a disc is the same from everywhere, and of any shape the same
	// from both ends.
	r := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		var ring ground.Ring
		for range 12 {
			ring = append(ring, ground.Point{Lon: -96 + r.Float64()/100, Lat: 39 + r.Float64()/100})
		}
		s := ground.Shape{Polygons: []ground.Polygon{{Outer: ring}}}
		all := s.Depths()
		for i := range 8 {
			near(t, "both ends", float64(all[i].Along), float64(all[i+8].Along), 1e-6)
			near(t, "across is along turned", float64(all[i].Across), float64(all[(i+4)%16].Along), 1e-6)
		}
	}
	if (ground.Shape{}).Depths()[0].Along != 0 {
		t.Error("the empty shape has depth")
	}
}

// Distances and bearings against GeographicLib (GeodSolve, Debian
// geographiclib-tools), between the ends that Away itself has chosen; that they
// are the nearest is checked against many points of the boundary.
func TestAwayAgainstGeodSolve(t *testing.T) {
	solve := groundtest.Tool(t, "GeodSolve", "geographiclib-tools")
	shapes := readShapes(t, "konza/GIS032.shp")
	places := []ground.Place{
		{Name: "house", Points: []ground.Point{{Lon: -96.7, Lat: 39.2}}},
		{Name: "town", Shape: groundtest.Rectangle(40000, 2000, 5000, 5000, 20)},
		{Name: "road", Lines: []ground.Line{{{Lon: -96.4, Lat: 39.0}, {Lon: -96.41, Lat: 39.3}}}},
		{Name: "far", Points: []ground.Point{{Lon: -94.6, Lat: 39.1}}},
	}
	compared := 0
	for _, s := range shapes[:40] {
		for _, place := range places {
			away, ok := s.Away(place)
			if !ok {
				t.Fatal("no answer")
			}
			cmd := exec.Command(solve, "-i", "-w", "-p", "6")
			cmd.Stdin = strings.NewReader(strings.Join([]string{format(away.From), format(away.To)}, " "))
			out, err := cmd.Output()
			if err != nil {
				t.Fatal(err)
			}
			f := strings.Fields(string(out))
			azimuth, _ := strconv.ParseFloat(f[0], 64)
			meters, _ := strconv.ParseFloat(f[2], 64)
			compared++
			near(t, place.Name+" distance", away.Distance.Meters(), meters, 1e-6*meters)
			near(t, place.Name+" bearing", math.Remainder(float64(away.Toward)-azimuth, 360), 0, 0.02)
			for r := range s.Rings {
				for _, p := range r {
					for _, q := range place.Points {
						if ground.MetersBetween(p, q) < meters*(1-1e-6) {
							t.Errorf("%s: %v is nearer than %v", place.Name, p, away.From)
						}
					}
				}
			}
		}
	}
	if compared != 160 {
		t.Errorf("%d compared", compared)
	}
	inside, ok := groundtest.Rectangle(0, 0, 100, 100, 0).Away(ground.Place{Points: []ground.Point{groundtest.Rectangle(50, 60, 1, 1, 0).Polygons[0].Outer[0]}})
	if !ok || inside.Distance != 0 || inside.Toward > 1 && inside.Toward < 359 {
		t.Errorf("a place inside: %+v", inside)
	}
	if _, ok := (ground.Shape{}).Away(places[0]); ok {
		t.Error("the empty shape is away from something")
	}
	if _, ok := shapes[0].Away(ground.Place{}); ok {
		t.Error("nothing is away")
	}
}

func format(p ground.Point) string {
	return strconv.FormatFloat(p.Lon, 'f', 12, 64) + " " + strconv.FormatFloat(p.Lat, 'f', 12, 64)
}

func readShapes(t testing.TB, name string) []ground.Shape {
	t.Helper()
	l, err := geofile.Read(refdata.File(t, "polygons/"+name), geofile.Options{})
	if err != nil {
		t.Logf("%v", err)
	}
	shapes := make([]ground.Shape, len(l.Features))
	for i := range shapes {
		shapes[i] = l.Features[i].Shape
	}
	return shapes
}
