package main

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"emberquilt/testdata/refdata"
)

// TestKonzaRehearsed rehearses 20 years of Konza Prairie, its 76 polygons with the
// burns up to 2000, and sets the acres of each year beside what was really burned from
// 2001 to 2020: a figure to look at, not a pass mark, because the place burns for
// experiments, by fixed treatments. Data as in TestKonza; the weather is that of the
// nearest station held, Manhattan regional airport (TMY3, National Renewable Energy
// Laboratory). That is one typical year, the only one for hundreds of miles, so that all
// years of all futures have its weather; what differs from future to future are the days
// lost to other causes, here one in three by chance. Prescription and
// intervals are invented; the wanted acres and their limit are those on record from 1991
// to 2000, give or take. EMBERQUILT_KONZA_FUTURES sets how many futures; without it there
// are three.
func TestKonzaRehearsed(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a minute: left out with -short")
	}
	shapes := refdata.File(t, "polygons/konza/derived_GIS032_wgs84.geojson")
	history := refdata.File(t, "polygons/konza/kfh011_burn_history.csv")
	station := refdata.File(t, "weather/tmy3/KS-Manhattan_Rgnl.tmy3")
	folder := t.TempDir()
	in := func(name string) string { return filepath.Join(folder, name) }
	write := func(name, text string) string {
		t.Helper()
		if err := os.WriteFile(in(name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		return in(name)
	}
	_, burned := konzaBurns(t, history)
	usual := 0.0 // acres a year on record in the ten years before
	for year := 1991; year <= 2000; year++ {
		usual += burned[year] / 10
	}
	settings := write("konza.toml", fmt.Sprintf(`name = "Konza"
latitude = 39.1
longitude = -96.6
utc_offset = -6
program_year_starts = "january"
years = 4
lookahead = 2
keep_years = 1
[[season]]
name = "spring"
first = "03-01"
last = "05-05"
[crew]
day_holds = 3
weekends = true
[caps]
acres = %.0f
[evenness]
min_acres = %.0f
max_acres = %.0f
`, 1.4*usual, 0.85*usual, 1.15*usual))
	const today = "2001-01-01"
	do := func(args ...string) string {
		t.Helper()
		return run(t, today, append(args, "--property", in("konza.emberquilt"))...)
	}
	run(t, today, "new", in("konza"), "--settings", settings)
	do("import", shapes, "--columns", "unit=NAME_1", "--set", "min_interval=1", "--set", "max_interval=4", "--set", "prescription=prairie", "--merge", "--leave-out")
	do("import", history, "--columns", "unit=Watershed,date=Date,kind=Type,acres=",
		"--values", "kind:PP=prescribed,PU=prescribed,WP=wildfire,WU=wildfire", "--merge", "--leave-out", "--doubles", "add")
	do("weather", write("hours.csv", typicalYears(t, station, 2001, 2006)), "--name", "Manhattan, one typical year six times")
	do("prescription", write("prairie.json", `{"format": "prescription/1", "name": "prairie", "rh_pct": [30, 65], "wind_mph": [4, 18], "wind_height": "10-m", "temp_f": [35, 85], "burn_hours": ["09:00", "18:00"], "min_hours": 3}`))
	do("plan", "--seconds", "5", "--burn-days", "poor", "--json")
	futures := os.Getenv("EMBERQUILT_KONZA_FUTURES")
	if futures == "" {
		futures = "3"
	}
	var rehearsed struct {
		Futures   int    `json:"futures"`
		Basis     string `json:"basis"`
		FirstYear int    `json:"first_year"`
		Rules     []struct {
			Name      string
			Words     string
			Shortfall struct{ Mean float64 }
			Foresight *struct{ Mean float64 }
			Acres     []struct{ Mean, P10, P90 float64 } `json:"acres_burned"`
			Units     []struct{ Unit string }
		}
	}
	decode(t, do("rehearse", "--futures", futures, "--years", "20", "--rule", "plan", "--rule", "most-overdue", "--lost", "spring=0.3333", "--plan-rounds", "1", "--gap", "0.05", "--json"), &rehearsed)
	first, other := rehearsed.Rules[0], rehearsed.Rules[1]
	if rehearsed.FirstYear != 2001 || len(first.Acres) != 20 || len(first.Units) < 50 {
		t.Fatalf("%d years from %d of %d units", len(first.Acres), rehearsed.FirstYear, len(first.Units))
	}
	t.Logf("%.0f acres a year were burned from 1991 to 2000", usual)
	t.Logf("%d futures, %d units; %s", rehearsed.Futures, len(first.Units), rehearsed.Basis)
	var played, real float64
	for k, acres := range first.Acres {
		year := 2001 + k
		t.Logf("%d: rehearsed %6.0f acres (%.0f to %.0f), most overdue first %6.0f; burned %6.0f acres on record", year, acres.Mean, acres.P10, acres.P90, other.Acres[k].Mean, burned[year])
		played, real = played+acres.Mean, real+burned[year]
		if acres.Mean > 1.4*usual+1 {
			t.Errorf("%d burns above the cap", year)
		}
	}
	t.Logf("a year: rehearsed %.0f, burned %.0f; shortfall %.0f, of %q %.0f, with foresight at least %.0f acre-years over 20 years", played/20, real/20, first.Shortfall.Mean, other.Name, other.Shortfall.Mean, first.Foresight.Mean)
	if first.Shortfall.Mean < first.Foresight.Mean-1e-6 {
		t.Error("below the bound")
	}
}

// typicalYears writes the hours of a TMY3 file as those of several years.
func typicalYears(t *testing.T, path string, from, to int) string {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	r := csv.NewReader(file)
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]int{}
	for i, name := range rows[1] {
		at[name] = i
	}
	number := func(row []string, name string) float64 {
		v, err := strconv.ParseFloat(row[at[name]], 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	var b strings.Builder
	b.WriteString("time,temp_f,rh_pct,wind_mph,wind_from_deg\n")
	for year := from; year <= to; year++ {
		for _, row := range rows[2:] {
			on := row[0] // MM/DD/YYYY of the year that the month is from
			fmt.Fprintf(&b, "%d-%s-%s %s,%.1f,%.0f,%.2f,%.0f\n", year, on[:2], on[3:5], row[1], number(row, "Dry-bulb (C)")*9/5+32,
				min(100, number(row, "RHum (%)")), number(row, "Wspd (m/s)")*3600/1609.344, number(row, "Wdir (degrees)"))
		}
	}
	return b.String()
}
