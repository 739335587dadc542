package weather

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

func readForecast(t *testing.T, name string, offset *quantity.Hours) (*Forecast, error) {
	t.Helper()
	f, err := os.Open(station(t, "forecast/"+name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	return ReadForecast(context.Background(), File{name, f}, Options{UTCOffset: offset})
}

// The documents' first values, read off the raw text; PROVENANCE.md says where
// they are from.
func TestHourlyForecast(t *testing.T) {
	f, err := readForecast(t, "derived_nws_hourly_BMX_2024-02-23.json", hours(-6))
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Hours) != 156 || f.Format != ForecastHourly || f.HasRain {
		t.Errorf("%d hours, %s", len(f.Hours), f.Format)
	}
	h := f.Hours[0]
	temperature, _ := h.Temperature()
	rh, _ := h.Humidity()
	wind, _ := h.Wind()
	from, _ := h.WindFrom()
	// 13:00 to 14:00 has label 14.
	if h.At != StampOf(date.MustDay(2024, time.February, 23), 14) || temperature != 67 || rh != 43 || wind != 10 || h.WindLow != 10 || from != 315 ||
		h.RainChance != 0 || !h.HasRainChance || h.StartsAt.Hour() != 13 {
		t.Errorf("first hour: %v label %d, %v °F, %v%%, %v mph from %v, at %v", h.At.Day(), h.At.Label(), temperature, rh, wind, from, h.StartsAt)
	}
	if last := f.Hours[155]; last.At != StampOf(date.MustDay(2024, time.March, 1), 1) {
		t.Errorf("last hour: %v label %d", last.At.Day(), last.At.Label())
	}
	if got := f.IssuedAt.Format(time.RFC3339); got != "2024-02-23T18:40:00Z" {
		t.Errorf("issued at %s", got)
	}
}

func TestGridpointForecast(t *testing.T) {
	f, err := readForecast(t, "derived_nws_gridpoint_BMX_2024-02-23.json", hours(-6))
	if err != nil {
		t.Fatal(err)
	}
	h := f.Hours[0]
	temperature, _ := h.Temperature()
	rh, _ := h.Humidity()
	// 19:00 to 21:00 UTC, 13.9 °C and 93%, stands twice: labels 14 and 15.
	second, _ := f.Hours[1].Temperature()
	if h.At != StampOf(date.MustDay(2024, time.February, 23), 14) || temperature < 56.999 || temperature > 57.001 || rh != 93 || second != temperature || !f.HasRain {
		t.Errorf("first hour: %v label %d, %v °F, %v%%, then %v °F", h.At.Day(), h.At.Label(), temperature, rh, second)
	}
	f, err = readForecast(t, "nws_gridpoint_TAE_2022-02-04_detailed.json", hours(-5))
	if err != nil {
		t.Fatal(err)
	}
	known, wet, mixing := 0, 0, 0
	for i := range f.Hours {
		if f.Hours[i].IsKnown() {
			known++
		}
		if f.Hours[i].IsWet() {
			wet++
		}
		if _, ok := f.Hours[i].MixingHeight(); ok {
			mixing++
		}
	}
	t.Logf("%d hours, %d known, %d wet, %d with a mixing height; %q", len(f.Hours), known, wet, mixing, f.Notes)
	if known < 150 || wet == 0 || mixing < 48 {
		t.Error("too few")
	}
}

func TestForecastRefused(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"template", `{"properties": {"periods": [` + "\n" + `{"startTime": "date:now:hour +0 hours", "endTime": ""}]}}`,
			`f.json:2:properties.periods[0].startTime: "date:now:hour +0 hours" is not a time; accepts a time with its offset, such as 2024-02-23T13:00:00-06:00`},
		{"half days", `{"properties": {"periods": [{"startTime": "2024-02-23T06:00:00-06:00", "endTime": "2024-02-23T18:00:00-06:00"}]}}`,
			"f.json:1:properties.periods[0]: lasts from 2024-02-23T06:00:00-06:00 to 2024-02-23T18:00:00-06:00; accepts the hourly document, with one period an hour"},
		{"humidity", `{"properties": {"periods": [{"startTime": "2024-02-23T06:00:00-06:00", "endTime": "2024-02-23T07:00:00-06:00", "relativeHumidity": {"value": -4}}]}}`,
			"f.json:1:properties.periods[0].relativeHumidity: -4 is outside that; accepts 0 to 100"},
		{"wind", `{"properties": {"periods": [{"startTime": "2024-02-23T06:00:00-06:00", "endTime": "2024-02-23T07:00:00-06:00", "windSpeed": "breezy"}]}}`,
			`f.json:1:properties.periods[0].windSpeed: "breezy" is not a speed; accepts a speed such as "10 mph" or "5 to 10 mph"`},
		{"duration", `{"properties": {"validTimes": "", "temperature": {"uom": "wmoUnit:degC", "values": [{"validTime": "2024-02-23T19:00:00+00:00/P99999D", "value": 1}]}}}`,
			`f.json:1:properties.temperature.values[0].validTime: "2024-02-23T19:00:00+00:00/P99999D" is not an interval; accepts a time and a duration such as 2024-02-23T19:00:00+00:00/PT2H`},
		{"unit", `{"properties": {"validTimes": "", "temperature": {"uom": "wmoUnit:K", "values": [{"validTime": "2024-02-23T19:00:00+00:00/PT1H", "value": 280}]}}}`,
			`f.json:1:properties.temperature.uom: "wmoUnit:K" is another unit; accepts degC or degF`},
		{"nothing", `{"properties": {"periods": []}}`, "f.json: holds no hour; accepts a forecast of some hours"},
		{"another document", `{"type": "FeatureCollection"}`, "f.json: is not a forecast document that is known here; accepts the public hourly or gridpoint forecast, in JSON"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ReadForecast(context.Background(), File{"f.json", strings.NewReader(c.text)}, Options{UTCOffset: hours(-6)})
			if err == nil || err.Error() != c.want || !source.Is(err) {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
	if _, err := readForecast(t, "nws_hourly_BMX_template.json", nil); !source.Is(err) {
		t.Errorf("a template with placeholders: %v", err)
	}
	if _, err := readForecast(t, "nws_gridpoint_TAE_2022-02-04_detailed.json", nil); err == nil || !strings.Contains(err.Error(), "UTC offset") {
		t.Errorf("a gridpoint document without an offset: %v", err)
	}
}

// In summer the document's clock runs an hour ahead of standard time.
func TestForecastInDaylightSaving(t *testing.T) {
	const doc = `{"properties": {"periods": [{"startTime": "2024-07-01T13:00:00-05:00", "endTime": "2024-07-01T14:00:00-05:00", "temperature": 30, "temperatureUnit": "C", "windSpeed": "5 to 10 mph"}]}}`
	f, err := ReadForecast(context.Background(), File{"f.json", strings.NewReader(doc)}, Options{UTCOffset: hours(-6)})
	if err != nil {
		t.Fatal(err)
	}
	h := f.Hours[0]
	temperature, _ := h.Temperature()
	wind, _ := h.Wind()
	if h.At.Label() != 13 || h.StartsAt.Hour() != 13 || temperature != 86 || wind != 10 || h.WindLow != 5 {
		t.Errorf("label %d, starts at %v, %v °F, %v to %v mph", h.At.Label(), h.StartsAt, temperature, h.WindLow, wind)
	}
	if len(f.Notes) != 2 || !strings.Contains(f.Notes[0], "daylight saving") {
		t.Errorf("notes %q", f.Notes)
	}
}

// A document that runs over the change of the clocks has both offsets; standard time is the
// lower one, also where it comes last.
func TestForecastOverTheChangeOfTheClocks(t *testing.T) {
	const doc = `{"properties": {"periods": [
		{"startTime": "2027-11-07T00:00:00-05:00", "temperature": 50, "temperatureUnit": "F"},
		{"startTime": "2027-11-07T01:00:00-05:00", "temperature": 51, "temperatureUnit": "F"},
		{"startTime": "2027-11-07T01:00:00-06:00", "temperature": 52, "temperatureUnit": "F"},
		{"startTime": "2027-11-07T02:00:00-06:00", "temperature": 53, "temperatureUnit": "F"}]}}`
	f, err := ReadForecast(context.Background(), File{"f.json", strings.NewReader(doc)}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	got := ""
	for i := range f.Hours {
		v, _ := f.Hours[i].Temperature()
		got += fmt.Sprintf("%d:%v ", f.Hours[i].At.Label(), v)
	}
	if got != "24:50 1:51 2:52 3:53 " || f.UTCOffset != -6 {
		t.Errorf("hours %s, offset %v", got, f.UTCOffset)
	}
	if !strings.Contains(f.Notes[0], "the lower of the document's two, -6 hours, is taken as standard time") || strings.Contains(f.Notes[0], "too late") {
		t.Errorf("notes %q", f.Notes)
	}
}
