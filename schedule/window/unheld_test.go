package window

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
)

// Wind, gusts and the height of both: only the limit on gusts binds.
func TestGustsOfARecord(t *testing.T) {
	gusty := func(speed quantity.MilesPerHour, from int) func(date.Day, int, *weather.Hour) bool {
		return func(_ date.Day, label int, h *weather.Hour) bool {
			if label >= from {
				h.SetGust(speed)
			}
			return true
		}
	}
	for _, c := range []struct {
		name, extra string
		change      func(date.Day, int, *weather.Hour) bool
		want        Tally
	}{
		{"no limit", "", gusty(60, 1), Tally{1, 1, 9}},
		{"below", `, "gust_mph": [null, 20]`, gusty(20, 1), Tally{1, 1, 9}},
		{"above", `, "gust_mph": [null, 20]`, gusty(20.01, 1), Tally{1, 0, 0}},
		{"above from label 13", `, "gust_mph": [null, 20]`, gusty(21, 13), Tally{1, 1, 3}},
		{"above from label 12", `, "gust_mph": [null, 20]`, gusty(21, 12), Tally{1, 0, 2}},
		{"the wind stands for a gust that was not reported", `, "gust_mph": [null, 9]`, gusty(9, 13), Tally{1, 0, 0}},
		{"a record without gusts leaves the limit unheld", `, "gust_mph": [null, 9]`, nil, Tally{1, 1, 9}},
		{"a record without holds none of these", `, "mixing_height_ft": [1700, null], "transport_wind_mph": [9, 20], "transport_from_deg": [[0, 10]]`, nil, Tally{1, 1, 9}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := year(t, fair(march, 1, c.change), grass(c.extra), Options{}); got != c.want {
				t.Errorf("%+v, want %+v", got, c.want)
			}
		})
	}
	// 23 mph at 10 m are 20 mph at 20 ft, and 8 at eye level with 0.4 (Lawson and Armitage 2008: 1.15).
	for height, limit := range map[string]float64{"10-m": 23, "20-ft": 20, "eye-level": 8} {
		for over, want := range map[float64]int{0.01: 1, -0.01: 0} {
			text := fmt.Sprintf(`{"format": "prescription/1", "name": "g", "gust_mph": [null, %g], "wind_height": %q, "wind_adjustment": 0.4, "burn_hours": ["09:00", "18:00"], "min_hours": 3}`, limit+over, height)
			if got := year(t, fair(march, 1, gusty(23, 1)), text, Options{}); got.CandidateDays != want {
				t.Errorf("%s, limit %g: %+v", height, limit+over, got)
			}
		}
	}
}

// Mixing height and transport wind of a record: each limit binds, and an hour without
// fails where others have one.
func TestSmokeLimitsOfARecord(t *testing.T) {
	rx := `, "mixing_height_ft": [1700, 6500], "transport_wind_mph": [9, 20], "transport_from_deg": [[225, 315]]`
	set := func(mixing quantity.Feet, speed quantity.MilesPerHour, from quantity.Bearing, since int) func(date.Day, int, *weather.Hour) bool {
		return func(_ date.Day, label int, h *weather.Hour) bool {
			if label >= since {
				h.SetMixingHeight(mixing)
				h.SetTransportWind(speed)
				h.SetTransportFrom(from)
			}
			return true
		}
	}
	for _, c := range []struct {
		name   string
		change func(date.Day, int, *weather.Hour) bool
		want   Tally
	}{
		{"all hold, at their edges", set(1700, 20, 315, 1), Tally{1, 1, 9}},
		{"too low", set(1699, 20, 315, 1), Tally{1, 0, 0}},
		{"too high", set(6501, 20, 315, 1), Tally{1, 0, 0}},
		{"too slow", set(1700, 8.9, 315, 1), Tally{1, 0, 0}},
		{"too fast", set(1700, 20.1, 315, 1), Tally{1, 0, 0}},
		{"from elsewhere", set(1700, 20, 316, 1), Tally{1, 0, 0}},
		{"known from label 13 on", set(1700, 20, 315, 13), Tally{1, 1, 6}},
		{"known of the last hour alone", set(1700, 20, 315, 24), Tally{1, 0, 0}},
		{"known nowhere", nil, Tally{1, 1, 9}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := year(t, fair(march, 1, c.change), grass(rx), Options{}); got != c.want {
				t.Errorf("%+v, want %+v", got, c.want)
			}
		})
	}
	s := NewSeries(fair(march, 2, set(1600, 15, 270, 13)))
	d, err := s.Evaluate(limits(t, grass(rx)), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, what := range []string{"mixing height", "transport wind", "direction of the transport wind"} {
		if want := "prescription g limits the " + what + ", and 50.0 percent of the hours have none: they fail"; !slices.Contains(d.Warnings, want) {
			t.Errorf("%q lacks %q", d.Warnings, want)
		}
	}
	costs, err := s.Costs(limits(t, grass(rx)), Options{}, Steps{})
	if err != nil {
		t.Fatal(err)
	}
	at := slices.IndexFunc(costs, func(c Cost) bool { return c.Limit == mixingKey })
	if at < 0 || costs[at] != (Cost{Limit: mixingKey, States: "1700 to 6500 ft", Lost: 2, Step: "500 ft to either side", Gained: 2}) {
		t.Errorf("%+v", costs)
	}
}

