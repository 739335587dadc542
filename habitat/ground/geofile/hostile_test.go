package geofile

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/groundtest"
	"emberquilt/habitat/source"
)

// goodShapefile gives the parts of a small shapefile of three units.
func goodShapefile() shapefile {
	t := &Table{Columns: []Column{{Name: "acres", Number: true, Decimals: 2}}, Rows: []Row{
		{"North", groundtest.Rectangle(0, 0, 1320, 1320, 0), []string{"40"}},
		{"South", groundtest.Rectangle(0, -1320, 1320, 1320, 0), []string{"40"}},
		{"No ground at all", ground.Shape{}, nil},
	}}
	shp, shx := shapeFiles(t)
	dbf, _ := tableFile(t)
	return shapefile{name: "f.shp", shp: shp, shx: shx, dbf: dbf, prj: []byte(wgs84PRJ), cpg: []byte("UTF-8")}
}

// zipped packs named contents.
func zipped(t testing.TB, files map[string][]byte, order ...string) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, name := range order {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(files[name]); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestDamagedShapefiles(t *testing.T) {
	big, little := binary.BigEndian, binary.LittleEndian
	second := 100 + 8 + int(big.Uint32(goodShapefile().shp[104:]))*2
	for _, c := range []struct {
		name     string
		damage   func(f *shapefile)
		features int
		want     string // in the notes or the error
	}{
		{"whole", func(*shapefile) {}, 3, "has no geometry"},
		{"no index", func(f *shapefile) { f.shx = nil }, 3, ""},
		{"cut index", func(f *shapefile) { f.shx = f.shx[:110] }, 3, "the index (.shx) is cut off"},
		{"index of another file", func(f *shapefile) { big.PutUint32(f.shx[108:], 60) }, 3, "does not fit the shapes"},
		{"index that names one shape again and again", func(f *shapefile) {
			for range 1000 {
				f.shx = append(f.shx, f.shx[100:108]...)
			}
			big.PutUint32(f.shx[24:], uint32(len(f.shx)/2))
		}, 3, "does not fit the shapes"},
		{"index that names one shape twice", func(f *shapefile) { copy(f.shx[108:116], f.shx[100:108]) }, 3, "does not fit the shapes"},
		{"2 GB claimed", func(f *shapefile) { big.PutUint32(f.shp[24:], math.MaxInt32/2) }, 3, "says that it has 2,147,483,646 bytes"},
		{"record of 2 GB", func(f *shapefile) { f.shx = nil; big.PutUint32(f.shp[104:], math.MaxInt32) }, 0, `feature 1 "North": the shape should have 4,294,967,294 bytes and the file ends after`},
		{"record of -2 words", func(f *shapefile) { f.shx = nil; big.PutUint32(f.shp[second+4:], 0xfffffffe) }, 1, `feature 2 "South"`},
		{"too many points", func(f *shapefile) { little.PutUint32(f.shp[108+40:], math.MaxInt32) }, 2, `feature 1 "North": the shape cannot be read: it says 1 parts and 2147483647 points`},
		{"too many parts", func(f *shapefile) { little.PutUint32(f.shp[108+36:], 1<<30) }, 2, "it says 1073741824 parts"},
		{"negative points", func(f *shapefile) { little.PutUint32(f.shp[108+40:], 0xffffffff) }, 2, "it says 1 parts and -1 points"},
		{"part outside", func(f *shapefile) { little.PutUint32(f.shp[108+44:], 77) }, 2, "its part 1 runs from point 77"},
		{"unknown type", func(f *shapefile) { little.PutUint32(f.shp[108:], 77) }, 2, "it is of type 77"},
		{"multipatch", func(f *shapefile) { little.PutUint32(f.shp[32:], 31) }, 0, "holds multipatches"},
		{"cut in header", func(f *shapefile) { f.shp = f.shp[:60] }, 0, "ends within its header: 60 bytes of 100"},
		{"cut in a shape", func(f *shapefile) { f.shp = f.shp[:second+50] }, 1, `feature 2 "South": the shape should have`},
		{"not a number", func(f *shapefile) { little.PutUint64(f.shp[108+48:], math.Float64bits(math.NaN())) }, 2, "a coordinate is not a finite number"},
		{"no table", func(f *shapefile) { f.dbf = nil }, 3, "there is no .dbf beside the .shp"},
		{"cut table", func(f *shapefile) { f.dbf = f.dbf[:20] }, 0, "the .dbf is cut off"},
		{"table of another file", func(f *shapefile) { little.PutUint32(f.dbf[4:], 1) }, 3, "the .dbf has 1 record and the .shp 3 shapes"},
		{"table that claims 4 billion rows", func(f *shapefile) { little.PutUint32(f.dbf[4:], math.MaxUint32) }, 3, "says that it has 4,294,967,295 rows and holds 3"},
		{"header beyond the table", func(f *shapefile) { little.PutUint16(f.dbf[8:], 60000) }, 0, "a header that cannot be right"},
		{"rows of no bytes", func(f *shapefile) { little.PutUint16(f.dbf[10:], 0) }, 0, "a header that cannot be right"},
		{"fields longer than rows", func(f *shapefile) { little.PutUint16(f.dbf[10:], 3) }, 0, "fields longer than its rows"},
		{"deleted row", func(f *shapefile) { f.dbf[32+32*2+1] = '*' }, 2, `feature 1 "North" is marked as deleted`},
		{"unknown code page", func(f *shapefile) { f.cpg = []byte("EBCDIC") }, 3, `the code page "EBCDIC" of the .cpg is not known here`},
		{"no system", func(f *shapefile) { f.prj = nil }, 3, "does not say its coordinate system"},
		{"unknown system", func(f *shapefile) { f.prj = []byte(strings.Replace(wgs84PRJ, "D_WGS_1984", "D_OSGB_1936", 1)) }, 0, `its datum "D_OSGB_1936" is not known here`},
		{"prj of noise", func(f *shapefile) { f.prj = []byte("\x00\x01") }, 0, "not a coordinate system in well-known text"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := goodShapefile()
			c.damage(&f)
			l, err := readShapefile(f, Options{})
			text := ""
			if err != nil {
				text = err.Error()
				if !source.Is(err) {
					t.Errorf("%T is not bad input", err)
				}
			}
			for _, n := range l.AllNotes() {
				text += "\n" + n.String()
			}
			if len(l.Features) != c.features || !strings.Contains(text, c.want) {
				t.Errorf("%d features, want %d; %s\nwant %q", len(l.Features), c.features, text, c.want)
			}
		})
	}
}

