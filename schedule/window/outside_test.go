package window

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
	"emberquilt/testdata/refdata"
)

// station gives the path of a file of the reference weather.
func station(tb testing.TB, name string) string {
	tb.Helper()
	return refdata.File(tb, "weather/"+name)
}

func hours(v float64) *quantity.Hours { h := quantity.Hours(v); return &h }

func load(tb testing.TB, offset *quantity.Hours, names ...string) *weather.Record {
	tb.Helper()
	files := make([]weather.File, len(names))
	for i, name := range names {
		f, err := os.Open(station(tb, name))
		if err != nil {
			tb.Fatal(err)
		}
		defer f.Close()
		files[i] = weather.File{Name: filepath.Base(name), Content: f}
	}
	r, err := weather.Read(context.Background(), files, weather.Options{UTCOffset: offset})
	if err != nil {
		tb.Fatal(err)
	}
	return r
}

// real lists the real files held outside the repository, and by which name the
// outside script knows their format.
var real = []struct{ kind, name, offset string }{
	{"epw", "epw/USA_CO_Denver.Intl.AP.725650_TMY3.epw", "-7"},
	{"epw", "epw/USA_GA_Atlanta-722190_TMY3_precip2015.epw", "-5"},
	{"epw", "epw/USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw", "-6"},
	{"tmy3", "tmy3/723170TYA.CSV", "-5"},
	{"tmy3", "tmy3/FL-Tallahassee_Regional_Ap_Isis.tmy3", "-5"},
	{"tmy3", "tmy3/GA-Albany_Dougherty_County_Ap.tmy3", "-5"},
	{"tmy3", "tmy3/KS-Manhattan_Rgnl.tmy3", "-6"},
	{"tmy3", "tmy3/MO-Columbia_Regional_Airport.tmy3.gz", "-6"},
	{"tmy2", "tmy2/12839.tm2", "-5"},
	{"isdlite", "isd/725300-2016.isdlite.gz", "-6"},
	{"isdlite", "isd/725300-2017.isdlite.gz", "-6"},
	{"isdlite", "isd/725300-2017_epw_violations.isdlite.gz", "-6"},
	{"isd", "isd/722874-93134-2007.isd.gz", "-8"},
	{"isd", "isd/720534-00161-2025-partial.isd.gz", "-7"},
	{"globalhourly", "isd/00702699999-2017-global-hourly.csv.gz", "0"},
	{"lcd", "lcd/JFK_94789_LCDv1_2010-2018.csv.gz", "-5"},
}

// prescriptions are the limits with which the files are counted.
var prescriptions = []string{
	`{"format": "prescription/1", "name": "grass, dormant",
 "temp_f": [35, 85], "rh_pct": [25, 55], "wind_mph": [3, 15], "wind_height": "10-m",
 "wind_from_deg": [[225, 45]], "fuel_moisture_pct": null, "days_since_rain": {"inches": 0.1, "min": 1, "max": 10},
 "dry_hour": true, "burn_hours": ["09:00", "18:00"], "daylight_only": false, "min_hours": 3}`,
	// Yurkonis et al. 2019, Fire Ecology, doi 10.1186/s42408-019-0027-y: 2 to 43 °C, 25 to 80%, 6.44 to 24.12 km/h, six dry hours from 08:00 to 18:00.
	`{"format": "prescription/1", "name": "northern plains", "temp_f": [35.6, 109.4], "rh_pct": [25, 80], "wind_mph": [4, 15], "wind_height": "10-m",
 "dry_hour": true, "burn_hours": ["08:00", "18:00"], "min_hours": 6}`,
	`{"format": "prescription/1", "name": "20-foot wind, moisture", "rh_pct": [null, 60], "wind_mph": [2, 20], "wind_height": "20-ft",
 "fuel_moisture_pct": [4, 11], "wind_from_deg": [[20, 100], [150, 260]], "days_since_rain": {"inches": 0.01, "min": 2, "max": null},
 "dry_hour": false, "burn_hours": ["10:30", "24:00"], "min_hours": 4}`,
	`{"format": "prescription/1", "name": "night", "temp_f": [30, 75], "rh_pct": [35, 80], "wind_mph": [2, 15], "wind_height": "10-m",
 "days_since_rain": {"inches": 0.1, "min": 1, "max": 12}, "dry_hour": true, "burn_hours": ["18:00", "02:00"], "min_hours": 4}`,
	`{"format": "prescription/1", "name": "late night", "rh_pct": [null, 85], "wind_from_deg": [[180, 20]], "burn_hours": ["23:30", "07:00"], "min_hours": 3}`,
	`{"format": "prescription/1", "name": "dry only", "dry_hour": true, "burn_hours": ["00:00", "24:00"], "min_hours": 24}`,
}

// Every real file and prescription, month by month and to the day, against a
// count made outside: testdata/outside_count.py over the raw text.
func TestCountAgainstPython(t *testing.T) {
	python, err := exec.LookPath("python3")
	if err != nil {
		t.Skip("python3 is not there")
	}
	for _, file := range real {
		t.Run(file.name, func(t *testing.T) {
			path := station(t, file.name)
			offset, _ := quantity.Parse(file.offset)
			record := load(t, hours(offset), file.name)
			want := outside(t, python, file.kind, path, file.offset, prescriptions)
			for i, text := range prescriptions {
				p := limits(t, text)
				got := csvOf(t, record, p)
				if got != want[i] {
					t.Errorf("%s:\n%s", p.Name, sideBySide(got, want[i]))
				}
				t.Logf("%s: %s", p.Name, got[strings.Index(got, "year"):])
				if strings.HasSuffix(got, ",0,0\n") {
					continue
				}
				// Negative control: one hour more must show.
				p.BurnHours.From -= 60
				if p.BurnHours.From >= 0 && csvOf(t, record, p) == want[i] {
					t.Errorf("%s: an hour more makes no difference", p.Name)
				}
			}
		})
	}
}

