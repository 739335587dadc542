package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"emberquilt/cmd/internal/cli"
	"emberquilt/testdata/refdata"
)

// run carries out one command of the program and gives its standard output.
func run(t *testing.T, today string, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	p := cli.Program{
		Args: append([]string{"--today", today}, args...), In: strings.NewReader(""), Out: &out, Err: &errs,
		Getenv: func(string) string { return "" }, Now: time.Now,
	}
	if status := p.Run(context.Background()); status != 0 {
		t.Fatalf("emberquilt %s: status %d\n%s", strings.Join(args, " "), status, errs.String())
	}
	return out.String()
}

// TestKonza takes real ground through the whole program: 76 polygons of burn
// units and 1,595 recorded burns, 1972 to 2023, of Konza Prairie. Data: KFH01
// version 22, Blair and O'Neal 2024,
// doi:10.6073/pasta/0db54f512bba21337d0de4b4ec0951e9, and the layer GIS032 of
// the Konza Prairie LTER, supported by the NSF Long Term Ecological Research
// Program at Konza Prairie.
func TestKonza(t *testing.T) {
	shapes := refdata.File(t, "polygons/konza/derived_GIS032_wgs84.geojson")
	history := refdata.File(t, "polygons/konza/kfh011_burn_history.csv")
	folder := t.TempDir()
	in := func(name string) string { return filepath.Join(folder, name) }
	property := []string{"--property", in("konza.emberquilt")}
	do := func(today string, args ...string) string {
		t.Helper()
		return run(t, today, append(args, property...)...)
	}

	settings := `name = "Konza"
program_year_starts = "january"
years = 5
lookahead = 4
[[season]]
name = "any"
first = "01-01"
last = "12-31"
[caps]
acres = 1900
[evenness]
min_acres = 1500
max_acres = 1850
`
	if err := os.WriteFile(in("konza.toml"), []byte(settings), 0o666); err != nil {
		t.Fatal(err)
	}
	const today = "2024-01-01"
	run(t, today, "new", in("konza"), "--settings", in("konza.toml"))
	do(today, "import", shapes, "--columns", "unit=NAME_1", "--set", "min_interval=1", "--set", "max_interval=4", "--merge", "--leave-out")
	// Areas of the history are of units as they were then; they are left unread.
	do(today, "import", history, "--columns", "unit=Watershed,date=Date,kind=Type,acres=",
		"--values", "kind:PP=prescribed,PU=prescribed,WP=wildfire,WU=wildfire", "--merge", "--leave-out", "--doubles", "add")

	t.Run("ages", func(t *testing.T) {
		var units []struct {
			Unit string
			Age  int
			Last *string `json:"last_burn_on"`
			Flag bool    `json:"age_assumed"`
		}
		decode(t, do(today, "units", "--json"), &units)
		last, _ := konzaBurns(t, history)
		compared := 0
		for _, u := range units {
			on, ok := last[strings.ToUpper(u.Unit)]
			if !ok {
				if !u.Flag {
					t.Errorf("%s has no burn in the history, and its age %d is not an assumption", u.Unit, u.Age)
				}
				continue
			}
			year, err := strconv.Atoi(on[:4])
			if err != nil {
				t.Fatal(err)
			}
			if u.Flag || u.Age != 2023-year || u.Last == nil || *u.Last != on {
				t.Errorf("%s: age %d from %v, want %d from %s", u.Unit, u.Age, u.Last, 2023-year, on)
			}
			compared++
		}
		if compared < 50 {
			t.Errorf("only %d units compared", compared)
		}
		t.Logf("ages of %d units equal those of the raw history", compared)
	})

	t.Run("plan is checked", func(t *testing.T) {
		do(today, "plan", "--seconds", "5", "--caps=false", "--json")
		do(today, "show", "--problem", in("p.json"), "--answer", in("a.json"), "--certificate", in("c.json"))
		verdict := run(t, today, "check", in("p.json"), in("a.json"), "--certificate", in("c.json"))
		t.Log(strings.TrimSpace(verdict))
		if !strings.HasPrefix(verdict, "the plan holds") {
			t.Error(verdict)
		}
	})

	// What a plan made at the end of 2013 would have burned, beside what was
	// burned. It is a figure to look at, not a pass mark: the place burns for
	// experiments, by fixed treatments.
	t.Run("planned beside burned", func(t *testing.T) {
		var plan struct {
			ByYear []struct {
				Year  int
				Acres float64 `json:"acres_burned"`
			} `json:"by_year"`
		}
		decode(t, do("2014-01-01", "plan", "--years", "10", "--seconds", "5", "--caps=false", "--json"), &plan)
		if len(plan.ByYear) != 10 {
			t.Fatalf("%d years", len(plan.ByYear))
		}
		_, acres := konzaBurns(t, history)
		for _, y := range plan.ByYear {
			t.Logf("%d: planned %6.0f acres, burned %6.0f acres on record", y.Year, y.Acres, acres[y.Year])
		}
	})
}

// konzaBurns reads the raw history by itself: the last date of each unit, and
// the acres on record of each year.
func konzaBurns(t *testing.T, path string) (last map[string]string, acres map[int]float64) {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	last, acres = map[string]string{}, map[int]float64{}
	for _, row := range rows[1:] { // Watershed,Hname,Hectares,Acres,Date,Type,Year
		// The table writes SpB and SPB for one unit.
		unit, on := strings.ToUpper(strings.TrimSpace(row[0])), row[4]
		last[unit] = max(last[unit], on)
		year, err := strconv.Atoi(on[:4])
		if err != nil {
			t.Fatal(err)
		}
		if burned, err := strconv.ParseFloat(row[3], 64); err == nil {
			acres[year] += burned
		}
	}
	return last, acres
}

func decode(t *testing.T, text string, to any) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), to); err != nil {
		t.Fatalf("%v\n%.400s", err, text)
	}
}
