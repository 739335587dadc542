package prescription

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"

	"github.com/google/go-cmp/cmp"
)

// between is the range from lo to hi.
func between[Q ~float64 | ~int](lo, hi Q) Range[Q] {
	return Range[Q]{Min: lo, Max: hi, HasMin: true, HasMax: true}
}

// example is the example of the format's description.
const example = `{"format": "prescription/1", "name": "grass, dormant",
 "temp_f": [35, 85], "rh_pct": [25, 55], "wind_mph": [3, 15], "wind_height": "10-m",
 "wind_from_deg": [[225, 45]], "fuel_moisture_pct": null, "days_since_rain": {"inches": 0.1, "min": 1, "max": 10},
 "dry_hour": true, "burn_hours": ["09:00", "18:00"], "daylight_only": false, "min_hours": 3}`

func TestReadExample(t *testing.T) {
	got, err := Read("p.json", strings.NewReader(example))
	if err != nil {
		t.Fatal(err)
	}
	want := &Prescription{Name: "grass, dormant",
		Temperature: between[quantity.Fahrenheit](35, 85), Humidity: between[quantity.Percent](25, 55),
		Wind: between[quantity.MilesPerHour](3, 15), WindHeight: At10Meters, WindFrom: []Sector{{225, 45}},
		SinceRain: &SinceRain{0.1, between(1, 10)}, DryHour: true, BurnHours: Clock{540, 1080}, MinHours: 3}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	first, last := got.BurnHours.Labels()
	if first != 10 || last != 18 {
		t.Errorf("09:00 to 18:00 holds labels %d to %d, want 10 to 18", first, last)
	}
}

