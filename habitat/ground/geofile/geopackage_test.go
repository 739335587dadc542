package geofile

import (
	"archive/zip"
	"bytes"
	"context"
	"database/sql"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/peterstace/simplefeatures/geom"

	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
)

// packed writes two units, one with a hole and two parts, as a GeoPackage.
func packed(t *testing.T) (string, *Table) {
	t.Helper()
	ring := func(lon, lat, size float64) ground.Ring {
		return ground.Ring{{Lon: lon, Lat: lat}, {Lon: lon + size, Lat: lat}, {Lon: lon + size, Lat: lat + size}, {Lon: lon, Lat: lat + size}}
	}
	turned := func(r ground.Ring) ground.Ring { return ground.Ring{r[0], r[3], r[2], r[1]} }
	polygon := func(outer ground.Ring, holes ...ground.Ring) ground.Polygon {
		return ground.Polygon{Outer: outer, Holes: holes}
	}
	table := &Table{Name: "Test \"Ground\"", Made: date.Day{Year: 2026, Month: 11, Dom: 29},
		Columns: []Column{{Name: "unit"}, {Name: "acres", Number: true, Decimals: 3}, {Name: "age", Number: true}, {Name: "cover"}, {Name: "last_burn", Day: true}},
		Rows: []Row{
			{Name: "Creek", Values: []string{"Creek", "18.123", "2", "", "2025-01-13"}, Shape: ground.Shape{Polygons: []ground.Polygon{polygon(ring(-97, 36.9, 0.01))}}},
			{Name: "Río; O'Brien", Values: []string{"Río; O'Brien", "0.004", "", "tall grass", ""}, Shape: ground.Shape{Polygons: []ground.Polygon{
				polygon(ring(-96.98, 36.9, 0.01), turned(ring(-96.977, 36.903, 0.002))), polygon(ring(-96.96, 36.9, 0.001))}}},
		}}
	var out bytes.Buffer
	if err := WriteGeoPackage(&out, table); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "units.gpkg")
	if err := os.WriteFile(path, out.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	return path, table
}

func TestGeoPackageComesBack(t *testing.T) {
	path, table := packed(t)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var again bytes.Buffer
	if err := WriteGeoPackage(&again, table); err != nil || !bytes.Equal(again.Bytes(), data) {
		t.Errorf("the same table makes another file (%v)", err)
	}
	for _, read := range []func() (*Layer, error){
		func() (*Layer, error) { return Read(path, Options{}) },
		func() (*Layer, error) { return ReadBytes(data, "units.gpkg", Options{}) },
	} {
		layer, err := read()
		if err != nil {
			t.Fatal(err)
		}
		if len(layer.Features) != 2 || layer.Format != "GeoPackage" {
			t.Fatalf("%d features as %s", len(layer.Features), layer.Format)
		}
		for i, f := range layer.Features {
			want := table.Rows[i]
			if f.Name != want.Name {
				t.Errorf("name %q", f.Name)
			}
			if acres, _ := f.Attributes.Get("acres"); acres != want.Values[1] {
				t.Errorf("%s: acres %q", f.Name, acres)
			}
			if a, b := f.Shape.Acres(), want.Shape.Acres(); math.Abs(float64(a-b)) > 1e-6 || f.Shape.Vertices() != want.Shape.Vertices() {
				t.Errorf("%s: %v acres and %d points, want %v and %d", f.Name, a, f.Shape.Vertices(), b, want.Shape.Vertices())
			}
		}
	}
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil || len(entries) != 1 {
		t.Errorf("reading left files: %v, %v", entries, err)
	}
}

