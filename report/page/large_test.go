package page

import (
	"bytes"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/report/internal/sample"
	"emberquilt/report/svgmap"
	"emberquilt/report/view"
)

// Above 5,000 units times years the book sums up: no cell of a unit, no list above 100
// lines, and it says where the rest is. Below, every cell stands.
func TestLargeBookSumsUp(t *testing.T) {
	for _, years := range []int{20, 5} {
		plan := sample.Large(12, years)
		plan.Answer.Burns = plan.Answer.Burns[:len(plan.Answer.Burns)/3] // so that many units are overdue
		v := program(t, plan)
		var b bytes.Buffer
		if err := WriteBook(&b, &Book{Program: v}); err != nil {
			t.Fatal(err)
		}
		html := b.String()
		cells, words := strings.Count(html, `<td class="mid `), v.LargeWords()
		if want := len(v.Units)*years > 5000; v.IsLarge() != want || (words != "") != want {
			t.Fatalf("%d units over %d years are large: %t, %q", len(v.Units), years, v.IsLarge(), words)
		}
		if !v.IsLarge() {
			if cells != len(v.Units)*years || strings.Contains(html, `id="grid" class="wide"><h2>By cover`) {
				t.Errorf("%d cells of %d units and %d years", cells, len(v.Units), years)
			}
			continue
		}
		if cells > 0 || !strings.Contains(html, words) || !strings.Contains(html, "By cover") {
			t.Errorf("a large book shows %d cells and does not say %q", cells, words)
		}
		sums(t, v)
		if overdue := v.OverdueOnPaper(); len(v.Overdue) <= 100 || len(overdue) != 100 {
			t.Errorf("%d of %d overdue units", len(overdue), len(v.Overdue))
		} else {
			for _, u := range v.Overdue {
				if len(u.Years) > len(overdue[0].Years) {
					t.Errorf("%s is overdue in %d years and does not come first", u.Unit, len(u.Years))
				}
			}
		}
	}
}

// The book of 1,000 units over 20 years, with outlines of 80 points each and a map of six
// years past, is a file that a phone opens: under 3 MB.
func TestLargeBookIsSmall(t *testing.T) {
	plan := sample.Large(42, 20)
	plan.Records = nil
	r := rand.New(rand.NewPCG(19, 0))
	shapes := map[string]ground.Shape{}
	for i := range plan.Units {
		u := &plan.Units[i]
		ring := make(ground.Ring, 80)
		for k := range ring {
			turn, out := 2*math.Pi*float64(k)/float64(len(ring)), 0.0025+0.0002*r.Float64()
			ring[k] = ground.Point{Lon: -96.6 + 0.006*float64(i%25) + out*math.Cos(turn), Lat: 38.9 + 0.006*float64(i/25) + out*math.Sin(turn)}
		}
		shapes[u.ID] = ground.Shape{Polygons: []ground.Polygon{{Outer: ring}}}
		for year := 2021; year <= 2026; year++ {
			if r.IntN(3) == 0 {
				plan.Records = append(plan.Records, habitat.BurnRecord{ID: int64(len(plan.Records) + 1), Unit: u.ID, On: date.MustDay(year, 3, 12), Through: date.MustDay(year, 3, 12)})
			}
		}
	}
	v := program(t, plan)
	drawn := func(m *view.Map, id string) *Map {
		html, err := (&svgmap.Sheet{Map: *m, ID: id, Width: 900, Columns: min(2, len(m.Years))}).HTML()
		if err != nil {
			t.Fatal(err)
		}
		return &Map{Title: m.Caption, HTML: html}
	}
	burned := view.NewAsBurned(&view.AsBurnedInput{Property: plan.Property, Units: plan.Units, Records: plan.Records, Shapes: shapes, Today: plan.Stamp.On})
	first := view.NewMap(v, view.MapInput{Shapes: shapes}, 2027)
	var b bytes.Buffer
	if err := WriteBook(&b, &Book{Program: v, Maps: []Map{*drawn(first, "first")}, AsBurned: burned, BurnedMap: drawn(burned.Map, "burned")}); err != nil {
		t.Fatal(err)
	}
	if len(v.Units) < 1000 || len(first.Units) != len(v.Units) || len(burned.Map.Years) < 5 {
		t.Fatalf("%d units, %d of them drawn, %d years past", len(v.Units), len(first.Units), len(burned.Map.Years))
	}
	if b.Len() >= 3e6 {
		t.Errorf("%d bytes", b.Len())
	}
	if listed := strings.Count(b.String(), "acres burned on "); len(burned.Rows) < 1000 || listed != 100 || !strings.Contains(b.String(), "the newest 100 of them follow") {
		t.Errorf("%d of %d rows are listed", listed, len(burned.Rows))
	}
	t.Logf("%d units, %d bytes", len(v.Units), b.Len())
}

// sums holds the sums by cover against the rows by year, which are counted elsewhere.
func sums(t *testing.T, v *view.Program) {
	t.Helper()
	units := 0
	for _, row := range v.Covers() {
		units += row.Units
	}
	if units != len(v.Units) {
		t.Errorf("the covers have %d of %d units", units, len(v.Units))
	}
	for i, year := range v.ByYear {
		burns, overdue, acres := 0, 0, 0.0
		for _, row := range v.Covers() {
			burns, overdue, acres = burns+row.Years[i].Burns, overdue+row.Years[i].Overdue, acres+float64(row.Years[i].Acres)
		}
		if burns != year.Burns || overdue != year.OverdueUnits || acres-float64(year.Burned) > 1e-6 || float64(year.Burned)-acres > 1e-6 {
			t.Errorf("%d: by cover %d burns, %.2f acres, %d overdue; by year %d, %.2f, %d", year.Year, burns, acres, overdue, year.Burns, year.Burned, year.OverdueUnits)
		}
	}
}
