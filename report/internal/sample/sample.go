// Package sample makes plans of invented ground for the tests of the reports.
//
// Units, pairs and burns are those of the demo; the settings are written out
// here and the plan is made by a plain rule, so that the reports can be tested
// without readers and without the solver. Bound and prices are invented.
package sample

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/testdata/demo"
)

// Today is the fixed date of every sample.
var Today = date.MustDay(2026, time.November, 25)

// Stamp is the fixed stamp of every sample.
func Stamp() view.Stamp { return view.Stamp{On: Today, Data: "14-b9dd05c4", Program: "0.1.0"} }

// Terrace gives a plan of the demo's 24 units on a river terrace.
func Terrace() *view.Plan {
	p := habitat.NewProperty("Tamsel Bend Habitat Area")
	p.Place, p.Owner = "Orrin County", "area manager"
	dormantDays, growingDays := 14.0, 5.0
	p.Seasons = []habitat.Season{
		{Name: "dormant", Span: span(time.November, 15, time.March, 15), BurnDays: &dormantDays},
		{Name: "early-growing", Span: span(time.March, 16, time.May, 15), BurnDays: &growingDays},
	}
	nesting, hunt := span(time.May, 1, time.July, 31), span(time.November, 21, time.December, 6)
	p.Closures = []habitat.Closure{{Name: "nesting", Yearly: &nesting}, {Name: "gun-deer season", Yearly: &hunt}}
	acres, burns, cost := quantity.Acres(440), 11, quantity.Cents(1300000)
	p.Caps = habitat.Caps{Acres: &acres, Burns: &burns, Cost: &cost}
	lo, hi := quantity.Acres(340), quantity.Acres(430)
	p.People = habitat.People{Count: 4}
	p.EvenLo, p.EvenHi = &lo, &hi
	p.Mixes = []habitat.Mix{
		{
			Name: "prairie",
			Classes: []habitat.AgeClass{
				{Name: "fresh", From: 0, To: 0, MinShare: 0.3, MaxShare: 0.5},
				{Name: "young", From: 1, To: 2, MinShare: 0.4, MaxShare: 0.7},
				{Name: "old", From: 3, To: habitat.OpenEnded, MaxShare: 0.15},
			},
		},
		{
			Name: "savanna",
			Classes: []habitat.AgeClass{
				{Name: "fresh", From: 0, To: 0, MinShare: 0.2, MaxShare: 0.4},
				{Name: "young", From: 1, To: 2, MinShare: 0.4, MaxShare: 0.65},
				{Name: "old", From: 3, To: habitat.OpenEnded, MinShare: 0.1, MaxShare: 0.3},
			},
		},
		{
			Name: "old field",
			Classes: []habitat.AgeClass{
				{Name: "fresh", From: 0, To: 0, MinShare: 0.35, MaxShare: 0.6},
				{Name: "standing", From: 1, To: habitat.OpenEnded, MinShare: 0.4, MaxShare: 0.65},
			},
		},
	}
	p.Refuges = []habitat.Refuge{{Name: "butterfly meadow", MaxShare: 0.42}}
	plan := &view.Plan{Stamp: Stamp(), Number: 3, Property: p}
	plan.Units = units("tamsel-bend")
	plan.Records = burned("tamsel-bend")
	plan.Pairs = pairs("tamsel-bend")
	plan.Problem = Pose(plan, 2027, 5, 4)
	last := len(plan.Units) - 1
	plan.Problem.Locks = []problem.Lock{{Unit: 0, Year: 2027, Burn: true, Season: 0}, {Unit: last, Year: 2027, Season: -1}}
	plan.Answer = Burn(plan.Problem)
	for _, b := range plan.Answer.Burns[:min(8, len(plan.Answer.Burns))] {
		if b.Unit%3 != 0 {
			plan.Problem.Previous = append(plan.Problem.Previous, problem.UnitYear{Unit: b.Unit, Year: b.Year})
		}
	}
	plan.Problem.KeepYears = 2
	plan.Answer.Parts = reference.Cost(plan.Problem, plan.Answer.Burns)
	plan.Answer.Cost = plan.Answer.Parts.Total()
	plan.Answer.Bound = plan.Answer.Cost * 0.96
	plan.Answer.Gap = problem.GapOf(plan.Answer.Cost, plan.Answer.Bound)
	plan.Answer.More = []problem.Saving{
		{Row: problem.Row{Kind: problem.RowAcres, Year: 2027}, Step: 25, Cost: plan.Answer.Cost - 31.5, Bound: plan.Answer.Bound - 31.5, Saves: 31.5},
		{Row: problem.Row{Kind: problem.RowBurnDays, Season: 1, Year: 2028}, Step: 1, Cost: plan.Answer.Cost - 150.25, Bound: plan.Answer.Bound - 150.25, Saves: 150.25},
		{Row: problem.Row{Kind: problem.RowCost, Year: 2028}, Step: 1000, Cost: plan.Answer.Cost - 12, Bound: plan.Answer.Bound - 12, Saves: 12},
		{Row: problem.Row{Kind: problem.RowBurns, Year: 2029}, Step: 1, Cost: plan.Answer.Cost, Bound: plan.Answer.Bound, Saves: 0},
	}
	plan.Answer.Warnings = []string{"an invented warning for the tests"}
	for i := range plan.Units {
		u := &plan.Units[i]
		if age := p.AgeAtEnd(u, plan.Records, 2026, Today); age.Assumed != habitat.OnRecord {
			plan.Assumptions = append(plan.Assumptions, u.ID+": "+view.AssumedAgeWords(&age))
		}
	}
	for _, id := range []string{plan.Units[1].ID, plan.Units[4].ID, plan.Units[7].ID} {
		plan.Planned = append(plan.Planned, habitat.PlannedBurn{Unit: id, Year: 2026, Season: "dormant"})
	}
	return plan
}