// GDAL (ogr2ogr, ogrinfo) is the outside reader and writer: the same rings through it,
// also from another coordinate system and as newline-delimited GeoJSON.
func TestGeoPackageAgreesWithGDAL(t *testing.T) {
	ogr2ogr, err := exec.LookPath("ogr2ogr")
	if err != nil {
		t.Skip("ogr2ogr (Debian gdal-bin) is not installed; .ci/run installs it")
	}
	path, table := packed(t)
	run := func(args ...string) {
		t.Helper()
		if out, err := exec.Command(ogr2ogr, args...).CombinedOutput(); err != nil {
			t.Fatalf("ogr2ogr %v: %v\n%s", args, err, out)
		}
	}
	other := func(name string) string { return filepath.Join(filepath.Dir(path), name) }
	run("-f", "GeoJSON", other("gdal.geojson"), path, "-lco", "COORDINATE_PRECISION=12")
	text, err := os.ReadFile(other("gdal.geojson"))
	if err != nil {
		t.Fatal(err)
	}
	var theirs struct {
		Features []struct {
			Properties map[string]any
			Geometry   struct{ Coordinates [][][][2]float64 }
		}
	}
	if err := json.Unmarshal(text, &theirs); err != nil || len(theirs.Features) != len(table.Rows) {
		t.Fatalf("%v: %s", err, text)
	}
	for i, row := range table.Rows {
		f := theirs.Features[i]
		if f.Properties["name"] != row.Name || fmt.Sprint(f.Properties["acres"]) != row.Values[1] {
			t.Errorf("GDAL reads %v for %s", f.Properties, row.Name)
		}
		points := 0
		for _, polygon := range f.Geometry.Coordinates {
			for _, ring := range polygon {
				points += len(ring) - 1
			}
		}
		if points != row.Shape.Vertices() {
			t.Errorf("%s: GDAL reads %d points, not %d", row.Name, points, row.Shape.Vertices())
		}
	}
	daysAgree(t, path, other("gdal.shp"), table)
	run("-f", "GPKG", other("utm.gpkg"), path, "-t_srs", "EPSG:32614", "-nln", "fields")
	run("-f", "GeoJSONSeq", other("lines.geojsonl"), path, "-lco", "COORDINATE_PRECISION=12")
	run("-f", "GeoJSONSeq", other("records.geojsons"), path, "-lco", "RS=YES", "-lco", "COORDINATE_PRECISION=12")
	run("-f", "GPKG", other("raised.gpkg"), path, "-dim", "XYZ", "-nln", "raised")
	// A system with heights has no text of the first form: it stands in definition_12_063.
	run("-f", "GPKG", other("heights.gpkg"), path, "-t_srs", "EPSG:6319")
	// Kinds that could have curved sides, all of which are straight.
	for _, kind := range []string{"CURVEPOLYGON", "MULTISURFACE"} {
		run("-f", "GPKG", other(kind+".gpkg"), path, "-nlt", kind, "-where", map[string]string{"CURVEPOLYGON": "fid = 1", "MULTISURFACE": "fid > 0"}[kind])
	}
	for _, name := range []string{"utm.gpkg", "lines.geojsonl", "records.geojsons", "raised.gpkg", "heights.gpkg", "MULTISURFACE.gpkg"} {
		layer, err := Read(other(name), Options{})
		if err != nil || len(layer.Features) != len(table.Rows) {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for i, f := range layer.Features {
			if a, b := f.Shape.Acres(), table.Rows[i].Shape.Acres(); math.Abs(float64(a-b)) > 1e-4*float64(b) || f.Name != table.Rows[i].Name {
				t.Errorf("%s: %s has %v acres, want %v", name, f.Name, a, b)
			}
		}
	}
	if layer, err := Read(other("CURVEPOLYGON.gpkg"), Options{}); err != nil || len(layer.Features) != 1 || math.Abs(float64(layer.Features[0].Shape.Acres()-table.Rows[0].Shape.Acres())) > 1e-6 {
		t.Errorf("a curved polygon with straight sides: %v", err)
	}
	run("-f", "GPKG", "-update", other("utm.gpkg"), path, "-nln", "roads")
	_, err = Read(other("utm.gpkg"), Options{})
	if err == nil || !strings.Contains(err.Error(), `holds 2 layers of shapes; accepts the name of one: "fields", "roads"`) {
		t.Errorf("two layers: %v", err)
	}
	if layer, err := Read(other("utm.gpkg"), Options{Layer: "Roads"}); err != nil || len(layer.Features) != 2 {
		t.Errorf("a named layer: %v", err)
	}
}

// daysAgree holds days against GDAL: they are days in a GeoPackage and in a shapefile, also
// in one that GDAL made of the other, and come back as they were.
func daysAgree(t *testing.T, path, made string, table *Table) {
	t.Helper()
	ogrinfo, err := exec.LookPath("ogrinfo")
	if err != nil {
		t.Skip("ogrinfo (Debian gdal-bin) is not installed; .ci/run installs it")
	}
	if out, err := exec.Command("ogr2ogr", "-f", "ESRI Shapefile", made, path).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var zipped bytes.Buffer
	if _, err := WriteShapefile(&zipped, "ours", table); err != nil {
		t.Fatal(err)
	}
	ours := filepath.Join(filepath.Dir(path), "ours.zip")
	if err := os.WriteFile(ours, zipped.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, file := range []string{path, made, ours} {
		name := file
		if file == ours {
			name = "/vsizip/" + file
		}
		out, err := exec.Command(ogrinfo, "-ro", "-al", "-geom=NO", name).CombinedOutput()
		if err != nil || !strings.Contains(string(out), "last_burn: Date (") || !strings.Contains(string(out), "last_burn (Date) = 2025/01/13") {
			t.Errorf("%s: %v\n%s", file, err, out)
		}
		layer, err := Read(file, Options{})
		if err != nil || len(layer.Features) != 2 {
			t.Errorf("%s: %v", file, err)
			continue
		}
		for i, want := range []string{"2025-01-13", ""} {
			if day, _ := layer.Features[i].Attributes.Get("last_burn"); day != want {
				t.Errorf("%s: %q, want %q", file, day, want)
			}
		}
	}
}

func TestGeoPackagesRefused(t *testing.T) {
	path, _ := packed(t)
	change := func(name, text string) string {
		t.Helper()
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		changed := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(changed, data, 0o666); err != nil {
			t.Fatal(err)
		}
		db, err := sql.Open("sqlite", changed)
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		if _, err := db.ExecContext(context.Background(), text); err != nil {
			t.Fatal(err)
		}
		return changed
	}
	for _, c := range []struct{ name, change, want string }{
		{"plain.db", "DROP TABLE gpkg_contents", "is an SQLite database without the tables of a GeoPackage; accepts a GeoPackage"},
		{"nothing.gpkg", "DELETE FROM gpkg_contents", "holds no layer of shapes"},
		{"views.gpkg", `DELETE FROM gpkg_geometry_columns; CREATE VIEW mine AS SELECT fid, geom FROM burn_units;
			UPDATE gpkg_contents SET table_name = 'mine'; INSERT INTO gpkg_geometry_columns VALUES ('mine', 'geom', 'POLYGON', 4326, 0, 0)`, `holds no layer of shapes but what a view computes ("mine"); accepts a layer that is a table`},
		{"gone.gpkg", "UPDATE gpkg_contents SET table_name = 'other'; UPDATE gpkg_geometry_columns SET table_name = 'other'", "holds no layer of shapes"},
		// A view that never ends is of another hand: it is no layer.
		{"endless.gpkg", `DELETE FROM gpkg_geometry_columns; CREATE VIEW endless AS WITH RECURSIVE n(fid) AS (SELECT 1 UNION ALL SELECT fid + 1 FROM n) SELECT fid, NULL AS geom FROM n;
			UPDATE gpkg_contents SET table_name = 'endless'; INSERT INTO gpkg_geometry_columns VALUES ('endless', 'geom', 'POLYGON', 4326, 0, 0)`, "holds no layer of shapes but what a view computes"},
		{"system.gpkg", "UPDATE gpkg_spatial_ref_sys SET organization = 'X', definition = 'LOCAL_CS[\"site grid\",UNIT[\"Meter\",1]]' WHERE srs_id = 4326", "its coordinate system 4326 cannot be used"},
		{"shape.gpkg", "DROP TRIGGER rtree_burn_units_geom_update2; DROP TRIGGER rtree_burn_units_geom_update4; DROP TRIGGER rtree_burn_units_geom_update5; DROP TRIGGER rtree_burn_units_geom_update6; DROP TRIGGER rtree_burn_units_geom_update7; UPDATE burn_units SET geom = x'47500003E6100000' WHERE fid = 1", "it is cut off"},
		{"deep.gpkg", "DROP TRIGGER rtree_burn_units_geom_update2; DROP TRIGGER rtree_burn_units_geom_update4; DROP TRIGGER rtree_burn_units_geom_update5; DROP TRIGGER rtree_burn_units_geom_update6; DROP TRIGGER rtree_burn_units_geom_update7; UPDATE burn_units SET geom = x'47500001E6100000" + strings.Repeat("010700000001000000", 1000) + "' WHERE fid = 1", "collections lie more than 12 deep"},
		{"curved.gpkg", "DROP TRIGGER rtree_burn_units_geom_update2; DROP TRIGGER rtree_burn_units_geom_update4; DROP TRIGGER rtree_burn_units_geom_update5; DROP TRIGGER rtree_burn_units_geom_update6; DROP TRIGGER rtree_burn_units_geom_update7; UPDATE burn_units SET geom = x'47500001E6100000010A00000001000000010800000000000000' WHERE fid = 1", "its sides are curved; accepts straight sides"},
	} {
		file := change(c.name, c.change)
		_, err := Read(file, Options{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want %q", c.name, err, c.want)
		}
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for size := 20; size < len(data); size += len(data)/40 + 1 {
		if _, err := ReadBytes(data[:size], "cut.gpkg", Options{}); err == nil {
			t.Errorf("%d of %d bytes are read as a whole file", size, len(data))
		}
	}
	for name, want := range map[string]string{"0\nSECTION\n2\nHEADER\n": "CAD drawing (DXF)", `{"type":"Topology","objects":{}}`: "TopoJSON"} {
		if _, err := ReadBytes([]byte(name), "x", Options{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", name, err)
		}
	}
	folder := filepath.Join(t.TempDir(), "Burns.gdb")
	if err := os.Mkdir(folder, 0o777); err != nil {
		t.Fatal(err)
	}
	if _, err := Read(folder, Options{}); err == nil || !strings.Contains(err.Error(), "is a file geodatabase") {
		t.Errorf("%v", err)
	}
}

// What is zipped is read, or named, as what lies in a folder.
func TestZippedFormats(t *testing.T) {
	path, _ := packed(t)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	zipped := func(name string, text []byte) []byte {
		var b bytes.Buffer
		w := zip.NewWriter(&b)
		entry, err := w.Create(name)
		if err == nil {
			_, err = entry.Write(text)
		}
		if err := errors.Join(err, w.Close()); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	want, err := ReadBytes(data, "plan.gpkg", Options{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := ReadBytes(zipped("plan.gpkg", data), "plan.zip", Options{})
	if err != nil || len(got.Features) != len(want.Features) {
		t.Errorf("a zipped GeoPackage: %v", err)
	}
	line := []byte(`{"type":"Feature","properties":{"name":"A"},"geometry":{"type":"Polygon","coordinates":[[[-96,37],[-95.99,37],[-96,37.01],[-96,37]]]}}` + "\n")
	if got, err := ReadBytes(zipped("units.geojsonl", append(line, line...)), "units.zip", Options{}); err != nil || len(got.Features) != 2 {
		t.Errorf("zipped lines of GeoJSON: %v", err)
	}
	for _, name := range []string{"Burns.gdb/a00000001.gdbtable", "a00000001.gdbtable"} {
		if _, err := ReadBytes(zipped(name, nil), "burns.zip", Options{}); err == nil || !strings.Contains(err.Error(), "burns.zip: the zip holds a file geodatabase; accepts GeoJSON") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Lines of a sequence keep their numbers in errors.
func TestGeoJSONSequence(t *testing.T) {
	feature := func(name, ring string) string {
		return `{"type":"Feature","properties":{"name":"` + name + `"},"geometry":{"type":"Polygon","coordinates":[[` + ring + `]]}}`
	}
	const square = "[-97,37],[-96.99,37],[-96.99,37.01],[-97,37]"
	good := feature("a", square) + "\n" + feature("b", square) + "\n\n"
	layer, err := ReadBytes([]byte(good), "s", Options{})
	if err != nil || len(layer.Features) != 2 || layer.Features[1].Position.Line != 2 {
		t.Errorf("%v, %v", layer.Features, err)
	}
	_, err = ReadBytes([]byte(feature("a", square)+"\n"+feature("b", "[-97,37]")+"\n"), "s", Options{})
	if err == nil || !strings.HasPrefix(err.Error(), "s:2:") {
		t.Errorf("%v", err)
	}
	if layer, err := ReadBytes([]byte(feature("only", square)), "s", Options{}); err != nil || len(layer.Features) != 1 {
		t.Errorf("one feature: %v", err)
	}
}

// wkb is well-known binary: bytes as they are, numbers in four bytes each.
func wkb(parts ...any) []byte {
	var b []byte
	for _, part := range parts {
		switch part := part.(type) {
		case byte:
			b = append(b, part)
		case int:
			b = binary.LittleEndian.AppendUint32(b, uint32(part))
		case []byte:
			b = append(b, part...)
		}
	}
	return b
}

// A shape that says of more points, rings or shapes than it holds is refused, whatever its
// kind: room for four billion of them is no machine's.
func TestGeoBinaryHoldsWhatItSaysOf(t *testing.T) {
	const many = 0xfffffff0
	little := byte(1)
	point := wkb(little, 1, make([]byte, 16))
	shapes := map[string][]byte{
		"a line":                  wkb(little, 2, many, make([]byte, 64)),
		"rings":                   wkb(little, 3, many, make([]byte, 64)),
		"a ring":                  wkb(little, 3, 1, many, make([]byte, 64)),
		"a ring of xyzm":          wkb(little, 3003, 1, 3, make([]byte, 64)),
		"points":                  wkb(little, 4, many, point),
		"lines":                   wkb(little, 5, many, make([]byte, 64)),
		"polygons":                wkb(little, 6, many, make([]byte, 64)),
		"a ring of a polygon":     wkb(little, 6, 1, little, 3, 1, many, make([]byte, 64)),
		"shapes":                  wkb(little, 7, many, point),
		"a line in a collection":  wkb(little, 7, 2, point, little, 2, many, make([]byte, 64)),
		"big-endian":              {0, 0, 0, 0, 2, 0xff, 0xff, 0xff, 0xf0, 1, 2, 3, 4},
		"of another kind":         wkb(little, 15, 1, point),
		"of another kind of xy":   wkb(little, 4001, make([]byte, 64)),
		"of no kind":              wkb(little, 0, 1),
		"nothing":                 {},
		"half a count of the end": wkb(little, 3, 1, byte(0)),
	}
	// Each lies in the one before it, behind a point.
	shapes["deep"] = bytes.Repeat(wkb(little, 7, 2, point), 1_000_000)
	for name, shape := range shapes {
		if _, err := parseGeoBinary(append([]byte("GP\x00\x01\xe6\x10\x00\x00"), shape...)); err == nil {
			t.Errorf("%s is read", name)
		}
	}
}

// Kinds that may have curved sides are read where all of them are straight. What they
// become is as GDAL 3.6 has it (ogr2ogr -nlt CONVERT_TO_LINEAR).
func TestStraightSidesOfCurvedKinds(t *testing.T) {
	little := byte(1)
	point := func(x, y float64) []byte {
		return binary.LittleEndian.AppendUint64(binary.LittleEndian.AppendUint64(nil, math.Float64bits(x)), math.Float64bits(y))
	}
	line := func(points ...[]byte) []byte {
		return wkb(little, 2, len(points), slices.Concat(points...))
	}
	ring := line(point(0, 0), point(4, 0), point(4, 4), point(0, 0))
	hole := line(point(2, 1), point(3, 2), point(3, 1), point(2, 1))
	joined := wkb(little, 9, 2, line(point(0, 0), point(4, 0)), line(point(4, 0), point(4, 4), point(0, 0)))
	arc := wkb(little, 8, 3, point(0, 0), point(4, 0), point(0, 0))
	const square, punched = "POLYGON((0 0,4 0,4 4,0 0))", "POLYGON((0 0,4 0,4 4,0 0),(2 1,3 2,3 1,2 1))"
	for _, c := range []struct {
		name string
		wkb  []byte
		want string
	}{
		{"a polygon", wkb(little, 10, 1, ring), square},
		{"with a hole", wkb(little, 10, 2, ring, hole), punched},
		{"of joined lines", wkb(little, 10, 1, joined), square},
		{"many", wkb(little, 12, 2, wkb(little, 10, 1, joined), wkb(little, 3, 2, ring[5:], hole[5:])), "MULTIPOLYGON(((0 0,4 0,4 4,0 0)),((0 0,4 0,4 4,0 0),(2 1,3 2,3 1,2 1)))"},
		{"in a collection", wkb(little, 7, 1, wkb(little, 10, 1, ring)), "GEOMETRYCOLLECTION(" + square + ")"},
		{"lines", wkb(little, 11, 2, joined, line(point(1, 1), point(2, 2))), "MULTILINESTRING((0 0,4 0,4 4,0 0),(1 1,2 2))"},
		{"joined lines", joined, "LINESTRING(0 0,4 0,4 4,0 0)"},
		{"with heights", wkb(little, 1010, 1, wkb(little, 1002, 2, make([]byte, 48))), "POLYGON Z ((0 0 0,0 0 0))"},
		{"none", wkb(little, 12, 0), "MULTIPOLYGON EMPTY"},
		{"an arc", arc, ""},
		{"with an arc", wkb(little, 10, 2, ring, arc), ""},
		{"joined with an arc", wkb(little, 12, 1, wkb(little, 10, 1, wkb(little, 9, 2, line(point(0, 0), point(4, 0)), arc))), ""},
	} {
		shape, err := straightSides(c.wkb)
		if c.want == "" {
			if !errors.Is(err, errCurved) {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if got, err := geom.UnmarshalWKB(shape, geom.NoValidate{}); err != nil || got.AsText() != c.want {
			t.Errorf("%s: %v, %v", c.name, got.AsText(), err)
		}
		for cut := 5; cut < len(c.wkb); cut++ { // a shorter one is no shape of any kind
			if _, err := straightSides(c.wkb[:cut]); err == nil {
				t.Errorf("%s is read of %d bytes", c.name, cut)
			}
		}
	}
}

// All kinds of shapes and coordinates are checked to their last byte.
func TestGeoBinaryOfAllKindsIsWhole(t *testing.T) {
	for _, text := range []string{
		"POINT(1 2)", "POINT Z(1 2 3)", "POINT M(1 2 3)", "POINT ZM(1 2 3 4)", "POINT EMPTY",
		"LINESTRING(1 2,3 4)", "LINESTRING ZM(1 2 3 4,5 6 7 8)", "LINESTRING EMPTY",
		"POLYGON((0 0,4 0,4 4,0 0),(1 1,2 1,2 2,1 1))", "POLYGON Z((0 0 1,4 0 1,4 4 1,0 0 1))", "POLYGON EMPTY",
		"MULTIPOINT(1 2,3 4)", "MULTILINESTRING((1 2,3 4),(5 6,7 8))",
		"MULTIPOLYGON(((0 0,4 0,4 4,0 0)),((9 9,8 9,8 8,9 9)))", "MULTIPOLYGON M(((0 0 1,4 0 1,4 4 1,0 0 1)))",
		"GEOMETRYCOLLECTION(POINT(1 2),GEOMETRYCOLLECTION(POLYGON((0 0,4 0,4 4,0 0))))",
	} {
		shape, err := geom.UnmarshalWKT(text, geom.NoValidate{})
		if err != nil {
			t.Fatal(err)
		}
		body := shape.AsBinary()
		if after, err := checkWKB(append(slices.Clone(body), 7), 0); err != nil || len(after) != 1 {
			t.Errorf("%s: %v, %d bytes left", text, err, len(after))
		}
		if _, err := checkWKB(body[:len(body)-1], 0); err == nil {
			t.Errorf("%s, cut off, is whole", text)
		}
	}
}

func FuzzGeoBinary(f *testing.F) {
	shape := ground.Shape{Polygons: []ground.Polygon{{Outer: ground.Ring{{Lon: 0, Lat: 0}, {Lon: 1, Lat: 0}, {Lon: 1, Lat: 1}}}}}
	blob, _, err := geoBinary(shape)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(blob)
	f.Add([]byte("GP\x00\x01"))
	f.Fuzz(func(_ *testing.T, data []byte) { _, _ = parseGeoBinary(data) })
}
