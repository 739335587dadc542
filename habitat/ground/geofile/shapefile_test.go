package geofile

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/testdata/refdata"
)

// Counts from PROVENANCE.md beside each file; areas from GeographicLib.
func TestReadRealFiles(t *testing.T) {
	for _, c := range []struct {
		name     string
		opts     Options
		format   string
		features int
		names    []string // of the first features
	}{
		{"konza/GIS032.shp", Options{}, "ESRI shapefile", 76, []string{"R1A", "R20A"}},
		{"konza/GIS032.dbf", Options{}, "ESRI shapefile", 76, nil},
		{"konza/GIS032.kml", Options{}, "KML", 76, []string{"R1A"}},
		{"konza/GIS032.kmz", Options{}, "KMZ", 76, []string{"R1A"}},
		{"mecklenburg/derived_watersheds.kml", Options{}, "KML", 0, []string{"LOWER CLARKE", "LAKE NORMAN"}},
		{"shapefiles/nc_counties_nad27.shp", Options{}, "ESRI shapefile", 100, []string{"Ashe"}},
		{"shapefiles/georgia_G_utm_noprj.shp", Options{System: "UTM 17N"}, "ESRI shapefile", 159, nil},
		{"shapefiles/Polygon_Holes.shp", Options{}, "ESRI shapefile", 3, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := Read(refdata.File(t, "polygons/"+c.name), c.opts)
			if err != nil {
				t.Fatal(err)
			}
			if l.Format != c.format || (c.features > 0 && len(l.Features) != c.features) {
				t.Errorf("%s with %d features, want %s with %d", l.Format, len(l.Features), c.format, c.features)
			}
			for i, want := range c.names {
				if l.Features[i].Name != want {
					t.Errorf("feature %d is called %q, want %q", i+1, l.Features[i].Name, want)
				}
			}
			for _, n := range l.AllNotes() {
				n.Position.File = filepath.Base(n.Position.File)
				t.Log(n)
			}
			t.Logf("%s; worst area differs by %.1e of itself", l.System, comparePlanimeter(t, l.Features))
		})
	}
}

// The shapefile in UTM and the GeoJSON that another program made of it lie on
// each other; so do the publisher's own KML.
func TestKonzaFormatsAgree(t *testing.T) {
	shp, err := Read(refdata.File(t, "polygons/konza/GIS032.shp"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name    string
		degrees float64
	}{{"konza/derived_GIS032_wgs84.geojson", 6e-8}, {"konza/GIS032.kml", 2e-5}} {
		other, err := Read(refdata.File(t, "polygons/"+c.name), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(other.Features) != len(shp.Features) {
			t.Fatalf("%s has %d features, the shapefile %d", c.name, len(other.Features), len(shp.Features))
		}
		for i := range shp.Features {
			a, b := &shp.Features[i], &other.Features[i]
			if a.Name != b.Name {
				t.Errorf("%s: %q against %q", c.name, b.Name, a.Name)
			}
			ca, cb := a.Shape.Center(), b.Shape.Center()
			if math.Abs(ca.Lon-cb.Lon) > c.degrees || math.Abs(ca.Lat-cb.Lat) > c.degrees {
				t.Errorf("%s: %s lies at %v, the shapefile has it at %v", c.name, b.Position, cb, ca)
			}
		}
	}
}

func TestShapefileWithoutSystem(t *testing.T) {
	name := refdata.File(t, "polygons/shapefiles/georgia_G_utm_noprj.shp")
	_, err := Read(name, Options{})
	if err == nil {
		t.Fatal("accepted meters as degrees")
	}
	for _, want := range []string{"does not say its coordinate system", "look like meters of a UTM zone", "UTM 14N"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%v\nlacks %q", err, want)
		}
	}
	if _, err = Read(name, Options{System: "EPSG:31370"}); err == nil || !strings.Contains(err.Error(), "31370") {
		t.Errorf("a stated system that is not known: %v", err)
	}
}