// The notes on the formats counted, by a script of their own, 112 qualifying
// days in the Chicago typical year with a missing depth taken as dry, and 8 with
// it failing.
func TestMissingRainAgainstNotes(t *testing.T) {
	record := load(t, nil, "epw/USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw")
	p := limits(t, `{"format": "prescription/1", "name": "x", "temp_f": [35, 85], "rh_pct": [25, 55], "wind_mph": [3, 15], "wind_height": "10-m",
		"dry_hour": true, "burn_hours": ["09:00", "18:00"], "min_hours": 3}`)
	for strict, want := range map[bool]int{false: 112, true: 8} {
		c, err := Count(record, p, Options{StrictRain: strict})
		if err != nil {
			t.Fatal(err)
		}
		if c.Year.CandidateDays != want {
			t.Errorf("strict %v: %d candidate days, want %d", strict, c.Year.CandidateDays, want)
		}
	}
}

func limits(tb testing.TB, text string) *prescription.Prescription {
	tb.Helper()
	p, err := prescription.Parse("test", []byte(text))
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

func csvOf(t *testing.T, r *weather.Record, p *prescription.Prescription) string {
	t.Helper()
	c, err := Count(r, p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := c.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// outside gives the table that the script makes for each prescription.
func outside(t *testing.T, python, kind, path, offset string, texts []string) []string {
	t.Helper()
	dir := t.TempDir()
	arguments := []string{"testdata/outside_count.py", kind, path, offset}
	for i, text := range texts {
		file := filepath.Join(dir, fmt.Sprintf("%d.json", i))
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		arguments = append(arguments, file)
	}
	out, err := exec.Command(python, arguments...).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	const header = "month,known_days"
	tables := strings.Split(string(out), header)[1:]
	if len(tables) != len(texts) {
		t.Fatalf("the script gave %d tables", len(tables))
	}
	for i := range tables {
		tables[i] = header + tables[i]
	}
	return tables
}

func sideBySide(got, want string) string {
	a, b := strings.Split(got, "\n"), strings.Split(want, "\n")
	var out strings.Builder
	for i := range max(len(a), len(b)) {
		left, right := "", ""
		if i < len(a) {
			left = a[i]
		}
		if i < len(b) {
			right = b[i]
		}
		mark := "  "
		if left != right {
			mark = "≠ "
		}
		out.WriteString(mark + left + " | " + right + "\n")
	}
	return out.String()
}

// The nine-year LCD file once more, by SQL over the raw text.
func TestCountAgainstSQL(t *testing.T) {
	sqlite, err := exec.LookPath("sqlite3")
	if err != nil {
		t.Skip("sqlite3 is not there")
	}
	const name = "lcd/JFK_94789_LCDv1_2010-2018.csv.gz"
	packed, err := os.Open(station(t, name))
	if err != nil {
		t.Fatal(err)
	}
	defer packed.Close()
	text, err := gzip.NewReader(packed)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := io.ReadAll(text)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "lcd.csv"), raw, 0o600); err != nil {
		t.Fatal(err)
	}
	script, err := os.ReadFile("testdata/outside_lcd.sql")
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(sqlite, ":memory:")
	command.Dir, command.Stdin = dir, bytes.NewReader(script)
	out, err := command.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	p := limits(t, `{"format": "prescription/1", "name": "x", "temp_f": [35, 85], "rh_pct": [25, 55], "wind_mph": [3, 15], "wind_height": "10-m",
		"dry_hour": true, "burn_hours": ["09:00", "18:00"], "min_hours": 3}`)
	got := csvOf(t, load(t, nil, name), p)
	months := strings.Split(got, "\n")[1:13]
	want := strings.ReplaceAll(strings.TrimSpace(string(out)), "\r\n", "\n")
	if strings.Join(months, "\n") != want {
		t.Errorf("\n%s", sideBySide(strings.Join(months, "\n"), want))
	}
	t.Log(want)
}

// Yurkonis et al. 2019, Fire Ecology, doi 10.1186/s42408-019-0027-y, as the starter that ships with the
// program, on the northern station held, whole years of measurements.
func TestNorthernPlainsStarter(t *testing.T) {
	python, err := exec.LookPath("python3")
	if err != nil {
		t.Skip("python3 is not there")
	}
	var plains *prescription.Prescription
	for _, p := range prescription.Starters() {
		if p.Name == "grass, northern plains" {
			plains = p
		}
	}
	plains.HoursAre = "" // the other side counts in standard time
	text, err := plains.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	const name = "isd/725300-2017.isdlite.gz"
	want := outside(t, python, "isdlite", station(t, name), "-6", []string{string(text)})
	record := load(t, hours(-6), name)
	if got := csvOf(t, record, plains); got != want[0] {
		t.Errorf("\n%s", sideBySide(got, want[0]))
	}
	// Its numbers are the paper's: 2 to 43 °C and 6.44 to 24.12 km/h.
	days, err := NewSeries(record).Evaluate(plains, Options{})
	if err != nil {
		t.Fatal(err)
	}
	season := Season{Span: span("2027-03-21", "2027-11-06")} // the paper's half season and the one after
	b := days.BurnDays(season, 1)
	t.Logf("Chicago 2017, 21 March to 6 November: %.0f window days of %d", b.Mean, b.Usable)
	if b.Mean < 20 || b.Mean > 200 {
		t.Errorf("%.0f window days", b.Mean)
	}
}
