package geofile

import (
	"archive/zip"
	"bytes"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/groundtest"
	"emberquilt/testdata/refdata"
)

// exportTable makes a table of all that can go wrong in names and numbers.
func exportTable(t *testing.T) *Table {
	t.Helper()
	table := &Table{Name: "plan", Columns: []Column{{Name: "acres", Number: true, Decimals: 2}, {Name: "season"},
		{Name: "burn_year_first"}, {Name: "burn_year_second", Number: true}}}
	add := func(name string, s ground.Shape) {
		table.Rows = append(table.Rows, Row{name, s, []string{"119.8", "dormant, late", "2027 & on", "2029"}})
	}
	for i, s := range readShapes(t, "konza/GIS032.shp") {
		add([]string{"North 4", `<b>&"'</b>`, "Prärie 草", "=1+1", ""}[i%5], s)
	}
	for _, s := range readShapes(t, "mecklenburg/political_boundaries.geojson")[:20] {
		add("town", s)
	}
	table.Rows[3].Values = []string{"", ""} // unknown
	add("no shape", ground.Shape{})
	return table
}

// readShapes gives the shapes of a reference file.
func readShapes(t testing.TB, name string) (shapes []ground.Shape) {
	t.Helper()
	l, err := Read(refdata.File(t, "polygons/"+name), Options{})
	if err != nil {
		t.Logf("%v", err)
	}
	for _, f := range l.Features {
		shapes = append(shapes, f.Shape)
	}
	return shapes
}

// closeTo reports whether shapes hold the same points within a distance in
// degrees.
func closeTo(a, b ground.Shape, degrees float64) bool {
	points := func(s ground.Shape) (all []ground.Point, sizes []int) {
		for _, p := range s.Polygons {
			sizes = append(sizes, -len(p.Holes))
			for _, r := range append([]ground.Ring{p.Outer}, p.Holes...) {
				all, sizes = append(all, r...), append(sizes, len(r))
			}
		}
		return
	}
	p, sizes := points(a)
	q, others := points(b)
	if !slices.Equal(sizes, others) {
		return false
	}
	for i := range p {
		if !(math.Abs(p[i].Lon-q[i].Lon) <= degrees && math.Abs(p[i].Lat-q[i].Lat) <= degrees) {
			return false
		}
	}
	return true
}

func checkRows(t *testing.T, what string, table *Table, l *Layer, degrees float64) {
	t.Helper()
	if len(l.Features) != len(table.Rows) {
		t.Fatalf("%s: %d features of %d came back", what, len(l.Features), len(table.Rows))
	}
	for i, row := range table.Rows {
		f := &l.Features[i]
		if strings.TrimPrefix(f.Name, "'") != row.Name {
			t.Errorf("%s: name %q came back as %q", what, row.Name, f.Name)
		}
		if !closeTo(f.Shape, row.Shape, degrees) {
			t.Errorf("%s: the shape of %s (%q) does not come back", what, f.Position, row.Name)
		}
		if got, _ := f.Attributes.Get("season"); got != row.value(1) {
			t.Errorf("%s: season %q came back as %q", what, row.value(1), got)
		}
	}
}

func TestExportsComeBack(t *testing.T) {
	table := exportTable(t)
	for _, c := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{"plan.geojson", func(w io.Writer) error { return WriteGeoJSON(w, table) }},
		{"plan.kml", func(w io.Writer) error { return WriteKML(w, table) }},
		{"plan.csv", func(w io.Writer) error { return WriteCSV(w, table) }},
		{"plan.zip", func(w io.Writer) error { _, err := WriteShapefile(w, "plan", table); return err }},
	} {
		t.Run(c.name, func(t *testing.T) {
			var out, again bytes.Buffer
			if err := c.write(&out); err != nil {
				t.Fatal(err)
			}
			_ = c.write(&again)
			if !bytes.Equal(out.Bytes(), again.Bytes()) {
				t.Error("two writes differ")
			}
			l, err := ReadBytes(out.Bytes(), c.name, Options{})
			if err != nil {
				t.Fatal(err)
			}
			checkRows(t, c.name, table, l, 1e-9)
		})
	}
}

func TestShapefileSaysWhatDoesNotFit(t *testing.T) {
	table := &Table{Columns: []Column{{Name: "burn_year_first"}, {Name: "burn_year_second"}, {Name: "BURN_YEAR_"}},
		Rows: []Row{{"a", groundtest.Rectangle(0, 0, 100, 100, 0), []string{strings.Repeat("ä", 200)}}}}
	var out bytes.Buffer
	notes, err := WriteShapefile(&out, "x", table)
	if err != nil || len(notes) != 4 {
		t.Fatalf("%d notes, %v: %v", len(notes), err, notes)
	}
	l, err := ReadBytes(out.Bytes(), "x.zip", Options{})
	if err != nil {
		t.Fatal(err)
	}
	var keys []string
	for _, a := range l.Features[0].Attributes {
		keys = append(keys, a.Key)
	}
	if got := strings.Join(keys, " "); got != "name burn_year_ burn_yea_2 BURN_YEA_3" {
		t.Errorf("columns %s", got)
	}
}

