package list

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"unicode/utf16"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// What people's files look like, and what is taken for what.
func TestForgivingTables(t *testing.T) {
	us := "Patch,Acreage,Every,Last Burned,Comments\n" +
		"Creek,about 18,2-3,3/28/23,wet corner\n" +
		"Ridge,36.2,every 3 to 5 years,,\n" +
		"Barn,9,annual,,\n" +
		"Old Field,12,every other year,,\n\n" +
		"Total,75.2,,,\n"
	l := read(t, us, Options{})
	if l.Kind != Units || len(l.units) != 4 {
		t.Fatalf("%s, %d units", l.Told, len(l.units))
	}
	for i, want := range []struct {
		name        string
		acres       quantity.Acres
		least, most int
	}{{"Creek", 18, 2, 3}, {"Ridge", 36.2, 3, 5}, {"Barn", 9, 1, 1}, {"Old Field", 12, 2, 2}} {
		u := l.units[i].V
		if u.ID != want.name || u.StatedAcres != want.acres || u.Interval.Min != want.least || u.Interval.Max != want.most {
			t.Errorf("%+v, want %+v", u, want)
		}
	}
	if notes := l.units[0].V.Notes; notes != "wet corner\nacres are an estimate: about 18" {
		t.Errorf("notes %q", notes)
	}
	var said []string
	for _, n := range l.Notes {
		said = append(said, n.String())
	}
	for _, want := range []string{`columns were taken by what they mean: "Patch" as unit, "Acreage" as acres, "Comments" as notes, "Every" as min_interval and max_interval;`, `f.csv:7: the row "Total" holds totals and was left out`} {
		if !strings.Contains(strings.Join(said, "\n"), want) {
			t.Errorf("nothing says %q:\n%s", want, strings.Join(said, "\n"))
		}
	}
	// A German spreadsheet: semicolons, decimal commas, cp1252.
	german := "unit;acres;min_interval;max_interval;cost\nBachst\xfcck;18,5;2;3;1.150,50\n"
	l = read(t, german, Options{})
	if u := l.units[0].V; u.ID != "Bachstück" || u.StatedAcres != 18.5 || u.Cost != 115050 {
		t.Errorf("%+v", u)
	}
	if len(l.Notes) == 0 || !strings.Contains(l.Notes[0].Text, "Windows-1252") {
		t.Errorf("notes %v", l.Notes)
	}
	// UTF-16, as a spreadsheet's "Unicode text" has it: tabs, little end first.
	units := utf16.Encode([]rune("unit\tacres\nRío\t5\n"))
	text := []byte{0xff, 0xfe}
	for _, u := range units {
		text = append(text, byte(u), byte(u>>8))
	}
	l = read(t, string(text), Options{})
	if l.units[0].V.ID != "Río" {
		t.Errorf("%+v", l.units[0].V)
	}
	// With commas between columns a decimal comma stays refused.
	if _, err := Read(t.Context(), []byte("unit,acres\nA,\"18,5\"\n"), "f.csv", Options{}); err == nil {
		t.Error("18,5 was read in a table with commas")
	}
}

func TestForgivingDates(t *testing.T) {
	for _, c := range []struct {
		text  string
		dates DateForm
		want  string // empty where it is refused
	}{
		{"3/28/23", "", "2023-03-28"}, {"3/28/2023", "", "2023-03-28"}, {"28.3.2023", "", "2023-03-28"}, {"3-28-23", MonthFirst, "2023-03-28"},
		{"3/4/23", "", ""}, {"3/4/23", MonthFirst, "2023-03-04"}, {"3/4/23", DayFirst, "2023-04-03"}, {"3/3/23", MonthFirst, "2023-03-03"},
		{"March 28, 2023", "", "2023-03-28"}, {"Mar 28 2023", "", "2023-03-28"}, {"28-Mar-23", "", "2023-03-28"}, {"Tue, Mar 28, 2023", "", "2023-03-28"},
		{"13/28/23", "", ""}, {"2/30/23", "", ""}, {"3/28/69", "", "1969-03-28"},
	} {
		l, err := Read(t.Context(), []byte("unit,date\nA,\""+c.text+"\"\n"), "f.csv", Options{Dates: c.dates})
		got := ""
		if err == nil {
			got = l.burns[0].V.On.String()
		}
		if got != c.want {
			t.Errorf("%s (%s): %q, want %q; %v", c.text, c.dates, got, c.want, err)
		}
	}
	_, err := Read(t.Context(), []byte("unit,date\nA,3/4/23\n"), "f.csv", Options{})
	if err == nil || !strings.Contains(err.Error(), "--dates mdy or --dates dmy") {
		t.Errorf("two readings: %v", err)
	}
}

func TestParseInterval(t *testing.T) {
	for text, want := range map[string][2]int{"2-3": {2, 3}, "2–3 yrs": {2, 3}, "every 2 to 3": {2, 3}, "Every 2 or 3 years": {2, 3}, "annual": {1, 1}, "4": {4, 4}, "every 4 years": {4, 4}} {
		if least, most, ok := parseInterval(text); !ok || least != want[0] || most != want[1] {
			t.Errorf("%s: %d to %d, %v", text, least, most, ok)
		}
	}
	for _, text := range []string{"", "often", "3-2", "0-1", "2-3-4", "-2"} {
		if _, _, ok := parseInterval(text); ok {
			t.Errorf("%q was read", text)
		}
	}
}