// Shapes with heights and measures, wrong-way rings, holes, lines and points.
func TestShapeTypes(t *testing.T) {
	record := func(kind int, floats ...float64) []byte {
		out := binary.LittleEndian.AppendUint32(nil, uint32(kind))
		for _, v := range floats {
			out = binary.LittleEndian.AppendUint64(out, math.Float64bits(v))
		}
		return out
	}
	poly := func(kind int, starts []uint32, points []ground.Point, extra int) []byte {
		out := record(kind, 0, 0, 0, 0)
		out = binary.LittleEndian.AppendUint32(out, uint32(len(starts)))
		out = binary.LittleEndian.AppendUint32(out, uint32(len(points)))
		for _, s := range starts {
			out = binary.LittleEndian.AppendUint32(out, s)
		}
		for _, p := range points {
			out = binary.LittleEndian.AppendUint64(out, math.Float64bits(p.Lon))
			out = binary.LittleEndian.AppendUint64(out, math.Float64bits(p.Lat))
		}
		return append(out, make([]byte, extra)...)
	}
	outer := []ground.Point{{Lon: 0, Lat: 0}, {Lon: 0, Lat: 1}, {Lon: 1, Lat: 1}, {Lon: 1, Lat: 0}, {Lon: 0, Lat: 0}}
	hole := []ground.Point{{Lon: 0.2, Lat: 0.2}, {Lon: 0.4, Lat: 0.2}, {Lon: 0.4, Lat: 0.4}, {Lon: 0.2, Lat: 0.2}}
	both := append(append([]ground.Point(nil), outer...), hole...)
	for _, c := range []struct {
		name                   string
		content                []byte
		rings, lines, points   int
		raised, accepted, holy bool
	}{
		{"polygon Z", poly(15, []uint32{0}, outer, 16+5*8+16+5*8), 1, 0, 0, true, true, false},
		{"polygon M", poly(25, []uint32{0, 5}, both, 16+9*8), 2, 0, 0, true, true, true},
		{"hole first", poly(5, []uint32{0, 4}, append(append([]ground.Point(nil), hole...), outer...), 0), 2, 0, 0, false, true, true},
		{"line", poly(3, []uint32{0}, outer[:2], 0), 0, 1, 0, false, true, false},
		{"point Z", record(11, -96, 39, 400, 0), 0, 0, 1, true, true, false},
		{"points", append(record(8, 0, 0, 0, 0), append([]byte{1, 0, 0, 0}, record(0, 1, 2)[4:]...)...), 0, 0, 1, false, true, false},
		{"null", record(0), 0, 0, 0, false, true, false},
		{"cut point", record(1, -96), 0, 0, 0, false, false, false},
		{"nothing", nil, 0, 0, 0, false, false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			g, err := parseShape(c.content)
			if (err == nil) != c.accepted {
				t.Fatalf("%v", err)
			}
			if len(g.rings) != c.rings || len(g.lines) != c.lines || len(g.points) != c.points || (g.raised > 0) != c.raised {
				t.Errorf("%+v", g)
			}
			if !c.holy {
				return
			}
			b := newBuilder("f", "", Options{})
			b.add(0, "", nil, g)
			l, err := b.finish()
			if err != nil || len(l.Features[0].Shape.Polygons) != 1 || len(l.Features[0].Shape.Polygons[0].Holes) != 1 {
				t.Errorf("%v, %+v", err, l.Features)
			}
		})
	}
}

