package page

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/internal/sample"
	"emberquilt/report/svgcard"
	"emberquilt/report/svgmap"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

// golden compares a page, the library left out, with a file of testdata.
func golden(t *testing.T, file string, text []byte) {
	t.Helper()
	got := bytes.ReplaceAll(text, []byte(library), []byte("/* echarts */"))
	path := filepath.Join("testdata", file)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs; run go test ./report/page -update and look at the difference", file)
	}
}

func TestBookGolden(t *testing.T) {
	whole := wholeBook(t)
	golden(t, "book.html", whole)
	for _, id := range sections(t) {
		if !bytes.Contains(whole, []byte(`<section id="`+id+`"`)) {
			t.Errorf("the golden book has no section %s", id)
		}
		if !bytes.Contains(whole, []byte(`href="#`+id+`"`)) {
			t.Errorf("no line of its contents leads to section %s", id)
		}
	}
	if bytes.Count(whole, []byte(library)) != 1 {
		t.Error("the library is not in the page exactly once, unchanged")
	}
	for _, caution := range []string{"not a permit", "A qualified burn boss decides", "dates only"} {
		if !strings.Contains(string(whole), caution) {
			t.Errorf("the book does not say %q", caution)
		}
	}
}

// sections lists the ids of every section that the templates of the book can write.
func sections(t *testing.T) (ids []string) {
	t.Helper()
	files, err := filepath.Glob("*.tmpl")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, found := range regexp.MustCompile(`<section id="([a-z]+)"`).FindAllSubmatch(text, -1) {
			ids = append(ids, string(found[1]))
		}
	}
	if len(ids) < 16 {
		t.Fatalf("the templates write the sections %q: the test looks at the wrong place", ids)
	}
	return ids
}

// wholeBook is the program book of the sample plan with every section that a book can
// have.
func wholeBook(t *testing.T) []byte {
	t.Helper()
	plan := sample.Terrace()
	plan.Scenarios = []habitat.BurnDayScenario{{Name: habitat.MedianYear, Days: []habitat.SeasonCap{{Season: "dormant", Days: 9}}, Cost: 1.5, Bound: 1, Difference: -0.25}}
	burned := view.NewAsBurned(&view.AsBurnedInput{Property: plan.Property, Units: plan.Units, Records: plan.Records, Shapes: sample.Shapes(plan), Today: plan.Stamp.On})
	drawn, err := (&svgmap.Sheet{Map: *burned.Map, ID: "burned", Width: 720, Columns: 2}).HTML()
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	err = WriteBook(&b, &Book{AsBurned: burned, BurnedMap: &Map{Title: burned.Map.Caption, HTML: drawn}, Program: program(t, plan), Due: due(t, plan), Calendar: calendar(t, plan), Weather: sampleWeather(), Rehearsal: sampleRehearsal(),
		Cards: sampleCards(t), Maps: sampleMaps(t, plan), Breaks: sampleBreaks(plan), Tries: sampleTries(t, plan)})
	if err != nil {
		t.Fatal(err)
	}
	if path := os.Getenv("BOOK"); path != "" {
		os.WriteFile(path, b.Bytes(), 0o644)
	}
	return b.Bytes()
}

// sampleTries sets a what-if beside the sample plan.
func sampleTries(t *testing.T, plan *view.Plan) *view.Beside {
	t.Helper()
	second := *plan
	second.Number, second.Standing = 2, habitat.PlanStanding{Plan: 2, Standing: habitat.DraftPlan, Trial: "one crew less", Changed: []string{"burn days: 2 in each season at most"}}
	tries, err := view.NewBeside([]view.BesideInput{{Plan: plan}, {Plan: &second}})
	if err != nil {
		t.Fatal(err)
	}
	return tries
}

// sampleBreaks are those of the sample plan, with a lane along its ground.
func sampleBreaks(plan *view.Plan) *view.Breaks {
	in := view.BreaksInput{Units: plan.Units, Shapes: sample.Shapes(plan)}
	for year := range plan.Problem.Years {
		one := view.YearBurns{Year: date.ProgramYear(plan.Problem.FirstYear + year)}
		for _, burn := range plan.Answer.Burns {
			if burn.Year == plan.Problem.FirstYear+year {
				one.Units = append(one.Units, plan.Problem.Units[burn.Unit].ID)
			}
		}
		in.Years = append(in.Years, one)
	}
	return view.NewBreaks(in)
}

// sampleMaps are the maps of the first year and of all years.
func sampleMaps(t *testing.T, plan *view.Plan) (all []Map) {
	t.Helper()
	in := view.MapInput{Shapes: sample.Shapes(plan), Breaks: sampleBreaks(plan)}
	for i, year := range []date.ProgramYear{2027, 0} {
		m := view.NewMap(program(t, plan), in, year)
		html, err := (&svgmap.Sheet{Map: *m, ID: []string{"first", "years"}[i], Width: 720}).HTML()
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, Map{Title: m.Caption, HTML: html})
	}
	return all
}

// sampleCards is the wind card of a square unit with a school to its east.
func sampleCards(t *testing.T) []Map {
	t.Helper()
	in := window.CardInput{Within: 5280, Places: []window.Place{{Name: "school", Kind: "school", Toward: 90, Distance: 2000}}}
	for i := range in.Depths {
		in.Depths[i] = 1320
	}
	html, err := svgcard.HTML(view.NewWindCard("Bell Terrace", "dormant", window.NewCard(in, nil, nil), window.Firing{}), "card-0")
	if err != nil {
		t.Fatal(err)
	}
	return []Map{{Title: "Wind card of Bell Terrace", HTML: html}}
}

