package window

import (
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"

	"pgregory.net/rapid"
)

// fair gives a record of whole days with the same good weather in every hour:
// 60 °F, 40%, 10 mph from the west, no rain. change may alter or drop an hour.
func fair(first date.Day, days int, change func(d date.Day, label int, h *weather.Hour) (keep bool)) *weather.Record {
	place, offset := weather.Place{Latitude: 36, Longitude: -97}, quantity.Hours(-6)
	r := &weather.Record{Station: weather.Station{Name: "test", Place: &place, UTCOffset: &offset}}
	for d, n := first, 0; n < days; d, n = d.AddDays(1), n+1 {
		for label := 1; label <= 24; label++ {
			h := weather.Hour{At: weather.StampOf(d, label)}
			h.SetTemperature(60)
			h.SetHumidity(40)
			h.SetWind(10)
			h.SetWindFrom(270)
			h.SetRain(0)
			if change == nil || change(d, label, &h) {
				r.Hours = append(r.Hours, h)
			}
		}
	}
	return r
}

func grass(extra string) string {
	return `{"format": "prescription/1", "name": "g", "temp_f": [35, 85], "rh_pct": [25, 55], "wind_mph": [3, 15], "wind_height": "10-m",
		"burn_hours": ["09:00", "18:00"], "min_hours": 3` + extra + `}`
}

func year(t *testing.T, r *weather.Record, text string, o Options) Tally {
	t.Helper()
	c, err := Count(r, limits(t, text), o)
	if err != nil {
		t.Fatal(err)
	}
	return c.Year
}

var march = date.MustDay(2027, time.March, 1)

