package problem_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat/source"
	"emberquilt/schedule/problem"
	"emberquilt/testdata/refdata"
)

// example is the problem file of the format's description, with the units that
// its pairs and locks speak of.
const example = `{
  "format": "rotation-problem/1",
  "first_year": 2027, "years": 5, "lookahead": 4,
  "seasons": ["dormant", "early-growing", "late-growing"],
  "units": [
    {"id": "n1", "acres": 38.5, "min_interval": 2, "max_interval": 3, "age": 2,
     "seasons": {"dormant": 0, "early-growing": 1}, "burn_days": 1, "cost": 1150,
     "mix": "savanna", "refuge": "north"},
    {"id": "n2", "acres": 20, "min_interval": 1, "max_interval": 2, "age": 0, "seasons": {"dormant": 0}, "mix": "savanna", "refuge": "north"},
    {"id": "n3", "acres": 60, "min_interval": 1, "max_interval": 4, "age": 3, "seasons": {"late-growing": 0.5}, "refuge": "north"}
  ],
  "caps": {"acres": 120, "burns": 4, "cost": 9000, "burn_days": {"dormant": 3, "early-growing": 2}},
  "caps_by_year": {"2028": {"acres": 60}, "2035": {"burn_days": {"dormant": 1}}},
  "apart": [["n1", "n2"]],
  "neighbours": [["n3", "n1"], ["n2", "n1"]],
  "refuges": {"north": {"max_share": 0.5}},
  "mixes": {"savanna": [{"class": "fresh", "from": 0, "to": 0, "min_share": 0.25, "max_share": 0.45},
                         {"class": "young", "from": 1, "to": 2, "min_share": 0.3, "max_share": 0.6},
                         {"class": "old", "from": 3, "min_share": 0.1, "max_share": 0.3}]},
  "evenness": {"min_acres": 60, "max_acres": 110},
  "locks": [{"unit": "n1", "year": 2027, "burn": true, "season": "dormant"}, {"unit": "n2", "year": 2028, "burn": false},
            {"unit": "n2", "year": 2028, "burn": false}],
  "previous": [{"unit": "n3", "year": 2027}], "keep_years": 2,
  "weights": {"overdue": 3, "mix": 2, "season": 0.5, "evenness": 1, "neighbours": 1, "keep": 4}
}`

