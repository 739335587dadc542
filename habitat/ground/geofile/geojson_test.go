package geofile

import (
	"strings"
	"testing"

	"emberquilt/habitat/source"
	"emberquilt/testdata/refdata"
)

// Areas and perimeters of real polygons, against GeographicLib 2.1 (Planimeter,
// Debian geographiclib-tools).
func TestGeoJSONAgainstPlanimeter(t *testing.T) {
	for _, c := range []struct {
		name     string
		features int
		refused  int
	}{
		// Counts: PROVENANCE.md beside each file.
		{"konza/derived_GIS032_wgs84.geojson", 76, 0},
		{"mecklenburg/voting_precincts.geojson", 195, 0},
		{"mecklenburg/engineering_grid.geojson", 716, 0},
		{"mecklenburg/political_boundaries.geojson", 62, 0},
		{"mecklenburg/wetlands.geojson", 2015, 0},
		{"large/us_counties_2010_20m.geojson", 3221, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			layer, err := Read(refdata.File(t, "polygons/"+c.name), Options{})
			features := layer.Features
			refused := 0
			if err != nil {
				t.Log(err)
				var list *source.List
				if !asList(err, &list) {
					t.Fatal(err)
				}
				refused = list.Len()
			}
			if refused != c.refused || len(features)+refused != c.features {
				t.Errorf("%d features and %d refused, want %d and %d", len(features), refused, c.features-c.refused, c.refused)
			}
			for _, f := range features {
				for _, n := range f.Notes {
					t.Log(n)
				}
			}
			t.Logf("worst area differs by %.1e of itself", comparePlanimeter(t, features))
		})
	}
}

func asList(err error, list **source.List) bool {
	l, ok := err.(*source.List)
	*list = l
	return ok
}

const square = `{"type":"Polygon","coordinates":[[[-96.6,39.1],[-96.59,39.1],[-96.59,39.11],[-96.6,39.11],[-96.6,39.1]]]}`

func feature(geometry string) string {
	return `{"type":"FeatureCollection","features":[` + "\n" + `{"type":"Feature","properties":{"name":"North 4"},"geometry":` + geometry + `}]}`
}

func polygon(coordinates string) string {
	return feature(`{"type":"Polygon","coordinates":[[` + coordinates + `]]}`)
}

func TestGeoJSONRefuses(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"empty", "  \n", `f: the file is empty; accepts a file with shapes`},
		{"binary", "\x00\x01\x02", `f: the file is not text: it holds a zero byte; accepts a text file in UTF-8`},
		{"cut off", feature(square)[:150], `f:2: the JSON ends too early; accepts GeoJSON (RFC 7946)`},
		{"no JSON", "hello", `f:1: bad JSON: "hello"`},
		{"array", "[1]", `f:1: the JSON is not an object; accepts a FeatureCollection, a Feature or a geometry`},
		{"no type", `{"a":1}`, `f:1: the JSON has no "type"`},
		{"TopoJSON", `{"type":"Topology"}`, `f:1: this is TopoJSON; accepts GeoJSON; export the layer as GeoJSON`},
		{"no features", `{"type":"FeatureCollection"}`, `f:1: the FeatureCollection has no features`},
		{"nothing in it", `{"type":"FeatureCollection","features":[]}`, `f: the GeoJSON holds no shapes; accepts a file with at least one shape`},
		{"no feature", `{"type":"FeatureCollection","features":[7]}`, `f:1:feature 1: a feature of type ""`},
		{"bow-tie", polygon("[0,0],[0.01,0.01],[0.01,0],[0,0.01],[0,0]"),
			`f:2:feature 1 "North 4": the boundary crosses itself at longitude 0.005000, latitude 0.005000`},
		{"latitude first", polygon("[39.1,-96.6],[39.1,-96.5],[39.2,-96.5],[39.1,-96.6]"), "hint: the coordinates may be in the order latitude, longitude"},
		{"latitude first, in the east", polygon("[35.1,-80.6],[35.1,-80.5],[35.2,-80.5],[35.1,-80.6]"), "lies in Antarctica"},
		{"meters", polygon("[706832,4329000],[706900,4329000],[706900,4329100],[706832,4329000]"), "meters or feet of a map projection"},
		{"0 to 360", polygon("[263.4,39],[263.5,39],[263.5,39.1],[263.4,39]"), "subtract 360"},
		{"open", polygon("[0,0],[0.01,0],[0.01,0.01],[0,0.01]"), "the boundary is not closed: 3,628 ft are missing"},
		{"no area", polygon("[0,0],[0.01,0],[0,0]"), "the boundary encloses no ground"},
		{"infinite", polygon("[1e999,0],[0.01,0],[0,0]"), "a coordinate is not a number"},
		{"text for number", polygon(`["a",0],[0.01,0],[0,0]`), `a coordinate is not a number: "\"a\",0]`},
		{"one number", polygon("[1],[0.01,0],[0,0]"), "a position of 1 numbers"},
		{"too flat", feature(`{"type":"Polygon","coordinates":[[0,0],[1,1],[1,0],[0,0]]}`), "a position is not an array"},
		{"no coordinates", feature(`{"type":"Polygon"}`), "a Polygon without coordinates"},
		{"unknown type", feature(`{"type":"Circle","coordinates":[1,2]}`), `a geometry of type "Circle"`},
		{"hole outside", feature(`{"type":"Polygon","coordinates":[[[0,0],[0.01,0],[0.01,0.01],[0,0]],[[1,1],[1.01,1],[1.01,1.01],[1,1]]]}`), "lies outside its outer ring"},
		{"part in part", feature(`{"type":"MultiPolygon","coordinates":[[[[0,0],[1,0],[1,1],[0,0]]],[[[0.5,0.1],[0.6,0.1],[0.6,0.2],[0.5,0.1]]]]}`), "inside another part"},
		{"same part twice", feature(`{"type":"MultiPolygon","coordinates":[[[[0,0],[1,0],[1,1],[0,0]]],[[[0,0],[1,0],[1,1],[0,0]]]]}`), "claimed twice"},
		{"parts on each other", feature(`{"type":"MultiPolygon","coordinates":[[[[0,0],[2,0],[2,1],[0,1],[0,0]]],[[[1,0],[3,0],[3,1],[1,1],[1,0]]]]}`), "claimed twice"},
	} {
		t.Run(c.name, func(t *testing.T) {
			layer, err := readGeoJSON([]byte(c.text), "f", Options{})
			features := layer.Features
			if err == nil {
				t.Fatalf("accepted: %+v", features)
			}
			if !strings.Contains(err.Error(), c.want) {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
			if !source.Is(err) {
				t.Errorf("%T is not bad input", err)
			}
		})
	}
}

