package geofile

import (
	"encoding/binary"
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/source"
)

// fill repeats a text between a head and a tail up to the largest file.
func fill(head, again, tail string) []byte {
	out := append(make([]byte, 0, MaxBytes), head...)
	for len(out)+len(again)+len(tail) <= MaxBytes {
		out = append(out, again...)
	}
	return append(out, tail...)
}

// hostileFiles are files of the largest size that is read, made to take memory.
var hostileFiles = map[string]func() []byte{
	"points": func() []byte {
		return fill(`{"type":"Polygon","coordinates":[[`, `[1,1],`, `[1,1]]]}`)
	},
	"different points": func() []byte {
		return fill(`{"type":"LineString","coordinates":[`, `[1,1],[2,2],`, `[1,1]]}`)
	},
	"rings": func() []byte { return fill(`{"type":"Polygon","coordinates":[`, `[],`, `[]]}`) },
	"deep": func() []byte {
		return fill(``, `{"type":"GeometryCollection","geometries":[`, ``)
	},
	"brackets": func() []byte { return fill(`{"a":`, `[`, ``) },
	"features": func() []byte {
		return fill(`{"type":"FeatureCollection","features":[`, `{"type":"Feature","geometry":null},`, `{}]}`)
	},
	"keys": func() []byte {
		return fill(`{"type":"Feature","geometry":null,"properties":{`, `"":1,`, `"b":2}}`)
	},
	"attributes": func() []byte {
		return fill(`{"type":"FeatureCollection","features":[`, `{"type":"Feature","properties":{`+strings.Repeat(`"":1,`, 500)+`"a":1},"geometry":null},`, `{}]}`)
	},
	"kml points": func() []byte {
		return fill(kmlHead+`<Placemark><LineString><coordinates>`, "1,1 ", `</coordinates></LineString></Placemark></kml>`)
	},
	"kml elements": func() []byte { return fill(kmlHead+`<Placemark>`, "<Data/>", `</Placemark></kml>`) },
	"kml polygons": func() []byte {
		return fill(kmlHead+`<Placemark>`, "<Polygon/>", `</Placemark></kml>`)
	},
	"kml depth": func() []byte { return fill(kmlHead, "<a>", "") },
	"gpx":       func() []byte { return fill(`<gpx><trk>`, `<trkseg/>`, `</trk></gpx>`) },
	"gpx points": func() []byte {
		return fill(`<gpx><trk><trkseg>`, `<trkpt lat="1" lon="1"/>`, `</trkseg></trk></gpx>`)
	},
	"csv":      func() []byte { return fill("wkt,a\n", "POINT(1 1),\n", "") },
	"csv wide": func() []byte { return fill("wkt", ",", "\nPOINT(1 1)\n") },
	"wkt":      func() []byte { return fill("wkt,a\n\"LINESTRING(", "1 1,", "2 2)\"") },
	"shapefile": func() []byte {
		return fill(string(shapeHeader(MaxBytes, flat.NewBox())), "\x00\x00\x00\x01\x00\x00\x00\x02\x00\x00\x00\x00", "")
	},
	"shapefile points": func() []byte {
		data := shapeHeader(MaxBytes, flat.NewBox())
		const n = MaxBytes/16 - 100
		data = binary.BigEndian.AppendUint32(data, 1)
		data = binary.BigEndian.AppendUint32(data, (44+4+16*n)/2)
		data = binary.LittleEndian.AppendUint32(data, shpPolygon)
		data = append(data, make([]byte, 32)...)
		data = binary.LittleEndian.AppendUint32(data, 1)
		data = binary.LittleEndian.AppendUint32(data, n)
		return fill(string(data), string(make([]byte, 16)), "")
	},
}

// Each hostile file is read by a process of its own, whose largest size the
// system tells afterwards. The collector is held to 160 MiB, so that what is
// measured is what reading needs, not what the collector had not got to yet:
// without it the same file took 174 to 203 MB.
func TestMemoryOfHostileFiles(t *testing.T) {
	if name := os.Getenv("GROUND_HOSTILE"); name != "" {
		data := hostileFiles[name]()
		runtime.GC()
		_, err := ReadBytes(data, "f", Options{})
		if err != nil && !source.Is(err) {
			t.Fatal(err)
		}
		text := fmt.Sprint(err)
		fmt.Printf("said %.150s\n", strings.ReplaceAll(text, "\n", " "))
		status, err := os.ReadFile("/proc/self/status")
		if err != nil {
			t.Skip(err)
		}
		for _, line := range strings.Split(string(status), "\n") {
			if strings.HasPrefix(line, "VmHWM") {
				fmt.Println(line)
			}
		}
		return
	}
	if testing.Short() || runtime.GOOS != "linux" {
		t.Skip("takes a minute, and reads /proc")
	}
	for name := range hostileFiles {
		t.Run(name, func(t *testing.T) {
			cmd := exec.Command(os.Args[0], "-test.run=^TestMemoryOfHostileFiles$", "-test.timeout=120s")
			cmd.Env = append(os.Environ(), "GROUND_HOSTILE="+name, "GOMEMLIMIT=160MiB")
			out, err := cmd.CombinedOutput()
			if err != nil {
				t.Fatalf("%v\n%.2000s", err, out)
			}
			for _, line := range strings.Split(string(out), "\n") {
				fields := strings.Fields(line)
				if len(fields) < 2 || (fields[0] != "VmHWM:" && fields[0] != "said") {
					continue
				}
				if fields[0] == "said" {
					t.Log(line)
					continue
				}
				kB, _ := strconv.Atoi(fields[1])
				t.Logf("%d MB at most, %d of them the file", kB>>10, MaxBytes>>20)
				if kB>>10 > 200 {
					t.Errorf("%d MB", kB>>10)
				}
			}
		})
	}
}
