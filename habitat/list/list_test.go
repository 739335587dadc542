package list

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/settings"
	"emberquilt/habitat/source"
)

var today = date.MustDay(2027, time.January, 20)

const settingsText = `name = "Oak Hill"
[[season]]
name = "dormant"
first = "11-15"
last = "03-15"
[[season]]
name = "early-growing"
first = "03-16"
last = "05-10"
[[mix]]
name = "savanna"
[[mix.class]]
name = "all"
from = 0
[[refuge]]
name = "meadow"
max_share = 0.5
`

// property gives Oak Hill with units n1 and n2 of 40 and 20 acres.
func property(t testing.TB) *Current {
	t.Helper()
	p, err := settings.Parse([]byte(settingsText), "settings.toml")
	if err != nil {
		t.Fatal(err)
	}
	unit := func(id string, acres quantity.Acres) habitat.Unit {
		return habitat.Unit{ID: id, Acres: acres, Interval: habitat.Interval{Min: 2, Max: 3}, BurnDays: 1}
	}
	return &Current{Property: p, Units: []habitat.Unit{unit("n1", 40), unit("n2", 20)}, Shapes: map[string]ground.Shape{}}
}

func read(t testing.TB, text string, opts Options) *List {
	t.Helper()
	l, err := Read(context.Background(), []byte(text), "f.csv", opts)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func plan(t testing.TB, cur *Current, lists ...*List) *Plan {
	t.Helper()
	p, err := MakePlan(cur, lists, PlanSettings{Today: today})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// tryBoth gives the error of reading a list and planning its import.
func tryBoth(t testing.TB, cur *Current, text string, opts Options) error {
	t.Helper()
	l, err := Read(context.Background(), []byte(text), "f.csv", opts)
	if err != nil {
		return err
	}
	_, err = MakePlan(cur, []*List{l}, PlanSettings{Today: today})
	return err
}

func TestHeadersInAnyOrderAndCase(t *testing.T) {
	l := read(t, "\ufeffMAX Interval;Notes;Unit;min-interval;ACRES;Pond\r\n3;\"a;b\";n 3;2;12.5;x\r\n\r\n;;;;;\r\n", Options{})
	if l.Kind != Units || l.Told != "units, told by the columns unit, acres, min_interval and max_interval; CSV with semicolons" {
		t.Errorf("%s: %s", l.Kind, l.Told)
	}
	if diff := cmp.Diff([]string{"Pond"}, l.Ignored); diff != "" {
		t.Error(diff)
	}
	p := plan(t, property(t), l)
	want := habitat.Unit{ID: "n 3", Acres: 12.5, Interval: habitat.Interval{Min: 2, Max: 3}, BurnDays: 1, Notes: "a;b"}
	if len(p.Changes) != 1 || p.Changes[0].Action != Added || cmp.Diff(want, *p.Changes[0].Unit) != "" {
		t.Errorf("%+v", p.Changes)
	}
	for _, text := range []string{"sep=|\r\nunit|date\r\nn1|2026-03-01\r\n", "unit,date\rn1,2026-03-01\r", "unit,date\nn1,1 March 2026\n", "unit,date\nn1,\"Mar 1, 2026\"\n", "unit,date\nn1,2026/3/1\n", "unit,date\nn1,2026-03-01 00:00:00\n"} {
		l := read(t, text, Options{})
		if b := l.burns[0].V; b.Unit != "n1" || b.On != date.MustDay(2026, 3, 1) {
			t.Errorf("%q: %+v", text, b)
		}
	}
	if l := read(t, "sep=;\nunit;date\nn1;2026-03-01\n", Options{}); l.burns[0].row.line != 3 {
		t.Errorf("line %d", l.burns[0].row.line)
	}
	if l := read(t, "unit\tdate\nn1\t2026-03-01\n", Options{}); l.Kind != Burns || !strings.Contains(l.Told, "tabs") {
		t.Errorf("%s: %s", l.Kind, l.Told)
	}
}

func TestEveryUnitColumnIsRead(t *testing.T) {
	l := read(t, `unit,acres,min_interval,max_interval,seasons,burn_days,cost,mix,refuge,cover,prescription,estimated_age,estimated_in,notes
n3,38.5,2,3,dormant:0;early-growing:1.5,0.5,1150.25,savanna,meadow,old field,grass,4,2025,"two
lines"
`, Options{})
	age := 4
	want := habitat.Unit{ID: "n3", Acres: 38.5, Interval: habitat.Interval{Min: 2, Max: 3},
		Seasons: []habitat.SeasonChoice{{Season: "dormant"}, {Season: "early-growing", Penalty: 1.5}}, BurnDays: 0.5, Cost: 115025,
		Mix: "savanna", Refuge: "meadow", Cover: "old field", Prescription: "grass", EstimatedAge: &age, EstimatedIn: 2025, Notes: "two\nlines"}
	p := plan(t, property(t), l)
	if diff := cmp.Diff(want, *p.Changes[0].Unit); diff != "" {
		t.Error(diff)
	}
}

func TestEveryBurnColumnIsRead(t *testing.T) {
	l := read(t, `unit,date,through,kind,acres,purpose,ignition,start,end,fuel_moisture,soil_moisture,crew,permit,notified,consumed,top_killed,escapes,mop_up_end,notes,reading_at,temp_f,rh_pct,wind_mph,wind_from
n1,2026-03-01,2026-03-02,Wildfire,30.5,quail,ring,11:00,3:30 PM,dry,damp,four,17-a,fire department at 08:00; clinic,0.8,0.5,none,2026-03-02 18:00,"a, b",12:00,61,38.5,7,SW
`, Options{})
	p := plan(t, property(t), l)
	share := func(s quantity.Share) *quantity.Share { return &s }
	temp, rh, wind, from := quantity.Fahrenheit(61), quantity.Percent(38.5), quantity.MilesPerHour(7), quantity.Bearing(225)
	want := habitat.BurnRecord{Unit: "n1", On: date.MustDay(2026, 3, 1), Through: date.MustDay(2026, 3, 2), Kind: habitat.Wildfire, Acres: 30.5, HasAcres: true,
		Purpose: "quail", Ignition: "ring", Start: "11:00", End: "15:30", FuelMoisture: "dry", SoilMoisture: "damp", Crew: "four", Permit: "17-a",
		Notified: []habitat.Notification{{Who: "fire department", At: "08:00"}, {Who: "clinic"}}, Consumed: share(0.8), TopKilled: share(0.5), Escapes: "none",
		MopUpEnd: "2026-03-02 18:00", Notes: "a, b", Readings: []habitat.Reading{{At: "12:00", Temperature: &temp, Humidity: &rh, Wind: &wind, WindFrom: &from}}}
	if diff := cmp.Diff(want, *p.Changes[0].Burn); diff != "" {
		t.Error(diff)
	}
	if len(l.Ignored) > 0 {
		t.Errorf("%v", l.Ignored)
	}
}

func TestFaults(t *testing.T) {
	const head = "unit,acres,min_interval,max_interval\n"
	const needs = "; accepts the columns unit, date, through, kind, acres, purpose, ignition, start, end, fuel_moisture, soil_moisture, crew, permit, notified, consumed, top_killed, escapes, mop_up_end, notes, reading_at, temp_f, rh_pct, wind_mph, wind_from, readings"
	for _, c := range []struct {
		name, text string
		opts       Options
		want       string
	}{
		{"decimal comma", head + "n3,\"38,5\",2,3\n", Options{}, `f.csv:2:acres: "38,5" is not a number; accepts acres above 0, such as 38.5` + "\nhint: write a decimal point: 38.5"},
		{"thousands", head + "n3,\"1,150.5\",2,3\n", Options{}, `f.csv:2:acres: "1,150.5" is not a number; accepts acres above 0, such as 38.5` + "\nhint: leave the commas between thousands away"},
		{"unit of measure", head + "n3,38.5 ac,2,3\n", Options{}, `f.csv:2:acres: "38.5 ac" is not a number; accepts acres above 0, such as 38.5` + "\nhint: leave all but the number away: 38.5"},
		{"blank in a number", head + "n3,1\u00a0150.5,2,3\n", Options{}, `f.csv:2:acres: "1\u00a0150.5" is not a number; accepts acres above 0, such as 38.5` + "\nhint: leave what parts the thousands away: 1150.5"},
		{"too many columns", "unit" + strings.Repeat(",", 3000) + "\n", Options{}, "f.csv:1: the line has 3001 values; accepts up to 2000 columns"},
		{"dash for nothing", head + "n3,-,2,3\n", Options{}, `f.csv:2:acres: "-" is not a number; accepts acres above 0, such as 38.5` + "\nhint: if it stands for nothing, say --values acres:-="},
		{"half a cent", "unit,acres,min_interval,max_interval,cost\nn3,5,2,3,10.005\n", Options{}, `f.csv:2:cost: "10.005" is not an amount of money; accepts dollars with at most two decimals, such as 1150 or 1150.50`},
		{"zero acres", head + "n3,0,2,3\n", Options{}, `f.csv:2:acres: "0" acres cannot burn; accepts an area above 0, up to 1e9 acres`},
		{"negative acres", head + "n3,-5,2,3\n", Options{}, `f.csv:2:acres: "-5" acres cannot burn; accepts an area above 0, up to 1e9 acres`},
		{"NaN acres", head + "n3,NaN,2,3\n", Options{}, `f.csv:2:acres: "NaN" is not a number; accepts acres above 0, such as 38.5` + "\nhint: if it stands for nothing, say --values acres:NaN="},
		{"more acres than land", head + "n3,2e9,2,3\n", Options{}, `f.csv:2:acres: "2e9" acres cannot burn; accepts an area above 0, up to 1e9 acres`},
		{"more burn days than a year", "unit,acres,min_interval,max_interval,burn_days\nn3,5,2,3,1e308\n", Options{}, `f.csv:2:burn_days: 1e+308 is not a number of days; accepts 0 to 366 days`},
		{"overflow", head + "n3,1e309,2,3\n", Options{}, `f.csv:2:acres: "1e309" is not a number; accepts acres above 0, such as 38.5`},
		{"min above max", head + "n3,5,4,3\n", Options{}, "f.csv:2:max_interval: 3 is below min_interval 4; accepts 4 or more"},
		{"fraction of years", head + "n3,5,2.5,3\n", Options{}, `f.csv:2:min_interval: "2.5" is not a whole number; accepts a whole number of years, 1 or more`},
		{"zero years", head + "n3,5,0,3\n", Options{}, "f.csv:2:min_interval: 0 is not a number of years; accepts 1 to 200 years"},
		{"empty name", head + ",5,2,3\n", Options{}, "f.csv:2:unit: is empty; accepts a value"},
		{"name too long", head + strings.Repeat("x", 201) + ",5,2,3\n", Options{}, "f.csv:2:unit: has 201 characters; accepts a name of 1 to 200 characters without control characters or blanks at its ends"},
		{"escape in a name", head + "n\x1b[31m,5,2,3\n", Options{}, `f.csv:2:unit: "n\x1b[31m" holds a control character; accepts text on one line without control characters`},
		{"twice", head + "n3,5,2,3\nn4,6,2,3\nn3,7,2,3\n", Options{}, `f.csv:4:unit: unit "n3" stands in the list already, on line 2; accepts each unit once` + "\nhint: if these are parts of one unit, --merge adds them up"},
		{"unknown season", head[:len(head)-1] + ",seasons\nn3,5,2,3,dormnt\n", Options{}, `f.csv:2:seasons: "dormnt" is not a season of this property; accepts seasons of the property: dormant, early-growing`},
		{"bad penalty", head[:len(head)-1] + ",seasons\nn3,5,2,3,dormant:x\n", Options{}, `f.csv:2:seasons: "x" is not a penalty of season "dormant"; accepts seasons such as dormant or dormant:0;early-growing:1, a name and its penalty`},
		{"unknown mix", head[:len(head)-1] + ",mix\nn3,5,2,3,savana\n", Options{}, `f.csv:2:mix: "savana" is not a mix of this property; accepts a mix of the property's settings`},
		{"new units without intervals", "unit,acres\nn3,5\nn4,5\n", Options{}, "f.csv:1: 2 units are new, and the list does not say how often they burn; accepts a column every, such as 2-3, or min_interval and max_interval\nhint: --set every=2-3 says it of all of them"},
		{"new units without a longest interval", "unit,acres,min_interval\nn3,5,2\nn4,5,2\n", Options{}, "f.csv:1:max_interval: 2 units are new, and the list does not say their max_interval; accepts this column for units that are not there yet\nhint: --set max_interval=3 says it of all of them"},
		{"one interval empty", head + "n3,5,2,\nn4,5,2,3\n", Options{}, `f.csv:2:max_interval: is empty, and unit "n3" is new; accepts a value`},
		{"duplicate header", "unit,Acres,acres,min_interval\nn3,1,2,3\n", Options{}, `f.csv:1:acres: "acres" is the name of columns 2 and 3; accepts each column once`},
		{"no header", "n3,5,2,3\nn4,6,2,3\n", Options{}, `f.csv:1: the header "n3, 5, 2, 3" fits no list; accepts pairs (unit_a, unit_b); contracts (contract and one of practice_code, practice_name, standard_date, applied_from, fiscal_year, acres, feet); locks (unit, program_year, what); burns (unit, date); units (unit and one of acres, min_interval, max_interval, last_burned, farm, tract, field_number)` + "\nhint: map foreign headers, such as --columns unit=n3"},
		{"text of another kind", "root:x:0\nme,you:x:1\n", Options{}, `f.csv:1: the header "root:x:0" fits no list; accepts ` + acceptsKinds() + "\nhint: map foreign headers, such as --columns unit=root:x:0"},
		{"only a unit", "unit\nn1\n", Options{}, `f.csv:1: the header "unit" fits no list; accepts ` + acceptsKinds()},
		{"only a quote", "\"\n", Options{}, `f.csv:1: a double quote is opened and not closed where the value ends; accepts double quotes in pairs, and "" for a quote inside them`},
		{"only a header", head, Options{}, "f.csv: the list has no rows; accepts one row or more below the header"},
		{"cut off", head + "n3,5,2,3\nn4,6", Options{}, "f.csv:3: the row has 2 values; accepts 4 values, as many as the header has\nhint: the file may be cut off here"},
		{"too many values", head + "n3,38,5,2,3\n", Options{}, "f.csv:2: the row has 5 values; accepts 4 values, as many as the header has\nhint: put a value that holds a separator in double quotes; write numbers with a decimal point"},
		{"open quote", head + "n3,\"5,2,3\nn4,6,2,3\n", Options{}, `f.csv:2: a double quote is opened and not closed where the value ends; accepts double quotes in pairs, and "" for a quote inside them`},
		{"quote inside", head + "n\"3,5,2,3\n", Options{}, `f.csv:2: a double quote is opened and not closed where the value ends; accepts double quotes in pairs, and "" for a quote inside them`},
		{"quotes inside", head + "n\"3\",5,2,3\n", Options{}, `f.csv:2: a double quote stands in the middle of a value (column 2); accepts double quotes in pairs, and "" for a quote inside them`},
		{"empty", "", Options{}, "f.csv: is empty; accepts a CSV table in UTF-8 with a header row"},
		{"half of UTF-16", "\xff\xfeu\x00n", Options{}, "f.csv: is UTF-16 text; accepts a CSV table in UTF-8 with a header row\nhint: save it as UTF-8"},
		{"binary", "unit\x00\x01\x02acres", Options{}, "f.csv:1: is a binary file; accepts a CSV table in UTF-8 with a header row"},
		{"no encoding at all", head + "R\x81o,5,2,3\n", Options{}, "f.csv:2: holds bytes that are not UTF-8; accepts a CSV table in UTF-8 with a header row\nhint: the file may be in an older Windows or Mac encoding; save it as UTF-8"},
		{"mapped header that is not there", head, Options{Columns: map[string]string{"unit": "Watershed"}}, `f.csv:1:unit: no column is named "Watershed"; accepts one of unit, acres, min_interval, max_interval`},
		{"mapped column that is unknown", head + "n3,5,2,3\n", Options{Columns: map[string]string{"acers": "acres"}}, `--columns: "acers" is not a column of a list of units; accepts unit, acres, min_interval, max_interval, seasons, burn_days, cost, mix, refuge, cover, prescription, estimated_age, estimated_in, notes, owned_from, owned_until, farm, tract, field_number, section, every, last_burned` + "\nhint: did you mean acres?"},
		{"a kind that does not fit", head + "n3,5,2,3\n", Options{Kind: Burns}, "f.csv:1:date: a list of burns needs this column" + needs},

		{"US date", "unit,date\nn1,3/5/2024\n", Options{}, `f.csv:2:date: "3/5/2024" is not a date; accepts a date as YYYY-MM-DD` + "\nhint: say with --dates mdy or --dates dmy which of month and day comes first"},
		{"number of a day", "unit,date\nn1,45366\n", Options{}, `f.csv:2:date: "45366" is not a date; accepts a date as YYYY-MM-DD` + "\nhint: this may be a spreadsheet's number of a day; give the column the form of a date before saving"},
		{"30 February", "unit,date\nn1,2024-02-30\n", Options{}, `f.csv:2:date: "2024-02-30" is not a date; accepts a date as YYYY-MM-DD`},
		{"month 15", "unit,date\nn1,15/3/2024\n", Options{Dates: MonthFirst}, `f.csv:2:date: "15/3/2024" is not a date; accepts a date as M/D/YYYY or YYYY-MM-DD`},
		{"future burn", "unit,date\nn1,2027-03-01\n", Options{}, "f.csv:2:date: 2027-03-01 is in the future; accepts a date up to 2027-01-20\nf.csv:2:through: 2027-03-01 is in the future; accepts a date up to 2027-01-20"},
		{"unknown unit", "unit,date\nnn1,2026-03-01\nm9,2026-03-01\n", Options{}, `f.csv:2:unit: there is no unit "nn1"; accepts a unit of the property` + "\nhint: did you mean n1?\n" + `f.csv:3:unit: there is no unit "m9"; accepts a unit of the property`},
		{"unknown kind", "unit,date,kind\nn1,2026-03-01,PP\n", Options{}, `f.csv:2:kind: "PP" is none of the words for this; accepts prescribed, wildfire, attempt, mowing, disking, herbicide, grazing`},
		{"more acres than the unit", "unit,date,acres\nn1,2026-03-01,50\n", Options{}, "f.csv:2:acres: 50.0 is more than the unit has; accepts up to the unit's 40.0 acres\nhint: where the unit was larger once, --cap-acres takes it as the whole unit"},
		{"end before start", "unit,date,start,end\nn1,2026-03-01,14:00,11:00\n", Options{}, "f.csv:2:end: 11:00 is before the start; accepts a time after 14:00"},
		{"time that is none", "unit,date,mop_up_end\nn1,2026-03-01,evening\n", Options{}, `f.csv:2:mop_up_end: "evening" is not a time; accepts a local time as YYYY-MM-DD HH:MM`},
		{"share of a hundred", "unit,date,consumed\nn1,2026-03-01,80\n", Options{}, `f.csv:2:consumed: "80" is not a share; accepts a share of 0 to 1, such as 0.8` + "\nhint: if it is a percentage, write 0.8"},
		{"no direction", "unit,date,wind_from\nn1,2026-03-01,400\n", Options{}, `f.csv:2:wind_from: "400" is not a direction; accepts where the wind comes from: a compass point such as SW, or degrees from 0 to 360`},
		{"impossible humidity", "unit,date,rh_pct\nn1,2026-03-01,134\n", Options{}, "f.csv:2:rh_pct: 134 is outside what is possible; accepts 0 to 100 percent"},
		{"one burn twice", "unit,date\nn1,2026-03-01\nn1,2026-03-01\n", Options{}, `f.csv:3:date: a prescribed burn of "n1" on 2026-03-01 stands in the list already, on line 2; accepts each burn once` + "\nhint: if these are parts of one burn, --merge adds their acres up"},
		{"wildfire on a burn day", "unit,date,through,kind\nn1,2026-03-01,2026-03-03,prescribed\nn1,2026-03-02,,wildfire\n", Options{}, `f.csv:3:date: a prescribed burn of "n1" from 2026-03-01 to 2026-03-03 may be the same fire; accepts burns of one unit that do not overlap` + "\nhint: say --doubles skip or --doubles add to settle it"},

		{"pair with itself", "unit_a,unit_b,kind\nn1,n1,apart\n", Options{}, `f.csv:2:unit_b: unit "n1" is paired with itself; accepts two different units`},
		{"pair twice", "unit_a,unit_b,kind\nn1,n2,apart\nn2,n1,neighbors\n", Options{}, `f.csv:3: "n1" and "n2" are paired already, on line 2; accepts each pair once, in either order`},
		{"kind of pair", "unit_a,unit_b,kind\nn1,n2,apartt\n", Options{}, `f.csv:2:kind: "apartt" is none of the words for this; accepts apart, neighbors` + "\nhint: did you mean apart?"},
		{"lock twice", "unit,program_year,what\nn1,2028,burn\nn1,2028,rest\n", Options{}, `f.csv:3: "n1" is locked in 2028 already, on line 2; accepts one lock for a unit and program year`},
		{"season of a rest", "unit,program_year,what,season\nn1,2028,rest,dormant\n", Options{}, "f.csv:2:season: a rest has no season; accepts a season for a locked burn only"},
		{"lock in no season", "unit,program_year,what,season\nn1,2028,burn,summer\n", Options{}, `f.csv:2:season: "summer" is not a season of this property; accepts dormant and early-growing`},
		{"year that is none", "unit,program_year,what\nn1,28.5,burn\n", Options{}, `f.csv:2:program_year: "28.5" is not a whole number; accepts a program year such as 2027`},
		{"month of fiscal years", "contract,fiscal_year_starts,practice_code,practice_name,unit,fiscal_year,acres\nc,octember,338,Burning,n1,2028,10\n", Options{}, `f.csv:2:fiscal_year_starts: "octember" is not a month; accepts the name of a month, such as "july"; empty for October, the federal fiscal year`},
		{"fiscal year that is none", "contract,practice_code,practice_name,unit,fiscal_year,acres\nc,338,Burning,n1,20280,10\n", Options{}, `f.csv:2:fiscal_year: "20280" is not a fiscal year of a contract; accepts a fiscal year of four digits, 1990 to 2100, such as 2027`},
		{"contract that plans nothing", "contract,practice_code,practice_name,unit,fiscal_year,acres\nc,338,Burning,n1,2028,\n", Options{}, "f.csv:2:acres: the row plans nothing; accepts planned acres, or feet"},
		{"GeoJSON that is cut off", `{"type": "FeatureCollection", "features": [`, Options{}, "f.csv:1: the JSON ends too early; accepts GeoJSON (RFC 7946)\nhint: the file may be cut off"},
		{"self-crossing polygon", `{"type":"Feature","properties":{"unit":"b"},"geometry":{"type":"Polygon","coordinates":[[[0,0],[1,1],[1,0],[0,1],[0,0]]]}}`, Options{}, "f.csv:1:feature 1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := tryBoth(t, property(t), c.text, c.opts)
			if err == nil {
				t.Fatal("accepted")
			}
			if got := err.Error(); got != c.want && !(len(c.want) < 20 && strings.HasPrefix(got, c.want)) {
				t.Errorf("\n got %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestTwentyFaultsAreShown(t *testing.T) {
	text := "unit,acres,min_interval,max_interval\n"
	for i := range 50 {
		text += fmt.Sprintf("u%d,x,2,3\n", i)
	}
	lines := strings.Split(tryBoth(t, property(t), text, Options{}).Error(), "\n")
	if last := lines[len(lines)-1]; last != "and 30 more errors" {
		t.Error(last)
	}
}

func TestForeignListIsMapped(t *testing.T) {
	columns, err := ParseColumns(`unit=Watershed, date=Date,kind=Type,"notes=Former, name",acres=`)
	if err != nil {
		t.Fatal(err)
	}
	values, err := ParseValues("kind:PP=prescribed,wu=wildfire")
	if err != nil {
		t.Fatal(err)
	}
	l := read(t, "Watershed,\"Former, name\",acres,Date,Type\nn1 ,old one,999,4/7/2020,PP \nn2,,1,2020-04-08,Wu\n", Options{Columns: columns, Values: values, Dates: MonthFirst})
	if l.Told != "burns, told by the columns unit (Watershed) and date; CSV with commas" || cmp.Diff([]string{"acres"}, l.Ignored) != "" {
		t.Error(l.Told, l.Ignored)
	}
	p := plan(t, property(t), l)
	want := []habitat.BurnRecord{
		{Unit: "n1", On: date.MustDay(2020, 4, 7), Through: date.MustDay(2020, 4, 7), Kind: habitat.Prescribed, Notes: "old one"},
		{Unit: "n2", On: date.MustDay(2020, 4, 8), Through: date.MustDay(2020, 4, 8), Kind: habitat.Wildfire},
	}
	if diff := cmp.Diff(want, []habitat.BurnRecord{*p.Changes[0].Burn, *p.Changes[1].Burn}); diff != "" {
		t.Error(diff)
	}
}

func TestMappingsThatCannotBeRead(t *testing.T) {
	for _, text := range []string{"unit", "=Watershed", "unit=a,unit=b", `"unit=a`} {
		if got, err := ParseColumns(text); err == nil {
			t.Errorf("columns %q: %v", text, got)
		}
	}
	for _, text := range []string{"kind", ":a=b", "kind:PP", `kind:"a=b`} {
		if got, err := ParseValues(text); err == nil {
			t.Errorf("values %q: %v", text, got)
		}
	}
}

func TestPartsAreMerged(t *testing.T) {
	l := read(t, "unit,date,acres,notes,part\nn1,2026-03-01,10,north,a\nn1,2026-03-01,12.5,south,b\nn1,2026-03-01,10,north,a\nn2,2026-03-01,5,,\nn2,2026-03-01,,,\n", Options{Merge: true})
	p := plan(t, property(t), l)
	if len(p.Changes) != 2 || p.Changes[0].Burn.Acres != 22.5 || p.Changes[0].Burn.Notes != "north; south" {
		t.Errorf("%+v", p.Changes)
	}
	if p.Changes[1].Burn.HasAcres {
		t.Error("a part without acres covered the unit, and so did the whole")
	}
	if len(p.Notes) != 1 || !strings.Contains(p.Notes[0].String(), "f.csv:4: the row repeats another") {
		t.Errorf("%v", p.Notes)
	}
	units := read(t, "unit,acres,min_interval,max_interval\nn3,10,2,3\nn3,5.5,2,3\n", Options{Merge: true})
	if p := plan(t, property(t), units); p.Changes[0].Unit.Acres != 15.5 {
		t.Errorf("%+v", p.Changes[0].Unit)
	}
}

func TestFaultyRowsAreLeftOutWhenAsked(t *testing.T) {
	cur := property(t)
	opts := Options{LeaveOut: true}
	units := read(t, "unit,acres,min_interval,max_interval\nn3,x,2,3\nn4,5,2,3\nn5,5,9,3\n", opts)
	burns := read(t, "unit,date\nn5,2026-03-01\nn4,2026-03-01\nn9,2026-03-01\n", opts)
	p := plan(t, cur, burns, units)
	if got := p.Summary(); cmp.Diff([]string{"units: 1 added", "burns: 1 added"}, got) != "" {
		t.Error(got)
	}
	want := `f.csv:2:acres: "x" is not a number; accepts acres above 0, such as 38.5
hint: if it stands for nothing, say --values acres:x=
f.csv:4:max_interval: 3 is below min_interval 9; accepts 9 or more
f.csv:2:unit: unit "n5" was left out
f.csv:4:unit: there is no unit "n9"; accepts a unit of the property
hint: did you mean n1, n2 or n4?`
	if got := p.LeftOut.Error(); got != want {
		t.Errorf("\n got %s\nwant %s", got, want)
	}
}

// A list of which every row is faulty is refused as any other, with twenty faults.
func TestNothingIsLeftOutOfAListThatIsFaultyWhole(t *testing.T) {
	text := "unit,acres,min_interval,max_interval\n"
	for i := range 300 {
		text += fmt.Sprintf("n%d,x,2,3\n", i+10)
	}
	_, err := Read(t.Context(), []byte(text), "f.csv", Options{LeaveOut: true})
	var all *source.List
	if !errors.As(err, &all) || len(all.Errors) != source.MaxShown || all.More != 300-source.MaxShown {
		t.Errorf("got %v", err)
	}
}

func TestChangesShowOldAndNew(t *testing.T) {
	cur := property(t)
	cur.Pairs = []habitat.Pair{{A: "n1", B: "n2", Kind: habitat.Apart, SharedFeet: 100}}
	cur.Locks = []habitat.Lock{{Unit: "n1", Year: 2028, Burn: true}}
	cur.Records = []habitat.BurnRecord{{ID: 7, Unit: "n1", On: date.MustDay(2026, 3, 1), Through: date.MustDay(2026, 3, 2), Kind: habitat.Prescribed, Crew: "four"}}
	for _, c := range []struct {
		text string
		want []string
	}{
		{"unit,acres,max_interval\nn1,41,4\n", []string{"acres: 40 → 41", "max_interval: 3 → 4"}},
		{"unit,acres,cover\nn1,40,prairie\n", []string{"cover: none → prairie"}},
		{"unit_a,unit_b,kind\nn2,n1,neighbors\n", []string{"kind: apart → neighbors"}},
		{"unit,program_year,what,season\nn1,2028,burn,dormant\n", []string{"season: none → dormant"}},
		{"unit,date,acres,crew\nn1,2026-03-01,30,\n", []string{"acres: none → 30", "crew: four → none"}},
	} {
		p := plan(t, cur, read(t, c.text, Options{}))
		var got []string
		for _, change := range p.Changes {
			if change.Action == Changed {
				for _, f := range change.Fields {
					got = append(got, f.String())
				}
			}
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%q:\n%s", c.text, diff)
		}
	}
	// What a list does not say stays: the second day of the burn, its id.
	p := plan(t, cur, read(t, "unit,date,acres\nn1,2026-03-01,30\n", Options{}))
	if b := p.Changes[0].Burn; b.ID != 7 || b.Through != date.MustDay(2026, 3, 2) || b.Crew != "four" {
		t.Errorf("%+v", b)
	}
}

func TestReadingsOfARecordStay(t *testing.T) {
	cur := property(t)
	temp, rh := quantity.Fahrenheit(61), quantity.Percent(40)
	cur.Records = []habitat.BurnRecord{{ID: 7, Unit: "n1", On: date.MustDay(2026, 3, 1), Through: date.MustDay(2026, 3, 1), Kind: habitat.Prescribed,
		Readings: []habitat.Reading{{At: "11:00", Temperature: &temp}, {At: "13:00", Humidity: &rh}}}}
	p := plan(t, cur, read(t, "unit,date,rh_pct\nn1,2026-03-01,35\n", Options{}))
	b := p.Changes[0].Burn
	if len(b.Readings) != 2 || b.Readings[0].At != "11:00" || *b.Readings[0].Temperature != 61 || *b.Readings[0].Humidity != 35 || *b.Readings[1].Humidity != 40 {
		t.Errorf("%+v", b.Readings)
	}
	if cur.Records[0].Readings[0].Humidity != nil {
		t.Error("the record itself was changed")
	}
}

func TestDoublesAreSettledAsAsked(t *testing.T) {
	cur := property(t)
	cur.Records = []habitat.BurnRecord{{ID: 7, Unit: "n1", On: date.MustDay(2026, 3, 1), Through: date.MustDay(2026, 3, 2), Kind: habitat.Prescribed}}
	l := read(t, "unit,date,kind\nn1,2026-03-02,prescribed\nn1,2026-03-02,attempt\n", Options{})
	for doubles, want := range map[Doubles]string{Ask: "", Skip: "burns: 1 added, 1 skipped", Add: "burns: 2 added"} {
		p, err := MakePlan(cur, []*List{l}, PlanSettings{Today: today, Doubles: doubles})
		switch {
		case want == "" && err == nil:
			t.Error("a double was taken without asking")
		case want != "" && (err != nil || strings.Join(p.Summary(), "; ") != want):
			t.Errorf("%q: %v, want %s", doubles, err, want)
		}
	}
}

func TestAcresAreCappedWhenAsked(t *testing.T) {
	p := plan(t, property(t), read(t, "unit,date,acres\nn1,2026-03-01,50\nn2,2026-03-01,5\n", Options{CapAcres: true}))
	if p.Changes[0].Burn.Acres != 40 || p.Changes[1].Burn.Acres != 5 || len(p.Notes) != 1 || !strings.Contains(p.Notes[0].String(), `f.csv:2:acres: 50 acres are more than unit "n1" has; taken as all 40 of it`) {
		t.Errorf("%+v %v", p.Changes, p.Notes)
	}
}

// TestGuardedTextComesBack reads names as tables write them for spreadsheets.
func TestGuardedTextComesBack(t *testing.T) {
	p := plan(t, property(t), read(t, "unit,acres,min_interval,max_interval,cover,notes\n'=1+1,5,2,3,'＝x,'@a\n'tis,5,2,3,-y,\n", Options{}))
	if u := p.Changes[0].Unit; u.ID != "=1+1" || u.Cover != "＝x" || u.Notes != "@a" {
		t.Errorf("%+v", u)
	}
	if u := p.Changes[1].Unit; u.ID != "'tis" || u.Cover != "-y" {
		t.Errorf("%+v", u)
	}
}

func TestNamesThatAreNearlyTheSameAreTold(t *testing.T) {
	p := plan(t, property(t), read(t, "unit,acres,min_interval,max_interval\nN1,5,2,3\nold field,5,2,3\nOld-Field,5,2,3\nn2,20,2,3\ne\u0301clair,7,2,3\n\u00e9clair,8,2,3\n", Options{}))
	var got []string
	for _, n := range p.Notes {
		if n.Kind == ground.Repeated || strings.Contains(n.String(), "taken for") {
			got = append(got, n.String())
		}
	}
	want := []string{`f.csv:2:unit: unit "N1" is taken for "n1": the names differ only in case`, `f.csv:4:unit: units "old field" and "Old-Field" differ in case, blanks or dashes alone; are they one?`,
		"f.csv:7:unit: units \"e\u0301clair\" and \"\u00e9clair\" differ only in how Unicode spells their letters; are they one?"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

const oneSquare = `{"type":"FeatureCollection","features":[
{"type":"Feature","properties":{"unit":"n1","acres":%s,"min_interval":2,"max_interval":3},"geometry":{"type":"Polygon","coordinates":[[[-97.0,36.9],[-96.995,36.9],[-96.995,36.904],[-97.0,36.904],[-97.0,36.9]]]}}]}`

func TestShapesGiveTheAcres(t *testing.T) {
	cur := property(t)
	p := plan(t, cur, read(t, fmt.Sprintf(oneSquare, "48"), Options{}))
	u := p.Changes[0].Unit
	if u.StatedAcres != 48 || !(u.Acres > 48.8 && u.Acres < 48.9) || p.Changes[0].Shape == nil {
		t.Errorf("%+v", u)
	}
	if notes := fmt.Sprint(p.Notes); !strings.Contains(notes, "48") {
		t.Errorf("a stated figure 1.7 percent off is not told: %s", notes)
	}
	// The control: within one percent nothing is said.
	if p := plan(t, cur, read(t, fmt.Sprintf(oneSquare, "48.7"), Options{})); strings.Contains(fmt.Sprint(p.Notes), "48.7") {
		t.Errorf("%v", p.Notes)
	}
	// The same ground with seven decimals, and its own acres in a table, change
	// nothing.
	cur.Units[0], cur.Shapes["n1"] = *u, *p.Changes[0].Shape
	near := strings.Replace(fmt.Sprintf(oneSquare, "48"), "-96.995,36.9]", "-96.99500004,36.89999996]", 1)
	if p := plan(t, cur, read(t, near, Options{})); !p.IsIdle() {
		t.Errorf("%+v", p.Changes[0])
	}
	far := strings.Replace(fmt.Sprintf(oneSquare, "48"), "-96.995,36.9]", "-96.9949,36.9]", 1)
	if p := plan(t, cur, read(t, far, Options{})); p.IsIdle() || p.Changes[0].Shape == nil {
		t.Error("a shape drawn anew was taken for the same")
	}
	if p := plan(t, cur, read(t, fmt.Sprintf("unit,acres\nn1,%.3f\n", float64(u.Acres)), Options{})); !p.IsIdle() {
		t.Errorf("%+v", p.Changes[0])
	}
	// A table that states acres later does not change those of the shape.
	cur.Units[0], cur.Shapes["n1"] = *u, *p.Changes[0].Shape
	p = plan(t, cur, read(t, "unit,acres\nn1,60\n", Options{}))
	if got := p.Changes[0].Unit; got.Acres != u.Acres || got.StatedAcres != 60 || !strings.Contains(fmt.Sprint(p.Notes), "22.7 percent apart") {
		t.Errorf("%+v %v", got, p.Notes)
	}
}

func TestDemoIsReadWhole(t *testing.T) {
	for _, folder := range []string{"tamsel-bend", "pennywhistle-place", "nine-gate"} {
		root := filepath.Join("..", "..", "testdata", "demo", folder)
		text, err := os.ReadFile(filepath.Join(root, "settings.toml"))
		if err != nil {
			t.Fatal(err)
		}
		p, err := settings.Parse(text, "settings.toml")
		if err != nil {
			t.Fatal(err)
		}
		var lists []*List
		for _, name := range []string{"burns.csv", "units.geojson", "pairs.csv", "places.geojson", "locks.csv", "contract.csv"} {
			l, err := ReadFile(context.Background(), filepath.Join(root, name), Options{})
			if os.IsNotExist(err) {
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			lists = append(lists, l)
		}
		got, err := MakePlan(&Current{Property: p}, lists, PlanSettings{Today: today})
		if err != nil || got.Count(Units, Added) < 4 || got.Count(Burns, Added) < 3 || got.Count(Pairs, Added) < 4 {
			t.Errorf("%s: %v %v", folder, err, got.Summary())
		}
	}
}

// A list that goes on is refused at a row count, wherever it comes from, not read for
// minutes; as many rows as may be are read.
func TestListsAreBounded(t *testing.T) {
	head := "unit,acres,min_interval,max_interval\n"
	line := "A,10,2,3\n"
	for _, rows := range []int{mostRows, mostRows + 1} {
		var faults source.List
		s := readCSV([]byte(head+strings.Repeat(line, rows)), "long.csv", &faults)
		switch {
		case rows == mostRows && (s == nil || len(s.rows) != mostRows):
			t.Errorf("%d rows: %v", rows, faults.Err())
		case rows > mostRows && (s != nil || len(faults.Errors) != 1 || faults.Errors[0].Line != mostRows+2 || !strings.Contains(faults.Errors[0].Found, "past 100,000 rows")):
			t.Errorf("%d rows: %v", rows, faults.Err())
		}
	}
	_, err := Read(t.Context(), []byte(head+strings.Repeat(line, mostRows+1)), "long.csv", Options{})
	if err == nil || !strings.HasPrefix(err.Error(), "long.csv:100002: the list goes on past 100,000 rows; accepts up to so many in one file") {
		t.Errorf("Read gives %v", err)
	}
}
