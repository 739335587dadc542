package weather

import (
	"bytes"
	"context"
	"encoding/csv"
	"math"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// seeds are small files of every format.
func seeds() []string {
	return []string{
		epwHead + epwLine(2020, 2, 29, 1, "10.0", "50", "360", "5.0", "7.0", "6"),
		tmy3Head + "01/31/1995,24:00,10,50,360,5,3,1\n",
		" 12839 MIAMI                  FL  -5 N 25 48 W  80 16     2\n" +
			" 62010101000000000000?00000?00000?00000?00000?00000?00000?007A703A70200A70150A7073A71017A7158A7067A70161A777777A70999999999013F8062F8000A788E7\n",
		"2016 02 29 05   200   100 10256     0     0     4    -1 -9999\n",
		"0158722874931342007010100477+34028-118296FM-15+0056KCQT V0309999C000052200059N0112655N5+01505+00895102115ADDAA101000095GF100991999999999999999999MA1102105101425REMMET094\n",
		`"STATION","DATE","LATITUDE","LONGITUDE","NAME","REPORT_TYPE","WND","TMP","DEW","AA1"` + "\n" +
			`"007","2017-02-10T08:51:00","34.0","-118.0","A","FM-15","270,5,N,0020,5","+0200,5","+0100,5","01,0025,9,5"` + "\n",
		"STATION,LATITUDE,LONGITUDE,DATE,REPORTTPYE,HOURLYDRYBULBTEMPF,HOURLYRelativeHumidity,HOURLYWindSpeed,HOURLYWindDirection,HOURLYPrecip\n" +
			"W,40.6,-73.8,2010-01-01 00:51,FM-15,60s,50,10V,VRB,T\n",
		"DATE,REPORT_TYPE,HourlyDryBulbTemperature,HourlyRelativeHumidity,HourlyWindSpeed,HourlyWindDirection,HourlyPrecipitation\n" +
			"2010-01-01T00:51:00,FM-15,60,50,10,090,0.01\n",
		"# utc_offset: -6\ntime,temp_f,rh_pct,wind_mph,wind_from_deg,rain_in\n2027-03-01 24:00,60,40,10,270,0.1\n2027-03-01T12:00:00Z,60,40,10,270,T\n",
	}
}

func FuzzRead(f *testing.F) {
	for i, text := range seeds() {
		r, err := readText(text, Options{UTCOffset: hours(-6)})
		if err != nil || len(r.Hours) == 0 {
			f.Fatalf("seed %d: %v", i, err)
		}
		f.Add(text)
	}
	f.Add("PK\x03\x04")
	f.Add("LOCATION,,,,,,0,0,00\n\"0000000") // a quote that does not close, in a header line
	f.Add("\x1f\x8b\x08\x00")
	f.Fuzz(func(t *testing.T, text string) {
		r, err := readText(text, Options{UTCOffset: hours(-6)})
		if err != nil {
			if !source.Is(err) {
				t.Fatalf("%v is not bad input", err)
			}
			return
		}
		checkRecord(t, r)
	})
}

// checkRecord holds what is true of every record.
func checkRecord(t *testing.T, r *Record) {
	t.Helper()
	for i := range r.Hours {
		h := &r.Hours[i]
		if i > 0 && h.At <= r.Hours[i-1].At {
			t.Fatalf("hour %d is not after the one before", i)
		}
		v, _ := h.Temperature()
		rh, _ := h.Humidity()
		w, _ := h.Wind()
		d, _ := h.WindFrom()
		rain, _ := h.Rain()
		if math.IsNaN(float64(v+quantity.Fahrenheit(rh)+quantity.Fahrenheit(w)+quantity.Fahrenheit(d)+quantity.Fahrenheit(rain))) ||
			v < -140 || v > 144 || rh < 0 || rh > 100 || w < 0 || w > 260 || d < 0 || d >= 360 || rain < 0 || rain > 40 {
			t.Fatalf("hour %d: %s", i, show(h))
		}
		if rain > 0 && !h.IsWet() {
			t.Fatalf("hour %d: rain in a dry hour", i)
		}
	}
	for i := range r.Sources {
		s := &r.Sources[i]
		if s.BadLines > BadAllowed(s.Lines) || s.Kept > s.Lines || s.BadLines > 0 && len(s.Bad) == 0 {
			t.Fatalf("%+v", s)
		}
		for _, e := range s.Bad {
			if e.Line == 0 || e.File == "" {
				t.Fatalf("%v has no place", e)
			}
		}
	}
}

func FuzzForecast(f *testing.F) {
	f.Add(`{"properties": {"updateTime": "2024-02-23T18:40:54+00:00", "periods": [{"startTime": "2024-02-23T06:00:00-06:00", "endTime": "2024-02-23T07:00:00-06:00", "temperature": 30, "temperatureUnit": "F", "relativeHumidity": {"value": 4}, "windSpeed": "5 to 10 mph", "windDirection": "NW"}]}}`)
	f.Add(`{"properties": {"validTimes": "", "temperature": {"uom": "wmoUnit:degC", "values": [{"validTime": "2024-02-23T19:00:00+00:00/P1DT2H", "value": 1}]}, "quantitativePrecipitation": {"uom": "wmoUnit:mm", "values": [{"validTime": "2024-02-23T19:00:00+00:00/PT6H", "value": 1}]}}}`)
	f.Fuzz(func(t *testing.T, text string) {
		got, err := ReadForecast(context.Background(), File{"f", strings.NewReader(text)}, Options{UTCOffset: hours(-6)})
		if err != nil {
			if !source.Is(err) {
				t.Fatalf("%v is not bad input", err)
			}
			return
		}
		if len(got.Hours) == 0 {
			t.Fatal("no hour and no error")
		}
	})
}

// split against encoding/csv, which is the judge.
func FuzzSplit(f *testing.F) {
	for _, text := range []string{`a,b,c`, `"a","b,c","d""e"`, `,,`, `"a`, `a"b,c`, `"a"b,c`, ``, `"",""`} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if strings.ContainsAny(text, "\r\n") || len(text) > 1000 || text == "" {
			return
		}
		reader := csv.NewReader(strings.NewReader(text))
		want, err := reader.Read()
		got, ok := split([]byte(text), make([][]byte, 0, 1100))
		if (err == nil) != ok {
			t.Fatalf("%q: csv says %v, split %v %q", text, err, ok, got)
		}
		if !ok {
			return
		}
		if len(got) != len(want) {
			t.Fatalf("%q: %q, want %q", text, got, want)
		}
		for i := range want {
			if string(got[i]) != want[i] {
				t.Fatalf("%q: %q, want %q", text, got, want)
			}
		}
		// Fewer fields are the first of all.
		if few, ok := split([]byte(text), make([][]byte, 0, 1)); !ok || string(few[0]) != want[0] {
			t.Fatalf("%q: first field %q", text, few)
		}
	})
}