// Texts in the code pages that old tables are written in.
func TestCodePages(t *testing.T) {
	for _, c := range []struct {
		raw    string
		cpg    string
		driver byte
		want   string
	}{
		{"Pr\xe4rie", "1252", 0, "Prärie"}, {"Pr\xe4rie", "ISO-8859-1", 0, "Prärie"}, {"Pr\xe4rie", "ANSI 1252", 0, "Prärie"},
		{"Pr\x84rie", "OEM 437", 0, "Prärie"}, {"Pr\x84rie", "", 0x01, "Prärie"}, {"Pr\xe4rie", "", 0x57, "Prärie"},
		{"Pr\xc3\xa4rie", "UTF-8", 0, "Prärie"}, {"Pr\xc3\xa4rie", "", 0x57, "Prärie"}, {"Pr\xe4rie", "UTF-8", 0, "Prärie"},
		{"Pr\xe4rie", "", 0, "Prärie"}, {"\xd1\xf2\xe5\xef\xfc", "1251", 0, "Степь"},
	} {
		f := goodShapefile()
		copy(f.dbf[32+32*2+1+1:], c.raw+"    ")
		f.cpg, f.dbf[29] = []byte(c.cpg), c.driver
		l, err := readShapefile(f, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := l.Features[0].Name; got != c.want {
			t.Errorf("%q with .cpg %q and language %#x reads %q, want %q", c.raw, c.cpg, c.driver, got, c.want)
		}
	}
}

func TestBadZips(t *testing.T) {
	f := goodShapefile()
	parts := map[string][]byte{"a/f.SHP": f.shp, "a/f.dbf": f.dbf, "a/f.shx": f.shx, "a/f.prj": f.prj, "b.shp": f.shp,
		"doc.kml": []byte(kmlHead + `<Placemark><name>x</name>` + kmlSquare + `</Placemark></kml>`), "readme.txt": []byte("x"),
		"main/doc.kml": []byte(kmlHead + `<NetworkLink><Link><href>layers/units.kml</href></Link></NetworkLink></kml>`),
		"mimetype":     []byte("application/vnd.oasis.opendocument.spreadsheet"), "content.xml": []byte("<x/>"),
		"bomb.kml": bytes.Repeat([]byte(" "), MaxBytes+100), "[Content_Types].xml": nil, "in.zip.kml": nil, "__MACOSX/f.shp": nil}
	parts["layers/units.kml"], parts["layers/roads.kml"] = parts["doc.kml"], parts["doc.kml"]
	parts["in.zip.kml"] = zipped(t, parts, "doc.kml")
	many := make(map[string][]byte)
	var names []string
	for i := range mostEntries + 1 {
		names = append(names, fmt.Sprint(i, ".txt"))
	}
	for _, c := range []struct {
		name string
		data []byte
		want string // "" means accepted
	}{
		{"shapefile", zipped(t, parts, "a/f.SHP", "a/f.dbf", "a/f.shx", "a/f.prj", "readme.txt", "__MACOSX/f.shp"), ""},
		{"kmz", zipped(t, parts, "readme.txt", "doc.kml"), ""},
		{"kmz with a link to its own", zipped(t, parts, "main/doc.kml", "layers/units.kml", "readme.txt"), ""},
		{"kmz with links to its own", zipped(t, parts, "main/doc.kml", "layers/units.kml", "layers/roads.kml"), `links to 2 files with shapes in it: "layers/roads.kml", "layers/units.kml"; accepts`},
		{"kmz with a link to another", zipped(t, parts, "main/doc.kml"), "holds 1 link to other files and no shapes"},
		{"a workbook of OpenDocument", zipped(t, parts, "mimetype", "content.xml"), "this is an OpenDocument file; accepts"},
		{"two shapefiles", zipped(t, parts, "a/f.SHP", "b.shp"), `holds 2 shapefiles: "a/f.shp", "b.shp"`},
		{"nothing", zipped(t, parts, "readme.txt"), "holds no file with shapes"},
		{"office", zipped(t, parts, "[Content_Types].xml"), "an office document"},
		{"bomb", zipped(t, parts, "bomb.kml"), "f:bomb.kml: unpacks to more than 40 MB"},
		{"zip in zip", zipped(t, parts, "in.zip.kml"), "holds another zip"},
		{"many files", zipped(t, many, names...), "holds 2,001 files"},
		{"cut off", zipped(t, parts, "doc.kml")[:60], "the zip cannot be read"},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := ReadBytes(c.data, "f", Options{})
			if c.want == "" {
				if err != nil || len(l.Features) == 0 {
					t.Errorf("%v", err)
				}
				return
			}
			if err == nil || !strings.Contains(err.Error(), c.want) || !source.Is(err) {
				t.Errorf("%v; want %q", err, c.want)
			}
		})
	}
}

