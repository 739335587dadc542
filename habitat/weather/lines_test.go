package weather

import (
	"context"
	"fmt"
	"strings"
	"testing"
)

// One bad line of each format after ten good ones: its words, and that the file
// is read all the same.
func TestBadLineOfEachFormat(t *testing.T) {
	const tmy2Head = " 12839 MIAMI                  FL  -5 N 25 48 W  80 16     2\n"
	isd := func(when, kind, wind, temp string) string {
		return "0158" + "722874" + "93134" + when + "7" + "+34028" + "-118296" + kind + "+0056" + "KCQT " + "V030" + wind + "2200059N" + "0112655N5" + temp + "102115" + "ADD\n"
	}
	const gh = `"STATION","DATE","REPORT_TYPE","WND","TMP","DEW","AA1"` + "\n"
	const lcd = "DATE,REPORTTYPE,HOURLYDRYBULBTEMPF,HOURLYRelativeHumidity,HOURLYWindSpeed,HOURLYWindDirection,HOURLYPrecip\n"
	good := epwLine(2020, 1, 1, 2, "10", "50", "90", "5.0", "0.0", "1")
	plain := "time_utc,temp_c,dewpoint_f,wind_kt,wind_from_deg,rain_mm\n"
	for _, c := range []struct{ name, head, good, bad, want string }{
		{"EPW date", epwHead, good, epwLine(2021, 2, 29, 1, "10", "50", "90", "5.0", "0.0", "1"), `date: "2021-2-29" is not a date; accepts year, month and day of a date from 1800 to 2200`},
		{"EPW hour", epwHead, good, epwLine(2020, 1, 1, 25, "10", "50", "90", "5.0", "0.0", "1"), `hour: "25" is not an hour; accepts 1 to 24, the hour ending`},
		{"EPW fields", epwHead, good, "2020,1,1\n", "holds 3 fields; accepts 32 to 35 fields with commas between"},
		{"EPW text", epwHead, good, epwLine(2020, 1, 1, 3, "warm", "50", "90", "5.0", "0.0", "1"), `dry bulb: "warm" is not a number; accepts a decimal number`},
		{"TMY3 minutes", tmy3Head, "01/31/1995,23:00,10,50,360,5,0,1\n", "01/31/1995,22:30,10,50,360,5,0,1\n", `Time (HH:MM): "22:30" is not a full hour; accepts 01:00 to 24:00`},
		{"TMY3 fields", tmy3Head, "01/31/1995,23:00,10,50,360,5,0,1\n", "01/31/1995,22:00\n", "holds 2 fields; accepts as many fields as the line of column names"},
		{"TMY3 quote", tmy3Head, "01/31/1995,23:00,10,50,360,5,0,1\n", "01/31/1995,\"22:00,10\n", "holds 1 fields; accepts as many fields as the line of column names"},
		{"TMY2 short", tmy2Head, strings.SplitAfter(seeds()[2], "\n")[1], " 620101\n", "holds 7 columns; accepts 98 columns or more"},
		{"TMY2 number", tmy2Head, strings.SplitAfter(seeds()[2], "\n")[1], strings.Replace(strings.SplitAfter(seeds()[2], "\n")[1], "A70200A7", "A7020xA7", 1), `dry bulb (columns 68-71): "020x" is not a whole number; accepts a whole number`},
		{"ISD-Lite hour", "", "2016 02 29 05   200   100 10256     0     0     4    -1 -9999\n", "2016 02 29 24   200   100 10256     0     0     4    -1 -9999\n", `hour: "24" is not an hour; accepts 0 to 23`},
		{"ISD minute", "", isd("200701010851", "FM-15", "2705N00205", "+02005+01005"), isd("200701010875", "FM-15", "2705N00205", "+02005+01005"), `minute (columns 26-27): "75" is not a minute; accepts 00 to 59`},
		{"ISD date", "", isd("200701010851", "FM-15", "2705N00205", "+02005+01005"), isd("200713010851", "FM-15", "2705N00205", "+02005+01005"), `date: "2007-13-01" is not a date; accepts year, month and day of a date from 1800 to 2200`},
		{"ISD cut", "", isd("200701010851", "FM-15", "2705N00205", "+02005+01005"), "0158722874", "holds 10 columns; accepts 105 columns or more"},
		{"global date", gh, `"7","2017-02-10T08:51:00","FM-15","270,5,N,0020,5","+0200,5","+0100,5",""` + "\n", `"7","10 Feb","FM-15","","","",""` + "\n", `DATE: "10 Feb" is not a time; accepts a date and time such as 2017-02-10T14:04:00`},
		{"global precipitation", gh, `"7","2017-02-10T08:51:00","FM-15","270,5,N,0020,5","+0200,5","+0100,5",""` + "\n", `"7","2017-02-10T09:51:00","FM-15","270,5,N,0020,5","+0200,5","+0100,5","x,1,2,3"` + "\n", `AA1: "x,1,2,3" is not precipitation; accepts hours, depth, condition and quality`},
		{"global fields", gh, `"7","2017-02-10T08:51:00","FM-15","270,5,N,0020,5","+0200,5","+0100,5",""` + "\n", "\"7\"\n", "holds 1 fields; accepts as many quoted fields as the header row"},
		{"LCD date", lcd, "2010-01-01 00:51,FM-15,60,50,10,090,0.01\n", "yesterday,FM-15,60,50,10,090,0.01\n", `DATE: "yesterday" is not a time; accepts a date and time such as 2010-01-01 00:51`},
		{"LCD humidity", lcd, "2010-01-01 00:51,FM-15,60,50,10,090,0.01\n", "2010-01-01 01:51,FM-15,60,500,10,090,0.01\n", "HOURLYRelativeHumidity: 500 is above 100; accepts 0 to 100 percent, or what the format writes for a missing reading"},
		{"plain", plain, "2027-03-01T12:00:00,20,50,10,270,2.54\n", "2027-03-01T13:00:00,20,50,10,400,2.54\n", "wind_from_deg: 400 is above 360; accepts 0 to 360 degrees, or what the format writes for a missing reading"},
		{"plain rain", plain, "2027-03-01T12:00:00,20,50,10,270,2.54\n", "2027-03-01T13:00:00,20,50,10,40,-1\n", "rain_mm: -1 is below 0; accepts 0 to 1000 mm, or what the format writes for a missing reading"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := mustRead(t, c.head+strings.Repeat(c.good, 10)+c.bad, Options{UTCOffset: hours(-6)})
			s := r.Sources[0]
			if s.BadLines != 1 || len(r.Complaints().Errors) != 1 {
				t.Fatalf("%+v", s)
			}
			want := fmt.Sprintf("w:%d:%s", strings.Count(c.head, "\n")+11, c.want)
			if strings.HasPrefix(c.want, "holds") {
				want = strings.Replace(want, ":holds", ": holds", 1)
			}
			if got := s.Bad[0].Error(); got != want {
				t.Errorf("got  %s\nwant %s", got, want)
			}
		})
	}
}