func read(t *testing.T, text string) *problem.Problem {
	t.Helper()
	p, err := problem.Read(strings.NewReader(text), "problem.json")
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestReadExample(t *testing.T) {
	p := read(t, example)
	if p.T() != 9 || len(p.Units) != 3 || p.Units[0].Refuge != 0 || p.Units[2].Mix != -1 {
		t.Errorf("units or years are wrong: %+v", p)
	}
	if p.Caps[0].Acres != 120 || p.Caps[1].Acres != 60 || p.Caps[1].Burns != 4 {
		t.Errorf("caps by year do not replace just what they name: %+v", p.Caps[:2])
	}
	if last := p.Caps[8].BurnDays; last[0] != 1 || last[1] != 2 || last[2] != problem.NoLimit {
		t.Errorf("burn days of a year are not merged season by season: %v", last)
	}
	if len(p.Locks) != 2 {
		t.Errorf("the same lock twice is one lock; got %v", p.Locks)
	}
	if diff := cmp.Diff([][2]int{{0, 2}}, p.Neighbors); diff != "" {
		t.Errorf("a pair in apart and neighbors is apart only: %s", diff)
	}
	if p.Units[1].BurnDays != 1 || p.Units[1].Cost != 0 || p.Weights.Keep != 4 {
		t.Error("defaults are wrong")
	}
	if len(p.Warnings) != 1 || !strings.Contains(p.Warnings[0], "n3 can never burn: its 60.0 acres are more than the 59.25 acres") {
		t.Errorf("warnings: %q", p.Warnings)
	}
}

// change puts one text for another in the example.
func change(old, text string) string {
	if strings.Count(example, old) == 0 {
		panic("the example does not hold " + old)
	}
	return strings.Replace(example, old, text, 1)
}

// growing gives the example with overdue that grows and a list of closed seasons.
func growing(closed string) string {
	return change(`"locks"`, `"overdue_growth": 0.5, "closed": [`+closed+`], "locks"`)
}

// Overdue grows where the file says so, three years long unless it says how
// long; a closed season stands once, whatever the seasons of the unit.
func TestReadGrowthAndClosed(t *testing.T) {
	const closed = `{"unit": "n1", "year": 2028, "season": "dormant"}`
	p := read(t, growing(closed+`, `+closed+`, {"unit": "n1", "year": 2029}, {"season": "dormant", "year": 2030, "unit": "n3"}`))
	if p.OverdueGrowth != 0.5 || p.OverdueGrowthYears != 3 {
		t.Errorf("overdue grows by %v for %d years", p.OverdueGrowth, p.OverdueGrowthYears)
	}
	want := []problem.Closed{{Unit: 0, Year: 2028, Season: 0}, {Unit: 0, Year: 2029, Season: -1}, {Unit: 2, Year: 2030, Season: 0}}
	if diff := cmp.Diff(want, p.Closed); diff != "" {
		t.Errorf("closed: %s", diff)
	}
	allowed := p.Allowed()
	for _, c := range []struct {
		unit, year, season int
		want               bool
	}{{0, 2027, 0, true}, {0, 2028, 0, false}, {0, 2028, 1, true}, {0, 2029, 0, false}, {0, 2029, 1, false}, {0, 2027, 2, false}, {2, 2030, 2, true}, {1, 2028, 0, true}} {
		if got := allowed(c.unit, c.year, c.season); got != c.want {
			t.Errorf("unit %d in %d, season %d: allowed %v", c.unit, c.year, c.season, got)
		}
	}
	for age, want := range []float64{0, 0, 0, 1, 1.5, 2, 2.5, 2.5} {
		if got := p.OverdueFactor(age, 3); got != want {
			t.Errorf("age %d of an interval of 3 years: %v weights, want %v", age, got, want)
		}
	}
	if p := read(t, change(`"keep_years": 2`, `"keep_years": 2, "overdue_growth": 0, "overdue_growth_years": 7`)); p.OverdueGrowth != 0 || p.OverdueGrowthYears != 0 {
		t.Errorf("without growth: %v for %d years", p.OverdueGrowth, p.OverdueGrowthYears)
	}
	all := ""
	for year := 2027; year <= 2035; year++ {
		all += fmt.Sprintf(`{"unit": "n2", "year": %d}, `, year)
	}
	if p := read(t, growing(strings.TrimSuffix(all, ", "))); !slices.Contains(p.Warnings, "unit n2 can never burn: its seasons are closed in every year that has room for it") {
		t.Errorf("warnings: %q", p.Warnings)
	}
}

func TestReadRefuses(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "problem.json:1: the file is empty; accepts JSON text in UTF-8"},
		{"space", " \n\n", "problem.json:1: the file is empty"},
		{"cut off", example[:strings.Index(example, "8.5")], "problem.json:6: the file ends early, inside an object; accepts the complete file"},
		{"cut off in text", example[:31], "problem.json:2: the file ends early, inside text"},
		{"binary", "\x7fELF\x02\x01\x00", "problem.json:1: a zero byte: the file is not text"},
		{"bad bytes", change("n1", "n\xff1"), "problem.json:6: byte 0xff is not UTF-8"},
		{"UTF-16", "\xff\xfe{\x00}\x00", "problem.json:1: the file is UTF-16 text; accepts JSON text in UTF-8\nhint: save it as UTF-8"},
		{"UTF-16 without mark", "\x00{\x00}", "problem.json:1: the file is UTF-16 text"},
		{"byte-order mark", "\ufeff" + example, "problem.json:1: the file begins with a byte-order mark"},
		{"garbage after", example + "\n]", `problem.json:26: "]" after the end of the JSON text; accepts nothing more`},
		{"comment", change(`"first_year"`, `// year`), `problem.json:3: "/"; accepts a key in double quotes`},
		{"single quotes", change(`"n1"`, `'n1'`), `problem.json:6: "'"; accepts a value`},
		{"NaN", change("38.5", "NaN"), `problem.json:6: "NaN" is not a JSON value`},
		{"minus infinity", change("38.5", "-Infinity"), `problem.json:6: "-Infinity" is not a JSON value`},
		{"leading zero", change("38.5", "038.5"), `problem.json:6: "038.5" is not a JSON value`},
		{"comma at the end", change(`"mix": "savanna", "refuge": "north"},`, `"mix": "savanna",},`), "problem.json:8: a comma before the end"},
		{"half a pair", change(`"n1"`, `"n\ud8001"`), `problem.json:6: "\"n\\ud8001\"" holds half a surrogate pair`},
		{"raw line break", change(`"n1"`, "\"n\n1\""), "problem.json:6: a line break or control character (0x0a) inside text"},
		{"nesting", strings.Repeat("[", 5000), "problem.json:1: objects and lists nest deeper than 32"},
		{"deep", change(`"n1"`, strings.Repeat("[", 40)), "problem.json:6: objects and lists nest deeper than 32"},
		{"a list", "[]", "problem.json:1: a list is not an object"},
		{"another format", `{"format": "rotation-answer/1", "x": 1}`, `problem.json:1:format: "rotation-answer/1" is another format; accepts "rotation-problem/1"`},
		{"no keys", "{}", "problem.json:1:format: the key is missing"},

		{"unknown key", change(`"cost": 1150`, `"costs": 1150`), `problem.json:7:units[0].costs: unknown key "costs"; accepts id, acres,`},
		{"key twice", change(`"cost": 1150`, `"acres": 1150`), `problem.json:7:units[0].acres: key "acres" is named twice`},
		{"key twice at the top", change(`"keep_years": 2`, `"keep_years": 2, "years": 3`), `:years: key "years" is named twice`},
		{"infinite", change("38.5", "1e309"), "problem.json:6:units[0].acres: 1e309 is above 1000000000; accepts acres above 0"},
		{"zero acres", change("38.5", "0"), "problem.json:6:units[0].acres: 0 is not above 0"},
		{"negative acres", change("38.5", "-3"), "problem.json:6:units[0].acres: -3 is negative"},
		{"acres as text", change("38.5", `"38,5"`), `problem.json:6:units[0].acres: "38,5" is not a number`},
		{"acres null", change("38.5", `null`), `problem.json:6:units[0].acres: null is not a number`},
		{"fractional year", change("2027,", "2027.5,"), "problem.json:3:first_year: 2027.5 is not a whole number"},
		{"year of another age", change("2027,", "123456789,"), "problem.json:3:first_year: 123456789 is above 9999"},
		{"no years", change(`"years": 5`, `"years": 0`), "problem.json:3:years: 0 is below 1"},
		{"min 0", change(`"min_interval": 2`, `"min_interval": 0`), "problem.json:6:units[0].min_interval: 0 is below 1"},
		{"min above max", change(`"max_interval": 3`, `"max_interval": 1`), "problem.json:6:units[0].max_interval: 1 is below min_interval 2; accepts a whole number of years, 2 or more"},
		{"huge interval", change(`"max_interval": 3`, `"max_interval": 99999999999999999999`), "99999999999999999999 is above 9999"},
		{"negative age", change(`"age": 2`, `"age": -1`), "problem.json:6:units[0].age: -1 is negative"},
		{"missing age", change(`"age": 2,`, ``), "problem.json:6:units[0].age: the key is missing"},
		{"unit twice", change(`"n2", "acres"`, `"n1", "acres"`), `problem.json:9:units[1].id: "n1" is named twice`},
		{"empty id", change(`"n1"`, `" "`), `problem.json:6:units[0].id: a name without characters`},
		{"control character", change(`"n1"`, `"n\u001b1"`), `problem.json:6:units[0].id: "n\x1b1" holds a control character`},
		{"season twice", change(`"early-growing", "late`, `"dormant", "late`), `problem.json:4:seasons[1]: "dormant" is named twice`},
		{"no season", change(`["dormant", "early-growing", "late-growing"]`, `[]`), `problem.json:4:seasons: there is no season`},
		{"unknown season", change(`"late-growing": 0.5`, `"fall": 0.5`), `problem.json:10:units[2].seasons.fall: season "fall" is unknown; accepts dormant, early-growing, late-growing`},
		{"allowed season twice", change(`"early-growing": 1}`, `"dormant": 1}`), `problem.json:7:units[0].seasons.dormant: "dormant" is named twice`},
		{"penalty", change(`"dormant": 0, `, `"dormant": -1, `), `problem.json:7:units[0].seasons.dormant: -1 is negative`},
		{"burn days", change(`"burn_days": 1`, `"burn_days": -1`), `problem.json:7:units[0].burn_days: -1 is negative`},
		{"unknown mix", change(`"mix": "savanna"`, `"mix": "prairie"`), `problem.json:8:units[0].mix: "prairie" is unknown; accepts the name of one of the mixes savanna`},
		{"unknown refuge", change(`"refuge": "north"`, `"refuge": "south"`), `problem.json:8:units[0].refuge: "south" is unknown; accepts the name of one of the refuges north`},
		{"fractional burns", change(`"burns": 4`, `"burns": 4.5`), `:caps.burns: 4.5 is not a whole number`},
		{"negative cap", change(`"acres": 120`, `"acres": -1`), `:caps.acres: -1 is negative`},
		{"cap of an unknown season", change(`{"dormant": 3,`, `{"fall": 3,`), `:caps.burn_days.fall: season "fall" is unknown`},
		{"cap of a year outside", change(`"2028"`, `"2036"`), `problem.json:13:caps_by_year.2036: 2036 is outside the plan; accepts 2027 to 2035 (5 years and 4 of lookahead)`},
		{"cap of no year", change(`"2028"`, `"02028"`), `"02028" is not a program year`},
		{"cap year twice", change(`"2035"`, `"2028"`), `problem.json:13:caps_by_year.2028: "2028" is named twice`},
		{"pair of itself", change(`["n1", "n2"]`, `["n1", "n1"]`), `problem.json:14:apart[0]: unit "n1" with itself; accepts two units`},
		{"pair twice", change(`["n3", "n1"], `, `["n3", "n1"], ["n1", "n3"], `), `problem.json:15:neighbours[1]: the pair of "n1" and "n3" is listed twice`},
		{"pair of three", change(`["n1", "n2"]`, `["n1", "n2", "n3"]`), `problem.json:14:apart[0]: a list of 3`},
		{"unknown in pair", change(`["n1", "n2"]`, `["n1", "n9"]`), `problem.json:14:apart[0][1]: "n9" is unknown`},
		{"share above 1", change(`"max_share": 0.5`, `"max_share": 1.5`), `problem.json:16:refuges.north.max_share: 1.5 is above 1`},
		{"refuge twice", change(`"refuges": {`, `"refuges": {"north": {"max_share": 1}, `), `problem.json:16:refuges.north: "north" is named twice`},
		{"refuge without share", change(`{"max_share": 0.5}`, `{}`), `problem.json:16:refuges.north.max_share: the key is missing`},
		{"class twice", change(`"class": "young"`, `"class": "fresh"`), `problem.json:18:mixes.savanna[1]: age class "fresh" is named twice`},
		{"class gap", change(`"from": 1, "to": 2`, `"from": 2, "to": 2`), `problem.json:18:mixes.savanna[1]: age 1 is in no class`},
		{"class overlap", change(`"from": 3,`, `"from": 2,`), `problem.json:19:mixes.savanna[2]: class "old" overlaps class "young" at age 2`},
		{"class end", change(`"from": 3,`, `"from": 3, "to": 9,`), `problem.json:19:mixes.savanna[2]: ages from 10 on are in no class`},
		{"two open classes", change(`"from": 1, "to": 2`, `"from": 1`), `class "old" overlaps class "young", which is open-ended`},
		{"class reversed", change(`"from": 1, "to": 2`, `"from": 2, "to": 1`), `problem.json:18:mixes.savanna[1].to: 1 is below from 2`},
		{"shares reversed", change(`"min_share": 0.3, "max_share": 0.6`, `"min_share": 0.7, "max_share": 0.6`), `problem.json:18:mixes.savanna[1].max_share: 0.6 is below min_share 0.7`},
		{"evenness reversed", change(`"min_acres": 60`, `"min_acres": 160`), `problem.json:20:evenness.max_acres: 110 is below min_acres 160`},
		{"lock outside", change(`"year": 2027, "burn"`, `"year": 2041, "burn"`), `problem.json:21:locks[0].year: 2041 is outside the plan; accepts 2027 to 2035 (5 years and 4 of lookahead)`},
		{"lock of unknown", change(`{"unit": "n1", "year"`, `{"unit": "zz", "year"`), `problem.json:21:locks[0].unit: "zz" is unknown`},
		{"lock season", change(`"season": "dormant"}`, `"season": "fall"}`), `problem.json:21:locks[0].season: "fall" is unknown`},
		{"rest in a season", change(`"burn": false}`, `"burn": false, "season": "dormant"}`), `problem.json:21:locks[1].season: a locked rest with a season`},
		{"burn as text", change(`"burn": true`, `"burn": "yes"`), `problem.json:21:locks[0].burn: "yes" is neither true nor false`},
		{"previous outside", change(`{"unit": "n3", "year": 2027}`, `{"unit": "n3", "year": 2026}`), `problem.json:23:previous[0].year: 2026 is outside the plan`},
		{"keep too long", change(`"keep_years": 2`, `"keep_years": 10`), `problem.json:23:keep_years: 10 is longer than the plan; accepts 0 to 9`},
		{"keep without previous", change(`"previous": [{"unit": "n3", "year": 2027}], `, ``), `problem.json:23:keep_years: 2 without a previous plan`},
		{"keep fractional", change(`"keep_years": 2`, `"keep_years": 0.5`), `problem.json:23:keep_years: 0.5 is not a whole number`},
		{"closed outside", growing(`{"unit": "n1", "year": 2036}`), `problem.json:21:closed[0].year: 2036 is outside the plan; accepts 2027 to 2035 (5 years and 4 of lookahead)`},
		{"closed of unknown", growing(`{"unit": "zz", "year": 2028}`), `problem.json:21:closed[0].unit: "zz" is unknown`},
		{"closed season", growing(`{"unit": "n1", "year": 2028, "season": "fall"}`), `problem.json:21:closed[0].season: "fall" is unknown; accepts the name of a season dormant,`},
		{"closed without year", growing(`{"unit": "n1"}`), `problem.json:21:closed[0].year: the key is missing`},
		{"closed with a burn", growing(`{"unit": "n1", "year": 2028, "burn": false}`), `problem.json:21:closed[0].burn: unknown key "burn"; accepts unit, year, season`},
		{"negative growth", change(`"keep_years": 2`, `"keep_years": 2, "overdue_growth": -1`), `problem.json:23:overdue_growth: -1 is negative; accepts a share of the overdue weight, 0 or more`},
		{"growth as text", change(`"keep_years": 2`, `"keep_years": 2, "overdue_growth": "1"`), `problem.json:23:overdue_growth: "1" is not a number`},
		{"growth for half a year", change(`"keep_years": 2`, `"keep_years": 2, "overdue_growth_years": 0.5`), `problem.json:23:overdue_growth_years: 0.5 is not a whole number`},
		{"growth for fewer than no years", change(`"keep_years": 2`, `"keep_years": 2, "overdue_growth_years": -1`), `problem.json:23:overdue_growth_years: -1 is negative`},
		{"negative weight", change(`"overdue": 3`, `"overdue": -3`), `problem.json:24:weights.overdue: -3 is negative`},
		{"unknown weight", change(`"overdue": 3`, `"late": 3`), `problem.json:24:weights.late: unknown key "late"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := problem.Read(strings.NewReader(c.text), "problem.json")
			if err == nil || p != nil {
				t.Fatal("was accepted")
			}
			if !source.Is(err) {
				t.Errorf("%T is not an error about bad input", err)
			}
			if !strings.Contains(err.Error(), c.want) {
				t.Errorf("got  %s\nwant %s", err, c.want)
			}
			if strings.Count(err.Error(), "problem.json:") != 1 && c.name != "no keys" {
				t.Errorf("one slip gives more than one complaint:\n%s", err)
			}
		})
	}
}

func TestReadReportsTwentyInFileOrder(t *testing.T) {
	var b strings.Builder
	b.WriteString("{\"format\": \"rotation-problem/1\", \"first_year\": 2027, \"years\": 1, \"seasons\": [\"d\"],\n\"locks\": [{\"unit\": \"zz\", \"year\": 2027, \"burn\": true}],\n\"units\": [")
	for i := range 30 {
		if i > 0 {
			b.WriteString(",")
		}
		b.WriteString("\n{\"id\": \"u" + string(rune('a'+i)) + "\", \"acres\": -1, \"min_interval\": 1, \"max_interval\": 1, \"age\": 0, \"seasons\": {}}")
	}
	b.WriteString("]}")
	_, err := problem.Read(strings.NewReader(b.String()), "p")
	lines := strings.Split(err.Error(), "\n")
	if len(lines) != 21 || lines[20] != "and 11 more errors" {
		t.Fatalf("%d lines:\n%v", len(lines), err)
	}
	if !strings.HasPrefix(lines[0], "p:2:locks[0].unit: ") || !strings.HasPrefix(lines[19], "p:22:units[18].acres: ") {
		t.Errorf("not in file order:\n%v", err)
	}
}

func TestReadAccepts(t *testing.T) {
	for _, c := range []struct{ name, text string }{
		{"whole numbers written with a point", change("2027,", "2027.0,")},
		{"an exponent", change(`"acres": 38.5`, `"acres": 3.85E+1`)},
		{"an empty previous plan", change(`[{"unit": "n3", "year": 2027}]`, `[]`)},
		{"no cap at all", change(`"caps": {"acres": 120, "burns": 4, "cost": 9000, "burn_days": {"dormant": 3, "early-growing": 2}}`, `"caps": {}`)},
		{"caps of 0", change(`"acres": 120`, `"acres": 0`)},
		{"a unit that never burns", change(`{"late-growing": 0.5}`, `{}`)},
		{"contradicting locks", change(`"burn": false}`, `"burn": true}`)},
		{"growth and closed seasons", growing(`{"unit": "n1", "year": 2028, "season": "dormant"}, {"unit": "n2", "year": 2027}`)},
		{"growth of a number of years", change(`"keep_years": 2`, `"keep_years": 2, "overdue_growth": 1, "overdue_growth_years": 0`)},
		{"odd ids", strings.ReplaceAll(example, `"n1"`, `"\u202e</script>\" 🔥 \\n ]}"`)},
		{"classes in any order", change(`{"class": "fresh", "from": 0, "to": 0, "min_share": 0.25, "max_share": 0.45},
                         {"class": "young", "from": 1, "to": 2, "min_share": 0.3, "max_share": 0.6}`,
			`{"class": "young", "from": 1, "to": 2}, {"class": "fresh", "from": 0, "to": 0}`)},
	} {
		t.Run(c.name, func(t *testing.T) { roundTrip(t, read(t, c.text)) })
	}
}

// roundTrip writes a problem, reads it back and compares; then both texts.
func roundTrip(t *testing.T, p *problem.Problem) {
	t.Helper()
	var first, second bytes.Buffer
	if err := problem.Write(&first, p); err != nil {
		t.Fatal(err)
	}
	text := first.String()
	q, err := problem.Read(&first, "written")
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if err := problem.Write(&second, q); err != nil {
		t.Fatal(err)
	}
	if second.String() != text {
		t.Errorf("written twice it differs:\n%s\n%s", text, second.String())
	}
	canonical, err := problem.Canonical(p)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(canonical, q); diff != "" {
		t.Errorf("Canonical differs from the file: %s", diff)
	}
	same := *p
	same.SHA256 = q.SHA256
	if diff := cmp.Diff(&same, q); diff != "" {
		t.Errorf("read back it differs: %s", diff)
	}
}

func TestRoundTripBench(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(refdata.Bench(t, "problems"), "*.json"))
	if err != nil || len(files) < 30 {
		t.Fatalf("only %d problems, %v", len(files), err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		roundTrip(t, read(t, string(data)))
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(example))
	f.Add([]byte(`{"format":"rotation-problem/1","first_year":1,"years":1,"seasons":["d"],"units":[{"id":"a","acres":1e-9,"min_interval":1,"max_interval":1,"age":0,"seasons":{"d":0}}],"caps":{"burns":0}}`))
	f.Add([]byte("\xef\xbb\xbf{}"))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := problem.Read(bytes.NewReader(data), "f")
		if err == nil {
			roundTrip(t, p)
		} else if !source.Is(err) || !strings.HasPrefix(err.Error(), "f:") {
			t.Errorf("an error without a place: %v", err)
		}
	})
}