// What a record does not hold is said once, and no table calls it free.
func TestUnheldIsSaid(t *testing.T) {
	const all = `, "gust_mph": [null, 20], "mixing_height_ft": [1700, null], "transport_wind_mph": [9, 20], "transport_from_deg": [[0, 90]]`
	s := NewSeries(fair(march, 2, nil))
	d, err := s.Evaluate(limits(t, grass(all)), Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := "prescription g limits the gusts, mixing height, transport wind and direction of the transport wind, and the record holds nothing on it: days were counted without, so fewer will do; see the forecast of the day"
	if n := len(d.Warnings); n == 0 || d.Warnings[n-1] != want {
		t.Errorf("%q", d.Warnings)
	}
	costs, err := s.Costs(limits(t, grass(all)), Options{}, Steps{})
	if err != nil {
		t.Fatal(err)
	}
	for key, states := range map[string]string{gustKey: "up to 20 mph at 10-m", mixingKey: "1700 or more ft", transportKey: "9 to 20 mph", transportFromKey: "0 to 90°"} {
		at := slices.IndexFunc(costs, func(c Cost) bool { return c.Limit == key })
		if at < 0 || costs[at] != (Cost{Limit: key, States: states + "; not in the record, not held"}) {
			t.Errorf("%s: %+v", key, costs)
		}
	}
	gusty := NewSeries(fair(march, 2, func(d date.Day, label int, h *weather.Hour) bool {
		if d != march {
			h.SetGust(21)
		}
		return true
	}))
	if d, err = gusty.Evaluate(limits(t, grass(`, "gust_mph": [null, 20]`)), Options{}); err != nil {
		t.Fatal(err)
	}
	if want := "prescription g limits the gusts, and 50.0 percent of the hours report none: their wind itself was held against that limit"; !slices.Contains(d.Warnings, want) {
		t.Errorf("%q", d.Warnings)
	}
	if costs, err = gusty.Costs(limits(t, grass(`, "gust_mph": [null, 20]`)), Options{}, Steps{}); err != nil {
		t.Fatal(err)
	}
	at := slices.IndexFunc(costs, func(c Cost) bool { return c.Limit == gustKey })
	if at < 0 || costs[at].Lost != 1 || costs[at].Gained != 1 || costs[at].Step != "2 mph to either side" {
		t.Errorf("%+v", costs)
	}
	if d, err = s.Evaluate(limits(t, grass("")), Options{}); err != nil || len(d.Warnings) != 0 {
		t.Errorf("a prescription without such a limit warns: %q, %v", d.Warnings, err)
	}
}

// layers makes a gridpoint document of four hours from 16:00 UTC, 10:00 standard time: the
// layers that are named, the last of them for the first hours alone.
func layers(hours int, extra ...string) string {
	layer := func(name, unit string, hours int, v float64) string {
		return fmt.Sprintf(`%q: {"uom": "wmoUnit:%s", "values": [{"validTime": "2024-02-23T16:00:00+00:00/PT%dH", "value": %g}]}`, name, unit, hours, v)
	}
	all := []string{`"validTimes": ""`, layer("temperature", "degC", 4, 15), layer("relativeHumidity", "percent", 4, 40), layer("windSpeed", "km_h-1", 4, 16), layer("windDirection", "degree_(angle)", 4, 270)}
	for _, e := range extra {
		var v float64
		var name, unit string
		fmt.Sscan(e, &name, &unit, &v)
		all = append(all, layer(name, unit, hours, v))
	}
	return `{"properties": {` + strings.Join(all, ", ") + `}}`
}

func TestForecastOfSmokeLayers(t *testing.T) {
	rx := limits(t, grass(`, "gust_mph": [null, 20], "mixing_height_ft": [1700, 6500], "transport_wind_mph": [9, 20], "transport_from_deg": [[225, 315]]`))
	good := []string{"windGust km_h-1 30", "mixingHeight m 1000", "transportWindSpeed km_h-1 25", "transportWindDirection degree_(angle) 270"}
	for _, c := range []struct {
		name  string
		hours int
		swap  int // which of the good layers the next replaces; -1 for none
		by    string
		run   int
		fails string
	}{
		{"all hold", 4, -1, "", 4, ""},
		{"a gust", 4, 0, "windGust km_h-1 40", 0, "gust_mph 24.9 mph at 10-m"},
		{"a low sky", 4, 1, "mixingHeight m 500", 0, "mixing_height_ft 1640.4 ft"},
		{"a weak transport wind", 4, 2, "transportWindSpeed km_h-1 10", 0, "transport_wind_mph 6.2 mph"},
		{"a transport wind from elsewhere", 4, 3, "transportWindDirection degree_(angle) 90", 0, "transport_from_deg E (90°)"},
		{"layers that end early", 2, -1, "", 2, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			these := slices.Clone(good)
			if c.swap >= 0 {
				these[c.swap] = c.by
			}
			check, err := CheckForecast(forecast(t, layers(c.hours, these...)), rx, Options{}, nil, nil)
			if err != nil {
				t.Fatal(err)
			}
			fails := ""
			for _, l := range check.Hours[0].Limits {
				if l.Verdict == Fails {
					fails += l.Limit + " " + l.Reads
					if l.Beyond == 0 {
						t.Errorf("%+v fails by nothing", l)
					}
				}
			}
			if check.Days[0].Hours != c.run || fails != c.fails || len(check.NotCompared) != 0 || check.NotKnown() != nil {
				t.Errorf("%d hours, fails %q, not compared %v", check.Days[0].Hours, fails, check.NotCompared)
			}
		})
	}
	// A document without them: the run is counted, and what it was not held to is named.
	check, err := CheckForecast(forecast(t, layers(4, good[0])), rx, Options{}, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(check.NotKnown(), " "); got != "mixing_height_ft transport_wind_mph transport_from_deg" || check.Days[0].Hours != 4 {
		t.Errorf("not known: %s; %+v", got, check.Days)
	}
	// The real document gives mixing heights for three of its days: later ones are not whole.
	real := realForecast(t, "nws_gridpoint_TAE_2022-02-04_detailed.json", hours(-5))
	open := limits(t, `{"format": "prescription/1", "name": "x", "mixing_height_ft": [0, null]}`)
	if check, err = CheckForecast(real, open, Options{}, nil, nil); err != nil {
		t.Fatal(err)
	}
	last := check.Days[len(check.Days)-2]
	if !check.Days[1].IsLongEnough || !check.Days[1].IsWhole || last.IsLongEnough || last.IsWhole {
		t.Errorf("%+v", check.Days)
	}
}

func TestReadingOfGusts(t *testing.T) {
	rx := limits(t, strings.Replace(grass(`, "gust_mph": [null, 20]`), "10-m", "20-ft", 1))
	read := func(gust *quantity.MilesPerHour) LimitCheck {
		h, err := CheckReading(Reading{Temperature: 60, Humidity: 40, Wind: 10, From: 270, Gust: gust}, rx, Options{}, -6, nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		return h.Limits[slices.IndexFunc(h.Limits, func(l LimitCheck) bool { return l.Limit == gustKey })]
	}
	twenty, more := quantity.MilesPerHour(20), quantity.MilesPerHour(21)
	if read(nil).Verdict != NotInDocument || read(&twenty).Verdict != Holds || read(&more).Verdict != Fails {
		t.Errorf("%+v, %+v, %+v", read(nil), read(&twenty), read(&more))
	}
}