func TestBurnHoursAndLimits(t *testing.T) {
	bare := func(d date.Day, label int, h *weather.Hour) weather.Hour {
		return weather.Hour{At: h.At}
	}
	for _, c := range []struct {
		name   string
		extra  string
		o      Options
		change func(d date.Day, label int, h *weather.Hour) bool
		want   Tally
	}{
		{"09:00 to 18:00 holds labels 10 to 18", "", Options{}, nil, Tally{1, 1, 9}},
		{"label 9 lies outside", "", Options{}, func(_ date.Day, label int, h *weather.Hour) bool {
			if label >= 10 {
				h.SetHumidity(90)
			}
			return true
		}, Tally{1, 0, 0}},
		{"limits are inclusive", "", Options{}, func(_ date.Day, label int, h *weather.Hour) bool {
			h.SetTemperature(85)
			h.SetHumidity(25)
			h.SetWind(15)
			return true
		}, Tally{1, 1, 9}},
		{"nothing is rounded", "", Options{}, func(_ date.Day, label int, h *weather.Hour) bool {
			h.SetHumidity(55.001)
			return true
		}, Tally{1, 0, 0}},
		{"a run of two is too short", "", Options{}, func(_ date.Day, label int, h *weather.Hour) bool {
			if label%3 == 0 {
				h.SetHumidity(90)
			}
			return true
		}, Tally{1, 0, 6}},
		{"the unit's own hours", "", Options{MinHours: 2}, func(_ date.Day, label int, h *weather.Hour) bool {
			if label%3 == 0 {
				h.SetHumidity(90)
			}
			return true
		}, Tally{1, 1, 6}},
		{"an unknown hour breaks the run and the day stays known at 8 of 9", "", Options{MinHours: 5}, func(d date.Day, label int, h *weather.Hour) bool {
			if label == 14 {
				*h = bare(d, label, h)
			}
			return true
		}, Tally{1, 0, 8}},
		{"two of nine missing make the day unknown", "", Options{}, func(_ date.Day, label int, h *weather.Hour) bool {
			return label != 17 && label != 18
		}, Tally{0, 0, 0}},
		{"wind missing makes the hour unknown though unlimited", "", Options{}, func(d date.Day, label int, h *weather.Hour) bool {
			if label >= 10 && label <= 12 {
				*h = weather.Hour{At: h.At}
				h.SetTemperature(60)
				h.SetHumidity(40)
			}
			return true
		}, Tally{0, 0, 0}},
		{"a direction missing fails the hour, not the day", `, "wind_from_deg": [[225, 45]]`, Options{}, func(d date.Day, label int, h *weather.Hour) bool {
			if label < 15 {
				*h = bare(d, label, h)
				h.SetTemperature(60)
				h.SetHumidity(40)
				h.SetWind(10)
			}
			return true
		}, Tally{1, 1, 4}},
		{"sector over north", `, "wind_from_deg": [[280, 45]]`, Options{}, nil, Tally{1, 0, 0}},
		{"the unit's sectors too", "", Options{WindFrom: []prescription.Sector{{From: 0, To: 90}}}, nil, Tally{1, 0, 0}},
		{"rain in the hour does not matter when not asked", "", Options{}, func(_ date.Day, label int, h *weather.Hour) bool {
			h.SetRain(0.2)
			return true
		}, Tally{1, 1, 9}},
		{"rain", `, "dry_hour": true`, Options{}, func(_ date.Day, label int, h *weather.Hour) bool {
			if label != 12 {
				h.SetRain(0.01)
			}
			return true
		}, Tally{1, 0, 1}},
		{"a trace is rain", `, "dry_hour": true`, Options{}, func(_ date.Day, label int, h *weather.Hour) bool {
			if label == 12 {
				h.SetTrace()
			}
			return true
		}, Tally{1, 1, 8}},
		{"a missing depth is dry", `, "dry_hour": true`, Options{}, func(d date.Day, label int, h *weather.Hour) bool {
			*h = bare(d, label, h)
			h.SetTemperature(60)
			h.SetHumidity(40)
			h.SetWind(10)
			return true
		}, Tally{1, 1, 9}},
		{"a missing depth is not dry by the strict rule", `, "dry_hour": true`, Options{StrictRain: true}, func(d date.Day, label int, h *weather.Hour) bool {
			*h = bare(d, label, h)
			h.SetTemperature(60)
			h.SetHumidity(40)
			h.SetWind(10)
			return true
		}, Tally{1, 0, 0}},
		{"daylight", `, "daylight_only": true`, Options{}, nil, Tally{1, 1, 9}},
		{"moisture by Simard: 40% and 60 °F are 7.745%", `, "fuel_moisture_pct": [7.7449, 7.7450]`, Options{}, nil, Tally{1, 1, 9}},
		{"moisture with a correction", `, "fuel_moisture_pct": [7.7449, 7.7450], "fuel_moisture_correction_pct": 2`, Options{}, nil, Tally{1, 0, 0}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := year(t, fair(march, 1, c.change), grass(c.extra), c.o); got != c.want {
				t.Errorf("got %+v, want %+v", got, c.want)
			}
		})
	}
}

func TestWindHeight(t *testing.T) {
	at := func(mph quantity.MilesPerHour) *weather.Record {
		return fair(march, 1, func(_ date.Day, _ int, h *weather.Hour) bool { h.SetWind(mph); return true })
	}
	text := func(height, wind string) string {
		return `{"format": "prescription/1", "name": "g", "wind_mph": ` + wind + `, "wind_height": "` + height + `", "burn_hours": ["09:00", "18:00"], "min_hours": 3}`
	}
	for _, c := range []struct {
		height, wind string
		mph          quantity.MilesPerHour
		o            Options
		want         int
	}{
		{"10-m", "[3, 15]", 15, Options{}, 1}, {"10-m", "[3, 15]", 15.001, Options{}, 0},
		{"20-ft", "[3, 20]", 23, Options{}, 1}, {"20-ft", "[3, 20]", 23.01, Options{}, 0}, {"20-ft", "[20, 25]", 23, Options{}, 1}, {"20-ft", "[20.01, 25]", 23, Options{}, 0},
		{"eye-level", "[3, 8]", 23, Options{WindAdjustment: 0.4}, 1}, {"eye-level", "[3, 8]", 23, Options{WindAdjustment: 0.5}, 0},
	} {
		if got := year(t, at(c.mph), text(c.height, c.wind), c.o).CandidateDays; got != c.want {
			t.Errorf("%v mph at 10 m, %s at %s: %d days, want %d", c.mph, c.wind, c.height, got, c.want)
		}
	}
	_, err := Count(at(10), limits(t, text("eye-level", "[3, 8]")), Options{})
	if err == nil || !source.Is(err) || !strings.HasPrefix(err.Error(), `wind_adjustment: the prescription "g" states wind at eye level`) {
		t.Errorf("eye-level wind without a factor: %v", err)
	}
}

