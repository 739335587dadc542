package page

import (
	"bytes"
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
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
