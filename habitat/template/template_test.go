package template

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/prescription"
)

func span(text string) date.AnnualSpan {
	first, last, _ := strings.Cut(text, " ")
	a, err := date.ParseAnnual(first)
	b, err2 := date.ParseAnnual(last)
	if err != nil || err2 != nil {
		panic(text)
	}
	return date.AnnualSpan{First: a, Last: b}
}

func county() (habitat.Property, *Template) {
	p := habitat.NewProperty("Oak Hill")
	days, nesting, ban, own := 4.0, span("04-15 07-15"), date.Span{First: date.MustDay(2027, 3, 1), Last: date.MustDay(2027, 3, 9)}, span("01-01 02-01")
	p.Owner, p.Place, p.ResetShare, p.YearStart = "A. Example", "Orrin County", 0.7, 7
	p.Seasons = []habitat.Season{{Name: "winter", Span: span("11-15 02-15"), BurnDays: &days}, {Name: "spring", Span: span("03-01 05-01")}}
	p.TreatmentsReset = []habitat.RecordKind{habitat.Mowing}
	p.People = habitat.Named("A. Example")
	p.Crew.Weekends = true
	p.Crew.Off = []date.DaysOff{{Name: "opening day", Span: date.Span{First: date.MustDay(2027, 9, 10), Last: date.MustDay(2027, 9, 10)}}}
	p.Closures = []habitat.Closure{{Name: "nesting", Yearly: &nesting}, {Name: "ban", Once: &ban}, {Name: "den", Yearly: &own, Units: []string{"n1"}}}
	tasks := append(preparation.Starter(), habitat.Task{Name: "ask the neighbor", Units: []string{"n1"}, Earliest: 9, Latest: 3})
	tasks[1].After = []string{"ask the neighbor", tasks[0].Name}
	return p, &Template{TemplateOrigin: habitat.TemplateOrigin{Name: `Orrin "O" County`, Source: "extension office, burn guide, 2026 edition", On: date.MustDay(2026, 11, 25)}, Tasks: tasks, Prescriptions: prescription.Starters()}
}

func TestWhatIsWrittenIsReadBack(t *testing.T) {
	from, given := county()
	var text bytes.Buffer
	if err := Write(&text, given, &from); err != nil {
		t.Fatal(err)
	}
	for _, own := range []string{"Oak Hill", "A. Example", "burn_days", "n1", "ask the neighbor", "cost"} {
		if strings.Contains(text.String(), own) {
			t.Errorf("the template tells %q", own)
		}
	}
	if !Is(text.Bytes()) || Is([]byte("name = \"x\"\n[[from_template]]\nname = \"y\"\n")) {
		t.Error("templates and settings are not told apart")
	}
	got, err := Read(bytes.NewReader(text.Bytes()), "c.toml")
	if err != nil {
		t.Fatalf("%v\n%s", err, text.String())
	}
	if diff := cmp.Diff(given.TemplateOrigin, got.TemplateOrigin); diff != "" {
		t.Error(diff)
	}
	want := preparation.Starter()
	want[1].After = []string{want[0].Name}
	if diff := cmp.Diff(want, got.Tasks); diff != "" {
		t.Error(diff)
	}
	if len(got.Prescriptions) != len(given.Prescriptions) {
		t.Fatalf("%d prescriptions", len(got.Prescriptions))
	}
	for i := range got.Prescriptions {
		a, _ := given.Prescriptions[i].MarshalJSON()
		b, _ := got.Prescriptions[i].MarshalJSON()
		if !bytes.Equal(a, b) {
			t.Errorf("%s\n%s", a, b)
		}
	}
	// Over another property: what is shared is there, its own stays.
	other := habitat.NewProperty("Larkin")
	winterDays, hunt := 9.0, span("11-20 12-05")
	other.Owner, other.People = "B. Example", habitat.People{Count: 3}
	other.Seasons = []habitat.Season{{Name: "winter", Span: span("12-01 02-01"), BurnDays: &winterDays}}
	other.Closures = []habitat.Closure{{Name: "nesting", Yearly: &hunt}, {Name: "hunt", Yearly: &hunt, Units: []string{"k"}}}
	expected := other
	expected.YearStart, expected.ResetShare, expected.TreatmentsReset = from.YearStart, from.ResetShare, from.TreatmentsReset
	expected.Seasons = []habitat.Season{{Name: "winter", Span: span("11-15 02-15"), BurnDays: &winterDays}, from.Seasons[1]}
	expected.Crew = from.Crew
	expected.Closures = []habitat.Closure{from.Closures[0], from.Closures[1], other.Closures[1]}
	expected.Templates = []habitat.TemplateOrigin{given.TemplateOrigin}
	for range 2 { // twice is the same as once
		if other, err = got.Over(&other); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(expected, other); diff != "" {
			t.Error(diff)
		}
	}
	// A second one of the county takes the place of the first.
	got.On = date.MustDay(2027, 1, 1)
	if other, err = got.Over(&other); err != nil || len(other.Templates) != 1 || other.Templates[0].On != got.On {
		t.Errorf("%v %v", other.Templates, err)
	}
}