func TestDaylightNeedsAPlace(t *testing.T) {
	r := fair(march, 1, nil)
	r.Station.Place = nil
	_, err := Count(r, limits(t, grass(`, "daylight_only": true`)), Options{})
	if err == nil || !source.Is(err) || !strings.HasPrefix(err.Error(), "daylight_only: the record does not say where") {
		t.Errorf("got %v", err)
	}
	// 36° N, 97° W on 21 December: about 7:36 to 17:19, so 24 hours shrink to
	// labels 9 to 17.
	r = fair(date.MustDay(2027, time.December, 21), 1, nil)
	d, err := NewSeries(r).Evaluate(limits(t, `{"format": "prescription/1", "name": "g", "daylight_only": true, "burn_hours": ["00:00", "24:00"], "min_hours": 1}`), Options{})
	if err != nil {
		t.Fatal(err)
	}
	start, length := d.Days[0].Counting.LongestRun()
	if start != 9 || length != 9 {
		t.Errorf("daylight from label %d, %d hours", start, length)
	}
}

func TestDaysSinceRain(t *testing.T) {
	// 0.06 in at label 3 and 0.05 at label 24 of 3 March: 0.11 that day; a day
	// with a missing depth on 8 March.
	rainy := func(d date.Day, label int, h *weather.Hour) bool {
		if d.Dom == 3 && label == 3 {
			h.SetRain(0.06)
		}
		if d.Dom == 3 && label == 24 {
			h.SetRain(0.05)
		}
		if d.Dom == 5 {
			h.SetTrace()
		}
		if d.Dom == 8 && label == 2 {
			*h = weather.Hour{At: h.At}
		}
		return true
	}
	r := fair(march, 14, rainy)
	days := func(limit string, o Options) string {
		d, err := NewSeries(r).Evaluate(limits(t, grass(`, "days_since_rain": `+limit)), o)
		if err != nil {
			t.Fatal(err)
		}
		out := ""
		for i := range d.Days {
			out += map[bool]string{true: "x", false: "."}[d.Days[i].Candidate]
		}
		return out
	}
	for _, c := range []struct {
		limit string
		o     Options
		want  string // 1 to 14 March
	}{
		{`{"inches": 0.1, "min": 1, "max": null}`, Options{}, "xx.xxxxxxxxxxx"},
		{`{"inches": 0.1, "min": 2, "max": 5}`, Options{}, "....xxxx......"},
		{`{"inches": 0.1, "min": null, "max": 0}`, Options{}, "..x..........."},
		{`{"inches": 0.12, "min": null, "max": 100}`, Options{}, ".............."},
		{`{"inches": 0.11, "min": 1, "max": 3}`, Options{}, "...xxx........"},
		// Strict: it may have rained before 1 March and on 8 March.
		{`{"inches": 0.1, "min": 2, "max": null}`, Options{StrictRain: true}, ".x..xxx..xxxxx"},
		{`{"inches": 0.1, "min": 2, "max": 7}`, Options{StrictRain: true}, "....xxx..x...."},
	} {
		if got := days(c.limit, c.o); got != c.want {
			t.Errorf("%s strict %v:\n got %s\nwant %s", c.limit, c.o.StrictRain, got, c.want)
		}
	}
}

