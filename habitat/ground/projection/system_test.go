package projection

import (
	"fmt"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/wroge/wgs84"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/groundtest"
)

// Inverse projections, from every dialect of the text of a system, against PROJ
// by way of GDAL (Debian gdal-bin): points are projected by PROJ and brought
// back by us.
func TestSystemsAgainstPROJ(t *testing.T) {
	if testing.Short() {
		t.Skip("starts sixty programs")
	}
	transform, info := groundtest.Tool(t, "gdaltransform", "gdal-bin"), groundtest.Tool(t, "gdalsrsinfo", "gdal-bin")
	for k, c := range []struct {
		code, base int
		lon, lat   float64 // middle of the ground it is made for
	}{
		{2277, 4269, -97, 31}, {26977, 4269, -97, 39.2}, {3420, 4269, -97, 38}, {2240, 4269, -84, 32}, {2236, 4269, -81, 27},
		{6455, 6318, -88, 40}, {3358, 4152, -79, 35.5}, {3089, 4269, -85.5, 37.5}, {32119, 4269, -79, 35.5}, {2264, 4269, -80.8, 35.2},
		{3857, 4326, -96, 39}, {5070, 4269, -100, 38}, {26914, 4269, -97, 39}, {32617, 4326, -83, 33}, {32733, 4326, 15, -20},
		{26712, 4267, -110, 35}, {26729, 4267, -86, 33}, {32039, 4267, -97, 31}, {2899, 4152, -96, 32.5}, {2992, 4269, -120, 44}, {2222, 4269, -110, 33}, {2253, 4269, -84, 43}, {3395, 4326, -96, 40}, {3832, 4326, 150, 10},
	} {
		var in strings.Builder
		var points []ground.Point
		for _, dx := range []float64{-2.5, -0.3, 0, 1.9} {
			for _, dy := range []float64{-1.5, 0, 1.1} {
				points = append(points, ground.Point{Lon: c.lon + dx, Lat: c.lat + dy})
				fmt.Fprintf(&in, "%.12f %.12f\n", c.lon+dx, c.lat+dy)
			}
		}
		cmd := exec.Command(transform, "-s_srs", fmt.Sprintf("EPSG:%d", c.base), "-t_srs", fmt.Sprintf("EPSG:%d", c.code))
		cmd.Stdin = strings.NewReader(in.String())
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		var systems []System
		dialects := []string{"wkt_esri"}
		if k%4 == 0 {
			dialects = append(dialects, "wkt1", "wkt2")
		}
		for _, dialect := range dialects {
			text, err := exec.Command(info, "-o", dialect, fmt.Sprintf("EPSG:%d", c.code)).Output()
			if err != nil {
				t.Fatal(err)
			}
			s, err := FromWKT(string(text))
			if err != nil {
				t.Errorf("EPSG:%d as %s: %v", c.code, dialect, err)
				continue
			}
			systems = append(systems, s)
		}
		if s, err := ByCode(fmt.Sprintf("EPSG:%d", c.code)); err == nil {
			systems = append(systems, s)
		}
		for i, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
			var x, y float64
			if _, err := fmt.Sscan(line, &x, &y); err != nil {
				t.Fatal(err)
			}
			want := points[i]
			if c.base == 4267 {
				want, _ = nad27ToWGS84(want)
			}
			for _, s := range systems {
				got, ok := s.ToDegrees(ground.Point{Lon: x, Lat: y})
				if off := ground.MetersBetween(got, want); !ok || off > 1e-3 {
					t.Errorf("EPSG:%d %s: %v, %v comes back as %v, %v m from %v", c.code, s.Name, x, y, got, off, want)
				}
			}
		}
	}
}

