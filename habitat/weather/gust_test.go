package weather

import (
	"bytes"
	"compress/gzip"
	"context"
	"io"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"emberquilt/habitat/quantity"
)

// gustsOf reads a file and gives the gusts of its hours in mph, -1 for none.
func gustsOf(t *testing.T, text string, o Options) (all []float64) {
	t.Helper()
	r, err := Read(context.Background(), []File{{Name: "w", Content: strings.NewReader(text)}}, o)
	if err != nil {
		t.Fatal(err)
	}
	for i := range r.Hours {
		v, ok := r.Hours[i].Gust()
		if !ok {
			v = -1
		}
		all = append(all, float64(v))
	}
	return all
}

func TestGustsOfEachFormat(t *testing.T) {
	isd := func(hm, groups string) string {
		return "0158" + "722874" + "93134" + "20070101" + hm + "7" + "+34028" + "-118296" + "FM-15" + "+0056" + "KCQT " + "V030" + "2705N00805" + "2200059N" + "0112655N5" + "+02005+01005" + "102115" + "ADD" + groups + "REMMET OC101501\n"
	}
	const lcd = "DATE,REPORT_TYPE,HourlyDryBulbTemperature,HourlyRelativeHumidity,HourlyWindSpeed,HourlyWindDirection,HourlyPrecipitation,HourlyWindGustSpeed\n" +
		"2010-01-01T00:51:00,FM-15,60,50,10,090,0.01,23\n2010-01-01T01:51:00,FM-15,60,50,10,090,0.01,\n2010-01-01T02:51:00,FM-15,60,50,10,090,0.01,31s\n2010-01-01T03:51:00,FM-15,60,50,10,090,0.01\n"
	for _, c := range []struct {
		name, text string
		want       []float64
	}{
		// 9.8 m/s; a missing one, a suspect one, one in the remarks alone.
		{"isd", isd("0851", "AA101000095OC100985") + isd("0951", "OC199999") + isd("1051", "OC100986") + isd("1151", ""), []float64{9.8 * 3600 / 1609.344, -1, -1, -1}},
		{"global", `"STATION","DATE","LATITUDE","LONGITUDE","NAME","REPORT_TYPE","WND","TMP","DEW","OC1"` + "\n" +
			`"007","2017-02-10T08:51:00","34.0","-118.0","A","FM-15","270,5,N,0020,5","+0200,5","+0100,5","0098,5"` + "\n" +
			`"007","2017-02-10T09:51:00","34.0","-118.0","A","FM-15","270,5,N,0020,5","+0200,5","+0100,5",""` + "\n", []float64{9.8 * 3600 / 1609.344, -1}},
		{"lcd", lcd, []float64{23, -1, -1, -1}},
		{"lcd, metric", strings.ReplaceAll(lcd, ",60,", ",15.6,"), []float64{23 * 3600 / 1609.344, -1, -1, -1}},
		{"plain", "time,temp_f,rh_pct,wind_mph,gust_kt\n2027-03-01 13:00,60,40,10,20\n2027-03-01 14:00,60,40,10,\n", []float64{20 * 1852 / 1609.344, -1}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := gustsOf(t, c.text, Options{UTCOffset: hours(-8)})
			if len(got) != len(c.want) {
				t.Fatalf("%v, want %v", got, c.want)
			}
			for i := range got {
				if math.Abs(got[i]-c.want[i]) > 1e-9 {
					t.Errorf("hour %d: %v, want %v", i, got[i], c.want[i])
				}
			}
		})
	}
	columns, err := ParseColumns("time=T,temp=A:f,rh=H,wind=W:mph,gust=G:km/h")
	if err != nil {
		t.Fatal(err)
	}
	if got := gustsOf(t, "T,A,H,W,G\n2027-03-01 13:00,60,40,10,32.18688\n", Options{Columns: columns}); math.Abs(got[0]-20) > 1e-9 {
		t.Errorf("a mapped column: %v", got)
	}
	if _, err := ParseColumns("time=T,temp=A:f,rh=H,wind=W:mph,gust=G"); err == nil || !strings.Contains(err.Error(), "mph, m/s, km/h or kt") {
		t.Errorf("a gust without its unit: %v", err)
	}
	r, err := Read(context.Background(), []File{{Name: "w.csv", Content: strings.NewReader("time,temp_f,rh_pct,wind_mph,gust_mph\n" + strings.Repeat("2027-03-01 13:00,60,40,10,12\n", 30) + "2027-03-01 14:00,60,40,10,900\n")}}, Options{})
	if err != nil || r.Sources[0].BadLines != 1 || !strings.HasPrefix(r.Sources[0].Bad[0].Error(), "w.csv:32:gust_mph: 900 is above 257;") {
		t.Errorf("a gust that no weather has: %v, %v", err, r.Sources[0].Bad)
	}
}

