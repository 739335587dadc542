package window

import (
	"context"
	"os"
	"strings"
	"testing"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
)

func forecast(t *testing.T, text string) *weather.Forecast {
	t.Helper()
	f, err := weather.ReadForecast(context.Background(), weather.File{Name: "f.json", Content: strings.NewReader(text)}, weather.Options{UTCOffset: hours(-6)})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func realForecast(t *testing.T, name string, offset *quantity.Hours) *weather.Forecast {
	t.Helper()
	file, err := os.Open(station(t, "forecast/"+name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	f, err := weather.ReadForecast(context.Background(), weather.File{Name: name, Content: file}, weather.Options{UTCOffset: offset})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// The hourly document's 23 February 2024 afternoon, read off the raw text: 67 to
// 69 °F, 43 to 36%, 10 and 15 mph from the northwest.
func TestCheckHourlyForecast(t *testing.T) {
	f := realForecast(t, "derived_nws_hourly_BMX_2024-02-23.json", hours(-6))
	p := limits(t, grass(`, "dry_hour": true, "wind_from_deg": [[225, 45]], "days_since_rain": {"inches": 0.1, "min": 1, "max": 10}, "daylight_only": true`))
	c, err := CheckForecast(f, p, Options{}, &weather.Place{Latitude: 33.2, Longitude: -87.6}, nil)
	if err != nil {
		t.Fatal(err)
	}
	first := c.Hours[0]
	if first.Label != 14 || !first.InBurnHours || !first.AllHold || first.StartsAt.Format("2006-01-02 15:04 -07:00") != "2024-02-23 13:00 -06:00" {
		t.Errorf("%+v", first)
	}
	for i, want := range []string{"temp_f holds 67 °F", "rh_pct holds 43%", "wind_mph holds 10 mph at 10-m", "wind_from_deg holds NW (315°)",
		"days_since_rain not in the document not in the document", "dry_hour not in the document no depth in the document, chance of rain 0%",
		"daylight_only holds sunrise 06:26, sunset 17:42"} {
		l := first.Limits[i]
		if got := l.Limit + " " + l.Verdict.String() + " " + l.Reads; got != want {
			t.Errorf("got  %s\nwant %s", got, want)
		}
	}
	if strings.Join(c.NotCompared, " ") != "days_since_rain dry_hour" || len(c.Compared) != 5 {
		t.Errorf("compared %v, not %v", c.Compared, c.NotCompared)
	}
	// Labels 14 to 17; 18 ends after sunset at 17:42.
	if d := c.Days[0]; d.Start != 14 || d.Hours != 4 || !d.IsLongEnough || d.IsWhole {
		t.Errorf("first day %+v", d)
	}
	if c.Caution == "" || strings.Contains(strings.ToLower(c.Caution), " go ") {
		t.Error("caution")
	}
	for _, d := range c.Days {
		t.Logf("%v: %d hours from label %d", d.Day, d.Hours, d.Start)
	}
}

func TestCheckGridpointForecast(t *testing.T) {
	f := realForecast(t, "nws_gridpoint_TAE_2022-02-04_detailed.json", hours(-5))
	p := limits(t, grass(`, "dry_hour": true, "days_since_rain": {"inches": 0.1, "min": 1, "max": 10}`))
	c, err := CheckForecast(f, p, Options{}, nil, &Since{Days: 4})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.NotCompared) != 0 {
		t.Errorf("not compared %v", c.NotCompared)
	}
	fails := map[string]int{}
	for _, h := range c.Hours {
		for _, l := range h.Limits {
			if l.Verdict == Fails {
				fails[l.Limit]++
				if l.Beyond == 0 {
					t.Errorf("%v %d: %+v fails by nothing", h.Day, h.Label, l)
				}
			}
		}
	}
	t.Logf("%d hours; failing: %v", len(c.Hours), fails)
	if fails["dry_hour"] == 0 || fails["rh_pct"] == 0 {
		t.Error("rain and humidity fail somewhere in this document")
	}
}

func TestForecastVerdicts(t *testing.T) {
	hour := func(start, rest string) string {
		return `{"startTime": "2024-02-23T` + start + `:00:00-06:00", "endTime": ""` + rest + `}`
	}
	doc := func(periods ...string) string {
		return `{"properties": {"periods": [` + strings.Join(periods, ",") + `]}}`
	}
	good := `, "temperature": 60, "temperatureUnit": "F", "relativeHumidity": {"value": 40}, "windSpeed": "10 mph", "windDirection": "W"`
	f := forecast(t, doc(
		hour("08", good), // label 9, before the burn hours
		hour("09", good),
		hour("10", `, "temperature": 20, "temperatureUnit": "F", "relativeHumidity": {"value": 60}, "windSpeed": "2 to 10 mph", "windDirection": "S"`),
		hour("11", `, "temperature": 60, "temperatureUnit": "F", "relativeHumidity": {"value": 40}`),
		hour("12", `, "temperature": 60, "temperatureUnit": "F", "relativeHumidity": {"value": 40}, "windSpeed": "0 mph"`)))
	c, err := CheckForecast(f, limits(t, grass(`, "wind_from_deg": [[225, 45]], "fuel_moisture_pct": [5, 9]`)), Options{}, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	holds := ""
	for _, h := range c.Hours {
		holds += map[bool]string{true: "x", false: "."}[h.AllHold]
	}
	if holds != ".x..." {
		t.Errorf("all hold: %s", holds)
	}
	bad := c.Hours[2].Limits
	if bad[0].Beyond != -15 || bad[1].Beyond != 5 || bad[2].Verdict != Fails || bad[2].Beyond != -1 || bad[2].Reads != "2.0 to 10.0 mph at 10-m" ||
		bad[3].Verdict != Fails || bad[3].Beyond != 45 || bad[4].Verdict != Fails {
		t.Errorf("%+v", bad)
	}
	if c.Hours[3].Limits[2].Verdict != NotInDocument || c.Hours[3].Limits[3].Verdict != NotInDocument {
		t.Errorf("no wind: %+v", c.Hours[3].Limits)
	}
	if l := c.Hours[4].Limits[3]; l.Verdict != Fails || l.Reads != "calm, no direction" {
		t.Errorf("calm: %+v", l)
	}
	if d := c.Days[0]; d.Day != date.MustDay(2024, 2, 23) || d.Hours != 1 || d.Start != 10 || d.IsLongEnough {
		t.Errorf("%+v", d)
	}
	if _, err := CheckForecast(f, limits(t, `{"format": "prescription/1", "name": "x", "wind_mph": [1, 2], "wind_height": "eye-level"}`), Options{}, nil, nil); err == nil {
		t.Error("eye-level wind without a factor")
	}
}
