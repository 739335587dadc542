package window

import (
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
)

// night makes limits whose burn hours run from 18:00 to 02:00.
func night(extra string) string {
	return `{"format": "prescription/1", "name": "n", "rh_pct": [25, 55], "burn_hours": ["18:00", "02:00"], "min_hours": 4` + extra + `}`
}

// damp makes hours too damp, all but those of a run: label 19 of a day is 18:00 to 19:00,
// label 26 is 01:00 to 02:00 of the day after.
func damp(on date.Day, from, upTo int) func(date.Day, int, *weather.Hour) bool {
	return func(d date.Day, label int, h *weather.Hour) bool {
		if at := d.Sub(on)*24 + label; at < from || at > upTo {
			h.SetHumidity(90)
		}
		return true
	}
}

// The hours of a night belong to the day on which it begins.
func TestNightsBelongToTheDayTheyBegin(t *testing.T) {
	second := march.AddDays(1)
	for _, c := range []struct {
		name   string
		text   string
		change func(date.Day, int, *weather.Hour) bool
		want   string // of three days: . unknown, - known, x candidate
		hours  int
	}{
		{"all hold; the last night of a record has no morning", night(""), nil, "xx.", 16},
		{"a run across midnight", night(""), damp(second, 23, 26), "-x.", 4},
		{"too short before midnight and after it", night(""), damp(second, 24, 26), "--.", 3},
		{"hours before the night do not count", night(""), damp(second, 15, 21), "--.", 3},
		{"hours after the night do not count", night(""), damp(second, 25, 30), "--.", 2},
		{"a morning of the first day belongs to the night before, which the record does not hold", night(""), damp(march, 1, 2), "--.", 0},
		{"a gap after the evening", night(""), func(d date.Day, label int, h *weather.Hour) bool { return d != second || label > 2 }, ".x.", 8},
		{"rain on the day itself, after the night before it has ended", night(`, "days_since_rain": {"inches": 0.1, "min": 1, "max": null}`), func(d date.Day, label int, h *weather.Hour) bool {
			if d == second && label == 12 {
				h.SetRain(0.5)
			}
			return true
		}, "x-.", 8},
	} {
		t.Run(c.name, func(t *testing.T) {
			days, err := NewSeries(fair(march, 3, c.change)).Evaluate(limits(t, c.text), Options{})
			if err != nil {
				t.Fatal(err)
			}
			got, hours := "", 0
			for _, d := range days.Days {
				switch {
				case !d.Known:
					got += "."
				case d.Candidate:
					got += "x"
				default:
					got += "-"
				}
				if d.Known {
					hours += d.Counting.Count()
				}
			}
			if got != c.want || hours != c.hours {
				t.Errorf("%s with %d hours, want %s with %d", got, hours, c.want, c.hours)
			}
		})
	}
}

