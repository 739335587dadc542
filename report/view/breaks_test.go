package view

import (
	"math"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
)

// square gives a square of feet on the plane of a property, by its corner.
func square(east, north, size float64) ground.Shape {
	const feetOfLatitude = 364_320.0 // about, at 39 degrees; the test compares with Perimeter
	at := func(e, n float64) ground.Point {
		return ground.Point{Lon: -96.6 + e/(feetOfLatitude*math.Cos(39.1*math.Pi/180)), Lat: 39.1 + n/feetOfLatitude}
	}
	ring := ground.Ring{at(east, north), at(east+size, north), at(east+size, north+size), at(east, north+size)}
	return ground.Shape{Polygons: []ground.Polygon{{Outer: ring}}}
}

func TestBreaksOfAPlan(t *testing.T) {
	shapes := map[string]ground.Shape{"a": square(0, 0, 1320), "b": square(1330, 0, 1320), "far": square(9000, 0, 1320)}
	units := []habitat.Unit{{ID: "a", Acres: 40}, {ID: "b", Acres: 40}, {ID: "no shape"}, {ID: "far", Acres: 40}}
	west := ground.Line{shapes["a"].Polygons[0].Outer[0], shapes["a"].Polygons[0].Outer[3]}
	in := BreaksInput{Units: units, Shapes: shapes, Years: []YearBurns{{2027, []string{"a", "b"}}, {2028, []string{"a", "far", "no shape"}}}}
	side := float64(shapes["a"].Perimeter()) / 4
	near := func(what string, got quantity.Feet, want float64) {
		t.Helper()
		if math.Abs(float64(got)-want) > 0.015*side { // latitude and longitude are laid out by a mean degree
			t.Errorf("%s: %v ft, want %.0f", what, got, want)
		}
	}
	b := NewBreaks(in)
	near("two together save their common boundary on both sides", b.Years[0].Saved, 2*side)
	near("two together", b.Years[0].Needed, 6*side)
	near("two apart save nothing", b.Years[1].Saved, 0)
	if len(b.Years[1].Missing) != 1 || len(b.Missing) != 1 {
		t.Errorf("units without a shape: %v, %v", b.Years[1].Missing, b.Missing)
	}
	if len(b.Lines[1]) == 0 {
		t.Error("no lines for the map")
	}
	away := ground.Line{shapes["far"].Polygons[0].Outer[0], shapes["far"].Polygons[0].Outer[1]}
	in.Standing = []ground.Place{{Name: "Farm Lane", Kind: "road", Lines: []ground.Line{west}}, {Name: "Far Creek", Lines: []ground.Line{away}}}
	b = NewBreaks(in)
	near("a road along one side", b.Years[0].Needed, 5*side)
	near("its feet", b.Years[0].Standing, side)
	words := strings.Join(b.UnitWords("a", 2027), "\n")
	for _, want := range []string{"Farm Lane (road)", "when its neighbors that burn in 2027", "Western Farm Press"} {
		if !strings.Contains(words, want) {
			t.Errorf("%q is not said in:\n%s", want, words)
		}
	}
	if strings.Contains(words, "Far Creek") {
		t.Errorf("a creek that is not near is named: %s", words)
	}
	if words := b.UnitWords("far", 2028); strings.Contains(strings.Join(words, " "), "neighbors") {
		t.Errorf("a unit by itself: %v", words)
	}
	var none *Breaks
	if none.UnitWords("a", 2027) != nil || NewBreaks(BreaksInput{Units: units}) != nil {
		t.Error("breaks without shapes")
	}
}

// Exact: 1,000 ft times 10 ft over 43,560 square feet an acre.
// 1,000 ft of break 10 ft wide are 0.2296 acre.
func TestBreakWidths(t *testing.T) {
	if got := float64(quantity.BreakAcres(1000, 10)); math.Abs(got-0.2296) > 5e-5 {
		t.Errorf("%v acres", got)
	}
	widths := BreakWidths(3)
	for i := 1; i < len(widths); i++ {
		if widths[i].Width < widths[i-1].Width {
			t.Error("widths are out of order")
		}
	}
	if last := widths[len(widths)-1]; last.Width != 30 || !strings.Contains(last.Sources, "rule 4") {
		t.Errorf("3 ft of fuel: %+v", last)
	}
	if len(BreakWidths(0)) != 3 {
		t.Error("a break downwind of no fuel")
	}
}
