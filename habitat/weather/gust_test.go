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
		if !ok || math.Abs(float64(gust)-29.632/1.609344) > 1e-9 || h.MixingHeight == nil || math.Abs(float64(*h.MixingHeight)-2100) > 1e-6 ||
			h.TransportWind == nil || math.Abs(float64(*h.TransportWind)-38.892/1.609344) > 1e-9 || h.TransportFrom == nil || *h.TransportFrom != 170 {
			t.Errorf("%v, %v, %v, %v", gust, h.MixingHeight, h.TransportWind, h.TransportFrom)
		}
		return
	}
	t.Error("the hour is not there")
}