// The exports, opened by GDAL (Debian gdal-bin).
func TestExportsOpenInGDAL(t *testing.T) {
	ogr := groundtest.Tool(t, "ogr2ogr", "gdal-bin")
	table := exportTable(t)
	dir := t.TempDir()
	var files []string
	write := func(name string, f func(io.Writer) error) {
		var out bytes.Buffer
		if err := f(&out); err != nil {
			t.Fatal(err)
		}
		files = append(files, name)
		if err := os.WriteFile(filepath.Join(dir, name), out.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write("plan.geojson", func(w io.Writer) error { return WriteGeoJSON(w, table) })
	write("plan.kml", func(w io.Writer) error { return WriteKML(w, table) })
	write("plan.csv", func(w io.Writer) error { return WriteCSV(w, table) })
	write("plan.zip", func(w io.Writer) error { _, err := WriteShapefile(w, "plan", table); return err })
	for _, name := range files {
		t.Run(name, func(t *testing.T) {
			in := filepath.Join(dir, name)
			if strings.HasSuffix(name, ".zip") {
				in = "/vsizip/" + in
			}
			cmd := exec.Command(ogr, "-f", "GeoJSON", "-lco", "COORDINATE_PRECISION=9", "/vsistdout/", in)
			var errs bytes.Buffer
			cmd.Stderr = &errs
			out, err := cmd.Output()
			if err != nil {
				t.Fatalf("%v: %s", err, errs.String())
			}
			if errs.Len() > 0 {
				t.Errorf("GDAL says: %s", errs.String())
			}
			l, err := ReadBytes(out, name, Options{NameField: "name"})
			if err != nil {
				t.Fatal(err)
			}
			if len(l.Features) != len(table.Rows) {
				t.Fatalf("GDAL sees %d features of %d", len(l.Features), len(table.Rows))
			}
			for i, row := range table.Rows {
				got, want := float64(l.Features[i].Shape.Acres()), float64(row.Shape.Acres())
				if math.Abs(got-want) > 1e-5*want+1e-6 || l.Features[i].Shape.Vertices() != row.Shape.Vertices() {
					t.Errorf("%s: %v acres and %d points, want %v and %d", l.Features[i].Position, got, l.Features[i].Shape.Vertices(), want, row.Shape.Vertices())
				}
				if got, _ := l.Features[i].Attributes.Get("season"); got != row.value(1) {
					t.Errorf("season %q, want %q", got, row.value(1))
				}
			}
		})
	}
}

// Our reading of shapefiles against GDAL's, for every real one.
func TestShapefilesAgainstGDAL(t *testing.T) {
	ogr := groundtest.Tool(t, "ogr2ogr", "gdal-bin")
	for _, c := range []struct {
		name    string
		degrees float64
	}{{"konza/GIS032.shp", 1e-9}, {"shapefiles/Polygon_Holes.shp", 1e-9}, {"shapefiles/georgia_G_utm_noprj.shp", 1e-9},
		// GDAL shifts NAD27 by its own choice of method: 10 m is 1e-4 degrees.
		{"shapefiles/nc_counties_nad27.shp", 2e-4}} {
		t.Run(c.name, func(t *testing.T) {
			in := refdata.File(t, "polygons/"+c.name)
			args := []string{"-f", "GeoJSON", "-lco", "COORDINATE_PRECISION=12", "-t_srs", "EPSG:4326"}
			opts := Options{}
			if strings.Contains(c.name, "noprj") {
				opts.System = "EPSG:32617"
				args = append(args, "-s_srs", "EPSG:32617")
			}
			out, err := exec.Command(ogr, append(args, "/vsistdout/", in)...).Output()
			if err != nil {
				t.Fatal(err)
			}
			theirs, err := ReadBytes(out, c.name, Options{})
			if err != nil {
				t.Fatal(err)
			}
			ours, err := Read(in, opts)
			if err != nil {
				t.Fatal(err)
			}
			if len(ours.Features) != len(theirs.Features) {
				t.Fatalf("%d features, GDAL has %d", len(ours.Features), len(theirs.Features))
			}
			worst := 0.0
			for i := range ours.Features {
				a, b := &ours.Features[i], &theirs.Features[i]
				if len(a.Attributes) != len(b.Attributes) || a.Name != b.Name {
					t.Errorf("feature %d: %d attributes, name %q; GDAL has %d, %q", i+1, len(a.Attributes), a.Name, len(b.Attributes), b.Name)
				}
				if !closeTo(a.Shape, b.Shape, c.degrees) {
					t.Errorf("feature %d %q lies elsewhere than GDAL has it", i+1, a.Name)
				}
				for k := range a.Attributes {
					if x, y := a.Attributes[k], b.Attributes[k]; x.Key != y.Key {
						t.Errorf("attribute %q, GDAL has %q", x.Key, y.Key)
					}
				}
				p, q := a.Shape.Center(), b.Shape.Center()
				worst = max(worst, ground.MetersBetween(p, q))
			}
			t.Logf("centers differ by up to %.2g m", worst)
		})
	}
}

// KML against the OGC schema, which the KML library carries. The two schemas
// that it imports are not at hand, and not used by us: stand-ins declare what
// it refers to.
func TestKMLAgainstItsSchema(t *testing.T) {
	lint := groundtest.Tool(t, "xmllint", "libxml2-utils")
	folder, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/twpayne/go-kml/v3").Output()
	if err != nil {
		t.Skipf("the KML library's source is not at hand: %v", err)
	}
	xsd, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(folder)), "xsd", "ogckml22.xsd"))
	if err != nil {
		t.Skip(err)
	}
	dir := t.TempDir()
	put := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	put("atom.xsd", `<schema xmlns="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/2005/Atom"><element name="author" type="anyType"/><element name="link" type="anyType"/></schema>`)
	put("xal.xsd", `<schema xmlns="http://www.w3.org/2001/XMLSchema" targetNamespace="urn:oasis:names:tc:ciq:xsdschema:xAL:2.0"><element name="AddressDetails" type="anyType"/></schema>`)
	text := regexpReplace(string(xsd), `(namespace="http://www.w3.org/2005/Atom"\s+schemaLocation=)"[^"]*"`, `$1"atom.xsd"`)
	text = regexpReplace(text, `(namespace="urn:oasis:names:tc:ciq:xsdschema:xAL:2.0"\s+schemaLocation=)"[^"]*"`, `$1"xal.xsd"`)
	schema := put("kml.xsd", text)
	var out bytes.Buffer
	if err := WriteKML(&out, exportTable(t)); err != nil {
		t.Fatal(err)
	}
	check := func(name, text string) error {
		cmd := exec.Command(lint, "--nonet", "--noout", "--schema", schema, put(name, text))
		said, err := cmd.CombinedOutput()
		if err != nil {
			t.Logf("%.600s", said)
		}
		return err
	}
	if err := check("plan.kml", out.String()); err != nil {
		t.Error(err)
	}
	// Negative control: the schema refuses what is out of order.
	if check("bad.kml", strings.Replace(out.String(), "<Polygon>", "<Polygon><Nonsense/>", 1)) == nil {
		t.Error("the schema accepts nonsense")
	}
}