// A run after midnight starts after one before it, and is shown by the clock.
func TestNightsByTheHour(t *testing.T) {
	days, err := NewSeries(fair(march, 3, damp(march, 25, 50))).Evaluate(limits(t, `{"format": "prescription/1", "name": "n", "rh_pct": [25, 55], "burn_hours": ["20:00", "04:00"], "min_hours": 3}`), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if start, hours := days.Days[0].Counting.LongestRun(); start != 25 || hours != 4 {
		t.Errorf("the run starts with label %d and takes %d hours, want 25 and 4", start, hours)
	}
	if got := days.startHour(date.Span{First: march, Last: march}); got != 25 {
		t.Errorf("starts with label %d, want 25", got)
	}
	// All three nights are known; of the hours before midnight those of the second and third
	// day are fair in part.
	week := days.Heat().Share[slotOf(march)/7]
	for label, want := range map[int]float64{1: 1, 2: 1, 4: 0.5, 5: 0, 20: 0, 21: 0.5, 24: 0.5} {
		if got := week[label-1]; got != want {
			t.Errorf("hour %d: %v, want %v", label, got, want)
		}
	}
	// The mean wind of the run is that of the hours after midnight.
	record := fair(march, 2, func(d date.Day, label int, h *weather.Hour) bool {
		if d != march {
			h.SetWindFrom(180)
		} else {
			h.SetHumidity(90)
		}
		return true
	})
	if days, err = NewSeries(record).Evaluate(limits(t, `{"format": "prescription/1", "name": "n", "rh_pct": [25, 55], "burn_hours": ["20:00", "04:00"], "min_hours": 3}`), Options{}); err != nil {
		t.Fatal(err)
	}
	if from, ok := days.windOfRun(0); !ok || from != 180 {
		t.Errorf("wind from %v, %v; want 180", from, ok)
	}
}

// Daylight is that of each hour's own day. Sunset at 36° north, 97° west on 1 March is
// about 18:20, sunrise on 2 March about 6:55 standard time.
func TestNightsByDaylight(t *testing.T) {
	text := `{"format": "prescription/1", "name": "n", "burn_hours": ["16:00", "10:00"], "daylight_only": true, "min_hours": 2}`
	days, err := NewSeries(fair(march, 2, nil)).Evaluate(limits(t, text), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := days.Days[0].Counting, Labels(1<<16|1<<17|1<<(32-1)|1<<(33-1)|1<<(34-1)); got != want {
		t.Errorf("labels %b, want %b", got, want)
	}
}

// In clock time the day and the night of the change are an hour shorter or longer. In 2027 clocks go
// forward on 14 March and back on 7 November at 02:00 (15 U.S.C. 260a).
func TestDaysAndNightsInWhichTheClocksChange(t *testing.T) {
	zone, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	standard := quantity.Hours(-6)
	for _, c := range []struct {
		on          string
		hours       string
		first, last int
	}{
		{"2027-01-10", `["20:00", "04:00"]`, 21, 28},
		{"2027-07-10", `["20:00", "04:00"]`, 20, 27},
		{"2027-03-13", `["20:00", "04:00"]`, 21, 27},
		{"2027-03-13", `["20:00", "01:00"]`, 21, 25},
		{"2027-03-14", `["20:00", "04:00"]`, 20, 27},
		{"2027-11-06", `["20:00", "04:00"]`, 20, 28},
		{"2027-11-06", `["20:00", "01:00"]`, 20, 24},
		{"2027-11-07", `["20:00", "04:00"]`, 21, 28},
		// The clock leaps from 02:00 to 03:00: what ends or begins in between does so then.
		{"2027-03-13", `["21:00", "02:00"]`, 22, 26},
		{"2027-03-13", `["21:00", "02:30"]`, 22, 26},
		{"2027-03-14", `["02:00", "14:30"]`, 3, 13},
		// Hours of one day begin before the change and end after it.
		{"2027-03-14", `["00:00", "02:00"]`, 1, 2},
		{"2027-03-14", `["01:30", "04:30"]`, 3, 3},
		{"2027-03-14", `["09:00", "18:00"]`, 9, 17},
		{"2027-11-07", `["01:30", "04:30"]`, 2, 4},
		{"2027-11-07", `["09:00", "18:00"]`, 10, 18},
		// The first hour of a summer day ends at midnight of standard time, and lies in no day of it.
		{"2027-07-10", `["00:00", "24:00"]`, 1, 23},
	} {
		p := limits(t, `{"format": "prescription/1", "name": "n", "hours_are": "clock", "burn_hours": `+c.hours+`}`)
		for _, base := range []*quantity.Hours{&standard, nil} {
			b := burnHours{clock: p.BurnHours, zone: zone, standard: base}
			b.first, b.last = p.BurnHours.Labels()
			day, err := date.ParseDay(c.on)
			if err != nil {
				t.Fatal(err)
			}
			if first, last := b.on(day); first != c.first || last != c.last {
				t.Errorf("%s %s: labels %d to %d, want %d to %d", c.on, c.hours, first, last, c.first, c.last)
			}
		}
	}
}

// The days of a typical year bear a year that means nothing: clocks change on them as they
// do today, not as in that year, from 1 April to 28 October 2001.
func TestClocksOfATypicalYear(t *testing.T) {
	zone, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	p := limits(t, `{"format": "prescription/1", "name": "n", "hours_are": "clock", "burn_hours": ["09:00", "18:00"]}`)
	standard := quantity.Hours(-6)
	for _, c := range []struct {
		year        int
		month       time.Month
		dom         int
		typical     bool
		first, last int
	}{
		{weather.TypicalYear, time.March, 10, true, 10, 18},
		{weather.TypicalYear, time.March, 11, true, 9, 17},
		{weather.TypicalYear, time.November, 3, true, 9, 17},
		{weather.TypicalYear, time.November, 4, true, 10, 18},
		{weather.TypicalLeapYear, time.March, 11, true, 10, 18},
		{weather.TypicalLeapYear, time.March, 12, true, 9, 17},
		{2001, time.March, 25, false, 10, 18}, // as it was then
		{2001, time.April, 1, false, 9, 17},
	} {
		day := date.MustDay(c.year, c.month, c.dom)
		record := fair(day, 1, nil)
		record.Typical, record.Station.UTCOffset = c.typical, &standard
		days, err := NewSeries(record).Evaluate(p, Options{Zone: zone})
		if err != nil {
			t.Fatal(err)
		}
		start, hours := days.Days[0].Counting.LongestRun()
		if start != c.first || start+hours-1 != c.last {
			t.Errorf("%s, typical %v: labels %d to %d, want %d to %d", day, c.typical, start, start+hours-1, c.first, c.last)
		}
		if got := days.startHour(date.Span{First: day, Last: day}); got != 10 {
			t.Errorf("%s, typical %v: starts with label %d by the clock, want 10", day, c.typical, got)
		}
	}
}

// A night that runs into a closed day is closed, one into a day off is not; wide hours
// leave the count as it is or raise it.
func TestNightsBeforeClosedDays(t *testing.T) {
	weekdays := &date.Crew{}
	season := Season{Span: span("2027-03-01", "2027-03-14"), Crew: weekdays, Closures: BeforeClosed([]date.Span{span("2027-03-10", "2027-03-11"), {}})}
	for day, want := range map[string]bool{"2027-03-08": true, "2027-03-09": false, "2027-03-10": false, "2027-03-11": false, "2027-03-12": true} {
		d, err := date.ParseDay(day)
		if err != nil {
			t.Fatal(err)
		}
		if season.IsUsable(d) != want {
			t.Errorf("%s is usable: %v", day, !want)
		}
	}
	for _, c := range []struct {
		clock prescription.Clock
		drop  bool
		want  prescription.Clock
	}{
		{prescription.Clock{From: 1080, To: 1560}, false, prescription.Clock{From: 1020, To: 1620}},
		{prescription.Clock{From: 1080, To: 1560}, true, prescription.Clock{From: 1080, To: 2520}},
		{prescription.Clock{From: 540, To: 1950}, false, prescription.Clock{From: 480, To: 1920}},
		{prescription.Clock{From: 540, To: 1080}, true, prescription.Clock{From: 0, To: 1440}},
		{prescription.Clock{From: 30, To: 1430}, false, prescription.Clock{From: 0, To: 1440}},
	} {
		if got := longer(c.clock, 60, c.drop); got != c.want {
			t.Errorf("%+v, dropped %v: %+v, want %+v", c.clock, c.drop, got, c.want)
		}
	}
}

// A forecast's hours after midnight belong to the night that began the day before, also
// where the document begins with them.
func TestForecastOfANight(t *testing.T) {
	at := func(day, hour string) string {
		return `{"startTime": "2024-02-` + day + `T` + hour + `:00:00-06:00", "endTime": "", "temperature": 60, "temperatureUnit": "F", "relativeHumidity": {"value": 40}, "windSpeed": "10 mph", "windDirection": "W"}`
	}
	var all []string
	for _, day := range []string{"23", "24"} {
		for _, hour := range strings.Fields("00 01 02 03 04 05 06 07 08 09 10 11 12 13 14 15 16 17 18 19 20 21 22 23") {
			all = append(all, at(day, hour))
		}
	}
	f := forecast(t, `{"properties": {"periods": [`+strings.Join(all, ",")+`]}}`)
	c, err := CheckForecast(f, limits(t, night(`, "days_since_rain": {"inches": 0.1, "min": 1, "max": 3}`)), Options{}, nil, &Since{Days: 2})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, d := range c.Days {
		got = append(got, d.Day.String()+" "+d.StartsAt.Format("15:04")+" "+quantity.Count(d.Hours, "hour")+map[bool]string{true: " enough", false: ""}[d.IsLongEnough]+map[bool]string{true: " whole", false: ""}[d.IsWhole])
	}
	want := "2024-02-22 00:00 2 hours|2024-02-23 18:00 8 hours enough whole|2024-02-24 18:00 6 hours enough"
	if strings.Join(got, "|") != want {
		t.Errorf("got  %s\nwant %s", strings.Join(got, "|"), want)
	}
	if h := c.Hours[1]; h.Label != 26 || !h.InBurnHours || h.Limits[1].Reads != "1 days" {
		t.Errorf("01:00 of the first day: %+v", h)
	}
	if h := c.Hours[2]; h.Label != 3 || h.InBurnHours || h.Day != date.MustDay(2024, time.February, 23) {
		t.Errorf("02:00 of the first day: %+v", h)
	}
}
