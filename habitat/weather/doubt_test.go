package weather

import (
	"context"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// reading is a line of a plain file; unknown fields are NaN.
type reading struct{ t, dew, rh, wind, from, rain, gust float64 }

// calendarYear gives 2027 as a plain file of a temperate place, each line changed; a line
// for which change is false is left out. Label h bears the time h o'clock.
func calendarYear(change func(d date.Day, label int, r *reading) (keep bool)) string {
	var text strings.Builder
	text.WriteString("# utc_offset: -6\n# latitude: 39\n# longitude: -96\ntime,temp_f,dewpoint_f,rh_pct,wind_mph,wind_from_deg,rain_in,gust_mph\n")
	field := func(v float64) string {
		if math.IsNaN(v) {
			return ""
		}
		return fmt.Sprintf("%.5g", v)
	}
	for d := date.MustDay(2027, time.January, 1); d.Year == 2027; d = d.AddDays(1) {
		for label := 1; label <= 24; label++ {
			course := math.Cos(2 * math.Pi * float64(label-15) / 24)
			r := reading{t: 55 - 25*math.Cos(2*math.Pi*float64(d.OfYear()-15)/365) + 9*course, rh: 60 - 20*course,
				wind: float64(3 + (label+d.OfYear())%12), from: float64(label * d.OfYear() * 10 % 360), gust: math.NaN()}
			if r.wind > 11 {
				r.gust = 1.5 * r.wind
			}
			if d.OfYear()%6 == 0 && label > 18 {
				r.rain = 0.1
			}
			r.dew = float64(dewPoint(quantity.Fahrenheit(r.t).Celsius(), quantity.Percent(r.rh)).Fahrenheit())
			if change == nil || change(d, label, &r) {
				fmt.Fprintf(&text, "%s %02d:00,%s,%s,%s,%s,%s,%s,%s\n", d, label, field(r.t), field(r.dew), field(r.rh), field(r.wind), field(r.from), field(r.rain), field(r.gust))
			}
		}
	}
	return text.String()
}

// What a record as a whole cannot be is doubted, and named.
func TestDoubts(t *testing.T) {
	each := func(change func(*reading)) func(date.Day, int, *reading) bool {
		return func(_ date.Day, _ int, r *reading) bool { change(r); return true }
	}
	leap, back := date.MustDay(2027, time.March, 14), date.MustDay(2027, time.November, 7)
	for _, c := range []struct {
		name   string
		change func(date.Day, int, *reading) bool
		want   []string // of each warning, its beginning
	}{
		{"nothing is odd", nil, nil},
		{"Celsius among Fahrenheit", each(func(r *reading) { r.t = (r.t - 32) / 1.8 }),
			[]string{"w: the humidity is not that of temperature and dew point", "it is never warmer than 31.7 °F"}},
		{"temperature and dew point exchanged", each(func(r *reading) { r.t, r.dew = r.dew, r.t }),
			[]string{"w: the humidity is not that of temperature and dew point", "noon is colder than midnight"}},
		{"humidity as a share", each(func(r *reading) { r.rh /= 100 }),
			[]string{"w: the humidity is not that of temperature and dew point", "the mean humidity is 0.6 percent"}},
		{"no wind at all", each(func(r *reading) { r.wind = math.NaN() }),
			[]string{"100.0 percent of the hours lack temperature, humidity or wind (0.0, 0.0 and 100.0 percent)"}},
		{"wind in knots called mph", each(func(r *reading) { r.wind, r.gust = r.wind*1.944, r.gust*1.944 }),
			[]string{"the median wind is 17.5 mph"}},
		{"directions in tens of degrees", each(func(r *reading) { r.from = math.Trunc(r.from / 10) }),
			[]string{"no wind comes from beyond 35 degrees"}},
		{"half of the directions", each(func(r *reading) { r.from /= 2 }),
			[]string{"no wind comes from beyond 175 degrees"}},
		{"gusts in knots called m/s", each(func(r *reading) { r.gust *= 1.944 }), []string{"gusts are 2.9 times the wind"}},
		{"gusts in m/s called mph", each(func(r *reading) { r.gust *= 0.447 }), []string{"gusts are 0.7 times the wind"}},
		{"rain tenfold", each(func(r *reading) { r.rain *= 10 }),
			[]string{"rain adds up to 360.2 inches a year"}},
		{"rain in inches called mm", each(func(r *reading) { r.rain /= 25.4 }), []string{"rain adds up to 1.4 inches a year"}},
		{"no rain in a year", each(func(r *reading) { r.rain = 0 }), []string{"rain adds up to 0.0 inches a year"}},
		{"no depths at all", each(func(r *reading) { r.rain = math.NaN() }), []string{"100.0 percent of the hours have no depth"}},
		{"rain in every hour", each(func(r *reading) { r.rain = 0.01 }),
			[]string{"rain fell in 100.0 percent of the hours"}},
		{"every other hour", func(_ date.Day, label int, _ *reading) bool { return label%2 == 0 },
			[]string{"50.0 percent of the hours from 2027-01-01 to 2027-12-31 are absent"}},
		{"clock time", func(d date.Day, label int, _ *reading) bool { return d != leap || label != 2 },
			[]string{"w: the hour that the clocks leap over is absent in 2027, and no other of that day"}},
		{"a gap on that day", func(d date.Day, label int, _ *reading) bool { return d != leap || label != 2 && label != 9 }, nil},
		{"an hour absent on another day", func(d date.Day, label int, _ *reading) bool { return d != back || label != 2 }, nil},
	} {
		r := mustRead(t, calendarYear(c.change), Options{})
		good := len(r.Warnings) == len(c.want)
		for i := range min(len(r.Warnings), len(c.want)) {
			good = good && strings.HasPrefix(r.Warnings[i], c.want[i])
		}
		if !good {
			t.Errorf("%s: %q, want %q", c.name, r.Warnings, c.want)
		}
	}

	text := calendarYear(func(d date.Day, label int, _ *reading) bool { return d != leap || label != 2 })
	for name, o := range map[string]Options{"": {}, "utc": {Columns: &Columns{Time: "time", UTC: true, Temperature: "temp_f", TemperatureUnit: "f",
		Humidity: "rh_pct", Wind: "wind_mph", WindUnit: "mph"}, UTCOffset: hours(-6)}} {
		if got := strings.Contains(strings.Join(mustRead(t, text, o).Warnings, "\n"), "leap over"); got != (name == "") {
			t.Errorf("times in %q: doubted %v", name, got)
		}
	}

	for position, wrong := range map[string]bool{"# utc_offset: -6\n": false, "# utc_offset: -5\n": false, "# utc_offset: 6\n": true, "# utc_offset: -10\n": true} {
		text := strings.Replace(calendarYear(nil), "# utc_offset: -6\n", position, 1)
		if got := strings.Contains(strings.Join(mustRead(t, text, Options{}).Warnings, "\n"), "does not go with the longitude -96"); got != wrong {
			t.Errorf("%q: doubted %v", position, got)
		}
	}
}

// Where humidity follows from the dew point, that cannot lie above the temperature; and a
// line of fixed width that is shorter has lost something, which may be a sign.
func TestDoubtsOfDewPointsAndWidths(t *testing.T) {
	lite := func(temperature, dew string) (text string) {
		for day := 1; day <= 28; day++ {
			for hour := range 24 {
				text += fmt.Sprintf("2017 02 %02d %02d%s%s 10258   360    62     2     0 -9999\n", day, hour, temperature, dew)
			}
		}
		return text
	}
	swapped := strings.ReplaceAll(calendarYear(func(_ date.Day, _ int, r *reading) bool { r.t, r.dew = r.dew, r.t; return true }), "rh_pct", "other")
	for _, c := range []struct {
		name, text, want string
	}{
		{"as it is", lite("   -20", "   -44"), ""},
		{"fog, rounded", lite("   -20", "   -10"), ""},
		{"exchanged", lite("   -44", "   -20"), "w: the dew point is above the temperature in 100 percent of the hours"},
		{"exchanged in a plain file", swapped, "w: the dew point is above the temperature in 100 percent of the hours"},
		{"a lost column", lite("   20", "   -44"), "w: 672 of its lines have not the 61 characters of the format"},
		{"the last line cut", strings.TrimSuffix(lite("   -20", "   -44"), "9\n"), ""},
		{"blanks at the end", strings.ReplaceAll(lite("   -20", "   -44"), "\n", "  \n"), ""},
	} {
		got := strings.Join(mustRead(t, c.text, Options{UTCOffset: hours(-6)}).Warnings, "\n")
		if c.want == "" && (strings.Contains(got, "dew point") || strings.Contains(got, "characters")) || !strings.Contains(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// Two columns for one thing may differ, and the times of one may be UTC: nobody chooses.
func TestTwoColumnsForOneThing(t *testing.T) {
	for _, c := range []struct{ header, columns, want string }{
		{"time,temp_f,temp_c,rh_pct,wind_mph", "", `w:1:temp_c: the header row has "temp_f" too, and both give the same thing; accepts a header row with one`},
		{"time_utc,time,temp_f,rh_pct,wind_mph", "", `w:1:time: the header row has "time_utc" too`},
		{"time,temp_f,wind_kt,rh_pct,wind_mph", "", `w:1:wind_mph: the header row has "wind_kt" too`},
		{"time,temp_f,rh_pct,wind_mph,Temp_F", "", `w:1:temp_f: the header row has it twice; accepts a header row with one`},
		{"time,temp_f,rh_pct,wind_mph,temp_f", "time=time,temp=temp_f:f,rh=rh_pct,wind=wind_mph:mph", `w:1:temp_f: the header row has it twice`},
		{"time,temp_f,rh_pct,wind_mph,temp_c", "time=time,temp=temp_f:f,rh=rh_pct,wind=wind_mph:mph", ""},
		{"time,temp_f,rh_pct,dewpoint_f,wind_mph,wind_from_deg,gust_mph,transport_wind_mph,note,note", "", ""},
	} {
		var o Options
		if c.columns != "" {
			var err error
			if o.Columns, err = ParseColumns(c.columns); err != nil {
				t.Fatal(err)
			}
		}
		_, err := readText(c.header+"\n2027-01-01 12:00,40,41,42,5,0,0,0,0,0\n", o)
		if got := fmt.Sprint(err); c.want == "" && err != nil || !strings.HasPrefix(got, c.want) {
			t.Errorf("%s: %s, want %q", c.header, got, c.want)
		}
	}
}

// The files of others raise no doubt but those that were looked at; altered, they do.
func TestDoubtsOfRealFiles(t *testing.T) {
	known := map[string][]string{
		"isd/722874-93134-2007.isd.gz":              {"the median wind is 0.0 mph"},
		"isd/00702699999-2017-global-hourly.csv.gz": {"47 days without a reading", "61.1 percent of the hours", "the median wind is 1.1 mph"},
	}
	for _, c := range real {
		r, err := readFiles(context.Background(), []string{station(t, c.name)}, Options{UTCOffset: c.offset})
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range r.Warnings {
			for _, usual := range []string{"have no depth of precipitation", "one typical year", "could not be read whole", "in the middle of a day"} {
				if strings.Contains(w, usual) {
					w = ""
				}
			}
			if w != "" && !slices.ContainsFunc(known[c.name], func(begin string) bool { return strings.HasPrefix(w, begin) }) {
				t.Errorf("%s: %s", c.name, w)
			}
		}
	}
	for _, c := range []struct{ name, old, new, want string }{
		{"epw/USA_GA_Atlanta-722190_TMY3_precip2015.epw", ",-5.0,308", ",5.0,308", "the UTC offset 5 does not go with the longitude -84.433"},
		{"epw/USA_GA_Atlanta-722190_TMY3_precip2015.epw", ",-84.43300,", ",84.43300,", "the UTC offset -5 does not go with the longitude 84.433"},
		{"tmy3/KS-Manhattan_Rgnl.tmy3", "Dry-bulb (C),Dry-bulb source,Dry-bulb uncert (code),Dew-point (C)", "Dew-point (C),Dry-bulb source,Dry-bulb uncert (code),Dry-bulb (C)",
			"the humidity is not that of temperature and dew point"},
		{"tmy2/12839.tm2", "\n", "\n", ""},
	} {
		data, err := os.ReadFile(station(t, c.name))
		if err != nil {
			t.Fatal(err)
		}
		text := string(data)
		if !strings.Contains(text, c.old) {
			t.Fatalf("%s holds no %q", c.name, c.old)
		}
		if r := mustRead(t, strings.Replace(text, c.old, c.new, 1), Options{}); c.want != "" && !strings.Contains(strings.Join(r.Warnings, "\n"), c.want) {
			t.Errorf("%s with %q: %q, want %q", c.name, c.new, r.Warnings, c.want)
		}
		lines := strings.SplitAfter(text, "\n")
		if r := mustRead(t, strings.Join(lines[:700], ""), Options{}); !strings.Contains(strings.Join(r.Warnings, "\n"), "of the 8,760 hours of a typical year are absent") {
			t.Errorf("the beginning of %s: %q", c.name, r.Warnings)
		}
	}
}
