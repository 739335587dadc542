package habitat

import (
	"errors"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

func day(text string) date.Day {
	d, err := date.ParseDay(text)
	if err != nil {
		panic(err)
	}
	return d
}

// terrace is a small property with a dormant season that crosses the new year.
func terrace() Property {
	p := NewProperty("Test terrace")
	p.Seasons = []Season{
		{Name: "dormant", Span: date.AnnualSpan{First: date.Annual{Month: time.November, Dom: 15}, Last: date.Annual{Month: time.March, Dom: 15}}},
		{Name: "early-growing", Span: date.AnnualSpan{First: date.Annual{Month: time.March, Dom: 16}, Last: date.Annual{Month: time.May, Dom: 10}}},
	}
	return p
}

func TestSeasonOf(t *testing.T) {
	p := terrace()
	for on, want := range map[string]struct {
		season int
		year   date.ProgramYear
	}{
		"2026-11-15": {0, 2027}, "2027-03-15": {0, 2027}, "2027-03-16": {1, 2027}, "2027-08-01": {-1, 2027}, "2027-10-01": {-1, 2028},
	} {
		if season, year, _ := p.SeasonOf(day(on)); season != want.season || year != want.year {
			t.Errorf("%s: season %d of %d, want %d of %d", on, season, year, want.season, want.year)
		}
	}
	p.YearStart = date.YearStart(time.January)
	if _, year, ok := p.SeasonOf(day("2026-12-20")); !ok || year != 2027 {
		t.Errorf("a December burn of a season that ends in March counts in %d, want 2027", year)
	}
}

func TestStandAge(t *testing.T) {
	p := terrace()
	unit := Unit{ID: "A", Acres: 40, Interval: Interval{2, 3}, BurnDays: 1}
	guess := 1
	guessed := unit
	guessed.EstimatedAge, guessed.EstimatedIn = &guess, 2024
	burn := func(on string, kind RecordKind, acres float64) BurnRecord {
		r := BurnRecord{Unit: "A", On: day(on), Through: day(on), Kind: kind}
		if acres >= 0 {
			r.Acres, r.HasAcres = quantity.Acres(acres), true
		}
		return r
	}
	for _, c := range []struct {
		name    string
		unit    Unit
		records []BurnRecord
		upTo    string
		want    int
		assumed bool
	}{
		{"burned this program year", unit, []BurnRecord{burn("2025-12-01", Prescribed, -1)}, "2026-11-25", 0, false},
		{"program years, not 365 days", unit, []BurnRecord{burn("2025-09-30", Prescribed, -1)}, "2026-11-25", 1, false},
		{"the last of several", unit, []BurnRecord{burn("2020-03-01", Prescribed, -1), burn("2023-03-01", Wildfire, -1)}, "2026-11-25", 3, false},
		{"a partial burn does not reset", unit, []BurnRecord{burn("2022-03-01", Prescribed, -1), burn("2025-03-01", Prescribed, 23.9)}, "2026-11-25", 4, false},
		{"exactly the threshold resets", unit, []BurnRecord{burn("2025-03-01", Prescribed, 24)}, "2026-11-25", 1, false},
		{"two parts of one year add up", unit, []BurnRecord{burn("2025-03-01", Prescribed, 12), burn("2025-03-09", Prescribed, 13)}, "2026-11-25", 1, false},
		{"an attempt is not a burn", unit, []BurnRecord{burn("2024-03-01", Prescribed, -1), burn("2026-03-01", Attempt, -1)}, "2026-11-25", 2, false},
		{"a later record is not yet known", unit, []BurnRecord{burn("2024-03-01", Prescribed, -1), burn("2026-03-01", Prescribed, -1)}, "2026-02-01", 2, false},
		{"a burn of the next year does not count back", unit, []BurnRecord{burn("2024-03-01", Prescribed, -1), burn("2026-11-20", Prescribed, -1)}, "2026-11-25", 2, false},
		{"no record, no guess", unit, nil, "2026-11-25", 3, true},
		{"a guess grows older", guessed, nil, "2026-11-25", 3, true},
		{"a record beats a guess", guessed, []BurnRecord{burn("2025-03-01", Prescribed, -1)}, "2026-11-25", 1, false},
	} {
		got := p.AgeAtEnd(&c.unit, c.records, 2026, day(c.upTo))
		if got.Years != c.want || (got.Assumed != OnRecord) != c.assumed {
			t.Errorf("%s: %+v, want age %d, assumed %v", c.name, got, c.want, c.assumed)
		}
	}
}

func TestClosureWithin(t *testing.T) {
	nesting := Closure{Name: "nesting", Yearly: &date.AnnualSpan{First: date.Annual{Month: time.April, Dom: 15}, Last: date.Annual{Month: time.July, Dom: 15}}}
	got := nesting.Within(date.Span{First: day("2027-03-16"), Last: day("2027-05-10")})
	if len(got) != 1 || got[0].String() != "2027-04-15 to 2027-05-10" {
		t.Errorf("got %v", got)
	}
	winter := Closure{Name: "hunt", Yearly: &date.AnnualSpan{First: date.Annual{Month: time.December, Dom: 20}, Last: date.Annual{Month: time.January, Dom: 10}}}
	got = winter.Within(date.Span{First: day("2026-11-15"), Last: day("2027-03-15")})
	if len(got) != 1 || got[0].String() != "2026-12-20 to 2027-01-10" {
		t.Errorf("a closure across the new year: %v", got)
	}
}

func TestPropertyValidate(t *testing.T) {
	good := terrace()
	if err := good.Validate(); err != nil {
		t.Fatal(err)
	}
	for want, spoil := range map[string]func(*Property){
		"name: is empty":                     func(p *Property) { p.Name = "" },
		"season: there is none":              func(p *Property) { p.Seasons = nil },
		"overlaps dormant":                   func(p *Property) { p.Seasons[1].Span.First = date.Annual{Month: time.March, Dom: 10} },
		"years: 0 years":                     func(p *Property) { p.Years = 0 },
		"reset_share: 0 is not a share":      func(p *Property) { p.ResetShare = 0 },
		"refuge[0].max_share: 1.5":           func(p *Property) { p.Refuges = []Refuge{{"north", 1.5}} },
		"no class covers age 0 and over":     func(p *Property) { p.Mixes = []Mix{{Name: "m"}} },
		"age 1 to 2 does not begin at age 0": func(p *Property) { p.Mixes = []Mix{{"m", []AgeClass{{"young", 1, 2, 0, 1}}}} },
		"closure[0]: has no days":            func(p *Property) { p.Closures = []Closure{{Name: "x"}} },
		"caps_in[0].burn_days: \"summer\"":   func(p *Property) { p.CapsIn = []CapsIn{{2027, Caps{BurnDays: map[string]float64{"summer": 1}}}} },
	} {
		bad := terrace()
		spoil(&bad)
		err := bad.Validate()
		var field *FieldError
		if err == nil || !errors.As(err, &field) || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want one with %q", err, want)
		}
	}
}