// sampleWeather is what a record of two stations may say.
func sampleWeather() *view.Weather {
	half, quarter, more, none := 0.5, 0.25, 4, 0
	return &view.Weather{
		Basis:    "weather of Ridge Station, program years 2019 to 2021",
		Warnings: []string{"3.1 percent of the hours have no wind direction; they fail, since directions are limited"},
		Seasons: []view.SeasonDays{
			{Season: "dormant", Year: 2027, Usable: 60, Mean: 7, Median: 9, Low: 4, HasYears: true, Note: "3 years", Years: []view.YearDay{
				{Year: 2019, Known: 60, Candidate: 4, Days: 4, Counted: true}, {Year: 2020, Known: 60, Candidate: 9, Days: 9, Counted: true}, {Year: 2021, Known: 3}}},
			{Season: "early-growing", Year: 2027, Usable: 20, Mean: 10, Median: 6, Low: 6, Note: "one typical year", Years: []view.YearDay{{Year: 2000, Known: 20, Candidate: 10, Days: 10, Counted: true}}},
		},
		Heats: []view.Heat{{Prescription: "grass, dormant", Hours: []string{"09:00", "10:00"}, Weeks: []view.HeatWeek{
			{Week: 1, From: "Jan 1", Candidate: &half, Shares: []*float64{&half, &quarter}}, {Week: 2, From: "Jan 8", Shares: []*float64{nil, nil}}}}},
		Costs: []view.LimitTable{{Prescription: "grass, dormant", Candidates: 13, KnownDays: 120, Note: view.LimitNote, Rows: []view.LimitRow{
			{Limit: "relative humidity", States: "30 to 55%", Lost: 2, Step: "5 points", Gained: &more}, {Limit: "wind", States: "4 to 15 mph", Lost: 9, Step: "2 mph", Gained: &none}}}},
		Stations: []view.StationTable{{Prescription: "grass, dormant", Rows: []view.StationRow{{Station: "Ridge Station", InUse: true, Share: &half}, {Station: "Town Field", Typical: true}}}},
	}
}

// sampleRehearsal compares two rules; one unit is never late.
func sampleRehearsal() *view.Rehearsal {
	years := func(p10, p50, p90 float64) []habitat.Spread {
		return []habitat.Spread{{Mean: p50, Low: p10, High: p90, P10: p10, P50: p50, P90: p90}, {Mean: p50 / 2, Low: p10 / 2, High: p90 / 2, P50: p50 / 2, P90: p90}}
	}
	rule := func(name, words string, mean, difference float64) habitat.RehearsedRule {
		return habitat.RehearsedRule{Name: name, Words: words, Shortfall: habitat.Spread{Mean: mean, Low: mean - 10, High: mean + 10, P10: mean / 2, P50: mean, P90: 2 * mean},
			Difference: habitat.Spread{Mean: difference, Low: difference - 1, High: difference + 1}, Foresight: &habitat.Spread{Mean: 12},
			Acres: years(20, 40, 61), OverdueAcres: years(0, 7, 9), OverdueUnits: years(0, 1, 2), OnTime: 0.25, OneLate: 0.96,
			Units: []habitat.RehearsedUnit{{Unit: "Bell Terrace", Overdue: []float64{0, 0}, Interval: 2}, {Unit: "Creek Side", Overdue: []float64{0.5, 0.25}, Ever: 0.625, Interval: 3.2}}}
	}
	return view.NewRehearsal(&habitat.Rehearsal{Plan: 1, FirstYear: 2027, Years: 2, Futures: 200, Asked: 200, Seed: 7, Blocks: 1, Gap: 0.02, Rounds: 16, Seconds: 10, Plans: 400,
		Basis: "weather of Ridge Station, program years 2001 to 2005", RecordYears: []date.ProgramYear{2001, 2002, 2003, 2004, 2005}, Foresight: &habitat.Spread{Mean: 12},
		Rules: []habitat.RehearsedRule{rule("plan", "plan 1, the adopted one, planned again each year", 100, 0), rule("most-overdue", "no plan: what is due burns, the most overdue first", 140, 40)}}, sample.Stamp())
}

// written gives an HTML paper of a sample or hostile plan by name.
func written(t testing.TB, name string, plan *view.Plan) []byte {
	t.Helper()
	var b bytes.Buffer
	var err error
	switch name {
	case "sheet":
		sheet := sample.Sheet(plan)
		drawn := Drawings{Roses: map[string]Map{}}
		for i := range sheet.Units {
			if u := &sheet.Units[i]; u.Rose != nil {
				html, err := svgcard.Rose(u.Rose, fmt.Sprintf("rose-%d", u.Number))
				if err != nil {
					t.Fatal(err)
				}
				drawn.Roses[u.Unit] = Map{Title: "Winds", HTML: html}
			}
		}
		err = WriteSheet(&b, sheet, drawn)
	case "draft":
		var d *view.Draft
		if d, err = view.NewDraft(sample.Draft(plan)); err == nil {
			err = WriteDraft(&b, d)
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	if folder := os.Getenv("PAPERS"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, name+".html"), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return b.Bytes()
}

func TestPapersGolden(t *testing.T) {
	golden(t, "sheet.html", written(t, "sheet", sample.Terrace()))
	draft := written(t, "draft", sample.Terrace())
	golden(t, "draft.html", draft)
	if !strings.Contains(string(draft), view.DraftMark) || strings.Contains(string(draft), "checked") && strings.Contains(string(draft), "<input") {
		t.Error("the draft is not marked, or a box is checked")
	}
}