const (
	kmlHead   = `<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2">`
	kmlSquare = `<Polygon><outerBoundaryIs><LinearRing><coordinates>-96.6,39.1 -96.59,39.1 -96.59,39.11 -96.6,39.11 -96.6,39.1</coordinates></LinearRing></outerBoundaryIs></Polygon>`
)

func TestKMLAndGPX(t *testing.T) {
	track := func(points string) string {
		return `<gpx version="1.1"><trk><name>walk</name><trkseg>` + points + `</trkseg></trk></gpx>`
	}
	walk := `<trkpt lat="39.1" lon="-96.6"/><trkpt lat="39.1" lon="-96.59"/><trkpt lat="39.11" lon="-96.59"/><trkpt lat="39.11" lon="-96.6"><ele>4</ele></trkpt>`
	for _, c := range []struct {
		name, text string
		opts       Options
		features   int
		want       string
	}{
		{"plain", kmlHead + `<Folder><name>West</name><Placemark><name>A</name>` + kmlSquare + `</Placemark></Folder></kml>`, Options{}, 1, ""},
		{"hole and two parts", kmlHead + `<Placemark><MultiGeometry>` + kmlSquare + strings.ReplaceAll(kmlSquare, "-96.", "-95.") + `<Point><coordinates>1,2,3</coordinates></Point></MultiGeometry></Placemark></kml>`, Options{}, 1, "heights or measures of 1 feature"},
		{"blanks round commas", strings.Replace(kmlHead+`<Placemark>`+kmlSquare+`</Placemark></kml>`, "-96.6,39.1 ", "\n-96.6 , 39.1 , 0\n", 1), Options{}, 1, ""},
		{"link alone", kmlHead + `<NetworkLink><Link><href>http://x/</href></Link></NetworkLink></kml>`, Options{}, 0, "this KML holds 1 link to other files and no shapes; accepts a KML or KMZ with the shapes themselves"},
		{"link", kmlHead + `<NetworkLink><Link><href>http://x/</href></Link></NetworkLink><Placemark>` + kmlSquare + `</Placemark></kml>`, Options{}, 1, "1 link to other files were not followed"},
		{"no placemark", kmlHead + `</kml>`, Options{}, 0, "holds no shapes"},
		{"decimal comma", kmlHead + `<Placemark><name>A</name>` + strings.Replace(kmlSquare, "39.1 ", "39,1 ", 1) + `</Placemark></kml>`, Options{}, 0, "is not closed"},
		{"one number", kmlHead + `<Placemark><name>A</name>` + strings.Replace(kmlSquare, "-96.6,39.1 ", "-96.6 ", 1) + `</Placemark></kml>`, Options{}, 0, `f:1:feature 1 "A": a point of 1 number`},
		{"word", kmlHead + `<Placemark><name>A</name>` + strings.Replace(kmlSquare, "39.1 ", "north ", 1) + `</Placemark></kml>`, Options{}, 0, `a coordinate is not a number: "north`},
		{"cut off", kmlHead + "\n<Placemark>" + kmlSquare[:60], Options{}, 0, "f:2: the XML ends too early"},
		{"crossed tags", kmlHead + "<Placemark></kml></Placemark>", Options{}, 0, "bad XML"},
		{"entity bomb", `<!DOCTYPE kml [<!ENTITY a "lol"><!ENTITY b "&a;&a;&a;&a;">]>` + kmlHead[21:] + `<Placemark><name>&b;</name>` + kmlSquare + `</Placemark></kml>`, Options{}, 0, "entities that a file defines for itself are not followed"},
		{"outside entity", `<!DOCTYPE kml [<!ENTITY a SYSTEM "file:///etc/passwd">]>` + kmlHead[21:] + `<Placemark><name>&a;</name></Placemark></kml>`, Options{}, 0, "bad XML"},
		{"deep", kmlHead + strings.Repeat("<Folder>", 5000), Options{}, 0, "more than 100 deep"},
		{"other XML", `<svg/>`, Options{}, 0, `XML of another kind, <svg>`},
		{"latin 1", `<?xml version="1.0" encoding="ISO-8859-1"?><kml><Placemark><name>Pr` + "\xe4" + `rie</name>` + kmlSquare + `</Placemark></kml>`, Options{}, 1, ""},
		{"unknown charset", `<?xml version="1.0" encoding="EBCDIC"?><kml/>`, Options{}, 0, "XML that does not hold together"},
		{"track", track(walk), Options{}, 1, ""},
		{"route", `<gpx><rte><name>r</name>` + strings.ReplaceAll(walk, "trkpt", "rtept") + `</rte><wpt lat="39" lon="-96"><name>house</name></wpt></gpx>`, Options{}, 2, ""},
		{"track without numbers", track(`<trkpt lat="x"/>`), Options{}, 0, "a point without numbers lat and lon"},
		{"track that crosses", track(`<trkpt lat="0" lon="0"/><trkpt lat="0.01" lon="0.01"/><trkpt lat="0" lon="0.01"/><trkpt lat="0.01" lon="0"/>`), Options{}, 1, ""},
		{"walk with a pause", track(`<trkpt lat="0" lon="0"/><trkpt lat="0" lon="0.01"/><trkpt lat="0.005" lon="0.01"/></trkseg><trkseg><trkpt lat="0.01" lon="0.01"/><trkpt lat="0.01" lon="0"/>`), Options{}, 1, ""},
		{"entities of HTML", kmlHead + `<Placemark><name>A&nbsp;B</name>` + kmlSquare + `</Placemark></kml>`, Options{}, 1, ""},
		{"empty track", track(""), Options{}, 1, "has no geometry"},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := ReadBytes([]byte(c.text), "f", c.opts)
			text := ""
			if err != nil {
				text = err.Error()
				if !source.Is(err) {
					t.Errorf("%T is not bad input", err)
				}
			}
			for _, n := range l.AllNotes() {
				text += "\n" + n.String()
			}
			if len(l.Features) != c.features || !strings.Contains(text, c.want) {
				t.Errorf("%d features, want %d; %s\nwant %q", len(l.Features), c.features, text, c.want)
			}
		})
	}
}