func TestGeoJSONAccepts(t *testing.T) {
	for _, c := range []struct{ name, text, note string }{
		{"plain", feature(square), ""},
		{"byte order mark", "\uFEFF" + feature(square), ""},
		{"feature", `{"type":"Feature","id":7,"properties":null,"geometry":` + square + `}`, ""},
		{"bare geometry", square, ""},
		{"collection", `{"type":"GeometryCollection","geometries":[` + square + `]}`, ""},
		{"null geometry", feature("null"), "has no geometry"},
		{"nearly closed", polygon("[0,0],[0.01,0],[0.01,0.01],[0,0.01],[0,0.00001]"), "was not closed; closed over 4 ft"},
		{"spike", polygon("[0,0],[0.01,0],[0.01,0.01],[0.02,0.02],[0.01,0.01],[0,0.01],[0,0]"), "out and back"},
		{"small loop", polygon("[0,0],[0.01,0],[0.01,0.01],[0.005,0.01],[0.00505,0.01001],[0.00505,0.00999],[0,0.01],[0,0]"), "was cut off"},
		{"touches itself", polygon("[0,0],[0.01,0],[0.01,0.01],[0.005,0],[0,0.01],[0,0]"), "split there into 2 rings"},
		{"hole on the boundary", polygon("[0,0],[0.01,0],[0.01,0.01],[0,0.01],[0,0],[0.002,0.005],[0.005,0.002],[0,0]"), "split there into 2 rings"},
		{"date line", polygon("[179.99,0],[-179.99,0],[-179.99,0.01],[179.99,0.01],[179.99,0]"), "crosses the date line"},
		{"sliver", polygon("[0,0],[0.00001,0],[0.00001,0.00001],[0,0]"), "a sliver"},
	} {
		t.Run(c.name, func(t *testing.T) {
			layer, err := readGeoJSON([]byte(c.text), "f", Options{})
			features := layer.Features
			if err != nil || len(features) != 1 {
				t.Fatalf("%d features, %v", len(features), err)
			}
			var all []string
			for _, n := range features[0].Notes {
				all = append(all, n.String())
			}
			text := strings.Join(all, "\n")
			if (c.note == "") != (text == "") || !strings.Contains(text, c.note) {
				t.Errorf("notes %q, want %q", text, c.note)
			}
		})
	}
}