// A run of n hours and the longest run, against counting by hand.
func TestLabels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Labels(rapid.Uint32Range(0, 1<<24-1).Draw(t, "labels"))
		start, longest, run := 0, 0, 0
		for label := 1; label <= 24; label++ {
			if !l.Has(label) {
				run = 0
				continue
			}
			if run++; run > longest {
				longest, start = run, label-run+1
			}
		}
		if s, n := l.LongestRun(); s != start || n != longest {
			t.Fatalf("%024b: run %d from %d, want %d from %d", l, n, s, longest, start)
		}
		for n := 1; n <= 24; n++ {
			if l.HasRun(n) != (n <= longest) {
				t.Fatalf("%024b: a run of %d: %v", l, n, l.HasRun(n))
			}
		}
	})
}

// Widening any limit never loses a candidate day; narrowing the hours never
// gains one.
func TestWideningNeverLoses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		r := fair(march, 20, func(_ date.Day, label int, h *weather.Hour) bool {
			seed = seed*6364136223846793005 + 1442695040888963407
			h.SetHumidity(quantity.Percent(20 + seed>>33%60))
			h.SetWind(quantity.MilesPerHour(seed >> 40 % 20))
			h.SetTemperature(quantity.Fahrenheit(30 + seed>>45%60))
			if seed>>50%9 == 0 {
				h.SetRain(0.05)
			}
			return seed>>55%13 != 0
		})
		p := limits(quiet{}, grass(`, "dry_hour": true, "wind_from_deg": [[200, 300]], "days_since_rain": {"inches": 0.1, "min": 1, "max": 4}`))
		costs, err := NewSeries(r).Costs(p, Options{}, Steps{})
		if err != nil {
			t.Fatal(err)
		}
		if len(costs) != 8 {
			t.Fatalf("%d limits", len(costs))
		}
		for _, c := range costs {
			// More burn hours can make a day unknown.
			if c.Limit != "burn_hours" && (c.Gained < 0 || c.Lost < c.Gained) {
				t.Fatalf("%+v", c)
			}
		}
	})
}

// quiet lets helpers that take testing.TB be called from a property.
type quiet struct{ testing.TB }

func (quiet) Helper()               {}
func (quiet) Fatal(args ...any)     { panic(args) }
func (quiet) Fatalf(string, ...any) { panic("fatal") }

func TestWarningsOfAnEvaluation(t *testing.T) {
	r := fair(march, 2, func(_ date.Day, label int, h *weather.Hour) bool {
		if label > 3 {
			*h = weather.Hour{At: h.At}
		}
		return true
	})
	r.Warnings = []string{"of the record"}
	for _, c := range []struct {
		text string
		o    Options
		want []string
	}{
		{grass(""), Options{}, []string{"of the record"}},
		{grass(`, "wind_from_deg": [[1, 2]]`), Options{}, []string{"of the record", "87.5 percent of the hours have no wind direction; they fail, since directions are limited"}},
		{`{"format": "prescription/1", "name": "x"}`, Options{}, []string{"of the record",
			"the prescription does not say, and this was taken: burn_hours 09:00 to 18:00", "the prescription does not say, and this was taken: min_hours 1"}},
		{`{"format": "prescription/1", "name": "x"}`, Options{MinHours: 4}, []string{"of the record", "the prescription does not say, and this was taken: burn_hours 09:00 to 18:00"}},
	} {
		d, err := NewSeries(r).Evaluate(limits(t, c.text), c.o)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Join(d.Warnings, "|") != strings.Join(c.want, "|") || strings.Join(d.Count().Warnings, "|") != strings.Join(c.want, "|") {
			t.Errorf("%q, want %q", d.Warnings, c.want)
		}
	}
}

// A day keeps its date, of any year that there is.
func TestDaysKeepTheirDates(t *testing.T) {
	for day := date.MustDay(2023, 12, 25); day.Year < 2025; day = day.AddDays(1) {
		if on := DayOn(day); on.Date() != day {
			t.Errorf("%v is %v", day, on.Date())
		}
	}
	for _, day := range []date.Day{date.MustDay(1, 1, 1), date.MustDay(9999, 12, 31), {}} {
		if on := DayOn(day); on.Date() != day {
			t.Errorf("%v is %v", day, on.Date())
		}
	}
}