func TestCSVAndOthers(t *testing.T) {
	square := "POLYGON((-96.6 39.1,-96.59 39.1,-96.59 39.11,-96.6 39.11,-96.6 39.1))"
	for _, c := range []struct {
		name, text string
		features   int
		want       string
	}{
		{"comma", "name,wkt\nA,\"" + square + "\"\n", 1, ""},
		{"semicolon", "name;the_geom\nA;" + square + "\n", 1, ""},
		{"tab and Z", "name\tWKT\nA\tPOLYGON Z((0 0 1,1 0 1,1 1 1,0 0 1))\n", 1, "heights or measures"},
		{"SRID", "name,geom\nA,\"SRID=4326;" + square + "\"\n", 1, ""},
		{"other SRID", "name,geom\nA,\"SRID=26914;" + square + "\"\n", 0, `f:2:feature 1 "A": the shape is in the coordinate system "26914"`},
		{"empty", "name,wkt\nA,POLYGON EMPTY\nB,\n", 2, "has no geometry"},
		{"bow-tie", "name,wkt\n\nA,\"POLYGON((0 0,0.01 0.01,0.01 0,0 0.01,0 0))\"\n", 0, `f:3:feature 1 "A": the boundary crosses itself`},
		{"bad", "name,wkt\nA,CIRCLE(1 2)\n", 0, `f:2:feature 1 "A": "CIRCLE(1 2)"`},
		{"binary", "name,geom\nA,0103000020E610000001000000\n", 0, "the shape is in well-known binary"},
		{"deep", "name,wkt\nA,\"" + strings.Repeat("GEOMETRYCOLLECTION(", 5000) + "\"\n", 0, "brackets lie more than 12 deep"},
		{"short row", "a,name,wkt\nA\n", 0, "the row has 1 field"},
		{"no column", "name,acres\nA,40\n", 0, "not a format with shapes that is known here"},
		{"quotes", "name,wkt\n\"A,B", 0, ""},
		{"sqlite", "SQLite format 3\x00", 0, "cannot be read as a GeoPackage"},
		{"PDF", "%PDF-1.4", 0, "this is a PDF"},
		{"binary", "abc\x00def", 0, "holds a zero byte"},
		{"empty file", "", 0, "the file is empty"},
		{"UTF-16", "\xff\xfen\x00a\x00m\x00e\x00,\x00w\x00k\x00t\x00\n\x00A\x00,\x00P\x00O\x00I\x00N\x00T\x00(\x001\x00 \x002\x00)\x00\n\x00", 1, ""},
		{"meters once", "name,wkt\nA,POINT(700000 4300000)\nB,POINT(700000 4300000)\n", 0, "state the coordinate system"},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := ReadBytes([]byte(c.text), "f", Options{})
			text := ""
			if err != nil {
				text = err.Error()
			}
			for _, n := range l.AllNotes() {
				text += "\n" + n.String()
			}
			if len(l.Features) != c.features || !strings.Contains(text, c.want) {
				t.Errorf("%d features, want %d; %s\nwant %q", len(l.Features), c.features, text, c.want)
			}
		})
	}
	if l, err := ReadBytes([]byte("name,wkt\nA,POINT(700000 4300000)\n"), "f", Options{System: "UTM 14N"}); err != nil || math.Abs(l.Features[0].Points[0].Lat-38.8) > 0.1 {
		t.Errorf("stated system: %v, %+v", err, l)
	}
}