// The mean shift of NAD27 for the contiguous states: published geocentric shift
// of 8, −160, −176 m from WGS 84 (NIMA TR8350.2, appendix B); PROJ with the same
// three numbers is the check.
func TestNAD27AgainstPROJ(t *testing.T) {
	cmd := exec.Command(groundtest.Tool(t, "gdaltransform", "gdal-bin"),
		"-s_srs", "+proj=longlat +ellps=clrk66 +towgs84=-8,160,176 +no_defs", "-t_srs", "EPSG:4326")
	cmd.Stdin = strings.NewReader("-97 39\n-80 35\n-120 45\n")
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range []ground.Point{{Lon: -97, Lat: 39}, {Lon: -80, Lat: 35}, {Lon: -120, Lat: 45}} {
		var want ground.Point
		_, _ = fmt.Sscan(strings.Split(string(out), "\n")[i], &want.Lon, &want.Lat)
		got, ok := nad27ToWGS84(p)
		if off := ground.MetersBetween(got, want); !ok || off > 1e-4 {
			t.Errorf("%v goes to %v, PROJ says %v", p, got, want)
		}
	}
	if _, ok := nad27ToWGS84(ground.Point{Lon: -150, Lat: 61}); ok {
		t.Error("the shift of the contiguous states was used in Alaska")
	}
}

// The reason why the transverse Mercator is written out: the library's inverse
// is meters off at the edge of a zone. When this fails, it has been fixed.
func TestLibrarysTransverseMercatorIsWrong(t *testing.T) {
	x, y, _ := wgs84.To(wgs84.UTM(14, true))(-96.1, 39, 0)
	lon, lat, _ := wgs84.From(wgs84.UTM(14, true))(x, y, 0)
	if off := ground.MetersBetween(ground.Point{Lon: lon, Lat: lat}, ground.Point{Lon: -96.1, Lat: 39}); off < 0.5 {
		t.Errorf("the library comes back within %v m: transverseMercator may go", off)
	} else {
		t.Logf("the library comes back %.2f m beside the point", off)
	}
}

func TestSystemsRefused(t *testing.T) {
	geographic := `GEOGCS["GCS",DATUM["%s",SPHEROID["s",6378137,298.257]],PRIMEM["%s",%s],UNIT["Degree",0.0174532925199433]]`
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "not a coordinate system in well-known text"},
		{"cut off", `PROJCS["a",GEOGCS["b"`, "cut off"},
		{"brackets", `PROJCS[[]]`, "brackets do not match"},
		{"deep", strings.Repeat("A[", 100), "not a coordinate system"},
		{"long", strings.Repeat("A", 70000), "above 64 kB"},
		{"datum", fmt.Sprintf(geographic, "D_OSGB_1936", "Greenwich", "0"), `its datum "D_OSGB_1936" is not known here`},
		{"meridian", fmt.Sprintf(geographic, "D_WGS_1984", "Paris", "2.3"), "do not count from Greenwich but from Paris"},
		{"projection", `PROJCS["Alaska 1",` + fmt.Sprintf(geographic, "D_North_American_1983", "Greenwich", "0") + `,PROJECTION["Hotine_Oblique_Mercator"],UNIT["Meter",1]]`,
			`"Alaska 1": its projection "Hotine_Oblique_Mercator" is not known here`},
		{"local", `LOCAL_CS["site grid",UNIT["Meter",1]]`, "local grid"},
		{"ball", `GEOGCS["x",DATUM["WGS_1984",SPHEROID["s",1,2]],PRIMEM["Greenwich",0],UNIT["Degree",0.0174532925199433]]`, "none of the earth"},
		{"angle", `GEOGCS(DATUM("WGS84"SPHEROID(6300001 0101))UNIT(0))`, "its unit of angle, 0 radians, is none"},
		{"turned angle", `GEOGCS["x",DATUM["WGS_1984",SPHEROID["s",6378137,298.257]],PRIMEM["Greenwich",0],UNIT["Degree",-0.0174532925199433]]`, "its unit of angle"},
	} {
		if s, err := FromWKT(c.text); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, %v; want %q", c.name, s.Name, err, c.want)
		}
	}
	for _, text := range []string{"EPSG:2193", "nonsense", "UTM 61N", "UTM", "EPSG:99999999999999999999"} {
		if _, err := Parse(text); err == nil {
			t.Errorf("%s is known", text)
		}
	}
}