func span(firstMonth time.Month, firstDay int, lastMonth time.Month, lastDay int) date.AnnualSpan {
	return date.AnnualSpan{First: date.Annual{Month: firstMonth, Dom: firstDay}, Last: date.Annual{Month: lastMonth, Dom: lastDay}}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(fmt.Sprintf("sample: %v", err))
	}
	return v
}

func units(folder string) []habitat.Unit {
	var file struct {
		Features []struct {
			Properties struct {
				Unit        string  `json:"unit"`
				Min         int     `json:"min_interval"`
				Max         int     `json:"max_interval"`
				Seasons     string  `json:"seasons"`
				BurnDays    float64 `json:"burn_days"`
				Cost        float64 `json:"cost"`
				Mix, Refuge string
				Cover       string `json:"cover"`
			}
			Geometry struct{ Coordinates [][][2]float64 }
		}
	}
	if err := json.Unmarshal(must(demo.Files.ReadFile(folder+"/units.geojson")), &file); err != nil {
		panic(fmt.Sprintf("sample: %v", err))
	}
	var all []habitat.Unit
	for _, f := range file.Features {
		at := f.Properties
		u := habitat.Unit{ID: at.Unit, Interval: habitat.Interval{Min: at.Min, Max: at.Max}, BurnDays: at.BurnDays, Cost: quantity.Cents(at.Cost * 100),
			Mix: at.Mix, Refuge: at.Refuge, Cover: at.Cover, Acres: area(f.Geometry.Coordinates[0])}
		for choice := range strings.SplitSeq(at.Seasons, ";") {
			season, penalty, ok := strings.Cut(choice, ":")
			c := habitat.SeasonChoice{Season: season}
			if ok {
				c.Penalty = must(strconv.ParseFloat(penalty, 64))
			}
			u.Seasons = append(u.Seasons, c)
		}
		all = append(all, u)
	}
	return all
}

// area is near enough for a sample, to a tenth of an acre.
func area(ring [][2]float64) quantity.Acres {
	const meters = 6371008.8 * math.Pi / 180
	scale := math.Cos(ring[0][1] * math.Pi / 180)
	var twice float64
	for i := range ring {
		a, b := ring[i], ring[(i+1)%len(ring)]
		twice += (a[0]-ring[0][0])*(b[1]-ring[0][1]) - (b[0]-ring[0][0])*(a[1]-ring[0][1])
	}
	acres := quantity.AcresFromSquareMeters(math.Abs(twice) / 2 * scale * meters * meters)
	return quantity.Acres(math.Round(float64(acres)*10) / 10)
}

func rows(path string) []map[string]string {
	text := string(must(demo.Files.ReadFile(path)))
	lines := must(csv.NewReader(strings.NewReader(text)).ReadAll())
	var all []map[string]string
	for _, line := range lines[1:] {
		row := map[string]string{}
		for i, key := range lines[0] {
			row[key] = line[i]
		}
		all = append(all, row)
	}
	return all
}

func burned(folder string) []habitat.BurnRecord {
	var all []habitat.BurnRecord
	for i, row := range rows(folder + "/burns.csv") {
		on := must(date.ParseDay(row["date"]))
		r := habitat.BurnRecord{
			ID:      int64(i + 1),
			Unit:    row["unit"],
			On:      on,
			Through: on,
			Kind:    habitat.RecordKind(row["kind"]),
			Start:   row["start"],
			End:     row["end"],
			Notes:   row["notes"],
		}
		if row["acres"] != "" {
			r.Acres, r.HasAcres = quantity.Acres(must(strconv.ParseFloat(row["acres"], 64))), true
		}
		all = append(all, r)
	}
	return all
}

func pairs(folder string) []habitat.Pair {
	var all []habitat.Pair
	for _, row := range rows(folder + "/pairs.csv") {
		all = append(all, habitat.NewPair(row["unit_a"], row["unit_b"], habitat.PairKind(row["kind"])))
	}
	return all
}