// The gust of a report against the one in the text of the same report, which follows as
// a remark: 24014G19KT is a gust of 19 knots (METAR, WMO-No. 306 FM 15).
func TestGustsAgainstMETAR(t *testing.T) {
	data, err := os.ReadFile(station(t, "isd/720534-00161-2025-partial.isd.gz"))
	if err != nil {
		t.Fatal(err)
	}
	unzip, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(unzip)
	if err != nil {
		t.Fatal(err)
	}
	inRemark := regexp.MustCompile(`METAR .* (?:\d{3}|VRB)\d{2}(?:G(\d{2}))?KT`)
	gusty, calm := 0, 0
	for line := range strings.Lines(string(text)) {
		said := inRemark.FindStringSubmatch(line)
		if line[41:46] != "FM-15" || said == nil {
			continue
		}
		got := gustsOf(t, line, Options{UTCOffset: hours(-7)})[0]
		if said[1] == "" {
			calm++
			if got != -1 {
				t.Errorf("a gust of %v mph from %s", got, said[0])
			}
			continue
		}
		gusty++
		knots, _ := strconv.ParseFloat(said[1], 64)
		// The file is in tenths of a meter a second, 17 knots (8.75) as 8.8; the next knot
		// lies 0.5 off.
		if want := quantity.MilesPerHourFromKilometersPerHour(knots * 1.852); math.Abs(got-float64(want)) > 0.06*3600/1609.344 {
			t.Errorf("%v mph, want %v from %s", got, want, said[0])
		}
	}
	t.Logf("%d reports with a gust, %d without", gusty, calm)
	if gusty < 20 || calm < 20 {
		t.Error("too few to judge by")
	}
}

func TestKeepGusts(t *testing.T) {
	plain := keptRecord()
	_, before, err := plain.Keep()
	if err != nil || before[0] != keptFormat {
		t.Fatalf("a record without gusts is kept in another form: %v, %v", before[0], err)
	}
	gusty := keptRecord()
	for i := range gusty.Hours {
		if i%4 == 1 {
			gusty.Hours[i].SetGust(quantity.MilesPerHour(20 + float64(i)/10))
		}
	}
	about, kept, err := gusty.Keep()
	if err != nil || kept[0] != gustFormat {
		t.Fatalf("%v, %v", kept[0], err)
	}
	again, err := Restore("x.emberquilt", about, kept)
	if err != nil {
		t.Fatal(err)
	}
	if again.Missing() != gusty.Missing() || again.Missing().Gust != 375 {
		t.Errorf("%+v, want %+v", again.Missing(), gusty.Missing())
	}
	for i := range gusty.Hours {
		if gusty.Hours[i] != again.Hours[i] {
			t.Fatalf("hour %d: %+v, want %+v", i, again.Hours[i], gusty.Hours[i])
		}
	}
}

// Read off the raw text of the document: from 21:00 UTC a gust of 29.632 km/h, a mixing
// height of 640.08 m, a transport wind of 38.892 km/h from 170 degrees.
func TestGridpointSmokeLayers(t *testing.T) {
	f, err := readForecast(t, "nws_gridpoint_TAE_2022-02-04_detailed.json", hours(-5))
	if err != nil {
		t.Fatal(err)
	}
	for i := range f.Hours {
		h := &f.Hours[i]
		if h.StartsAt.UTC().Format("2006-01-02 15") != "2022-02-03 21" {
			continue
		}
		gust, ok := h.Gust()
		mixing, _ := h.MixingHeight()
		transport, _ := h.TransportWind()
		from, _ := h.TransportFrom()
		if !ok || math.Abs(float64(gust)-29.632/1.609344) > 1e-9 || math.Abs(float64(mixing)-2100) > 1e-6 ||
			math.Abs(float64(transport)-38.892/1.609344) > 1e-9 || from != 170 {
			t.Errorf("%v, %v, %v, %v", gust, mixing, transport, from)
		}
		return
	}
	t.Error("the hour is not there")
}

