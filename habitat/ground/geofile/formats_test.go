package geofile

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/habitat/ground/internal/groundtest"
	"emberquilt/habitat/ground/repair"
	"emberquilt/habitat/source"
	"emberquilt/testdata/refdata"
)

// Konza as GDAL (Debian gdal-bin) writes it in other formats, systems, types and
// code pages, against Konza as we read it from the publisher's shapefile.
func TestReadsWhatGDALWrites(t *testing.T) {
	ogr := groundtest.Tool(t, "ogr2ogr", "gdal-bin")
	in := refdata.File(t, "polygons/konza/GIS032.shp")
	want, err := Read(in, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, format string
		args         string
		degrees      float64 // how far points may lie; below 0 asks for acres only
		refused      string
	}{
		{"plain.shp", "ESRI Shapefile", "", 1e-9, ""},
		{"z.shp", "ESRI Shapefile", "-dim XYZ", 1e-9, ""},
		{"zm.shp", "ESRI Shapefile", "-dim XYZM", 1e-9, ""},
		{"m.shp", "ESRI Shapefile", "-dim XYM", 1e-9, ""},
		{"latin.shp", "ESRI Shapefile", "-lco ENCODING=CP1252", 1e-9, ""},
		{"web.shp", "ESRI Shapefile", "-t_srs EPSG:3857", 1e-9, ""},
		{"albers.shp", "ESRI Shapefile", "-t_srs EPSG:5070", 1e-9, ""},
		{"kansas.shp", "ESRI Shapefile", "-t_srs EPSG:3419", 1e-9, ""},
		{"georgia.shp", "ESRI Shapefile", "-t_srs EPSG:26777", 1e-3, ""},
		{"nad27.shp", "ESRI Shapefile", "-t_srs EPSG:4267", 3e-4, ""},
		{"utm27.shp", "ESRI Shapefile", "-t_srs EPSG:26714", 3e-4, ""},
		{"belgium.shp", "ESRI Shapefile", "-t_srs EPSG:31370", 0, "cannot be used"},
		{"zipped.shz", "ESRI Shapefile", "", 1e-9, ""},
		{"old.geojson", "GeoJSON", "-lco COORDINATE_PRECISION=12", 1e-9, ""},
		// Rounded to seven decimals, and points that coincide then are left out.
		{"new.geojson", "GeoJSON", "-lco RFC7946=YES -t_srs EPSG:4326", -1, ""},
		{"feet.geojson", "GeoJSON", "-t_srs EPSG:3419 -lco COORDINATE_PRECISION=9", 1e-9, ""},
		{"lines.geojsonl", "GeoJSONSeq", "-t_srs EPSG:4326 -lco COORDINATE_PRECISION=15", 1e-9, ""},
		{"k.kml", "KML", "", -1, ""},
		{"wkt.csv", "CSV", "-lco GEOMETRY=AS_WKT -t_srs EPSG:4326", 1e-9, ""},
		{"semicolon.csv", "CSV", "-lco GEOMETRY=AS_WKT -lco SEPARATOR=SEMICOLON -t_srs EPSG:4326", 1e-9, ""},
		{"tab.csv", "CSV", "-lco GEOMETRY=AS_WKT -lco SEPARATOR=TAB -t_srs EPSG:4326", 1e-9, ""},
		{"k.gpkg", "GPKG", "", 1e-9, ""},
		{"k.gml", "GML", "", 0, "XML of another kind, <FeatureCollection>"},
		{"k.fgb", "FlatGeobuf", "", 0, "this is a FlatGeobuf file"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), c.name)
			args := append([]string{"-f", c.format}, strings.Fields(c.args)...)
			said, err := exec.Command(ogr, append(args, path, in)...).CombinedOutput()
			if _, missing := os.Stat(path); missing != nil {
				t.Skipf("GDAL does not write it: %v: %.200s", err, said)
			}
			l, err := Read(path, Options{})
			if c.refused != "" {
				if err == nil || !strings.Contains(err.Error(), c.refused) || !source.Is(err) {
					t.Errorf("%v; want %q", err, c.refused)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if len(l.Features) != len(want.Features) {
				t.Fatalf("%d features, want %d", len(l.Features), len(want.Features))
			}
			for i := range want.Features {
				a, b := &want.Features[i], &l.Features[i]
				if a.Name != b.Name {
					t.Errorf("feature %d is called %q, want %q", i+1, b.Name, a.Name)
				}
				if off := float64(a.Shape.Acres() - b.Shape.Acres()); off > 5e-3 || off < -5e-3 {
					t.Errorf("feature %d %q has %v acres, want %v", i+1, a.Name, b.Shape.Acres(), a.Shape.Acres())
				}
				if c.degrees >= 0 && !closeTo(a.Shape, b.Shape, c.degrees) && a.Shape.Acres() > repair.SliverAcres {
					t.Errorf("feature %d %q lies elsewhere", i+1, a.Name)
				}
			}
			if a, _ := want.Features[0].Attributes.Get("CODE_1"); c.format != "KML" {
				if b, _ := l.Features[0].Attributes.Get("CODE_1"); a != b {
					t.Errorf("CODE_1 is %q, want %q", b, a)
				}
			}
			t.Logf("%s, %s", l.Format, l.System)
		})
	}
}
