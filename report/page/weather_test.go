package page

import (
	"bytes"
	"html/template"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

// badName would break a page that writes it as it is.
const badName = `</script><img src=x onerror=alert(1)>`

// hostileWeather has names that would break a page, a week that is not known and
// a season of too few years.
func hostileWeather() *view.Weather {
	bad := badName
	half, none := 0.5, 0
	return &view.Weather{
		Basis: "weather of " + bad, Warnings: []string{"noon is colder than midnight " + bad},
		Seasons: []view.SeasonDays{
			{Season: bad, Usable: 60, Median: 9, Low: 4, HasYears: true, Note: "5 years", Years: []view.YearDay{{Year: 2020, Known: 60, Candidate: 9, Days: 9, Counted: true}, {Year: 2021, Known: 3}}},
			{Season: "early", Usable: 20, Mean: 10, Median: 6, Low: 6, Note: "one typical year", Years: []view.YearDay{{Year: 2000, Known: 20, Candidate: 10, Days: 10, Counted: true}}},
		},
		Heats: []view.Heat{{Prescription: bad, Hours: []string{"09:00", "10:00"}, Weeks: []view.HeatWeek{
			{Week: 1, From: "1 Jan", Candidate: &half, Shares: []*float64{&half, nil}}, {Week: 2, From: "8 Jan", Shares: []*float64{nil, nil}}}}},
		Costs:    []view.LimitTable{{Prescription: bad, Candidates: 3, KnownDays: 9, Rows: []view.LimitRow{{Limit: "relative humidity", States: bad, Lost: 2, Step: "5 points", Gained: &none}}}},
		Stations: []view.StationTable{{Prescription: "p", Rows: []view.StationRow{{Station: bad, InUse: true, Share: &half}, {Station: "other", Typical: true}}}},
	}
}

func weatherBook(t testing.TB, w *view.Weather) []byte {
	t.Helper()
	plan := sample.Terrace()
	plan.Scenarios = []habitat.BurnDayScenario{{Name: habitat.MedianYear, Days: []habitat.SeasonCap{{Season: badName, Days: 9}}, Cost: 1.5, Bound: 1, Difference: -0.25}}
	v, err := view.NewProgram(plan)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := WriteBook(&b, &Book{Program: v, Weather: w, Cards: []Map{{Title: "card", HTML: template.HTML("<svg></svg>")}}}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestWeatherSection(t *testing.T) {
	text := string(weatherBook(t, hostileWeather()))
	for _, want := range []string{`id="chart-days-0"`, `id="chart-days-1"`, `id="chart-heat-0"`, "too little known, not counted", "planned again, the best plan found has a shortfall of 2 acre-years; against this plan it is 2,539 acre-years smaller", "noon is colder", view.LimitNote,
		"nothing is mixed", "a typical year", `<section id="cards">`, ">0</td>"} {
		if !strings.Contains(text, want) {
			t.Errorf("the book does not hold %q", want)
		}
	}
	if strings.Contains(text, "<img src=x") {
		t.Error("a name became an element")
	}
	if strings.Contains(string(weatherBook(t, nil)), `<section id="weather">`) {
		t.Error("a section without a record")
	}
}

func TestWeatherSectionInBrowser(t *testing.T) {
	checkBook(t, openBrowser(t), weatherBook(t, hostileWeather()), strings.Count(string(weatherBook(t, hostileWeather())), `class="chart"`))
}