func TestMistakes(t *testing.T) {
	with := func(key, value string) string {
		return `{"format": "prescription/1", "name": "x",` + "\n" + `"` + key + `": ` + value + `}`
	}
	for _, c := range []struct{ name, text, want string }{
		{"crossed", with("temp_f", "[85, 35]"), "p.json:2:temp_f: the limits cross: 85 is above 35; accepts the lower limit first"},
		{"crossed days", with("days_since_rain", `{"inches": 0.1, "min": 5, "max": 2}`), "p.json:2:days_since_rain: the limits cross: 5 is above 2; accepts min up to max"},
		{"no depth", with("days_since_rain", `{"min": 5}`), "p.json:2:days_since_rain.inches: the key is not there; accepts the depth of rain that counts"},
		{"no hours", with("burn_hours", `["18:00", "18:00"]`), `p.json:2:burn_hours: no whole hour lies in 18:00 to 18:00; accepts two times such as ["09:00", "18:00"], or ["20:00", "04:00"] across midnight`},
		{"no whole hour of a night", with("burn_hours", `["23:30", "00:20"]`), `p.json:2:burn_hours: no whole hour lies in 23:30 to 00:20 the next day; accepts two times such as ["09:00", "18:00"], or ["20:00", "04:00"] across midnight`},
		{"a night too short", with("burn_hours", `["22:00", "02:00"], "min_hours": 5`), "p.json:2:min_hours: 5 hours do not fit into 22:00 to 02:00 the next day; accepts up to 4, the whole hours in burn_hours"},
		{"no whole hour", with("burn_hours", `["09:30", "10:15"]`), `p.json:2:burn_hours: no whole hour lies in 09:30 to 10:15; accepts two times such as ["09:00", "18:00"], or ["20:00", "04:00"] across midnight`},
		{"a time", with("burn_hours", `["9", "18:00"]`), `p.json:2:burn_hours[0]: "9" is not a time of day; accepts two times such as ["09:00", "18:00"], or ["20:00", "04:00"] across midnight`},
		{"hours that do not fit", with("min_hours", "10"), "p.json:2:min_hours: 10 hours do not fit into 09:00 to 18:00; accepts up to 9, the whole hours in burn_hours"},
		{"zero hours", with("min_hours", "0"), "p.json:2:min_hours: 0 is outside that; accepts 1 to 24"},
		{"part of an hour", with("min_hours", "2.5"), "p.json:2:min_hours: 2.5 is not a whole number; accepts a whole number"},
		{"no height", with("wind_mph", "[3, 15]"), "p.json:2:wind_height: the key is not there; accepts 20-ft, eye-level or 10-m, the height of wind_mph"},
		{"a height", with("wind_height", `"6-ft"`), `p.json:2:wind_height: "6-ft" is not a height known here; accepts 20-ft, eye-level or 10-m`},
		{"gusts crossed", with("gust_mph", "[25, 10]"), "p.json:2:gust_mph: the limits cross: 25 is above 10; accepts the lower limit first"},
		{"gusts without a height", with("gust_mph", "[null, 20]"), "p.json:2:wind_height: the key is not there; accepts 20-ft, eye-level or 10-m, the height of gust_mph"},
		{"a low sky", with("mixing_height_ft", "[-5, null]"), "p.json:2:mixing_height_ft[0]: -5 is outside that; accepts 0 to 50000"},
		{"a bare transport wind", with("transport_wind_mph", "9"), "p.json:2:transport_wind_mph: 9 is not a pair of limits; accepts [lowest, highest] in mph, null for none"},
		{"a bare transport sector", with("transport_from_deg", "[[400, 20]]"), "p.json:2:transport_from_deg[0][0]: 400 is outside that; accepts 0 to 360"},
		{"negative humidity", with("rh_pct", "[-5, 40]"), "p.json:2:rh_pct[0]: -5 is outside that; accepts 0 to 100"},
		{"a number too large", with("rh_pct", "[5, 1e309]"), "p.json:2:rh_pct[1]: 1e309 is outside that; accepts 0 to 100"},
		{"three limits", with("rh_pct", "[1, 2, 3]"), "p.json:2:rh_pct: a list of 3 is not a pair of limits; accepts [lowest, highest] in percent, null for none"},
		{"no direction", with("wind_from_deg", "[]"), "p.json:2:wind_from_deg: a list of 0 is not a list of sectors; accepts a list of [from, to] in degrees clockwise, such as [[225, 45]], or null for any direction"},
		{"a bare sector", with("wind_from_deg", "[225, 45]"), "p.json:2:wind_from_deg[0]: 225 is not a sector; accepts a list of [from, to] in degrees clockwise, such as [[225, 45]], or null for any direction\n" +
			"p.json:2:wind_from_deg[1]: 45 is not a sector; accepts a list of [from, to] in degrees clockwise, such as [[225, 45]], or null for any direction"},
		{"unknown key", with("humidity", "[1, 2]"), "p.json:2:humidity: the key is unknown; accepts " + keys()},
		{"twice", with("name", `"y"`), "p.json:2:name: the key stands here again; accepts each key once"},
		{"text for a flag", with("dry_hour", `"yes"`), `p.json:2:dry_hour: "yes" is neither true nor false; accepts true or false`},
		{"no name", `{"format": "prescription/1"}`, "p.json:1:name: the key is not there; accepts text"},
		{"another format", `{"format": "rotation-problem/1", "name": "x"}`, `p.json:1:format: "rotation-problem/1" is another format; accepts prescription/1`},
		{"a list", `[1]`, "p.json:1: the file holds a list of 1; accepts an object"},
		{"empty", " ", "p.json: is empty; accepts a prescription/1 file"},
		{"cut off", `{"format": "prescription/1",` + "\n" + ` "name": "x`, "p.json:2: is not JSON: the file ends in the middle; accepts a prescription/1 file"},
		{"two values", `{"format": "prescription/1", "name": "x"} {}`, `p.json:1: is not JSON: "{" after the end of the JSON text; accepts a prescription/1 file`},
		{"UTF-16", "\xff\xfe{\x00", "p.json: is UTF-16 text; accepts a prescription/1 file\nhint: save it as UTF-8"},
		{"bytes", "\x80\x81", "p.json:1: holds bytes that are not UTF-8; accepts a prescription/1 file\nhint: the file may be in an older Windows or Mac encoding; save it as UTF-8"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := Parse("p.json", []byte(c.text))
			if err == nil {
				t.Fatalf("accepted: %+v", p)
			}
			if err.Error() != c.want {
				t.Errorf("got  %s\nwant %s", err, c.want)
			}
			if !source.Is(err) {
				t.Error("is not bad input")
			}
		})
	}
	// Many at once, in file order.
	_, err := Parse("p.json", []byte("{\"format\": \"prescription/1\",\n\"name\": 5,\n\"rh_pct\": 7,\n\"temp_f\": [9, 1]}"))
	var list *source.List
	if !errors.As(err, &list) || list.Len() != 3 || list.Errors[0].Line != 2 || list.Errors[2].Line != 4 {
		t.Errorf("got %v", err)
	}
}

