package settings

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

func ptr[T any](v T) *T { return &v }

func span(first, last string) date.AnnualSpan {
	a, errA := date.ParseAnnual(first)
	b, errB := date.ParseAnnual(last)
	if errA != nil || errB != nil {
		panic("bad span in a test")
	}
	return date.AnnualSpan{First: a, Last: b}
}

func example(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("testdata/example.toml")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestExampleIsReadWhole(t *testing.T) {
	got, err := Read(strings.NewReader(example(t)), "example.toml")
	if err != nil {
		t.Fatal(err)
	}
	want := habitat.Property{
		Name: "Tamsel Bend Habitat Area", Place: "Orrin County", Owner: "area manager", Latitude: 36.91, Longitude: -97.02, HasPlace: true, UTCOffset: -6,
		YearStart: 10, Years: 5, Lookahead: -1, KeepYears: ptr(2), ResetShare: 0.6, WindowChance: 0.2,
		Seasons:  []habitat.Season{{Name: "dormant", Span: span("11-15", "03-15"), BurnDays: ptr(14.0)}, {Name: "early-growing", Span: span("03-16", "05-10"), BurnDays: ptr(5.0)}},
		Crew:     date.Crew{FederalHolidays: true, Off: []date.DaysOff{{Name: "county fair", Span: date.Span{First: date.MustDay(2027, 9, 10), Last: date.MustDay(2027, 9, 12)}}}},
		Closures: []habitat.Closure{{Name: "nesting", Yearly: ptr(span("04-15", "07-15"))}},
		Caps:     habitat.Caps{Acres: ptr(quantity.Acres(420)), Burns: ptr(10), Cost: ptr(quantity.Cents(1800000))},
		CapsIn:   []habitat.CapsIn{{Year: 2028, Caps: habitat.Caps{Acres: ptr(quantity.Acres(300)), BurnDays: map[string]float64{"dormant": 10}}}},
		EvenLo:   ptr(quantity.Acres(250)), EvenHi: ptr(quantity.Acres(400)),
		Mixes:   []habitat.Mix{{Name: "savanna", Classes: []habitat.AgeClass{{Name: "fresh", MinShare: 0.25, MaxShare: 0.45}, {Name: "old", From: 1, To: habitat.OpenEnded, MaxShare: 1}}}},
		Refuges: []habitat.Refuge{{Name: "butterfly meadow", MaxShare: 0.34}}, Weights: habitat.DefaultWeights(),
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
}

const least = "name = \"Oak Hill\"\n[[season]]\nname = \"dormant\"\nfirst = \"11-15\"\nlast = \"03-15\"\n"

func TestWhatIsLeftAwayTakesItsDefault(t *testing.T) {
	got, err := Parse([]byte(least), "p.toml")
	want := habitat.NewProperty("Oak Hill")
	want.Seasons = []habitat.Season{{Name: "dormant", Span: span("11-15", "03-15")}}
	if err != nil || cmp.Diff(want, got) != "" {
		t.Errorf("%v\n%s", err, cmp.Diff(want, got))
	}
}

// everything gives a property in which every field has a value of its own.
func everything() habitat.Property {
	p := habitat.NewProperty(`Oak "Hill" \ Ünit # 1`)
	p.TreatmentsReset = []habitat.RecordKind{habitat.Mowing, habitat.Herbicide}
	p.Place, p.Owner = "Orrin County", "</script>\u202e=1+1"
	p.Land = habitat.LandNumbers{Farm: "2210", Tract: `4"71`, Section: "NE 1/4 of 14-11S-8E"}
	p.Latitude, p.Longitude, p.HasPlace, p.UTCOffset = 36.912345678901234, -97.0000001, true, -6
	p.Zone = "America/Menominee"
	p.People, p.DayHolds = habitat.Named("A. Example", `B "Bo" Example`), 1.5
	p.SeasonPeople = []habitat.SeasonPeople{{Season: "spring", People: habitat.People{Count: 3}}}
	p.YearStart, p.Years, p.Lookahead, p.KeepYears, p.ResetShare, p.WindowChance = 1, 7, 0, ptr(3), 0.1, 0.3333333333333333
	p.BreakDollars, p.GrazedUnits = 0.4, []string{`n"1`, "n2"}
	p.Seasons = []habitat.Season{{Name: "winter", Span: span("11-15", "02-29"), BurnDays: ptr(0.1)}, {Name: "spring", Span: span("03-16", "05-10")}}
	p.Crew = date.Crew{Weekends: true, Off: []date.DaysOff{{Span: date.Span{First: date.MustDay(2027, 9, 10), Last: date.MustDay(2027, 9, 10)}}},
		Shared: []date.SharedDays{{Partner: "county association", Once: &date.Span{First: date.MustDay(2028, 2, 5), Last: date.MustDay(2028, 2, 6)}, People: 6}, {Partner: `farm "next door"`, Yearly: ptr(span("03-20", "03-20")), Away: true}}}
	p.Closures = []habitat.Closure{{Name: "nesting", Yearly: ptr(span("04-15", "07-15")), Units: []string{`n"1`, "n2"}},
		{Name: "hunt", Once: &date.Span{First: date.MustDay(2027, 11, 20), Last: date.MustDay(2028, 1, 2)}}}
	p.Caps = habitat.Caps{Acres: ptr(quantity.Acres(1e-7)), Burns: ptr(0), Cost: ptr(quantity.Cents(123456))}
	p.CapsIn = []habitat.CapsIn{{Year: 2028, Caps: habitat.Caps{Burns: ptr(3), BurnDays: map[string]float64{"winter": 10.25, "spring": 0}}}, {Year: 2029, Caps: habitat.Caps{Cost: ptr(quantity.Cents(5))}}}
	p.EvenHi = ptr(quantity.Acres(1e9))
	p.Mixes = []habitat.Mix{{Name: "a", Classes: []habitat.AgeClass{{Name: "x", To: 4, MaxShare: 1}, {Name: "y", From: 5, To: habitat.OpenEnded, MinShare: 0.1, MaxShare: 0.2}}},
		{Name: "b", Classes: []habitat.AgeClass{{Name: "all", To: habitat.OpenEnded, MaxShare: 1}}}}
	p.Templates = []habitat.TemplateOrigin{{Name: "Orrin County", Source: `burn "guide", §4`, On: date.MustDay(2026, 11, 25)}}
	p.Refuges = []habitat.Refuge{{Name: "meadow"}, {Name: "draw", MaxShare: 1}}
	p.Weights = habitat.Weights{Overdue: 1.5, Mix: 0, Season: 2, Evenness: 1e-3, Neighbors: 7, Keep: 0.25, OverdueGrowth: 0.5, OverdueGrowthYears: 2}
	return p
}

func TestWhatIsWrittenIsReadBack(t *testing.T) {
	for _, p := range []habitat.Property{everything(), habitat.Property(mustParse(t, least)), mustParse(t, example(t))} {
		if err := p.Validate(); err != nil {
			t.Fatal(err)
		}
		text := Format(&p)
		got, err := Parse(text, "again.toml")
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if diff := cmp.Diff(p, got); diff != "" {
			t.Errorf("-want +got\n%s\n%s", diff, text)
		}
		if len(Diff(&p, &got)) > 0 {
			t.Errorf("Diff finds %v", Diff(&p, &got))
		}
	}
}

func mustParse(t testing.TB, text string) habitat.Property {
	t.Helper()
	p, err := Parse([]byte(text), "p.toml")
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestEveryFieldIsWritten fails when habitat.Property gets a field that the
// files do not hold: everything must then give it a value, and the round trip
// above tells whether it came back.
func TestEveryFieldIsWritten(t *testing.T) {
	p := everything()
	v := reflect.ValueOf(p)
	for i := range v.NumField() {
		// EvenLo is absent here on purpose, and in the example it is not.
		if name := v.Type().Field(i).Name; v.Field(i).IsZero() && name != "EvenLo" && name != "Lookahead" && name != "Owned" && name != "AllGrazed" && name != "KeepUnasked" { // which follows from the units
			t.Errorf("everything leaves %s away", name)
		}
	}
}

func TestFaultsHaveTheirPlace(t *testing.T) {
	season := "[[season]]\nname = \"dormant\"\nfirst = \"11-15\"\nlast = \"03-15\"\n"
	for _, c := range []struct{ name, text, want string }{
		{"misspelled", "name = \"x\"\nyaers = 5\n" + season,
			`p.toml:2:yaers: "yaers" (column 1) is not a key of the settings; accepts name, place, owner, farm, tract, section, latitude, longitude, utc_offset, time_zone, program_year_starts, years, lookahead, keep_years, reset_share, treatments_reset_age, grazed_units, window_chance, break_dollars, from_template, season, crew, closure, caps, caps_in, evenness, mix, refuge, weights` + "\nhint: did you mean years?"},
		{"misspelled inside", "name = \"x\"\n" + season + "[caps]\n  acers = 5\n",
			`p.toml:7:caps.acers: "acers" (column 3) is not a key of caps; accepts acres, burns, cost` + "\nhint: did you mean acres?"},
		{"inline", "name = \"x\"\n" + season + "[[caps_in]]\nyear = 2028\nburn_days = { dormant = \"ten\" }\n",
			`p.toml:8:caps_in[0].burn_days.dormant: "ten" is not a number; accepts a number of days, such as 10`},
		{"unknown season", "name = \"x\"\n" + season + "[[caps_in]]\nyear = 2028\nburn_days = { dormnat = 10 }\n",
			`p.toml:8:caps_in[0].burn_days: "dormnat" is not a season of this property; accepts one of dormant`},
		{"text for number", "name = \"x\"\nyears = \"5\"\n" + season, "p.toml:2:years: \"5\" is not a whole number; accepts a whole number of years\nhint: leave the quotes away"},
		{"number for text", "name = 5\n" + season, `p.toml:1:name: "5" is not text; accepts text in quotes`},
		{"fraction of years", "name = \"x\"\nyears = 2.5\n" + season, `p.toml:2:years: "2.5" is not a whole number; accepts a whole number of years`},
		{"nan", "name = \"x\"\nreset_share = nan\n" + season, `p.toml:2:reset_share: "NaN" is not a number; accepts a share such as 0.6`},
		{"share above one", "name = \"x\"\nreset_share = 60\n" + season, `p.toml:2:reset_share: 60 is not a share of a unit; accepts a share above 0, up to 1`},
		{"no name", season, "p.toml:name: is missing; accepts the property's name"},
		{"no season", "name = \"x\"\n", "p.toml:season: is missing; accepts one [[season]] or more"},
		{"one bracket", "name = \"x\"\n[season]\nname = \"dormant\"\n", "p.toml:2:season: a table is not a list of tables; accepts tables that each begin with [[season]]\nhint: write two brackets on each side"},
		{"season without last", "name = \"x\"\n[[season]]\nname = \"dormant\"\nfirst = \"11-15\"\n", `p.toml:2:season[0].last: is missing; accepts a day of every year as "MM-DD", such as "11-15"`},
		{"day that is none", "name = \"x\"\n" + strings.Replace(season, "03-15", "02-30", 1), `p.toml:5:season[0].last: "02-30" is not a day of the year; accepts a day of every year as "MM-DD", such as "11-15"`},
		{"year in a season", "name = \"x\"\n" + strings.Replace(season, "03-15", "2027-03-15", 1), "p.toml:5:season[0].last: \"2027-03-15\" is not a day of the year; accepts a day of every year as \"MM-DD\", such as \"11-15\"\nhint: leave the year away"},
		{"overlap", "name = \"x\"\n" + season + "[[season]]\nname = \"late\"\nfirst = \"03-01\"\nlast = \"04-01\"\n",
			"p.toml:6:season[1]: late (Mar 1 to Apr 1) overlaps dormant (Nov 15 to Mar 15); accepts seasons that do not overlap"},
		{"mix gap", "name = \"x\"\n" + season + "[[mix]]\nname = \"m\"\n[[mix.class]]\nname = \"a\"\nfrom = 0\nto = 1\n[[mix.class]]\nname = \"b\"\nfrom = 3\n",
			"p.toml:14:mix[0].class[1].from: age 3 and over does not follow on the classes before it, which end at 1; accepts classes that cover every age from 0 once, in order"},
		{"two groups", "name = \"x\"\n" + season + "[[mix]]\nname = \"m\"\n[[mix.class]]\nname = \"a\"\nfrom = 0\n[[mix]]\nname = \"n\"\n[[mix.class]]\nname = \"a\"\nfrom = 1\n",
			"p.toml:15:mix[1].class[0].from: age 1 and over does not begin at age 0; accepts classes that cover every age from 0 once, in order"},
		{"closure forms", "name = \"x\"\n" + season + "[[closure]]\nname = \"c\"\nfirst = \"04-15\"\nlast = \"2027-07-15\"\n",
			"p.toml:9:closure[0].last: \"2027-07-15\" is not a day of the year; accepts a day of every year as \"MM-DD\", such as \"11-15\"\nhint: leave the year away"},
		{"people and fewer names", "name = \"x\"\n" + season + "[crew]\npeople = 3\nnames = [\"A\", \"B\"]\n", "p.toml:7:crew.people: 3 people and 2 names; accepts people or names, or as many names as people"},
		{"name twice", "name = \"x\"\n" + season + "[crew]\nnames = [\"A\", \"A\"]\n", `p.toml:7:crew.names: "A" is named twice; accepts each name once`},
		{"crew of no season", "name = \"x\"\n" + season + "[[crew.season]]\nseason = \"winter\"\npeople = 3\n", `p.toml:7:crew.season[0].season: "winter" is not a season of this property; accepts one of dormant`},
		{"crew of nobody", "name = \"x\"\n" + season + "[[crew.season]]\nseason = \"dormant\"\n", `p.toml:6:crew.season[0]: says nobody for "dormant"; accepts people above 0, or names; without both, no [[crew.season]] for it`},
		{"season's crew twice", "name = \"x\"\n" + season + strings.Repeat("[[crew.season]]\nseason = \"dormant\"\npeople = 3\n", 2), `p.toml:10:crew.season[1].season: "dormant" is named twice; accepts each season once`},
		{"shared days without a partner", "name = \"x\"\n" + season + "[[crew.shared]]\nfirst = \"2028-02-05\"\n", "p.toml:6:crew.shared[0].partner: is missing; accepts the name of the partner"},
		{"shared days that end before they begin", "name = \"x\"\n" + season + "[[crew.shared]]\npartner = \"y\"\nfirst = \"2028-02-05\"\nlast = \"2028-02-04\"\n", "p.toml:9:crew.shared[0].last: 2028-02-04 is before 2028-02-05; accepts a date on or after first"},
		{"shared day that is none", "name = \"x\"\n" + season + "[[crew.shared]]\npartner = \"y\"\nfirst = \"02-31\"\n", `p.toml:8:crew.shared[0].first: "02-31" is not a day of the year; accepts a day of every year as "MM-DD", such as "11-15"`},
		{"grazed by a word", "name = \"x\"\ngrazed_units = \"most\"\n" + season, `p.toml:2:grazed_units: "most" is not a list; accepts names such as ["n1", "n2"]`},
		{"grazed twice", "name = \"x\"\ngrazed_units = [\"a\", \"a\"]\n" + season, `p.toml:2:grazed_units: "a" is named twice; accepts each unit once`},
		{"half a place", "name = \"x\"\nlatitude = 3\n" + season, "p.toml:2:latitude: one of latitude and longitude is missing; accepts latitude and longitude together, or none"},
		{"burn days among caps", "name = \"x\"\n" + season + "[caps]\nburn_days = 3\n", "p.toml:7:caps.burn_days: burn days are capped by season; accepts burn_days in a [[season]], or in [[caps_in]] for one year"},
		{"mills", "name = \"x\"\n" + season + "[caps]\ncost = 1.005\n", "p.toml:7:caps.cost: 1.005 is not an amount of money; accepts dollars with at most two decimals, up to a trillion"},
		{"month", "name = \"x\"\nprogram_year_starts = \"octember\"\n" + season, `p.toml:2:program_year_starts: "octember" is not a month; accepts the name of a month, such as "october"`},
		{"syntax", "name = \"x\nyears = 5\n", "p.toml:1: basic strings cannot have new lines at column 10; accepts a settings file: TOML text in UTF-8"},
		{"twice", "name = \"x\"\nname = \"y\"\n" + season, "p.toml:2"},
		{"too many seasons", "name = \"x\"\n" + strings.Repeat(season, 1001), "p.toml:2:season: there are 1001; accepts at most 1000 of them"},
		{"a number beyond all", "years = 99999999999999999999\n", "p.toml:1: decimal number is too large to fit in a 64-bit signed integer at column 9; accepts a settings file: TOML text in UTF-8"},
		{"too large", "name = \"x\" # " + strings.Repeat("x", 1<<20), "p.toml: is larger than 1 MB; accepts a settings file: TOML text in UTF-8"},
		{"empty", "", "p.toml: is empty; accepts a settings file: TOML text in UTF-8"},
		{"UTF-16", "\xff\xfen", "p.toml: is UTF-16 text; accepts a settings file: TOML text in UTF-8\nhint: save it as UTF-8"},
		{"another kind of file", "unit,acres\nn1,5\n", "p.toml:1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Parse([]byte(c.text), "p.toml")
			if err == nil {
				t.Fatal("accepted")
			}
			if got := err.Error(); got != c.want && !(strings.HasPrefix(got, c.want) && len(c.want) < 20) {
				t.Errorf("\n got %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestStoredSettingsAreReadThoughTheyFailNow(t *testing.T) {
	text := []byte(strings.Replace(least, "03-15", "11-15", 1) + "[weights]\nkeep = -1\n")
	if _, err := Parse(text, "p.toml"); err == nil {
		t.Error("a negative weight was taken")
	}
	if p, err := ParseStored(text); err != nil || p.Weights.Keep != -1 {
		t.Errorf("%v", err)
	}
	if _, err := ParseStored([]byte("zzz = 1\n" + least)); err == nil {
		t.Error("an unknown key was taken")
	}
}

func TestFaultsComeInTheOrderOfTheFile(t *testing.T) {
	_, err := Parse([]byte("zzz = 1\nname = 3\n[weights]\nkeep = \"a\"\nmix = true\n"), "p.toml")
	var lines []string
	for _, line := range strings.Split(err.Error(), "\n") {
		lines = append(lines, strings.Join(strings.SplitN(line, ":", 4)[:3], ":"))
	}
	if got := strings.Join(lines, " "); got != "p.toml:season: is missing; accepts one [[season]] or more p.toml:1:zzz p.toml:2:name p.toml:4:weights.keep p.toml:5:weights.mix" {
		t.Error(got)
	}
}

func TestDiffSaysWhatChanged(t *testing.T) {
	old, err := Parse([]byte(example(t)), "p.toml")
	if err != nil {
		t.Fatal(err)
	}
	changed := mustParse(t, example(t))
	changed.Years = 6
	changed.Caps.Acres = nil
	changed.Seasons[1].BurnDays = ptr(4.0)
	changed.Closures = append(changed.Closures, habitat.Closure{Name: "nesting", Yearly: ptr(span("08-01", "08-09"))})
	var got []string
	for _, d := range Diff(&old, &changed) {
		got = append(got, d.String())
	}
	want := []string{"years: 5 → 6", "season early-growing: Mar 16 to May 10, 5 burn days → Mar 16 to May 10, 4 burn days",
		"closure nesting (2): added, Aug 1 to Aug 9", "cap of acres: removed, was 420"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	changed = old
	changed.Seasons = []habitat.Season{old.Seasons[1], old.Seasons[0]}
	if d := Diff(&old, &changed); len(d) != 1 || d[0].String() != "order of seasons: dormant, early-growing → early-growing, dormant" {
		t.Errorf("%v", d)
	}
}

// TestDiffSeesEveryField changes each field of a property and expects a
// difference.
func TestDiffSeesEveryField(t *testing.T) {
	full, bare := everything(), habitat.NewProperty("other")
	bare.YearStart, bare.Lookahead, bare.EvenLo, bare.EvenHi = 6, -1, ptr(quantity.Acres(1)), nil
	v := reflect.ValueOf(full)
	for i := range v.NumField() {
		changed := full
		reflect.ValueOf(&changed).Elem().Field(i).Set(reflect.ValueOf(bare).Field(i))
		if name := v.Type().Field(i).Name; len(Diff(&full, &changed)) == 0 && name != "HasPlace" && name != "Owned" && name != "AllGrazed" && name != "KeepUnasked" {
			t.Errorf("a change of %s is not seen", name)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(example(f)))
	f.Add([]byte(least))
	p := everything()
	f.Add(Format(&p))
	f.Add([]byte("a.b.c = [{d = 1}, [2]]\n[[x]]\n[[x.y]]\n[x.y.z]\nw = { q.r = 1 }"))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Parse(data, "p.toml")
		if err != nil {
			if !strings.HasPrefix(err.Error(), "p.toml") {
				t.Errorf("no place: %v", err)
			}
			return
		}
		again, err := Parse(Format(&p), "again.toml")
		if err != nil || len(Diff(&p, &again)) > 0 {
			t.Errorf("%v %v\n%s", err, Diff(&p, &again), Format(&p))
		}
	})
}

// The 0 that older programs wrote unasked is no wish; the same 0 in anybody's own words is.
func TestKeepYearsThatNobodySet(t *testing.T) {
	old := "keep_years = 0                         # first years that should follow the plan before; default 0\n"
	for text, want := range map[string]struct {
		keep           int
		isSet, unasked bool
	}{
		"":                                    {2, false, false},
		"years = 1\n":                         {1, false, false},
		old:                                   {2, false, true},
		"keep_years = 0\n":                    {0, true, false},
		"keep_years = 0 # mine, default 0\n":  {0, true, false},
		strings.Replace(old, "= 0", "= 3", 1): {3, true, false},
	} {
		p := mustParse(t, text+least)
		if p.Keep() != want.keep || (p.KeepYears != nil) != want.isSet || p.KeepUnasked != want.unasked {
			t.Errorf("%q: keep %d, set %t, unasked %t", text, p.Keep(), p.KeepYears != nil, p.KeepUnasked)
		}
		again := mustParse(t, string(Format(&p)))
		if again.Keep() != want.keep || (again.KeepYears != nil) != want.isSet || again.KeepUnasked {
			t.Errorf("%q written and read: keep %d, set %t, unasked %t", text, again.Keep(), again.KeepYears != nil, again.KeepUnasked)
		}
	}
}