// Texts as some programs write them.
func TestOddSystemTexts(t *testing.T) {
	sphere := `PROJCS["WGS_1984_Web_Mercator",GEOGCS["GCS_WGS_1984_Major_Auxiliary_Sphere",DATUM["D_WGS_1984_Major_Auxiliary_Sphere",SPHEROID["WGS_1984_Major_Auxiliary_Sphere",6378137.0,0.0]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["%s"],PARAMETER["False_Easting",0.0],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",0.0],PARAMETER["Standard_Parallel_1",0.0],UNIT["Meter",1.0]]`
	s, err := FromWKT(fmt.Sprintf(sphere, "Mercator"))
	if err != nil {
		t.Fatal(err)
	}
	want, _ := ByCode("3857")
	p, _ := s.ToDegrees(ground.Point{Lon: -10686671, Lat: 4721671})
	q, _ := want.ToDegrees(ground.Point{Lon: -10686671, Lat: 4721671})
	if ground.MetersBetween(p, q) > 1e-6 {
		t.Errorf("%v, want %v", p, q)
	}
	if _, err := FromWKT(fmt.Sprintf(sphere, "Transverse_Mercator")); err == nil || !strings.Contains(err.Error(), "sphere") {
		t.Errorf("a sphere for more than web Mercator: %v", err)
	}
	if _, err := FromWKT(degreesPRJ + `,VERTCS["NAVD_1988",VDATUM["North_American_Vertical_Datum_1988"],PARAMETER["Vertical_Shift",0.0],UNIT["Meter",1.0]]`); err != nil {
		t.Errorf("a vertical system behind: %v", err)
	}
}

// degreesPRJ is the text of a .prj file of WGS 84 degrees.
const degreesPRJ = `GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]`

func FuzzSystem(f *testing.F) {
	f.Add(`GEOGCS(DATUM("WGS84"SPHEROID(6300001 0101))UNIT(0))`)
	f.Add(`GEOGCS(DATUM("WGS84"SPHEROID(6300001 0101))UNIT(1))`) // radians
	f.Add(degreesPRJ)
	f.Add(`PROJCS["NAD_1983_UTM_Zone_14N",GEOGCS["GCS_North_American_1983",DATUM["D_North_American_1983",SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["False_Easting",500000.0],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",-99.0],PARAMETER["Scale_Factor",0.9996],PARAMETER["Latitude_Of_Origin",0.0],UNIT["Meter",1.0]]`)
	f.Fuzz(func(t *testing.T, text string) {
		s, err := FromWKT(text)
		if err != nil || s.ToDegrees == nil {
			return
		}
		for _, p := range []ground.Point{{Lon: 0, Lat: 0}, {Lon: 500000, Lat: 4300000}, {Lon: math.Inf(1), Lat: math.NaN()}, {Lon: 1e300, Lat: -1e300}} {
			if q, ok := s.ToDegrees(p); ok && !(math.Abs(q.Lat) <= 90) {
				t.Fatalf("%v goes to %v", p, q)
			}
		}
	})
}

// Every zone of the table is found by its code and by its name, and lies in
// America.
func TestStatePlanes(t *testing.T) {
	if n := len(statePlanes()); n != 209 {
		t.Errorf("%d zones", n)
	}
	for _, z := range statePlanes() {
		byName, err := Parse(z.name)
		if err != nil {
			t.Errorf("%s: %v", z.name, err)
			continue
		}
		byCode, err := Parse(fmt.Sprintf("EPSG:%d", z.code))
		if err != nil || byName.Name != byCode.Name {
			t.Errorf("%d is %q by code and %q by name: %v", z.code, byCode.Name, byName.Name, err)
		}
		east, _ := strconv.ParseFloat(z.line[7], 64)
		north, _ := strconv.ParseFloat(z.line[8], 64)
		p, ok := byCode.ToDegrees(ground.Point{Lon: east, Lat: north})
		if want := (ground.Point{}); !ok || !near6(p.Lon, z.line[3], &want.Lon) || !near6(p.Lat, z.line[4], &want.Lat) || p.Lat < 13 || p.Lat > 72 || p.Lon > -60 {
			t.Errorf("%s: the false origin lies at %v, want %v", z.name, p, want)
		}
	}
}

// near6 compares with a number in text, which it also gives.
func near6(got float64, text string, want *float64) bool {
	*want, _ = strconv.ParseFloat(text, 64)
	return math.Abs(got-*want) < 1e-6
}