// Hours that run across midnight are read, said, and written back as they were typed.
func TestHoursAcrossMidnight(t *testing.T) {
	for text, want := range map[string]struct {
		clock       Clock
		first, last int
		words       string
	}{
		`["18:00","02:00"]`: {Clock{1080, 1560}, 19, 26, "18:00 to 02:00 the next day"},
		`["23:30","07:00"]`: {Clock{1410, 1860}, 25, 31, "23:30 to 07:00 the next day"},
		`["20:00","24:00"]`: {Clock{1200, 1440}, 21, 24, "20:00 to 24:00"},
		`["20:00","00:00"]`: {Clock{1200, 1440}, 21, 24, "20:00 to 24:00"},
		`["09:00","08:00"]`: {Clock{540, 1920}, 10, 32, "09:00 to 08:00 the next day"},
	} {
		p, err := Parse("p.json", []byte(`{"format": "prescription/1", "name": "x", "burn_hours": `+text+`}`))
		if err != nil {
			t.Fatal(err)
		}
		first, last := p.BurnHours.Labels()
		if p.BurnHours != want.clock || first != want.first || last != want.last || p.BurnHours.String() != want.words {
			t.Errorf("%s: %+v, labels %d to %d, %s", text, p.BurnHours, first, last, p.BurnHours)
		}
		written, err := p.MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		again, err := Parse("again", written)
		if err != nil || again.BurnHours != p.BurnHours {
			t.Errorf("%s: written as %s, read as %+v, %v", text, written, again, err)
		}
	}
}

func TestDefaultsAreSaid(t *testing.T) {
	p, err := Parse("p.json", []byte(`{"format": "prescription/1", "name": "x"}`))
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Assumed) != 2 || p.MinHours != 1 || p.BurnHours != DefaultBurnHours {
		t.Errorf("got %+v", p)
	}
}

func TestRange(t *testing.T) {
	r := between[quantity.Fahrenheit](35, 60.8)
	for v, want := range map[quantity.Fahrenheit]bool{35: true, 60.8: true, 34.999: false, 60.801: false,
		quantity.Celsius(16).Fahrenheit(): true} { // 16 °C is 60.8 °F
		if r.Holds(v) != want {
			t.Errorf("%v holds: %v", v, !want)
		}
	}
	if r.Beyond(30) != -5 || r.Beyond(62.8) < 1.99 || r.Beyond(40) != 0 {
		t.Error("Beyond")
	}
	open := Range[quantity.Percent]{Min: 40, HasMin: true}
	if !open.Holds(100) || open.Holds(39) || open.String() != "40 or more" || open.In("%") != "40% or more" || r.In(" °F") != "35 to 60.8 °F" || (Range[int]{}).String() != "any" || r.String() != "35 to 60.8" {
		t.Error("an open range")
	}
}

func TestSector(t *testing.T) {
	for _, c := range []struct {
		s        Sector
		degrees  float64
		contains bool
	}{
		{Sector{225, 45}, 225, true}, {Sector{225, 45}, 360, true}, {Sector{225, 45}, 0, true}, {Sector{225, 45}, 45, true},
		{Sector{225, 45}, 46, false}, {Sector{225, 45}, 180, false}, {Sector{225, 45}, 224, false},
		{Sector{90, 180}, 90, true}, {Sector{90, 180}, 135, true}, {Sector{90, 180}, 181, false}, {Sector{90, 180}, 0, false},
		{Sector{315, 360}, 0, true}, {Sector{315, 360}, 1, false}, {Sector{0, 45}, 360, true},
		{Sector{0, 360}, 77, true}, {Sector{10, 10}, 10, true}, {Sector{10, 10}, 11, false}, {Sector{360, 360}, 0, true},
	} {
		if got := c.s.Has(quantity.NewBearing(c.degrees)); got != c.contains {
			t.Errorf("%v has %v°: %v", c.s, c.degrees, got)
		}
	}
}