// The units of a plain file: a knot is 1,852 m an hour.
func TestPlainUnits(t *testing.T) {
	r := mustRead(t, "time_utc,temp_c,dewpoint_f,wind_kt,wind_from_deg,rain_mm\n2027-03-01T12:00:00,20,50,10,270,2.54\n", Options{UTCOffset: hours(-6)})
	if got, want := shown(r), "2027-03-01 6: t 68 rh 52.56 v 11.51 from 270 rain 0.1 wet"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	_, err := readText("time_utc,temp_c,rh_pct,wind_mps\n2027-03-01T12:00:00,20,50,10\n", Options{})
	if err == nil || !strings.Contains(err.Error(), "its times are UTC (plain CSV)") {
		t.Errorf("no offset: %v", err)
	}
}

func TestForecastShapes(t *testing.T) {
	read := func(text string) (*Forecast, error) {
		return ReadForecast(context.Background(), File{"f.json", strings.NewReader(text)}, Options{UTCOffset: hours(-6)})
	}
	period := func(rest string) string {
		return `{"properties": {"periods": [` + "\n" + `{"startTime": "2024-02-23T06:00:00-06:00", "endTime": "2024-02-23T07:00:00-06:00", ` + rest + `}]}}`
	}
	f, err := read(period(`"temperature": {"unitCode": "wmoUnit:degC", "value": 10}, "dewpoint": {"unitCode": "wmoUnit:degC", "value": 0}, "windSpeed": "10 to 20 km/h"`))
	if err != nil {
		t.Fatal(err)
	}
	h := f.Hours[0]
	if got := show(&h.Hour); got != "2024-02-23 7: t 50 rh 49.85 v 12.43 from - rain -" || float64(h.WindLow) < 6.21 || float64(h.WindLow) > 6.22 {
		t.Errorf("%s, low %v", got, h.WindLow)
	}
	for name, c := range map[string]struct{ text, want string }{
		"unit":        {period(`"temperature": 10, "temperatureUnit": "K"`), `f.json:2:properties.periods[0].temperatureUnit: "K" is not a unit of temperature; accepts F or C`},
		"temperature": {period(`"temperature": "warm"`), `f.json:2:properties.periods[0].temperature: "\"warm\"" is not a temperature; accepts a number`},
		"direction":   {period(`"windDirection": "UP"`), `f.json:2:properties.periods[0].windDirection: "UP" is not a direction; accepts one of the sixteen compass points`},
		"cut off":     {period(`"windDirection": "N"`)[:90], "f.json:2: is not JSON: the file ends early, inside text; accepts a forecast document"},
		"shape":       {`{"properties": {"periods": [{"startTime": 5}]}}`, "f.json:1:properties.periods[0].startTime: holds number where something else belongs; accepts a forecast document"},
		"shape below": {`{"properties": {"periods": [` + "\n" + `{"startTime":` + "\n" + `5}]}}`, "f.json:3:properties.periods[0].startTime: holds number where something else belongs; accepts a forecast document"},
		"no periods":  {`{"properties": {"title": "periods", "period": []}, "periods": 1}`, "f.json:properties.periods: is not there; accepts a forecast document"},
		"no layer":    {`{"properties": {"validTimes": ""}}`, "f.json:properties.temperature: is not there; accepts a forecast document"},
	} {
		if _, err := read(c.text); err == nil || err.Error() != c.want {
			t.Errorf("%s:\ngot  %v\nwant %s", name, err, c.want)
		}
	}
	// Without an offset the document's own is taken, and that is said.
	f, err = ReadForecast(context.Background(), File{"f", strings.NewReader(period(`"windSpeed": "5 mph"`))}, Options{})
	if err != nil || f.UTCOffset != -6 || !strings.Contains(f.Notes[0], "every hour is then one too late") {
		t.Errorf("%+v, %v", f, err)
	}
}