// The zip of a shapefile holds the five parts and no dates.
func TestShapefileZip(t *testing.T) {
	var out bytes.Buffer
	if _, err := WriteShapefile(&out, "plan", exportTable(t)); err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range z.File {
		names = append(names, f.Name)
		if f.Modified.Year() > 1980 {
			t.Errorf("%s carries a date: %v", f.Name, f.Modified)
		}
	}
	if got := strings.Join(names, " "); got != "plan.shp plan.shx plan.dbf plan.prj plan.cpg" {
		t.Error(got)
	}
}

// A shape of many corners comes back from the table that it was written to: a line of it is
// as long as the shape needs.
func TestShapesOfManyCornersComeBack(t *testing.T) {
	for _, corners := range []int{2_001, 20_000} {
		var ring ground.Ring
		for i := range corners {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(corners))
			ring = append(ring, ground.Point{Lon: -97 + 0.01*cos, Lat: 37 + 0.01*sin})
		}
		var out bytes.Buffer
		if err := WriteCSV(&out, &Table{Rows: []Row{{Name: "Round", Shape: ground.Shape{Polygons: []ground.Polygon{{Outer: ring}}}}}}); err != nil {
			t.Fatal(err)
		}
		layer, err := ReadBytes(out.Bytes(), "round.csv", Options{})
		if err != nil {
			t.Fatalf("%d corners: %v", corners, err)
		}
		if len(layer.Features) != 1 || len(layer.Features[0].Shape.Polygons) != 1 || len(layer.Features[0].Shape.Polygons[0].Outer) != corners {
			t.Fatalf("%d corners come back as %d features", corners, len(layer.Features))
		}
		nearest := func(p ground.Point) float64 {
			angle := math.Atan2(p.Lat-37, p.Lon+97)
			at := ring[(int(math.Round(angle/(2*math.Pi)*float64(corners)))+corners)%corners]
			return math.Hypot(at.Lon-p.Lon, at.Lat-p.Lat)
		}
		for _, p := range layer.Features[0].Shape.Polygons[0].Outer {
			if off := nearest(p); off > 1e-8 {
				t.Fatalf("%d corners: %v is %g degrees off", corners, p, off)
			}
		}
	}
}