// TestLastBurned takes the day on which a unit last burned as a burn, a year as an
// estimate.
func TestLastBurned(t *testing.T) {
	text := "patch,acres,every,last burned\nA,18,2-3,2023-03-28\nB,9,annual,2024\nC,4,3,never\nD,5,2-3,spring 2022\n"
	l, err := Read(context.Background(), []byte(text), "patches.csv", Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := habitat.NewProperty("P")
	p.Seasons = []habitat.Season{{Name: "spring", Span: date.AnnualSpan{First: date.Annual{Month: 3, Dom: 1}, Last: date.Annual{Month: 4, Dom: 30}}}}
	plan, err := MakePlan(&Current{Property: p}, []*List{l}, PlanSettings{Today: date.MustDay(2026, 11, 25)})
	if err != nil {
		t.Fatal(err)
	}
	if plan.Count(Units, Added) != 4 || plan.Count(Burns, Added) != 1 {
		t.Errorf("%v", plan.Summary())
	}
	for _, c := range plan.Changes {
		switch {
		case c.Burn != nil && c.Name != "A on 2023-03-28":
			t.Errorf("a burn %s", c.Name)
		case c.Unit != nil && c.Unit.ID == "B" && (c.Unit.EstimatedIn != 2024 || c.Unit.EstimatedAge == nil || *c.Unit.EstimatedAge != 0):
			t.Errorf("B: %+v", c.Unit)
		case c.Unit != nil && c.Unit.ID == "C" && c.Unit.EstimatedAge != nil:
			t.Errorf("C: %+v", c.Unit)
		}
	}
	// The same burn in a list of burns counts once, whatever the order of files.
	burns, err := Read(context.Background(), []byte("unit,date,acres\nA,2023-03-28,17\n"), "burns.csv", Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, lists := range [][]*List{{l, burns}, {burns, l}} {
		plan, err = MakePlan(&Current{Property: p}, lists, PlanSettings{Today: date.MustDay(2026, 11, 25)})
		if err != nil || plan.Count(Burns, Added) != 1 || plan.Count(Units, Added) != 4 {
			t.Errorf("%v, %v", plan, err)
		}
	}
}

// A shape as text has a comma for each of its thousands of points; they are no columns.
func TestAShapeOfManyPointsIsOneValue(t *testing.T) {
	var ring strings.Builder
	const points = 6000
	for i := range points + 1 {
		angle := 2 * math.Pi * float64(i%points) / points
		if i > 0 {
			ring.WriteString(", ")
		}
		fmt.Fprintf(&ring, "%.8f %.8f", -97+0.01*math.Cos(angle), 38+0.01*math.Sin(angle))
	}
	text := "unit,acres,min_interval,max_interval,wkt\nRound,680,2,3,\"POLYGON ((" + ring.String() + "))\"\n"
	l, err := Read(t.Context(), []byte(text), "round.csv", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(l.units) != 1 || l.units[0].V.ID != "Round" {
		t.Errorf("%d units", len(l.units))
	}
}

// About when a unit burned, in the words of people. Burn years begin in October here.
func TestAboutWhenItLastBurned(t *testing.T) {
	today := date.MustDay(2026, 11, 25)
	for text, want := range map[string]date.ProgramYear{
		"2023": 2023, "about 2023": 2023, "~2023": 2023, "2023?": 2023, "in 2023": 2023,
		"March 2023": 2023, "Mar 2023": 2023, "mar. 2023": 2023, "Sept 2023": 2023, "October 2023": 2024, "3/2023": 2023, "11/2023": 2024, "2023-11": 2024, "Nov-23": 2024, "Mar '23": 2023,
		"spring 2023": 2023, "early spring 2023": 2023, "Spring of 2023": 2023, "fall 2023": 2024, "Autumn 2023": 2024, "winter 2023": 2023, "winter 2022-23": 2023, "winter 2022/2023": 2023, "dormant 2023": 2023, "dormant season 2023": 2023,
		"3 years ago": 2024, "two yrs ago": 2025, "last year": 2026, "this year": 2027,
	} {
		when, ok := parseAboutWhen(text)
		if !ok {
			t.Errorf("%s was not read", text)
			continue
		}
		if got := when.burnYear(10, today); got != want {
			t.Errorf("%s is burn year %d, want %d", text, got, want)
		}
	}
	for _, text := range []string{"", "spring", "3/28/2023", "2023-03-28", "28-Mar-23", "Mar 28, 2023", "13/2023", "winter 2022-25", "never", "4/22", "somewhen long ago before 2023", "1823", "Foo-23"} {
		if when, ok := parseAboutWhen(text); ok {
			t.Errorf("%q was read as %+v", text, when)
		}
	}
}

// What the dates of a file show decides those that can be read in two ways.
func TestDatesTellTheirOrder(t *testing.T) {
	for _, c := range []struct {
		first, second string
		opts          Options
		want          string // of the second; empty where it is refused
	}{
		{"3/28/23", "4/5/22", Options{}, "2022-04-05"},
		{"28.3.23", "4.5.22", Options{}, "2022-05-04"},
		{"2023-03-28", "4/5/22", Options{}, ""},
		{"3/28/23", "4/5/22", Options{Dates: DayFirst}, ""}, // 3/28 is not a day of that form
		{"3/28/23\nA,28/3/21", "4/5/22", Options{}, ""},     // they contradict one another
		{"3/3/23", "4/5/22", Options{}, ""},
	} {
		l, err := Read(t.Context(), []byte("unit,date\nA,"+c.first+"\nB,"+c.second+"\n"), "f.csv", c.opts)
		got := ""
		if err == nil {
			got = l.burns[len(l.burns)-1].V.On.String()
			if !strings.Contains(fmt.Sprint(l.Notes), "can only be") {
				t.Errorf("%s: nothing says how the dates were read: %v", c.second, l.Notes)
			}
		}
		if got != c.want {
			t.Errorf("%s beside %s: %q, want %q; %v", c.second, c.first, got, c.want, err)
		}
	}
}

func TestSumsAreLeftOut(t *testing.T) {
	for _, c := range []struct {
		text string
		rows int
	}{
		{"unit;acres;every\nA;18,5;2-3\nB;36,2;3\nSumme;54,7;\n", 2},
		{"unit,acres,every\nA,18.46,2-3\nB,36.17,3\n,54.7,\n", 2},
		{"unit,acres,every\nA,18,2-3\nB,36,3\nC,54,3\n", 3}, // says how often it burns
		{"unit,acres,every\nA,18,2-3\nB,36,3\nC,50,\n", 3},
		{"unit,acres\nA,18\nB,36\nC,54\n", 3}, // nothing tells it from a unit
	} {
		l, err := Read(t.Context(), []byte(c.text), "f.csv", Options{})
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		if len(l.units) != c.rows {
			t.Errorf("%s: %d units, want %d", c.text, len(l.units), c.rows)
		}
	}
}

// A list of when units last burned needs no other column, and what is on record goes
// before a year.
func TestOnlyWhenTheyLastBurned(t *testing.T) {
	p := habitat.NewProperty("P")
	cur := &Current{Property: p, Units: []habitat.Unit{{ID: "A", Acres: 9, Interval: habitat.Interval{Min: 2, Max: 3}, BurnDays: 1}, {ID: "B", Acres: 9, Interval: habitat.Interval{Min: 2, Max: 3}, BurnDays: 1}},
		Records: []habitat.BurnRecord{{ID: 1, Unit: "B", On: date.MustDay(2021, 12, 13), Through: date.MustDay(2021, 12, 13), Kind: habitat.Prescribed}}}
	make := func(text string) (*Plan, error) {
		l, err := Read(t.Context(), []byte(text), "f.csv", Options{})
		if err != nil {
			t.Fatal(err)
		}
		return MakePlan(cur, []*List{l}, PlanSettings{Today: date.MustDay(2026, 11, 25)})
	}
	plan, err := make("Patch,Last Burned\nA,2025\nB,fall 2024\n")
	if err != nil || plan.Count(Units, Changed) != 2 {
		t.Fatalf("%v %v", plan, err)
	}
	if text := fmt.Sprint(plan.Notes); !strings.Contains(text, "B counts from its burn of 2021-12-13, which is on record, and not from burn year 2025: emberquilt record B DATE puts") || strings.Contains(text, "A counts") {
		t.Error(text)
	}
	if _, err = make("Patch,Last Burned\nA,2030\n"); err == nil || !strings.Contains(err.Error(), "f.csv:2:last_burned: burn year 2030 is yet to come; accepts a day") {
		t.Error(err)
	}
	if _, err := Read(t.Context(), []byte("Patch,Last Burned\nA,whenever\n"), "f.csv", Options{}); err == nil || !strings.Contains(err.Error(), `f.csv:2:last_burned: "whenever" is not a date; accepts a day (2023-03-28, 3/28/2023), a month`) {
		t.Error(err)
	}
	// Columns of ours are named by any of their names.
	l, err := Read(t.Context(), []byte("Fläche;Größe;Alle;Zuletzt\nA;9;2-3;2023\n"), "f.csv", Options{Columns: map[string]string{"patch": "Fläche", "acreage": "Größe", "every": "Alle", "last_burned": "Zuletzt"}})
	if err != nil || len(l.units) != 1 || l.units[0].V.Interval.Max != 3 || len(l.lastYears) != 1 {
		t.Errorf("%v %v", l, err)
	}
	l, err = Read(t.Context(), []byte("unit,acres\nA,9\n"), "f.csv", Options{Set: map[string]string{"every": "2-3"}})
	if err != nil || l.units[0].V.Interval.Min != 2 || !l.units[0].has["max_interval"] {
		t.Errorf("%v %v", l, err)
	}
}
