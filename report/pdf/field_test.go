package pdf

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/report/pdf/internal/pdftest"
	"emberquilt/report/view"
)

// fieldGround is a map of count square units a quarter mile apart, from a corner on.
func fieldGround(count int, at ground.Point) *view.Map {
	m := &view.Map{Caption: "Program year 2027", Title: "Test", Seasons: []string{"dormant"}, Years: []view.MapYear{{Title: "2027", Note: "1 burn, 10 acres"}}}
	const size, apart = 0.003, 0.004
	for i := range count {
		lon, lat := at.Lon+float64(i%10)*apart, at.Lat+float64(i/10)*apart
		m.Units = append(m.Units, view.MapUnit{Unit: fmt.Sprintf("Unit %d", i+1), Shape: ground.Shape{Polygons: []ground.Polygon{{Outer: ground.Ring{
			{Lon: ground.WrapDegrees(lon), Lat: lat}, {Lon: ground.WrapDegrees(lon + size), Lat: lat}, {Lon: ground.WrapDegrees(lon + size), Lat: lat + size}, {Lon: ground.WrapDegrees(lon), Lat: lat + size}}}}}})
		m.Years[0].States = append(m.Years[0].States, view.MapState{Burns: i%3 == 0})
	}
	m.Places = []ground.Place{{Name: "Barn", Points: []ground.Point{{Lon: at.Lon + 0.001, Lat: at.Lat + 0.0035}}}}
	m.Standing = []ground.Line{{{Lon: at.Lon, Lat: at.Lat - 0.0005}, {Lon: at.Lon + 0.01, Lat: at.Lat - 0.0005}}}
	m.Years[0].Planned = []ground.Line{{{Lon: at.Lon, Lat: at.Lat}, {Lon: at.Lon + 0.001, Lat: at.Lat + 0.001}, {Lon: at.Lon + 0.003, Lat: at.Lat}}}
	return m
}

