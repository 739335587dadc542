package view_test

import (
	"encoding/json"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

// burnedRows gives the rows of a map by year and unit.
func burnedRows(v *view.AsBurned) map[string]view.AsBurnedRow {
	rows := map[string]view.AsBurnedRow{}
	for _, r := range v.Rows {
		rows[r.FiscalYear.String()+" "+r.Unit] = r
	}
	return rows
}

// stateIn gives what a year's map says of a unit, and the pattern in words.
func stateIn(t *testing.T, m *view.Map, year, unit string) (detail, pattern string) {
	t.Helper()
	for _, y := range m.Years {
		for i, u := range m.Units {
			if y.Title == year && u.Unit == unit {
				mark, _ := m.MarkOf(y.States[i].Mark)
				return y.States[i].Detail, string(mark.Pattern)
			}
		}
	}
	t.Fatalf("no map of %s in %s", unit, year)
	return "", ""
}

// The farm's story: Gate Three was due in 2026 with 10.3 acres and burned 5.1.
func TestAsBurned(t *testing.T) {
	in := sample.Packet()
	v := view.NewPacket(in).AsBurned
	for _, want := range []struct{ year, unit, detail, pattern, drawn string }{
		{"2024", "Gate One", "done 10.9", "filled", "the unit's shape"},
		{"2026", "Gate Three", "5.1 of 10.2", "dotted", "none on record: dots over the unit"},
		{"2027", "Gate Seven", "due 9.6", "hatched", ""},
		{"2028", "Gate One", "due 10.9", "hatched", ""},
	} {
		detail, pattern := stateIn(t, v.Map, want.year, want.unit)
		row := burnedRows(v)[want.year+" "+want.unit]
		if detail != want.detail || pattern != want.pattern || row.Drawn != want.drawn {
			t.Errorf("%s in %s: %q, %s, %q; want %v", want.unit, want.year, detail, pattern, row.Drawn, want)
		}
		if row.Says == "" || len(row.Records)+len(row.Lines) == 0 {
			t.Errorf("%s in %s: the table says nothing of it", want.unit, want.year)
		}
	}
	// With an outline the part is drawn as it is, and what is due stays hatched.
	at := 0
	for i := range in.Records {
		if in.Records[i].Unit == "Gate Three" {
			at = i
		}
	}
	shape := in.Shapes["Gate Three"]
	low, high := shape.Polygons[0].Outer[0], shape.Polygons[0].Outer[0]
	for _, p := range shape.Polygons[0].Outer {
		low.Lon, low.Lat, high.Lon, high.Lat = min(low.Lon, p.Lon), min(low.Lat, p.Lat), max(high.Lon, p.Lon), max(high.Lat, p.Lat)
	}
	middle := (low.Lon + high.Lon) / 2
	half := ground.Shape{Polygons: []ground.Polygon{{Outer: ground.Ring{low, {Lon: middle, Lat: low.Lat}, {Lon: middle, Lat: high.Lat}, {Lon: low.Lon, Lat: high.Lat}}}}}
	text, err := json.Marshal(half)
	if err != nil {
		t.Fatal(err)
	}
	in.Records[at].Outline = string(text)
	v = view.NewPacket(in).AsBurned
	detail, pattern := stateIn(t, v.Map, "2026", "Gate Three")
	if row := burnedRows(v)["2026 Gate Three"]; detail != "5.1 of 10.2" || pattern != "hatched" || row.Drawn != "outline on record" {
		t.Errorf("with an outline: %q, %s, %q", detail, pattern, row.Drawn)
	}
	outlines := 0
	for _, y := range v.Map.Years {
		outlines += len(y.Outlines)
	}
	if outlines != 1 {
		t.Errorf("%d outlines", outlines)
	}
	// Without shapes the words stay.
	in.Shapes = nil
	if v = view.NewPacket(in).AsBurned; v.Map != nil || len(v.Rows) < 4 || !strings.Contains(strings.Join(v.Notes, " "), "No unit has a shape") {
		t.Errorf("without shapes: %v, %d rows, %v", v.Map, len(v.Rows), v.Notes)
	}
}

func TestAsBurnedTellsWildfireAndOtherYears(t *testing.T) {
	in := sample.Packet()
	in.Contract.Early = habitat.EarlyCredited
	in.Records = append(in.Records, habitat.BurnRecord{ID: 90, Unit: "Gate Five", Kind: habitat.Wildfire, On: date.MustDay(2026, 8, 1), Through: date.MustDay(2026, 8, 1), Acres: 2, HasAcres: true},
		habitat.BurnRecord{ID: 91, Unit: "Gate Seven", Kind: habitat.Prescribed, On: date.MustDay(2026, 3, 1), Through: date.MustDay(2026, 3, 1), Acres: quantity.Acres(9.6), HasAcres: true})
	v := view.NewPacket(in).AsBurned
	if detail, pattern := stateIn(t, v.Map, "2026", "Gate Five"); detail != "wildfire 2.0" || pattern != "crossed" {
		t.Errorf("wildfire: %q, %s", detail, pattern)
	}
	if detail, pattern := stateIn(t, v.Map, "2027", "Gate Seven"); detail != "done earlier" || pattern != "ruled" {
		t.Errorf("done in another year: %q, %s", detail, pattern)
	}
}