func TestStarters(t *testing.T) {
	starters := Starters()
	if len(starters) < 5 {
		t.Fatalf("%d starters", len(starters))
	}
	for _, p := range starters {
		text, _ := p.MarshalJSON()
		var keys map[string]json.RawMessage
		if err := json.Unmarshal(text, &keys); err != nil {
			t.Fatal(err)
		}
		for key, value := range keys {
			switch v := string(value); {
			case key == "format", key == "name", key == "note", key == "sources", v == "null", v == "false":
			case p.Sources[key] == "":
				t.Errorf("%s: %s has no source", p.Name, key)
			}
		}
		if !strings.HasPrefix(p.Note, "Starting point") || len(p.Assumed) > 0 {
			t.Errorf("%s: note %q, assumed %v", p.Name, p.Note, p.Assumed)
		}
	}
	// Yurkonis et al. 2019, Fire Ecology, doi 10.1186/s42408-019-0027-y: 2 to 43 °C, 6.44 to 24.12 km/h, six hours from 08:00 to 18:00.
	plains := starters[2]
	if plains.Temperature != between[quantity.Fahrenheit](35.6, 109.4) || plains.MinHours != 6 || plains.BurnHours != (Clock{480, 1080}) {
		t.Errorf("northern plains: %+v", plains)
	}
}

func roundTrip(t *testing.T, p *Prescription) {
	t.Helper()
	text, err := p.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	back, err := Parse("again", text)
	if err != nil {
		t.Fatalf("%s\n%v", text, err)
	}
	want := *p
	want.Assumed = nil
	if len(want.Sources) == 0 {
		want.Sources = nil
	}
	if diff := cmp.Diff(&want, back); diff != "" {
		t.Errorf("%s\n%s", text, diff)
	}
}

func TestRoundTrip(t *testing.T) {
	p, err := Parse("p", []byte(example))
	if err != nil {
		t.Fatal(err)
	}
	roundTrip(t, p)
	if text, _ := p.MarshalJSON(); strings.Contains(string(text), "gust") || strings.Contains(string(text), "transport") || strings.Contains(string(text), "mixing") {
		t.Errorf("limits that nobody set are written: %s", text)
	}
	carried, err := Parse("p", []byte(strings.Replace(example, `"dry_hour"`, `"gust_mph": [null, 20.5], "mixing_height_ft": [1700, 6500], "transport_wind_mph": [9, 20],
		"transport_from_deg": [[300, 20], [90, 90]], "dry_hour"`, 1)))
	if err != nil {
		t.Fatal(err)
	}
	if carried.Gust != (Range[quantity.MilesPerHour]{Max: 20.5, HasMax: true}) || carried.MixingHeight != between[quantity.Feet](1700, 6500) ||
		carried.TransportWind != between[quantity.MilesPerHour](9, 20) || !carried.AllowsTransportFrom(10) || carried.AllowsTransportFrom(180) || !p.AllowsTransportFrom(180) {
		t.Errorf("%+v", carried)
	}
	roundTrip(t, carried)
	for _, p := range Starters() {
		roundTrip(t, p)
	}
}

func FuzzParse(f *testing.F) {
	f.Add(example)
	seeds := 0
	for _, p := range Starters() {
		text, _ := p.MarshalJSON()
		f.Add(string(text))
		seeds++
	}
	if seeds < 5 {
		f.Fatal("no seeds")
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, err := Parse("fuzz", []byte(text))
		if err != nil {
			if !source.Is(err) {
				t.Fatalf("%v is not bad input", err)
			}
			return
		}
		roundTrip(t, p)
	})
}