func fieldPDF(t *testing.T, m *view.Map) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := WriteField(&out, m, view.Stamp{On: date.Day{Year: 2026, Month: 11, Dom: 29}, Property: "Test", Program: "test"}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// GDAL reads where each page lies, and names the corners of its map and every corner of a
// unit to within a meter of where they are on earth.
func TestFieldMapLiesWhereGDALSaysThatItLies(t *testing.T) {
	gdalinfo, err := exec.LookPath("gdalinfo")
	if err != nil {
		t.Skip("gdalinfo (Debian gdal-bin) is not installed; .ci/run installs it")
	}
	for _, at := range []ground.Point{{Lon: -97, Lat: 36.9}, {Lon: -81.5, Lat: 25.3}, {Lon: 0.001, Lat: -33}, {Lon: -122, Lat: 48.9}, {Lon: 179.99, Lat: 52}} {
		m := fieldGround(40, at)
		path := filepath.Join(t.TempDir(), "field.pdf")
		if err := os.WriteFile(path, fieldPDF(t, m), 0o666); err != nil {
			t.Fatal(err)
		}
		f := newFieldMap(nil, m)
		e, n, he, hn := boundsOf(shapesOf(m), f.plane.feet)
		whole := f.whole(e, n, he, hn)
		frames := append([]*frame{whole}, f.tiles(whole.scale, e, n, he, hn)...)
		if len(frames) < 5 {
			t.Fatalf("only %d pages", len(frames))
		}
		for page, frame := range frames {
			text, err := exec.Command(gdalinfo, "-json", fmt.Sprintf("PDF:%d:%s", page+1, path)).CombinedOutput()
			if err != nil && strings.Contains(string(text), "not recognized as being in a supported file format") {
				t.Skip("this GDAL does not read PDF")
			}
			if err != nil {
				t.Fatalf("page %d: %v\n%s", page+1, err, text)
			}
			text = text[bytes.IndexByte(text, '{'):]
			var info struct {
				Size         [2]float64
				GeoTransform [6]float64
			}
			if err := json.Unmarshal(text, &info); err != nil || info.GeoTransform[1] == 0 {
				t.Fatalf("page %d: %v\n%s", page+1, err, text)
			}
			g := info.GeoTransform
			for i := range m.Units {
				for _, corner := range m.Units[i].Shape.Polygons[0].Outer {
					on := frame.at(corner) // millimeters from the page's left upper corner
					x, y := on.X/pageWidth*info.Size[0], on.Y/pageHeight*info.Size[1]
					lon, lat := g[0]+x*g[1]+y*g[2], g[3]+x*g[4]+y*g[5]
					const metersPerDegree = 111_320
					off := math.Hypot(ground.WrapDegrees(lon-corner.Lon)*math.Cos(corner.Lat*math.Pi/180), lat-corner.Lat) * metersPerDegree
					if off > 1 {
						t.Fatalf("page %d: %v is drawn where GDAL says %f, %f: %.2f m off", page+1, corner, lat, lon, off)
					}
				}
			}
		}
	}
}

// The local plane keeps to the equal-area one.
func TestFieldMapKeepsScale(t *testing.T) {
	m := fieldGround(100, ground.Point{Lon: -97, Lat: 36.9})
	l := newLocalPlane(m)
	plane := ground.NewPlane(l.origin)
	for i := range m.Units {
		for _, at := range m.Units[i].Shape.Polygons[0].Outer {
			e, n := l.feet(at)
			we, wn := plane.Feet(at)
			if off := math.Hypot(e-float64(we), n-float64(wn)); off > 0.002*math.Hypot(float64(we), float64(wn))+0.1 {
				t.Errorf("%v is %.1f ft off", at, off)
			}
			if back := l.degrees(e, n); math.Abs(back.Lon-at.Lon)+math.Abs(back.Lat-at.Lat) > 1e-12 {
				t.Errorf("%v comes back as %v", at, back)
			}
		}
	}
}

func TestFieldMapIsAWholePDF(t *testing.T) {
	one := fieldPDF(t, fieldGround(1, ground.Point{Lon: -97, Lat: 36.9}))
	many := fieldPDF(t, fieldGround(400, ground.Point{Lon: -97, Lat: 36.9}))
	if !bytes.Equal(many, fieldPDF(t, fieldGround(400, ground.Point{Lon: -97, Lat: 36.9}))) {
		t.Error("the same map makes another file")
	}
	if n := bytes.Count(one, []byte("/Subtype /GEO")); n != 1 {
		t.Errorf("a small patch has %d pages that know where they are", n)
	}
	if n := bytes.Count(many, []byte("/Subtype /GEO")); n < 10 || n > mostTiles+1 {
		t.Errorf("%d pages", n)
	}
	for name, args := range map[string][]string{"pdfinfo": nil, "pdftotext": {"-"}} {
		tool, err := exec.LookPath(name)
		if err != nil {
			t.Skip(name + " (Debian poppler-utils) is not installed; .ci/run installs it")
		}
		path := filepath.Join(t.TempDir(), "many.pdf")
		if err := os.WriteFile(path, many, 0o666); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(tool, append([]string{path}, args...)...).CombinedOutput()
		if err != nil || strings.Contains(string(out), "Error") {
			t.Errorf("%s: %v\n%s", name, err, out)
		}
		if name == "pdftotext" && (!strings.Contains(string(out), "Unit 17") || !strings.Contains(string(out), "qualified burn boss")) {
			t.Errorf("the text lacks a unit or the caution:\n%.500s", out)
		}
	}
}

// A tile draws what is on it: all tiles together draw each unit a few times, where it lies
// over their edges, not once a tile.
func TestTilesDrawWhatIsOnThem(t *testing.T) {
	m := fieldGround(400, ground.Point{Lon: -97, Lat: 36.9})
	for i := range m.Years[0].States {
		m.Years[0].States[i].Burns = true
		at := m.Units[i].Shape.Polygons[0].Outer
		m.Years[0].Planned = append(m.Years[0].Planned, ground.Line{at[0], at[1]})
	}
	doc, err := pdftest.Read(fieldPDF(t, m))
	if err != nil {
		t.Fatal(err)
	}
	// The hatching of a unit is of more lines the larger it is drawn.
	whole, tiles := doc.Painted(0), 0
	for page := 1; page < doc.Pages(); page++ {
		tiles += doc.Painted(page)
	}
	f := newFieldMap(nil, m)
	lowEast, lowNorth, highEast, highNorth := boundsOf(shapesOf(m), f.plane.feet)
	first := f.whole(lowEast, lowNorth, highEast, highNorth)
	larger := f.tiles(first.scale, lowEast, lowNorth, highEast, highNorth)[0].scale / first.scale
	if doc.Pages() < 20 || float64(tiles) > 2*larger*float64(whole) {
		t.Errorf("%d tiles %.1f times as large draw %d pieces; the whole ground is of %d", doc.Pages()-1, larger, tiles, whole)
	}
}