func TestUnitValidate(t *testing.T) {
	p := terrace()
	good := Unit{ID: "A", Acres: 40, Interval: Interval{2, 3}}
	if err := good.Validate(&p); err != nil {
		t.Fatal(err)
	}
	for want, spoil := range map[string]func(*Unit){
		"unit: is empty":                      func(u *Unit) { u.ID = "" },
		"holds a control":                     func(u *Unit) { u.ID = "A\nB" },
		"acres: 0 acres":                      func(u *Unit) { u.Acres = 0 },
		"max_interval: 1 is below":            func(u *Unit) { u.Interval.Max = 1 },
		"min_interval: 0":                     func(u *Unit) { u.Interval.Min = 0 },
		"seasons: \"summer\"":                 func(u *Unit) { u.Seasons = []SeasonChoice{{"summer", 0}} },
		"mix: \"meadow\" is not a mix":        func(u *Unit) { u.Mix = "meadow" },
		"refuge: \"north\" is not a refuge":   func(u *Unit) { u.Refuge = "north" },
		"burn_days: -1":                       func(u *Unit) { u.BurnDays = -1 },
		"seasons: \"dormant\" is named twice": func(u *Unit) { u.Seasons = []SeasonChoice{{"dormant", 0}, {"dormant", 1}} },
	} {
		bad := good
		spoil(&bad)
		if err := bad.Validate(&p); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want one with %q", err, want)
		}
	}
}

func TestRecordValidate(t *testing.T) {
	unit := Unit{ID: "A", Acres: 40, Interval: Interval{2, 3}}
	good := BurnRecord{Unit: "A", On: day("2026-03-01"), Through: day("2026-03-01"), Kind: Prescribed, Acres: 40, HasAcres: true, Start: "11:00", End: "14:30"}
	today := day("2026-11-25")
	if err := good.Validate(&unit, today); err != nil {
		t.Fatal(err)
	}
	wet := quantity.Percent(134)
	for want, spoil := range map[string]func(*BurnRecord){
		"is in the future":           func(r *BurnRecord) { r.On, r.Through = day("2026-11-26"), day("2026-11-26") },
		"before the burn began":      func(r *BurnRecord) { r.Through = day("2026-02-28") },
		"more than the unit has":     func(r *BurnRecord) { r.Acres = 41 },
		"is none of the kinds":       func(r *BurnRecord) { r.Kind = "" },
		"is before the start":        func(r *BurnRecord) { r.End = "10:00" },
		"is not an ignition pattern": func(r *BurnRecord) { r.Ignition = "helicopter" },
		"134 is outside what is pos": func(r *BurnRecord) { r.Readings = []Reading{{At: "12:00", Humidity: &wet}} },
	} {
		bad := good
		spoil(&bad)
		if err := bad.Validate(&unit, today); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want one with %q", err, want)
		}
	}
}
