package main

import (
	"encoding/csv"
	"flag"
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var allPapers = flag.Bool("all-papers", false, "hold every paper in every step of TestANastyYear, not a third in each")

// nastyYear is a property of six squares of 60.4 acres, of which one burns every year.
type nastyYear struct {
	t      *testing.T
	folder string
	day    string
	steps  int
}

// turn reports whether a third of the papers is looked at in a step.
func (y *nastyYear) turn(third int) bool { return *allPapers || y.steps%3 == third }

func (y *nastyYear) at(name string) string { return filepath.Join(y.folder, name) }

func (y *nastyYear) do(args ...string) string {
	y.t.Helper()
	return run(y.t, y.day, append(args, "--property", y.at("nasty.emberquilt"))...)
}

func (y *nastyYear) write(name, text string) string {
	y.t.Helper()
	if err := os.WriteFile(y.at(name), []byte(text), 0o600); err != nil {
		y.t.Fatal(err)
	}
	return y.at(name)
}

func (y *nastyYear) paper(name string, args ...string) string {
	y.t.Helper()
	y.do(append(args, "--output", y.at(name), "--replace")...)
	text, err := os.ReadFile(y.at(name))
	if err != nil {
		y.t.Fatal(err)
	}
	return string(text)
}

// said is what the season says on a day.
type said struct {
	Season string
	Year   int `json:"program_year"`
	Acres  float64
	Units  []struct {
		Unit string
		Done bool
		Left float64 `json:"acres_left"`
	}
	Burned     []struct{ Unit string }
	PartBurned []struct{ Unit string } `json:"part_burned"`
	Gone       []string
	Stamp      struct {
		On        string
		Overtaken string `json:"plan_overtaken"`
	}
}

// agree holds every paper of a day against what is due, and what is due against the
// units that are named: open, burned and burned in part.
func (y *nastyYear) agree(day string, open, burned, part string, older string) {
	y.t.Helper()
	y.day = day
	y.steps++
	var due said
	decode(y.t, y.do("due", "--json"), &due)
	sets := func(what string, got []string, want string) {
		y.t.Helper()
		slices.Sort(got)
		got = slices.Compact(got)
		list := strings.Split(want, ",")
		if slices.Sort(list); want == "" {
			list = nil
		}
		if !slices.Equal(got, list) {
			y.t.Errorf("%s, %s: %q, want %q", day, what, got, list)
		}
	}
	var isOpen, isBurned, isPart []string
	for _, u := range due.Units {
		if !u.Done {
			isOpen = append(isOpen, u.Unit)
		}
	}
	for _, u := range due.Burned {
		isBurned = append(isBurned, u.Unit)
	}
	for _, u := range due.PartBurned {
		isPart = append(isPart, u.Unit)
	}
	sets("due", isOpen, open)
	sets("burned", isBurned, burned)
	sets("burned in part", isPart, part)
	if older == "" && due.Stamp.Overtaken != "" || !strings.Contains(due.Stamp.Overtaken, older) {
		y.t.Errorf("%s: the plan is behind: %q, want %q", day, due.Stamp.Overtaken, older)
	}
	if y.turn(0) {
		y.agreeSheets(due.Stamp.On, open, older, sets)
	}
	if y.turn(1) {
		y.agreeCalendar(&due, open, isOpen, sets)
	}
	if y.turn(2) {
		y.agreeTables(&due, open, isOpen, isBurned, sets)
	}
}

// agreeSheets holds the season's sheet and the book.
func (y *nastyYear) agreeSheets(day, open, older string, sets func(string, []string, string)) {
	y.t.Helper()
	sheet := y.paper("sheet.html", "sheet")
	table, _, _ := strings.Cut(after(sheet, "What burns this season</h2>"), "</table>")
	sets("sheet", all(`<th scope="row"><bdi>(.*?)</bdi>`, table), open)
	book := y.paper("book.html", "book")
	for name, paper := range map[string]string{"sheet": sheet, "book": book} {
		if got := html.UnescapeString(paper); older != "" && !strings.Contains(got, "is older than "+older) || older == "" && strings.Contains(got, "is older than") {
			y.t.Errorf("%s: the %s says something else of what came after the plan, want %q", day, name, older)
		}
	}
	if _, err := exec.LookPath("pdftotext"); err == nil {
		y.paper("sheet.pdf", "sheet")
		text, err := exec.Command("pdftotext", "-layout", y.at("sheet.pdf"), "-").Output()
		if err != nil {
			y.t.Fatal(err)
		}
		lines, _, _ := strings.Cut(after(string(text), "What burns this season"), "acres left to burn")
		if open == "" {
			lines = ""
		}
		sets("sheet as PDF", all(`(?m)^ *\d+ +(\S+(?: \S+)*) {2,}[\d.]+ `, lines), open)
	}

}

// agreeCalendar holds the calendar, its file and the week.
func (y *nastyYear) agreeCalendar(due *said, open string, isOpen []string, sets func(string, []string, string)) {
	y.t.Helper()
	day, season := y.day, due.Season+" season "+itoa(due.Year)
	ics := strings.NewReplacer("\r\n ", "", "\r\n", "\n").Replace(y.paper("c.ics", "calendar"))
	var events []string
	for _, event := range strings.Split(ics, "BEGIN:VEVENT")[1:] {
		if !strings.Contains(event, "STATUS:CANCELLED") {
			events = append(events, all(`SUMMARY:(?:Candidate burn window|Planned burn without a window): (.*?)\\, Nasty Year \(`+season+`\)`, event)...)
		}
	}
	sets("calendar file", events, open)
	var calendar struct {
		Windows []struct{ Unit, Season string }
	}
	decode(y.t, y.do("calendar", itoa(due.Year), "--json"), &calendar)
	var windows []string
	for _, w := range calendar.Windows {
		if w.Season == due.Season {
			windows = append(windows, w.Unit)
		}
	}
	sets("calendar", windows, open)

	var week struct {
		Open []struct{ Unit, Season string }
	}
	decode(y.t, y.do("week", "--json"), &week)
	for _, w := range week.Open {
		if w.Season == due.Season && !slices.Contains(isOpen, w.Unit) {
			y.t.Errorf("%s: this week %s can burn, which is not due", day, w.Unit)
		}
	}

}

// agreeTables holds the map, the tables, a draft and a reason.
func (y *nastyYear) agreeTables(due *said, open string, isOpen, isBurned []string, sets func(string, []string, string)) {
	y.t.Helper()
	day, season := y.day, due.Season+" season "+itoa(due.Year)
	svg := html.UnescapeString(y.paper("map.svg", "map", "--year", itoa(due.Year)))
	drawn := all(`<title>(.*?):`, svg)
	only := func(list []string) string {
		return strings.Join(slices.DeleteFunc(slices.Clone(list), func(u string) bool { return !slices.Contains(drawn, u) }), ",")
	}
	sets("map", all(`<title>([^<:]*): burns, `+due.Season+`,`, svg), only(isOpen))
	sets("map, burned", all(`<title>([^<:]*): has burned`, svg), only(isBurned))

	y.do("tables", "--csv", y.at("tables"), "--replace")
	var inTable []string
	for _, row := range y.table("due") {
		if row["burned"] == "no" {
			inTable = append(inTable, row["unit"])
		}
	}
	sets("table of what is due", inTable, open)
	for _, row := range y.table("units") {
		if is := slices.Contains(isBurned, row["unit"]) && y.isThisYear(due.Year); (row["burned_this_year"] == "yes") != is && y.isThisYear(due.Year) {
			y.t.Errorf("%s: units say of %s that it burned: %s, due: %v", day, row["unit"], row["burned_this_year"], is)
		}
	}
	for _, unit := range isOpen {
		draft := y.paper("draft.html", "draft", unit, itoa(due.Year))
		if !strings.Contains(draft, season) {
			y.t.Errorf("%s: the draft of %s is not of the %s", day, unit, season)
		}
		var why struct{ Burn, Done, Missed bool }
		decode(y.t, y.do("why", unit, itoa(due.Year), "--seconds", "1", "--json"), &why)
		if !why.Burn || why.Done || why.Missed {
			y.t.Errorf("%s: why %s: %+v", day, unit, why)
		}
	}
}

// isThisYear reports whether a program year is the one under way.
func (y *nastyYear) isThisYear(year int) bool {
	own := y.day[:4]
	if y.day[5:7] >= "10" {
		return itoa(year-1) == own
	}
	return itoa(year) == own
}

func (y *nastyYear) table(name string) (rows []map[string]string) {
	y.t.Helper()
	text, err := os.ReadFile(filepath.Join(y.at("tables"), name+".csv"))
	if err != nil {
		y.t.Fatal(err)
	}
	records, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(text), "\ufeff"))).ReadAll()
	if err != nil {
		y.t.Fatal(err)
	}
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, key := range records[0] {
			row[key] = record[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func itoa(n int) string { return strconv.Itoa(n) }

func after(text, mark string) string {
	_, rest, _ := strings.Cut(text, mark)
	return rest
}

// all gives the first group of every match.
func all(pattern, text string) (found []string) {
	for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(text, -1) {
		found = append(found, html.UnescapeString(m[1]))
	}
	return found
}

// squares are six units of shapes, three in a row.
func squares() string {
	var features []string
	for i, name := range []string{"Alder", "Birch", "Cedar", "Dogwood", "Elm", "Fern"} {
		west, south := -97+0.006*float64(i%3), 37+0.005*float64(i/3)
		east, north := west+0.0055, south+0.0045
		least, most := 2, 3
		if i == 0 {
			least, most = 1, 1
		}
		features = append(features, fmt.Sprintf(`{"type":"Feature","properties":{"unit":%q,"min_interval":%d,"max_interval":%d},"geometry":{"type":"Polygon","coordinates":[[[%[4]v,%[5]v],[%[6]v,%[5]v],[%[6]v,%[7]v],[%[4]v,%[7]v],[%[4]v,%[5]v]]]}}`,
			name, least, most, west, south, east, north))
	}
	return `{"type":"FeatureCollection","features":[` + strings.Join(features, ",") + "]}"
}

const nastySettings = `name = "Nasty Year"
years = 3
lookahead = 2
[[season]]
name = "dormant"
first = "11-15"
last = "03-15"
[[season]]
name = "early-growing"
first = "03-16"
last = "05-10"
[evenness]
min_acres = 60
max_acres = 250
`

// TestANastyYear takes a property through a year in which much happens, and holds all
// papers against each other after each step.
func TestANastyYear(t *testing.T) {
	y := &nastyYear{t: t, folder: t.TempDir(), day: "2026-10-03"}
	settings := y.write("s.toml", nastySettings)
	run(t, y.day, "new", y.at("nasty"), "--settings", settings)
	y.do("import", y.write("units.geojson", squares()), y.write("burns.csv", "unit,date\nAlder,2026-01-10\nBirch,2025-01-10\nCedar,2025-02-10\nDogwood,2024-02-10\nElm,2024-12-10\nFern,2024-01-10\n"))
	plan := func(args ...string) { y.do(append([]string{"plan", "--seconds", "10", "--caps=false"}, args...)...) }
	plan()
	y.agree("2026-11-20", "Alder,Birch,Dogwood,Fern", "", "", "")

	// A burn, and a half of one that is finished later.
	y.day = "2026-12-15"
	y.do("record", "Alder", "2026-12-14")
	y.do("record", "Birch", "2026-12-14", "--acres", "20")
	y.agree("2026-12-16", "Birch,Dogwood,Fern", "Alder", "Birch", "2 burns on record")
	y.do("record", "Birch", "2026-12-15", "--acres", "40.4")
	y.agree("2026-12-17", "Dogwood,Fern", "Alder,Birch", "", "3 burns on record")

	// A ban in the season, and a spring that is closed to one unit.
	y.do("settings", "--load", y.write("ban.toml", nastySettings+"[[closure]]\nname = \"ban\"\nfirst = \"2027-01-04\"\nlast = \"2027-02-14\"\n[[closure]]\nname = \"nests\"\nfirst = \"03-16\"\nlast = \"05-10\"\nunits = [\"Cedar\"]\n"))
	y.agree("2027-01-05", "Dogwood,Fern", "Alder,Birch", "", "3 burns on record and the settings")

	// What was burned is divided, a planned unit gets another name, one is sold though its
	// burn is locked.
	y.do("split", "Birch", "Birch one=30", "Birch two=30.4172")
	y.do("rename", "Dogwood", "Hazel")
	y.do("lock", "Fern", "2027", "burn")
	y.do("retire", "Fern", "--on", "2027-01-05")
	y.agree("2027-01-06", "Hazel", "Alder,Birch one,Birch two", "", "3 burns on record, 1 unit that changed, 1 unit that was split, 1 unit that was renamed, 1 lock and the settings")
	if text := y.do("due"); !strings.Contains(strings.Join(strings.Fields(text), " "), "Birch was split into Birch one and Birch two on Tue, Jan 5, 2027. Plan 1 was to burn it in this season, and it has burned.") {
		t.Errorf("a unit that burned and was divided: %s", text)
	}

	// A part of what burned is joined to a planned unit of its kind; one is bought next year.
	y.do("import", y.write("more.csv", "unit,acres,min_interval,max_interval\nNew Ground,25,2,3\n"))
	y.do("own", "New Ground", "--from", "2028-02-01")
	y.do("merge", "Birch one", "Hazel", "--into", "Joined")
	y.agree("2027-01-07", "", "Alder,Birch two", "Joined", "3 burns on record")

	// A scenario feeds nothing; a new plan knows it all.
	plan("--try", "lean", "--cap", "acres=60")
	y.agree("2027-01-08", "", "Alder,Birch two", "Joined", "3 burns on record")
	plan()
	y.agree("2027-01-09", "Joined", "Alder,Birch two", "Joined", "")

	// A correction makes the half a whole, a withdrawal takes a burn back.
	y.do("record", "Joined", "2027-01-08", "--acres", "30")
	y.agree("2027-01-10", "", "Alder,Birch two,Joined", "", "1 burn on record")
	y.do("record", "withdraw", "7", "--because", "it was another place")
	y.agree("2027-01-11", "Alder", "Birch two,Joined", "", "2 burns on record")

	// The season goes by: what did not burn is missed everywhere.
	y.agree("2027-03-20", "", "Birch two,Joined", "", "2 burns on record and 1 burn that was missed")
	if text := y.do("why", "Alder", "2027"); !strings.Contains(text, "Alder was to burn in 2027, in dormant; that was missed") {
		t.Errorf("a burn that was missed: %s", text)
	}
	if svg := y.paper("m.svg", "map", "--year", "2027"); !strings.Contains(svg, "Alder: rests, stand age 1, missed, overdue") {
		t.Errorf("the map of a burn that was missed: %q", all("<title>(Alder.*?)<", svg))
	}

	// Mowing sets the age back where the settings say so, and is no burn.
	y.do("settings", "--load", y.write("mow.toml", strings.Replace(nastySettings, "lookahead = 2\n", "lookahead = 2\ntreatments_reset_age = [\"mowing\"]\ngrazed_units = [\"Elm\"]\n", 1)))
	y.day = "2027-06-02"
	y.do("record", "Alder", "2027-06-01", "--kind", "mowing")
	if text := y.do("units"); !strings.Contains(text, "had mowing on Tue, Jun 1, 2027, which set its stand age back") {
		t.Errorf("mowing is not said: %s", text)
	}

	// October: a new plan of the new year, in which nothing bought later burns too early.
	y.day = "2027-10-03"
	plan()
	var due said
	decode(t, y.do("due", "--json"), &due)
	var open []string
	for _, u := range due.Units {
		open = append(open, u.Unit)
	}
	y.agree("2027-10-04", strings.Join(open, ","), "", "", "")
	if len(open) == 0 || slices.Contains(open, "Fern") {
		t.Errorf("in October %q are due", open)
	}
	text := y.do("missed")
	if strings.Contains(text, "Joined") || strings.Contains(text, "Birch") || strings.Contains(text, "Fern") {
		t.Errorf("what burned, or was sold, is missed: %s", text)
	}
	y.do("verify")
}