// number against quantity.Parse, bit for bit.
func FuzzNumber(f *testing.F) {
	for _, text := range []string{"1", "-0.5", "+12.75", "  3 ", "99999999999999999999", "1e5", ".5", "5.", "-", "", "0.1", "123456789012.345", "NaN"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		// The two trim different blanks around; inside they must agree.
		if text != strings.TrimSpace(text) || len(text) > 100 {
			return
		}
		want, err := quantity.Parse(text)
		got, ok := number([]byte(text))
		if ok != (err == nil) || ok && (got != want || math.Signbit(got) != math.Signbit(want)) {
			t.Fatalf("%q: %v %v, want %v %v", text, got, ok, want, err)
		}
	})
}

// when against the time package.
func FuzzWhen(f *testing.F) {
	layouts := []string{"2006-01-02T15:04:05Z07:00", "2006-01-02T15:04:05", "2006-01-02 15:04", "1/2/2006 15:04", "2006/01/02 15:04"}
	for _, text := range []string{"2017-02-10T14:04:00", "2010-01-01 00:51", "2/10/2017 14:04", "2024-02-29T13:00:00-06:00", "2023-02-29 10:00", "2017-02-10 24:00", "2017-02-10T14:04:00Z", "2000-01-10  0:00"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, ok := when([]byte(text))
		for _, layout := range layouts {
			at, err := time.Parse(layout, text)
			if err != nil || at.Year() < 1800 || at.Year() > 2200 || bytes.ContainsAny([]byte(text), ".,") || strings.HasSuffix(text, "60") { // +00:60 is not an offset
				continue
			}
			_, offset := at.Zone()
			if offset%60 != 0 || offset > 14*3600 || offset < -14*3600 {
				continue
			}
			want := int(at.Unix()+int64(offset)) / 60
			if at.Unix()+int64(offset) < 0 {
				want = int((at.Unix() + int64(offset) - 59) / 60)
			}
			if !ok || got.minutes != want || got.offset != offset/60 {
				t.Fatalf("%q by %s: %+v %v, want %d minutes, offset %d", text, layout, got, ok, want, offset/60)
			}
		}
	})
}