func TestFaultsHaveTheirPlace(t *testing.T) {
	const head = "template = { name = \"Orrin County\", source = \"guide\", date = \"2026-11-25\" }\n"
	for _, c := range []struct{ name, text, want string }{
		{"none", "reset_share = 0.5\n", "c.toml:template: is missing or not a table"},
		{"no source", "template = { name = \"x\", date = \"2026-11-25\" }\n", "c.toml:1:template.source: is empty; accepts a name"},
		{"no date", "template = { name = \"x\", source = \"y\" }\n", "c.toml:1:template.date: is missing; accepts a date as YYYY-MM-DD"},
		{"bad date", "template = { name = \"x\", source = \"y\", date = \"2026-02-30\" }\n", `c.toml:1:template.date: "2026-02-30" is not a date; accepts a date as YYYY-MM-DD`},
		{"number for a name", "template = { name = 3, source = \"y\", date = \"2026-02-03\" }\n", `c.toml:1:template.name: is not text`},
		{"one key more", "template = { name = \"x\", source = \"y\", date = \"2026-02-03\", by = \"z\" }\n", `c.toml:1:template.by: is not a key of template; accepts name, source, date`},
		{"a name of its own", head + "owner = \"A\"\n", "c.toml:2:owner: is not what the properties of a county share; accepts program_year_starts,"},
		{"money", head + "[caps]\ncost = 5\n", "c.toml:2:caps: is not what the properties of a county share"},
		{"burn days", head + "[[season]]\nname = \"a\"\nfirst = \"01-01\"\nlast = \"02-01\"\nburn_days = 4\n", "c.toml:6:season[0].burn_days: is not what"},
		{"crew's people", head + "[crew]\npeople = 3\n", "c.toml:3:crew.people: is not what"},
		{"closure of a unit", head + "[[closure]]\nname = \"a\"\nfirst = \"01-01\"\nlast = \"02-01\"\nunits = [\"n1\"]\n", "c.toml:6:closure[0].units: is not what"},
		{"bad day", head + "[[closure]]\nname = \"a\"\nfirst = \"13-01\"\nlast = \"02-01\"\n", `c.toml:4:closure[0].first: "13-01" is not a day of the year`},
		{"overlap", head + "[[season]]\nname = \"a\"\nfirst = \"01-01\"\nlast = \"02-01\"\n[[season]]\nname = \"b\"\nfirst = \"01-15\"\nlast = \"03-01\"\n", "c.toml:6:season[1]: "},
		{"share", head + "reset_share = 7\n", "c.toml:2:reset_share: 7 is not a share of a unit"},
		{"task", head + "reset_share = 0.5\n[[task]]\nname = \"spray\"\nearliest = 5\n", `c.toml:4:task[0].name: "spray" has only one end of its lead time`},
		{"task of a unit", head + "[[task]]\nname = \"spray\"\nunits = [\"n1\"]\nearliest = 5\nlatest = 3\n", "c.toml:4:task[0].units: names units of one property; accepts a task of every unit"},
		{"prescription", head + "[[prescription]]\njson = '''\n{\"format\": \"prescription/1\",\n \"nam\": 3}\n'''\n", "c.toml:5:nam: "},
		{"prescription as keys", head + "[[prescription]]\nname = \"x\"\n", "c.toml:2:prescription[0].json: is missing or not alone"},
		{"syntax", head + "reset_share = \n", "c.toml:2"},
		{"empty", "", "c.toml: is empty; accepts a county template"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read(strings.NewReader(c.text), "c.toml")
			if err == nil {
				t.Fatal("accepted")
			}
			found := false
			for line := range strings.Lines(err.Error()) {
				found = found || strings.HasPrefix(line, c.want)
			}
			if !found {
				t.Errorf("\n got %s\nwant %s", err, c.want)
			}
		})
	}
}
