package repair_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/peterstace/simplefeatures/geom"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/ground/repair"
	"emberquilt/testdata/refdata"
)

// asGeom gives a shape to simplefeatures.
func asGeom(s ground.Shape) geom.Geometry {
	raw, err := s.MarshalBinary()
	if err != nil {
		panic(err)
	}
	g, err := geom.UnmarshalWKB(raw, geom.NoValidate{})
	if err != nil {
		panic(err)
	}
	return g
}

// Rings with points on a small grid, where every kind of touching, overlapping
// and crossing comes up, against the validity check of simplefeatures: what it
// calls valid we take as it is, and what we take or fix it calls valid.
func TestRandomRingsAgainstSimplefeatures(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	counts := map[string]int{}
	for n := range 60_000 {
		size := 3 + r.IntN(7)
		var ring []ground.Point
		for range size {
			ring = append(ring, ground.Point{Lon: float64(r.IntN(6)) / 512, Lat: float64(r.IntN(6)) / 512})
		}
		ring = append(ring, ring[0])
		ordinates := make([]float64, 0, 2*len(ring))
		for _, p := range ring {
			ordinates = append(ordinates, p.Lon, p.Lat)
		}
		line := geom.NewLineString(geom.NewSequence(ordinates, geom.DimXY))
		valid := geom.NewPolygon([]geom.LineString{line}).Validate() == nil
		c := &repair.Cleaner{AnyWinding: true}
		shape, err := c.Polygons([][][]ground.Point{{ring}})
		mended := false
		for _, note := range c.Notes {
			mended = mended || note.Kind == ground.Mended || note.Kind == ground.Dropped
		}
		switch {
		case valid && (err != nil || mended):
			t.Fatalf("ring %d is valid: %v; %v, %v", n, ring, err, c.Notes)
		case valid:
			counts["valid"]++
		case err == nil && !mended:
			t.Fatalf("ring %d is not valid and went through: %v", n, ring)
		case err == nil:
			counts["mended"]++
			// Rings that touch at several points bound the same ground; the
			// standard would have them drawn otherwise. A crossing's place is
			// rounded, and a ring through it may then touch itself by 1e-18
			// degrees: seldom, and the area below still holds.
			if bad := asGeom(shape).Validate(); bad != nil {
				switch text := bad.Error(); {
				case strings.Contains(text, "at multiple points"), strings.Contains(text, "disconnected interior"):
				case strings.Contains(text, "ring not simple"):
					counts["rounded"]++
				default:
					t.Fatalf("ring %d was mended into what is not valid: %v; %v; %v", n, ring, c.Notes, bad)
				}
			}
			pl := ground.NewPlane(shape.Center())
			areas, ok := flat.SweepAreas([][]flat.XY{pl.ProjectRing(ground.Ring(ring[:len(ring)-1]))}, nil, math.Inf(-1), math.Inf(1))
			got := shape.Acres().SquareMeters()
			var moved float64
			for _, note := range c.Notes {
				moved += note.Moved.SquareMeters()
			}
			if !ok || math.Abs(areas.A-got) > moved+1e-6*got+0.5 {
				t.Fatalf("ring %d covers %v m² and was mended into %v m²: %v; %v", n, areas.A, got, ring, c.Notes)
			}
		default:
			counts["refused"]++
		}
	}
	t.Log(counts)
	if counts["rounded"]*20 > counts["mended"] {
		t.Errorf("%d of %d mended rings are not simple", counts["rounded"], counts["mended"])
	}
	if counts["valid"] < 1000 || counts["mended"] < 1000 || counts["refused"] < 1000 {
		t.Errorf("the rings are too much alike: %v", counts)
	}
}

// Every shape that comes out of the real files is valid to simplefeatures, but
// for rings of one shape that lie along each other, which it does not allow and
// which do no harm.
func TestRealShapesAreValid(t *testing.T) {
	for _, name := range []string{"konza/derived_GIS032_wgs84.geojson", "mecklenburg/voting_precincts.geojson", "mecklenburg/wetlands.geojson", "mecklenburg/engineering_grid.geojson"} {
		layer, _ := geofile.Read(refdata.File(t, "polygons/"+name), geofile.Options{})
		for _, f := range layer.Features {
			if f.Shape.IsEmpty() {
				continue
			}
			if err := asGeom(f.Shape).Validate(); err != nil {
				t.Errorf("%s: %v", f.Position, err)
			}
		}
	}
}

// A slip of the pen is cut off, whatever else the ring does; the ground that
// moves is said.
func TestSmallLoopsAreCutOff(t *testing.T) {
	c := &repair.Cleaner{}
	ring := []ground.Point{{Lon: 0, Lat: 0}, {Lon: 0.01, Lat: 0}, {Lon: 0.01, Lat: 0.01}, {Lon: 0.005, Lat: 0.01}, {Lon: 0.00505, Lat: 0.01001}, {Lon: 0.00505, Lat: 0.00999}, {Lon: 0, Lat: 0.01}, {Lon: 0, Lat: 0}}
	s, err := c.Polygons([][][]ground.Point{{ring}})
	if err != nil || len(c.Notes) != 1 || !(c.Notes[0].Moved > 0 && c.Notes[0].Moved < 0.01) {
		t.Fatalf("%v, %+v", err, c.Notes)
	}
	if err := asGeom(s).Validate(); err != nil {
		t.Error(err)
	}
}

func TestSweepOfOverlappingShapes(t *testing.T) {
	a := [][]flat.XY{{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 4}, {X: 0, Y: 4}}, {{X: 1, Y: 1}, {X: 1, Y: 2}, {X: 2, Y: 2}, {X: 2, Y: 1}}}
	b := [][]flat.XY{{{X: 2, Y: -1}, {X: 6, Y: 3}, {X: 2, Y: 7}, {X: -2, Y: 3}}}
	got, ok := flat.SweepAreas(a, b, math.Inf(-1), math.Inf(1))
	// The diamond |x−2| + |y−3| ≤ 4 leaves four corners of the square uncovered:
	// two triangles of legs 1 below, none above; the hole lies inside it.
	if !ok || math.Abs(got.A-15) > 1e-12 || math.Abs(got.B-32) > 1e-12 || math.Abs(got.Both-(15-1)) > 1e-12 {
		t.Errorf("%+v", got)
	}
}