// Mixing heights and transport winds of plain CSV, by our names and by a mapping; 304.8 m
// are 1,000 ft, exactly.
func TestSmokeColumnsOfPlainFiles(t *testing.T) {
	columns, err := ParseColumns("time=T,temp=A:f,rh=H,wind=W:mph,mixing=M:m,transport=S:km/h,transport_from=D")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, text string
		o          Options
	}{
		{"our names", "time,temp_f,rh_pct,wind_mph,mixing_height_ft,transport_wind_mph,transport_from_deg\n2027-03-01 13:00,60,40,10,1000,20,170\n2027-03-01 14:00,60,40,10,,,\n", Options{}},
		{"metric", "time,temp_f,rh_pct,wind_mph,mixing_height_m,transport_wind_kmh,transport_from_deg\n2027-03-01 13:00,60,40,10,304.8,32.18688,170\n2027-03-01 14:00,60,40,10,,,\n", Options{}},
		{"a mapping", "T,A,H,W,M,S,D\n2027-03-01 13:00,60,40,10,304.8,32.18688,170\n2027-03-01 14:00,60,40,10,,,\n", Options{Columns: columns}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := Read(context.Background(), []File{{Name: "w.csv", Content: strings.NewReader(c.text)}}, c.o)
			if err != nil || len(r.Hours) != 2 {
				t.Fatal(r, err)
			}
			h := &r.Hours[0]
			mixing, hasMixing := h.MixingHeight()
			speed, hasSpeed := h.TransportWind()
			from, hasFrom := h.TransportFrom()
			if !hasMixing || !hasSpeed || !hasFrom || math.Abs(float64(mixing)-1000) > 1e-9 || math.Abs(float64(speed)-20) > 1e-9 || from != 170 {
				t.Errorf("%v %v %v", mixing, speed, from)
			}
			if m := r.Missing(); m.MixingHeight != 1 || m.TransportWind != 1 || m.TransportFrom != 1 {
				t.Errorf("%+v", m)
			}
			about, kept, err := r.Keep()
			if err != nil || kept[0] != smokeFormat {
				t.Fatalf("kept as form %v, %v", kept[0], err)
			}
			again, err := Restore("x", about, kept)
			if err != nil || again.Hours[0] != r.Hours[0] || again.Hours[1] != r.Hours[1] {
				t.Errorf("%+v, want %+v, %v", again.Hours, r.Hours, err)
			}
		})
	}
	for text, want := range map[string]string{
		"mixing_height_ft\n2027-03-01 13:00,60,40,10,90000":  "w.csv:2:mixing_height_ft: 90000 is above 80000;",
		"transport_wind_kt\n2027-03-01 13:00,60,40,10,400":   "w.csv:2:transport_wind_kt: 460.3",
		"transport_from_deg\n2027-03-01 13:00,60,40,10,-1":   "w.csv:2:transport_from_deg: -1 is below 0;",
		"mixing_height_m\n2027-03-01 13:00,60,40,10,shallow": `w.csv:2:mixing_height_m: "shallow" is not a number;`,
	} {
		r, err := Read(context.Background(), []File{{Name: "w.csv", Content: strings.NewReader("time,temp_f,rh_pct,wind_mph," + text + "\n" + strings.Repeat("2027-03-01 15:00,60,40,10,\n", 30))}}, Options{})
		if err != nil || len(r.Sources[0].Bad) == 0 || !strings.HasPrefix(r.Sources[0].Bad[0].Error(), want) {
			t.Errorf("%s: %v, %+v", text, err, r)
		}
	}
	if _, err := ParseColumns("time=T,temp=A:f,rh=H,wind=W:mph,mixing=M"); err == nil || !strings.Contains(err.Error(), "ft or m after a colon") {
		t.Errorf("a mixing height without its unit: %v", err)
	}
}
