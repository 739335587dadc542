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
	for _, want := range []string{`column "Patch" was taken as unit`, `column "Acreage" was taken as acres`, `column "Every" was taken as min_interval and max_interval`, `f.csv:7: the row "Total" holds totals and was left out`} {
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
