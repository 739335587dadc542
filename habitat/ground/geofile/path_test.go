package geofile

import (
	"fmt"
	"strings"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/groundtest"
)

// walked gives a GPX track of segments, each written as "east north, east north" in
// feet from a corner in Kansas. Source of the form: GPX 1.1 schema,
// http://www.topografix.com/GPX/1/1/.
func walked(segments ...string) string {
	const feetOfLatitude, feetOfLongitude = 364200.0, 283000.0 // near 39 degrees north
	var b strings.Builder
	b.WriteString(`<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><name>walk</name>`)
	for _, segment := range segments {
		b.WriteString("<trkseg>")
		for _, pair := range strings.Split(segment, ",") {
			var east, north float64
			fmt.Sscan(pair, &east, &north)
			fmt.Fprintf(&b, `<trkpt lat="%.7f" lon="%.7f"/>`, 39.1+north/feetOfLatitude, -96.6+east/feetOfLongitude)
		}
		b.WriteString("</trkseg>")
	}
	b.WriteString(`</trk></gpx>`)
	return b.String()
}

// A walk of 660 by 660 ft goes round 10 acres: 10 square chains are an acre.
func TestFormOfAPath(t *testing.T) {
	for _, c := range []struct {
		name     string
		segments []string
		form     Form
		acres    float64 // once closed; 0 means that it cannot be
		note     string
	}{
		{"comes back", []string{"0 0,660 0,660 660,0 660,0 0"}, ClosedPath, 10, ""},
		{"stops short", []string{"0 0,660 0,660 660,0 660,0 200"}, ClosedPath, 10, "closed over 200 ft"},
		{"stops far off", []string{"0 0,660 0,660 660,0 660"}, OpenPath, 10, "closed over 6"},
		{"a road", []string{"0 0,660 10,1320 0"}, OpenPath, 0.15, ""},
		{"a road and back", []string{"0 0,660 10,1320 0,1320 12,660 22,0 12"}, OpenPath, 0.36, ""},
		{"a narrow strip", []string{"0 0,1320 0,1320 66,0 66,0 0"}, ClosedPath, 2, ""},
		{"with a pause", []string{"0 0,660 0,660 330", "660 340,660 660,0 660,0 10"}, ClosedPath, 10, "in 2 pieces, which were joined"},
		{"two rounds", []string{"0 0,660 0,660 660,0 660,0 0", "1000 0,1660 0,1660 660,1000 660,1000 0"}, ClosedPath, 20, ""},
		{"two points", []string{"0 0,660 0"}, OpenPath, 0, ""},
		{"crosses itself", []string{"0 0,660 660,660 0,0 900,0 0"}, ClosedPath, 0, ""},
		{"one place", []string{"0 0,0 0,0 0"}, OpenPath, 0, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := ReadBytes([]byte(walked(c.segments...)), "f.gpx", Options{})
			if err != nil {
				t.Fatal(err)
			}
			f := &l.Features[0]
			if got := f.Form(); got != c.form {
				t.Errorf("it is a %s, want a %s", got, c.form)
			}
			fault := f.Close()
			if (fault != nil) != (c.acres == 0) {
				t.Fatalf("closing says %v", fault)
			}
			if fault != nil {
				if len(f.Lines) == 0 || !f.Shape.IsEmpty() {
					t.Error("a path that could not be closed was changed")
				}
				return
			}
			if got := float64(f.Shape.Acres()); got < c.acres*0.99-0.02 || got > c.acres*1.01+0.02 {
				t.Errorf("it goes round %.2f acres, want %.2f", got, c.acres)
			}
			if text := fmt.Sprint(f.Notes); !strings.Contains(text, c.note) {
				t.Errorf("the notes are %s; want %q", text, c.note)
			}
			if f.Form() != Area || len(f.Lines) != 0 {
				t.Error("a closed path keeps its line")
			}
		})
	}
}

func TestFormOfOthers(t *testing.T) {
	square := groundtest.Rectangle(0, 0, 660, 660, 0)
	for _, c := range []struct {
		f    Feature
		want Form
	}{
		{Feature{}, Formless},
		{Feature{Points: []ground.Point{{Lon: 1, Lat: 2}}}, Pin},
		{Feature{Shape: square, Points: []ground.Point{{Lon: 1, Lat: 2}}}, Area},
	} {
		if got := c.f.Form(); got != c.want {
			t.Errorf("%v is a %s, want %s", c.f, got, c.want)
		}
	}
}
