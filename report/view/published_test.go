package view_test

import (
	"encoding/csv"
	"math"
	"os"
	"sort"
	"strconv"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/testdata/refdata"
)

// burnRow is one line of the fire history, as the file has it.
type burnRow struct {
	unit, kind string
	acres      float64 // 0 where the file has none
	on         date.Day
}

// Konza Prairie's fire history, 1972 to 2023: 1,595 burns.
//
// Source: Blair, J. and P. O'Neal. 2024. KFH01 Konza prairie fire history ver
// 22. Environmental Data Initiative.
func konzaBurns(t *testing.T) []burnRow {
	t.Helper()
	f, err := os.Open(refdata.File(t, "polygons/konza/kfh011_burn_history.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []burnRow
	for _, line := range lines[1:] {
		row := burnRow{unit: strings.TrimSpace(line[0]), kind: strings.ToUpper(strings.TrimSpace(line[5]))}
		if row.on, err = date.ParseDay(line[4]); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		row.acres, _ = strconv.ParseFloat(line[3], 64)
		all = append(all, row)
	}
	if len(all) != 1595 {
		t.Fatalf("%d burns, the data set has 1,595", len(all))
	}
	return all
}

// On-time shares and yearly acres of fifty years of real burns, held against a
// count that the test makes from the raw lines.
func TestKonzaHistory(t *testing.T) {
	const longest, share = 3, 0.6
	raw := konzaBurns(t)
	size := map[string]float64{}
	for _, b := range raw {
		size[b.unit] = math.Max(size[b.unit], b.acres)
	}
	plan := &view.Plan{Stamp: view.Stamp{On: date.MustDay(2024, time.January, 1)}, Property: habitat.NewProperty("Konza")}
	plan.Property.YearStart = date.YearStart(time.January)
	plan.Property.Seasons = []habitat.Season{{Name: "year", Span: date.AnnualSpan{First: date.Annual{Month: time.January, Dom: 1}, Last: date.Annual{Month: time.December, Dom: 31}}}}
	plan.Problem = &problem.Problem{FirstYear: 2024, Years: 1, Seasons: []string{"year"}, EvenLo: math.Inf(-1), EvenHi: math.Inf(1)}
	plan.Problem.Caps = []problem.YearCaps{{Acres: problem.NoLimit, Burns: problem.NoLimit, Cost: problem.NoLimit, BurnDays: []float64{problem.NoLimit}}}
	plan.Answer = &problem.Answer{Status: problem.Optimal}
	var names []string
	for name := range size {
		if size[name] > 0 {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	for _, name := range names {
		plan.Units = append(plan.Units, habitat.Unit{ID: name, Acres: quantity.Acres(size[name]), Interval: habitat.Interval{Min: 1, Max: longest}})
	}
	for i, b := range raw {
		r := habitat.BurnRecord{ID: int64(i + 1), Unit: b.unit, On: b.on, Through: b.on, Kind: habitat.Prescribed}
		if strings.HasPrefix(b.kind, "W") {
			r.Kind = habitat.Wildfire
		}
		if b.acres > 0 {
			r.Acres, r.HasAcres = quantity.Acres(b.acres), true
		}
		plan.Records = append(plan.Records, r)
	}
	h := program(t, plan).History

	// The count from the raw lines: acres by unit and calendar year.
	burned := map[string]map[int]float64{}
	yearly := map[int]float64{}
	for _, b := range raw {
		if size[b.unit] == 0 {
			continue
		}
		acres := b.acres
		if acres == 0 {
			acres = size[b.unit]
		}
		if burned[b.unit] == nil {
			burned[b.unit] = map[int]float64{}
		}
		burned[b.unit][b.on.Year] += acres
		yearly[b.on.Year] += acres
	}
	years, onTime := 0, 0
	for i, row := range h.OnTime {
		wantYears, wantOnTime, last := 0, 0, 0
		for year := 1972; year <= 2023; year++ {
			if burned[row.Unit][year] >= share*size[row.Unit]*(1-1e-6) {
				last = year
			}
			if last > 0 {
				wantYears++
				if year-last < longest {
					wantOnTime++
				}
			}
		}
		if row.Years != wantYears || row.OnTime != wantOnTime || row.Unit != names[i] {
			t.Errorf("%s: %d of %d years on time, the raw lines give %d of %d", row.Unit, row.OnTime, row.Years, wantOnTime, wantYears)
		}
		years, onTime = years+row.Years, onTime+row.OnTime
	}
	if len(h.OnTime) != len(names) || len(names) < 70 || onTime == years {
		t.Errorf("%d units, %d of %d years on time: the comparison says little", len(h.OnTime), onTime, years)
	}
	for _, y := range h.Years {
		if got := float64(y.Prescribed + y.Wildfire); math.Abs(got-yearly[int(y.Year)]) > 1e-6 {
			t.Errorf("%d: %v acres, the raw lines give %v", y.Year, got, yearly[int(y.Year)])
		}
	}
	t.Logf("%d units, %d of %d unit-years below a longest interval of %d years", len(names), onTime, years, longest)
}