func TestReadFromDisk(t *testing.T) {
	dir := t.TempDir()
	f := goodShapefile()
	for name, data := range map[string][]byte{"u.shp": f.shp, "u.SHX": f.shx, "u.dbf": f.dbf, "u.prj": f.prj} {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	l, err := Read(filepath.Join(dir, "u.shp"), Options{})
	if err != nil || len(l.Features) != 3 || l.Features[0].Name != "North" {
		t.Errorf("%v, %+v", err, l)
	}
	if _, err := Read(dir, Options{}); err == nil || !strings.Contains(err.Error(), "is a folder") {
		t.Errorf("a folder: %v", err)
	}
	// A device or a pipe may have no end, or nobody who writes to it.
	if _, err := Read(os.DevNull, Options{}); err == nil || !strings.Contains(err.Error(), "is no regular file") {
		t.Errorf("a device: %v", err)
	}
	if _, err := Read(filepath.Join(dir, "none"), Options{}); !os.IsNotExist(err) {
		t.Errorf("no file: %v", err)
	}
	if l, err := Read(filepath.Join(dir, "u.dbf"), Options{NameField: "ACRES"}); err != nil || l.Features[0].Name != "40.00" {
		t.Errorf("by its table, named by acres: %v", err)
	}
}

// comb gives a ring that goes up and down across the diagonal: every edge's box
// meets every other's, and none crosses another.
func comb(edges int) []ground.Point {
	var r []ground.Point
	for i := range edges {
		at := float64(i) / float64(edges)
		low, high := ground.Point{Lon: at, Lat: -at}, ground.Point{Lon: at + 1, Lat: 1 - at}
		if i%2 == 0 {
			r = append(r, low, high)
		} else {
			r = append(r, high, low)
		}
	}
	last := r[len(r)-1]
	return append(r, ground.Point{Lon: last.Lon - 0.1, Lat: last.Lat - 0.1}, ground.Point{Lon: -0.1, Lat: -0.1}, r[0])
}

// Rings made to take time: combs, and rings in rings in rings.
func TestWildShapesEnd(t *testing.T) {
	var rings [][]ground.Point
	for i := range 1500 {
		r := 1 - float64(i)/2000
		rings = append(rings, []ground.Point{{Lon: -r, Lat: -r}, {Lon: r, Lat: -r}, {Lon: r, Lat: r}, {Lon: -r, Lat: r}, {Lon: -r, Lat: -r}})
	}
	b := newBuilder("f", "", Options{})
	b.add(0, "rings", nil, geometry{rings: rings})
	b.add(0, "comb", nil, geometry{polygons: [][][]ground.Point{{comb(1000)}}})
	l, err := b.finish()
	if err != nil || len(l.Features) != 2 {
		t.Fatal(err)
	}
	if n := len(l.Features[0].Shape.Polygons); n != 750 {
		t.Errorf("%d polygons of 1500 rings in each other", n)
	}
	if testing.Short() {
		t.Skip("the large comb takes seconds")
	}
	b = newBuilder("f", "", Options{})
	b.add(0, "comb", nil, geometry{polygons: [][][]ground.Point{{comb(14_000)}}})
	if _, err := b.finish(); err == nil || !strings.Contains(err.Error(), "too tangled to be checked") {
		t.Errorf("a comb of 28,000 points: %v", err)
	}
}

func FuzzReadBytes(f *testing.F) {
	good := goodShapefile()
	seeds := [][]byte{
		good.shp, []byte(feature(square)), []byte(kmlHead + `<Placemark>` + kmlSquare + `</Placemark></kml>`),
		[]byte("name,wkt\nA,\"POLYGON((0 0,1 0,1 1,0 0))\"\n"), []byte(`<gpx><trk><trkseg><trkpt lat="0" lon="0"/><trkpt lat="0" lon="1"/><trkpt lat="1" lon="1"/></trkseg></trk></gpx>`),
		[]byte(polygon("[0,0],[0.01,0.01],[0.01,0],[0,0.01],[0,0]")),
		[]byte(feature(`{"type":"MultiPolygon","coordinates":[[[[0,0],[2,0],[2,1],[0,1],[0,0]],[[1,0.2],[1.5,0.2],[1.2,0.5],[1,0.2]]],[[[1,0],[3,0],[3,1],[1,1],[1,0]]]]}`)),
	}
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := ReadBytes(data, "f", Options{})
		if err != nil && !source.Is(err) {
			t.Fatalf("%T: %v", err, err)
		}
		checkLayer(t, l)
	})
}

