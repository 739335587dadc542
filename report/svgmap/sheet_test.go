package svgmap

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/report/view"
	"emberquilt/testdata/refdata"
)

var keep = flag.String("keep", "", "folder in which to leave the drawings, to look at")

// konza gives a sheet of real units with invented states.
func konza(t testing.TB, years int) *Sheet {
	t.Helper()
	l, err := geofile.Read(refdata.File(t, "polygons/konza/GIS032.shp"), geofile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := &Sheet{ID: "k", Map: view.Map{Title: "Burns by program year", Description: "Which units burn and which rest.",
		Seasons: []string{"dormant", "early growing", "summer"},
		Classes: []string{"0 to 1 year", "2 to 3 years", "4 years and more"},
		Places: []ground.Place{{Name: "School", Points: []ground.Point{{Lon: -96.50, Lat: 39.09}}},
			{Name: "House", Points: []ground.Point{{Lon: -96.541, Lat: 39.073}}},
			{Name: "Highway", Lines: []ground.Line{{{Lon: -96.62, Lat: 39.065}, {Lon: -96.53, Lat: 39.068}}}}},
		Standing: []ground.Line{{{Lon: -96.609, Lat: 39.072}, {Lon: -96.58, Lat: 39.09}, {Lon: -96.55, Lat: 39.13}}},
	}}
	for _, f := range l.Features {
		if f.Shape.Acres() > 0.01 {
			s.Units = append(s.Units, view.MapUnit{Unit: f.Name, Shape: f.Shape})
		}
	}
	r := rand.New(rand.NewPCG(1, 1))
	for y := range years {
		m := view.MapYear{Title: fmt.Sprint(2027 + y)}
		burned := 0
		for range s.Units {
			age := r.IntN(7)
			state := view.MapState{Burns: age == 0, Season: r.IntN(3), Class: min(2, age/2), Detail: fmt.Sprintf("age %d", age), Overdue: age == 6}
			if state.Burns {
				state.Detail = s.Seasons[state.Season]
				burned++
			}
			m.States = append(m.States, state)
		}
		m.Note = fmt.Sprintf("%d units burn", burned)
		s.Years = append(s.Years, m)
	}
	return s
}

// draw draws and makes sure that the result is XML with nothing that reaches out
// or runs.
func draw(t testing.TB, s *Sheet) string {
	t.Helper()
	var out bytes.Buffer
	if err := s.Draw(&out); err != nil {
		t.Fatal(err)
	}
	dec := xml.NewDecoder(bytes.NewReader(out.Bytes()))
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("bad XML: %v", err)
		}
		e, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		switch e.Name.Local {
		case "script", "style", "image", "foreignObject", "a", "iframe":
			t.Errorf("the drawing has an element <%s>", e.Name.Local)
		}
		for _, a := range e.Attr {
			if strings.HasPrefix(strings.ToLower(a.Name.Local), "on") {
				t.Errorf("the drawing has an attribute %s", a.Name.Local)
			}
			if a.Name.Local == "href" && !strings.HasPrefix(a.Value, "#") {
				t.Errorf("the drawing refers to %s", a.Value)
			}
			if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") || strings.Contains(a.Value, "ZgotmplZ") {
				t.Errorf("%s %s = %.80s", e.Name.Local, a.Name.Local, a.Value)
			}
		}
	}
	if *keep != "" {
		name := filepath.Join(*keep, strings.ReplaceAll(t.Name(), "/", "_")+".svg")
		if err := os.WriteFile(name, out.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return out.String()
}

func TestDrawsKonza(t *testing.T) {
	for _, c := range []struct {
		name   string
		years  int
		width  float64
		inside []string
	}{
		{"year", 1, 0, []string{"K20A", "Nature", " ft<", " mi<", ">N<", "burns, dormant", "rests, 0 to 1 year", "House", "School, 2.", "overdue"}},
		{"phone", 1, 360, []string{">N<", "burns, dormant"}},
		{"five", 5, 0, []string{"2027", "2031"}},
		{"five_phone", 5, 360, []string{"2027", "2031"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := konza(t, c.years)
			s.Width = c.width
			text := draw(t, s)
			for _, want := range c.inside {
				if !strings.Contains(text, want) {
					t.Errorf("the drawing lacks %q", want)
				}
			}
			if again := draw(t, s); again != text {
				t.Error("two drawings differ")
			}
			t.Logf("%d bytes", len(text))
		})
	}
}

func BenchmarkDraw(b *testing.B) {
	s := konza(b, 5)
	b.ReportAllocs()
	for b.Loop() {
		if err := s.Draw(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}

// TestMarkedMapSaysAllOfItsUnits draws units with marks: what a small unit has no room
// for stands in the key, and a note that does not fit beside its title below it.
func TestMarkedMapSaysAllOfItsUnits(t *testing.T) {
	square := func(west, side float64) ground.Shape {
		return ground.Shape{Polygons: []ground.Polygon{{Outer: ground.Ring{{Lon: west, Lat: 39}, {Lon: west + side, Lat: 39}, {Lon: west + side, Lat: 39 + side}, {Lon: west, Lat: 39 + side}}}}}
	}
	s := &Sheet{ID: "u", Width: 360, Map: view.Map{
		Marks: []view.MapMark{{Pattern: view.Hatched, Text: "work remains"}, {Pattern: view.Filled, Text: "done"}},
		Units: []view.MapUnit{{Unit: "Large", Shape: square(-97, 0.01)}, {Unit: "Small", Shape: square(-96.99, 0.0004)}},
		Years: []view.MapYear{{Title: "2026-11-25", Note: "work remains on 1 unit, 1 done", States: []view.MapState{
			{Season: -1, Class: -1, Mark: 1, Detail: "10.3 acres remain"}, {Season: -1, Class: -1, Mark: 2, Detail: "done"}}}},
	}}
	text := draw(t, s)
	for _, want := range []string{">10.3 acres remain<", ">1 Small: done<", `<text y="-8" font-size="15" font-weight="600">2026-11-25<tspan`} {
		if !strings.Contains(text, want) {
			t.Errorf("the map lacks %s", want)
		}
	}
	s.Years[0].Note = "work remains on 1 unit, 1 done, 1 closed, 1 canceled"
	if text := draw(t, s); !strings.Contains(text, `<text y="-23" font-size="15" font-weight="600">2026-11-25</text><text y="-8" font-size="12"`) {
		t.Error("a long note stands beside its title, past the edge")
	}
}