func FuzzShapefile(f *testing.F) {
	good := goodShapefile()
	f.Add(good.shp, good.shx, good.dbf, good.prj, good.cpg)
	f.Fuzz(func(t *testing.T, shp, shx, dbf, prj, cpg []byte) {
		l, err := readShapefile(shapefile{"f", shp, shx, dbf, prj, cpg}, Options{})
		if err != nil && !source.Is(err) {
			t.Fatalf("%T: %v", err, err)
		}
		checkLayer(t, l)
	})
}

func FuzzZip(f *testing.F) {
	good := goodShapefile()
	parts := map[string][]byte{"f.shp": good.shp, "f.dbf": good.dbf, "f.shx": good.shx, "f.prj": good.prj, "doc.kml": []byte(kmlHead + `</kml>`)}
	f.Add(zipped(f, parts, "f.shp", "f.dbf", "f.shx", "f.prj"))
	f.Add(zipped(f, parts, "doc.kml"))
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := ReadBytes(append([]byte("PK\x03\x04"), data...), "f", Options{})
		if err != nil && !source.Is(err) {
			t.Fatalf("%T: %v", err, err)
		}
		checkLayer(t, l)
	})
}

// checkLayer makes sure that what readers let through is good.
func checkLayer(t *testing.T, l *Layer) {
	t.Helper()
	for i := range l.Features {
		f := &l.Features[i]
		if a := float64(f.Shape.Acres()); math.IsNaN(a) || math.IsInf(a, 0) || a < 0 {
			t.Fatalf("%s has %v acres", f.Position, a)
		}
		for r := range f.Shape.Rings {
			if len(r) < 3 {
				t.Fatalf("%s has a ring of %d points", f.Position, len(r))
			}
			for _, p := range r {
				if !(math.Abs(p.Lon) <= 180 && math.Abs(p.Lat) <= 90) {
					t.Fatalf("%s has a point at %v", f.Position, p)
				}
			}
		}
		raw, _ := f.Shape.MarshalBinary()
		var back ground.Shape
		if err := back.UnmarshalBinary(raw); err != nil || !back.Equal(f.Shape) {
			t.Fatalf("%s does not come back: %v", f.Position, err)
		}
		f.Shape.Depths()
		if label, ok := f.Shape.Label(); ok && !(math.Abs(label.At.Lat) <= 90) {
			t.Fatalf("%s has its label at %v", f.Position, label)
		}
	}
}
