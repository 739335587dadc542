package weather

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/source"
)

// readText reads one text as a file named w.
func readText(text string, o Options) (*Record, error) {
	return Read(context.Background(), []File{{"w", strings.NewReader(text)}}, o)
}

func mustRead(t *testing.T, text string, o Options) *Record {
	t.Helper()
	r, err := readText(text, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// show prints an hour in one line, with - for what is unknown.
func show(h *Hour) string {
	text := fmt.Sprintf("%s %d:", h.At.Day(), h.At.Label())
	part := func(name string, v float64, ok bool) {
		if ok {
			text += fmt.Sprintf(" %s %.4g", name, v)
		} else {
			text += " " + name + " -"
		}
	}
	t, tOK := h.Temperature()
	rh, rhOK := h.Humidity()
	v, vOK := h.Wind()
	d, dOK := h.WindFrom()
	r, rOK := h.Rain()
	part("t", float64(t), tOK)
	part("rh", float64(rh), rhOK)
	part("v", float64(v), vOK)
	part("from", float64(d), dOK)
	part("rain", float64(r), rOK)
	if h.IsWet() {
		text += " wet"
	}
	return text
}

func shown(r *Record) string {
	var lines []string
	for i := range r.Hours {
		lines = append(lines, show(&r.Hours[i]))
	}
	return strings.Join(lines, "\n")
}

const epwHead = "LOCATION,Testville,KS,USA,Custom,999999,39.0,-96.0,-6.0,300.0\nDESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\n" +
	"HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,x\nCOMMENTS 2,x\nDATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31\n"

// epwLine is a line of 35 fields.
func epwLine(y, m, d, h int, t, rh, from, v, depth, hours string) string {
	return fmt.Sprintf("%d,%d,%d,%d,60,?9,%s,1.0,%s,99000,0,0,0,0,0,0,0,0,0,0,%s,%s,0,0,9,7,9,999999999,0,0,0,88,0,%s,%s\n", y, m, d, h, t, rh, from, v, depth, hours)
}

func TestEPW(t *testing.T) {
	r := mustRead(t, epwHead+
		epwLine(2020, 2, 29, 1, "10.0", "50", "360", "5.0", "0.0", "1")+
		epwLine(2020, 2, 29, 24, "99.9", "999", "999", "999", "999", "99")+
		epwLine(2020, 3, 1, 1, "20.0", "105", "0", "0.0", "2.54", "1"), Options{})
	want := "2020-02-29 1: t 50 rh 50 v 11.18 from 0 rain 0\n" +
		"2020-02-29 24: t - rh - v - from - rain -\n" +
		"2020-03-01 1: t 68 rh 100 v 0 from - rain 0.1 wet"
	if got := shown(r); got != want || r.Typical {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if r.Station.Place == nil || *r.Station.Place != (Place{39, -96}) || *r.Station.UTCOffset != -6 || r.Station.Name != "Testville" {
		t.Errorf("%+v", r.Station)
	}
	// An old file without the last three fields; CR LF line ends.
	old := strings.TrimSuffix(epwLine(2020, 1, 1, 1, "10.0", "50", "90", "5.0", "0.0", "1"), ",0,0.0,1\n")
	if r := mustRead(t, strings.ReplaceAll(epwHead+old+"\n", "\n", "\r\n"), Options{}); shown(r) != "2020-01-01 1: t 50 rh 50 v 11.18 from 90 rain -" {
		t.Errorf("an old file: %s", shown(r))
	}
}

// A depth over six hours: hours with their own keep it, the rest is the last
// hour's, and hours without one are wet.
func TestDepthOverSeveralHours(t *testing.T) {
	line := func(h int, depth, hours string) string {
		return epwLine(2020, 5, 1, h, "10", "50", "90", "5.0", depth, hours)
	}
	r := mustRead(t, epwHead+line(1, "999", "99")+line(2, "999", "99")+line(3, "0.0", "1")+line(4, "2.54", "1")+line(5, "999", "99")+line(6, "7.62", "5")+line(7, "0.0", "6"), Options{})
	want := []string{"rain -", "rain - wet", "rain 0", "rain 0.1 wet", "rain - wet", "rain 0.2 wet", "rain 0"}
	for i, w := range want {
		if got := show(&r.Hours[i]); !strings.HasSuffix(got, w) {
			t.Errorf("hour %d: %s; want %s", i+1, got, w)
		}
	}
}

// A year put together from months of several is put in the order of month, day
// and hour, whatever its years.
func TestTypicalYear(t *testing.T) {
	text := epwHead
	for m, y := range []int{1995, 1982, 2003, 1991} {
		text += epwLine(y, m+1, 1, 1, fmt.Sprint(m), "50", "90", "5.0", "0.0", "1") + epwLine(y, m+1, 28, 24, fmt.Sprint(m), "50", "90", "5.0", "0.0", "1")
	}
	r := mustRead(t, text, Options{})
	if !r.Typical || r.Sources[0].SourceYears != [2]int{1982, 2003} || r.Hours[0].At.Day() != date.MustDay(TypicalYear, 1, 1) {
		t.Errorf("typical %v, %v", r.Typical, r.Sources[0].SourceYears)
	}
	for i := range r.Hours {
		if v, _ := r.Hours[i].Temperature(); int(r.Hours[i].At.Day().Month)-1 != int((v-32)/1.8+0.5) {
			t.Errorf("%s is out of order", show(&r.Hours[i]))
		}
	}
	if !strings.Contains(strings.Join(r.Warnings, "\n"), "says nothing about poor years") {
		t.Errorf("warnings %q", r.Warnings)
	}
	// Years of measurements that follow one another are none, nor is a gap.
	for _, years := range [][]int{{2016, 2017}, {2014, 2017}} {
		text := epwHead
		for _, y := range years {
			for m := 1; m <= 12; m++ {
				text += epwLine(y, m, 1, 1, "10", "50", "90", "5.0", "0.0", "1") + epwLine(y, m, 28, 24, "10", "50", "90", "5.0", "0.0", "1")
			}
		}
		if r := mustRead(t, text, Options{}); r.Typical || len(r.Hours) != 48 {
			t.Errorf("%v: typical %v, %d hours", years, r.Typical, len(r.Hours))
		}
	}
}

const tmy3Head = "722140,\"TESTVILLE, REGIONAL\",FL,-5.0,30.380,-84.370,21\n" +
	"Date (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C),RHum (%),Wdir (degrees),Wspd (m/s),Lprecip depth (mm),Lprecip quantity (hr)\n"

func TestTMY3(t *testing.T) {
	r := mustRead(t, tmy3Head+"01/31/1995,24:00,10,50,360,5,-9900,-9900\n01/31/1995,23:00,-9900,-9900,-9900,-9900,0,1\n02/01/1980,01:00,20,40,0,0,3,1\n", Options{})
	want := "2001-01-31 23: t - rh - v - from - rain 0\n" +
		"2001-01-31 24: t 50 rh 50 v 11.18 from 0 rain -\n" +
		"2001-02-01 1: t 68 rh 40 v 0 from - rain 0.1181 wet"
	if got := shown(r); got != want || !r.Typical {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if r.Station.Name != "TESTVILLE, REGIONAL" {
		t.Errorf("station %q", r.Station.Name)
	}
}

// The re-issued files carry tenths of millimetres: by their sum, or by holding
// nothing but hundredths of an inch.
func TestTMY3Tenths(t *testing.T) {
	file := func(depths ...int) string {
		text := tmy3Head
		for i, d := range depths {
			text += fmt.Sprintf("%02d/%02d/1995,%02d:00,10,50,90,5,%d,1\n", 1+i/600, 1+i/24%25, 1+i%24, d)
		}
		return text
	}
	repeat := func(n int, depths ...int) (all []int) {
		for range n {
			all = append(all, depths...)
		}
		return all
	}
	for _, c := range []struct {
		name   string
		depths []int
		last   float64 // inches
	}{
		{"a dry station in tenths", repeat(8, 3, 5, 8, 10, 13), 13 / 254.0},
		{"a dry station in mm", repeat(8, 1, 2, 1, 4, 3), 3 / 25.4},
		{"a wet station in tenths, cut off", repeat(8, 1, 2, 500, 4, 6), 6 / 254.0},
		{"two showers", []int{1, 25}, 25 / 25.4},
	} {
		r := mustRead(t, file(c.depths...), Options{})
		got, _ := r.Hours[len(r.Hours)-1].Rain()
		if float64(got) < c.last-1e-9 || float64(got) > c.last+1e-9 {
			t.Errorf("%s: last depth %v in, want %v", c.name, got, c.last)
		}
	}
}

func TestISDLite(t *testing.T) {
	r := mustRead(t, "2016 02 29 05   200   100 10256     0     0     4    -1 -9999\n"+
		"2016 03 01 06 -9999   100 10258   360    62     2    25 -9999\n"+
		"2016 03 01 18   200 -9999 10258 -9999 -9999     2 -9999  -999\n", Options{UTCOffset: hours(-6)})
	// 05 UTC is 23:00 the day before; 06 UTC is midnight, label 24.
	want := "2016-02-28 23: t 68 rh 52.56 v 0 from - rain 0 wet\n" +
		"2016-02-29 24: t - rh - v 13.87 from 0 rain 0.09843 wet\n" +
		"2016-03-01 12: t 68 rh - v - from - rain -"
	if got := shown(r); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if !r.Hours[0].IsTrace() {
		t.Error("-1 is a trace")
	}
	_, err := readText("2016 02 29 05   200   100 10256     0     0     4    -1 -9999\n", Options{})
	if err == nil || !strings.HasPrefix(err.Error(), "w:UTC offset: its times are UTC (ISD-Lite) and the station's offset is not given") {
		t.Errorf("no offset: %v", err)
	}
	// A last line cut in the middle is not half read.
	cut := strings.Repeat("2016 02 29 05   200   100 10256     0     0     4    -1 -9999\n", 3) + "2016 02 29 06   20"
	r = mustRead(t, cut, Options{UTCOffset: hours(0)})
	if r.Sources[0].BadLines != 1 || r.Sources[0].Bad[0].Line != 4 || len(r.Hours) != 1 || r.Sources[0].Duplicates != 2 {
		t.Errorf("%+v", r.Sources[0])
	}
}

func TestISD(t *testing.T) {
	line := func(hm, kind, wind, temp, groups string) string {
		return "0158" + "722874" + "93134" + "20070101" + hm + "7" + "+34028" + "-118296" + kind + "+0056" + "KCQT " + "V030" + wind + "2200059N" + "0112655N5" + temp + "102115" + "ADD" + groups + "REMMET AA101050095\n"
	}
	r := mustRead(t,
		line("0851", "FM-15", "2705N00205", "+02005+01005", "AA101002525AA2060200")+ // 8:51 UTC, label 1
			line("0859", "FM-15", "0905N00905", "+03005+01005", "")+ // second for label 1
			line("0953", "FM-15", "9999C00005", "+02003+01005", "AA106999999AA201000029")+ // erroneous T; trace in AA2
			line("1030", "FM-16", "9999C00005", "+02005+01005", "")+
			line("1053", "FM-15", "9999V00305", "+99999+99999", "GF1AA101005095"[0:3])+
			line("1153", "FM-15", "1203V00305", "+02005+01006", "AA101001096")+ // suspect direction, dew point; suspect rain above zero
			line("2359", "SOD  ", "9999C00005", "+02005+01005", ""), Options{UTCOffset: hours(-8)})
	want := "2007-01-01 1: t 68 rh 52.56 v 4.474 from 270 rain 0.09843 wet\n" +
		"2007-01-01 2: t - rh - v 0 from - rain 0 wet\n" +
		"2007-01-01 3: t - rh - v 6.711 from - rain -\n" +
		"2007-01-01 4: t 68 rh - v 6.711 from - rain 0.03937 wet"
	if got := shown(r); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	s := r.Sources[0]
	if s.Duplicates != 1 || s.OtherReports != 2 || s.Suspect != 4 || s.BadLines != 0 {
		t.Errorf("%+v", s)
	}
	// Without FM-15 other hourly reports are taken, specials never.
	r = mustRead(t, line("0900", "FM-12", "2705N00205", "+02005+01005", "")+line("0930", "FM-16", "2705N00205", "+03005+01005", ""), Options{UTCOffset: hours(-8)})
	if len(r.Hours) != 1 || !strings.Contains(strings.Join(r.Sources[0].Notes, " "), "no report of type FM-15") {
		t.Errorf("%s %q", shown(r), r.Sources[0].Notes)
	}
	_, err := readText(line("0900", "FM-15", "2705N00205", "+02005+01005", ""), Options{})
	if err == nil || !strings.Contains(err.Error(), "longitude -118.296 suggests -8") {
		t.Errorf("no offset: %v", err)
	}
}

func TestGlobalHourly(t *testing.T) {
	head := `"STATION","DATE","LATITUDE","LONGITUDE","NAME","REPORT_TYPE","WND","CIG","TMP","DEW","AA1","AA2","REM"` + "\n"
	line := func(when, kind, wnd, tmp, dew, aa1, aa2 string) string {
		return fmt.Sprintf("\"007\",\"%s\",\"34.0\",\"-118.0\",\"A, \"\"B\"\"\",\"%s\",\"%s\",\"22000,1\",\"%s\",\"%s\",\"%s\",\"%s\",\"x, y\"\n", when, kind, wnd, tmp, dew, aa1, aa2)
	}
	r := mustRead(t, head+
		line("2017-02-10T08:51:00", "FM-15", "270,5,N,0020,5", "+0200,5", "+0100,5", "06,0100,9,5", "01,0025,9,5")+
		line("2017-02-10T09:51:00", "FM-15", "999,9,C,0000,5", "+0200,2", "+9999,9", "01,0000,2,5", "")+
		line("2017-02-10T10:51:00", "FM-16", "270,5,N,0020,5", "+0200,5", "+0100,5", "", ""), Options{UTCOffset: hours(-8)})
	want := "2017-02-10 1: t 68 rh 52.56 v 4.474 from 270 rain 0.09843 wet\n2017-02-10 2: t - rh - v 0 from - rain 0 wet"
	if got := shown(r); got != want || r.Station.Name != `A, "B"` {
		t.Errorf("got\n%s\nwant\n%s\n%q", got, want, r.Station.Name)
	}
}

func TestLCD(t *testing.T) {
	head := "STATION,STATION_NAME,LATITUDE,LONGITUDE,DATE,REPORTTPYE,HOURLYDRYBULBTEMPF,HOURLYRelativeHumidity,HOURLYWindSpeed,HOURLYWindDirection,HOURLYPrecip,MORE\n"
	line := func(rest string) string { return "WBAN:1,JFK,40.6,-73.8," + rest + ",x\n" }
	r := mustRead(t, head+
		line("2010-01-01 00:51,FM-15,60,50,10,000,T")+
		line("2010-01-01 01:00,FM-12,10,50,10,000,T")+
		line("2010-01-01 01:51,FM-15,60s,50,10V,VRB,0.02s")+
		line("2010-01-01 02:51,FM-15,*,,0,000,0.00s")+
		line("2010-01-01 03:51,FM-15,60,50,10,360,")+
		line("2010-01-01 03:58,FM-15,70,50,10,360,")+
		line("2010-01-01 04:51,FM-15,60,50,10,090,0.020.01s")+
		line("2010-01-01 23:51,FM-15,60,50,10,090,*")+
		line("2010-01-01 23:59,SOD,,,,,"), Options{})
	want := "2010-01-01 1: t 60 rh 50 v 10 from 0 rain 0 wet\n" +
		"2010-01-01 2: t - rh 50 v 10 from - rain 0.02 wet\n" +
		"2010-01-01 3: t - rh - v 0 from - rain -\n" +
		"2010-01-01 4: t 60 rh 50 v 10 from 0 rain -\n" +
		"2010-01-01 5: t 60 rh 50 v 10 from 90 rain -\n" +
		"2010-01-01 24: t 60 rh 50 v 10 from 90 rain -"
	if got := shown(r); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if s := r.Sources[0]; s.Duplicates != 1 || s.OtherReports != 2 || s.BadLines != 1 || s.Suspect != 4 || s.Format != LCD1 {
		t.Errorf("%+v", s)
	}
	// A wind of 10 mph with the direction 000 is north, not calm: only the first
	// hour has it.
}

// Version 2, whose units nothing says.
func TestLCD2Units(t *testing.T) {
	head := `"STATION","DATE","REPORT_TYPE","HourlyDewPointTemperature","HourlyDryBulbTemperature","HourlyPrecipitation","HourlyRelativeHumidity","HourlyWindDirection","HourlyWindSpeed"` + "\n"
	line := func(h int, temp, rain, wind string) string {
		return fmt.Sprintf("\"72\",\"2020-01-01T%02d:53:00\",\"FM-15\",\"\",\"%s\",\"%s\",\"50\",\"090\",\"%s\"\n", h, temp, rain, wind)
	}
	us := mustRead(t, head+line(0, "50", "0.10", "10")+line(1, "51s", "T", "10")+line(2, "50", "", ""), Options{})
	metric := mustRead(t, head+line(0, "10.0", "2.54", "5.0")+line(1, "10.6", "T", "4.1")+line(2, "9.4", "", ""), Options{})
	if got, want := show(&us.Hours[0]), "2020-01-01 1: t 50 rh 50 v 10 from 90 rain 0.1 wet"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if got, want := show(&metric.Hours[0]), "2020-01-01 1: t 50 rh 50 v 11.18 from 90 rain 0.1 wet"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	yes := true
	forced := mustRead(t, head+line(0, "10", "2.54", "5"), Options{Metric: &yes})
	if got, want := show(&forced.Hours[0]), "2020-01-01 1: t 50 rh 50 v 11.18 from 90 rain 0.1 wet"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestPlain(t *testing.T) {
	r := mustRead(t, "\xef\xbb\xbf# station: Home\n# utc_offset: -6\n# latitude: 36\n# longitude: -97\nTime,TEMP_F,rh_pct,wind_mph,wind_from_deg,rain_in,extra\n"+
		"2027-03-01 24:00,60,40,10,270,0.1,x\n3/2/2027 1:00,,,,,\n2027-03-02T08:30:00Z,50,40,0,90,T\n", Options{})
	want := "2027-03-01 24: t 60 rh 40 v 10 from 270 rain 0.1 wet\n2027-03-02 1: t - rh - v - from - rain -\n2027-03-02 3: t 50 rh 40 v 0 from - rain 0 wet"
	if got := shown(r); got != want || r.Station.Name != "Home" || *r.Station.Place != (Place{36, -97}) {
		t.Errorf("got\n%s\nwant\n%s\n%+v", got, want, r.Station)
	}
	c, err := ParseColumns("time=Stamp,temp=AirT:c,dewpoint=Td:c,wind=WS:km/h,from=WD,rain=P:mm,zone=utc,stamp=begin")
	if err != nil {
		t.Fatal(err)
	}
	r = mustRead(t, "Stamp,P,AirT,Td,WS,WD\n2027/03/01 18:00,2.54,20,10,16.09344,360\n", Options{Columns: c, UTCOffset: hours(-6)})
	if got, want := shown(r), "2027-03-01 13: t 68 rh 52.56 v 10 from 0 rain 0.1 wet"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	for text, want := range map[string]string{
		"time=T,temp=X,wind=W:kt,rh=H":       `columns: "temp=X" lacks a good value; accepts f or c after a colon`,
		"time=T,temp=X:k,wind=W:kt,rh=H":     `columns: "temp=X:k" lacks a good value; accepts f or c after a colon`,
		"time=T,temp=X:c,wind=W:kt":          "columns: not all that is needed is there; accepts time, temp, wind, and rh or dewpoint",
		"time=T,pressure=X":                  `columns: "pressure" is unknown; accepts time, temp, rh, dewpoint, wind, from, rain, zone, stamp`,
		"time":                               `columns: "time" names no column; accepts pairs such as temp=AirT:c with commas between`,
		"time=T,temp=X:c,wind=W:kt,zone=PST": `columns: "zone=PST" lacks a good value; accepts utc or standard`,
	} {
		if _, err := ParseColumns(text); err == nil || err.Error() != want {
			t.Errorf("%s:\n got %v\nwant %s", text, err, want)
		}
	}
}

func packed(t *testing.T, members map[string]string, order ...string) string {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, name := range order {
		m, err := w.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := m.Write([]byte(members[name])); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func gzipped(t *testing.T, text string) string {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := w.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestPackedFiles(t *testing.T) {
	one := "2016 03 01 06   200   100 10258   360    62     2     0 -9999\n"
	two := "2016 03 01 07   200   100 10258   360    62     2     0 -9999\n"
	o := Options{UTCOffset: hours(-6)}
	if r := mustRead(t, gzipped(t, one+two), o); len(r.Hours) != 2 || r.Sources[0].Packed != "gzip" {
		t.Errorf("gzip: %+v", r.Sources)
	}
	r := mustRead(t, packed(t, map[string]string{"a/1.txt": one, "2": two, "notes.stat": "Climate notes\n"}, "a/1.txt", "notes.stat", "2"), o)
	if len(r.Hours) != 2 || r.Sources[0].File != "w:1.txt" || r.Sources[0].Packed != "zip" || !strings.Contains(strings.Join(r.Sources[0].Notes, " "), "notes.stat") {
		t.Errorf("zip: %+v", r.Sources)
	}
	whole := gzipped(t, strings.Repeat(one+two, 200))
	for name, c := range map[string]struct{ text, want string }{
		"cut gzip":       {whole[:len(whole)-20], "breaks off here"},
		"cut zip":        {packed(t, map[string]string{"1": one}, "1")[:60], "w: is a damaged zip file"},
		"zip of nothing": {packed(t, map[string]string{"1": "hello\n"}, "1"), "w: is a zip file without a weather record"},
	} {
		if _, err := readText(c.text, o); err == nil || !strings.Contains(err.Error(), c.want) || !source.Is(err) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestRefused(t *testing.T) {
	good := "2016 03 01 06   200   100 10258   360    62     2     0 -9999\n"
	for name, c := range map[string]struct {
		text string
		want string
	}{
		"empty":         {"", "w: is empty; accepts " + Formats},
		"blank":         {" \n\n", "w: is empty; accepts " + Formats},
		"UTF-16":        {"\xff\xfeL\x00O\x00", "w: is text in UTF-16; accepts " + Formats + "\nhint: save it as UTF-8 or plain CSV"},
		"binary":        {"\x89PNG\r\n\x1a\n\x00\x00", "w: is a binary file; accepts " + Formats},
		"units":         {"name,acres\nA,5\n", `w: is of no format that is known here; it begins "name,acres"; accepts ` + Formats},
		"forecast":      {`{"properties": {"periods": []}}`, "w: is a forecast (hourly forecast JSON), not a record of past weather; accepts a record; a forecast is read by the forecast check"},
		"EPW head only": {"LOCATION,x\nDESIGN CONDITIONS,0\n", "w:2: the file ends in its header; accepts eight header lines and one line an hour"},
		"EPW no hours":  {epwHead, "w: holds no hour that can be used, in 0 lines; accepts hourly readings"},
		"TMY3 column":   {"1,a,FL,-5,30,-84,2\nDate (MM/DD/YYYY),Time (HH:MM),RHum (%)\n", "w:2:Dry-bulb (C): there is no such column; accepts a header row with it"},
		"plain column":  {"time,temp_f\n2020-01-01 01:00,5\n", "w:1: the header row has no column wind_mph, wind_mps, wind_kmh or wind_kt; accepts that column, or a mapping of the file's own names"},
		"many bad": {strings.Repeat(good, 100) + strings.Repeat("2016 13 01 06   200   100 10258   360    62     2     0 -9999\n", 11),
			"w: 11 of 111 lines are bad; accepts up to 10 (ten, or one line in fifty, and never more than half)\n" +
				`w:101:date: "2016-13-01" is not a date; accepts year, month and day of a date from 1800 to 2200`},
		"bad years": {"2016 02 30 06   200   100 10258   360    62     2     0 -9999\n", "w: 1 of 1 lines are bad; accepts up to 0"},
	} {
		_, err := readText(c.text, Options{UTCOffset: hours(-6)})
		if err == nil || !strings.HasPrefix(err.Error(), c.want) || !source.Is(err) {
			t.Errorf("%s:\n got %v\nwant %s", name, err, c.want)
		}
	}
	if _, err := ReadFiles(context.Background(), []string{"/no/such/file"}, Options{}); err == nil || err.Error() != "/no/such/file: cannot be opened: no such file or directory; accepts a weather file that can be read" {
		t.Errorf("no file: %v", err)
	}
	if _, err := ReadFiles(context.Background(), []string{t.TempDir()}, Options{}); err == nil || !strings.Contains(err.Error(), "is a folder") {
		t.Errorf("a folder: %v", err)
	}
	if _, err := Read(context.Background(), nil, Options{}); !source.Is(err) {
		t.Errorf("nothing: %v", err)
	}
	if _, err := readText(good, Options{UTCOffset: hours(25)}); err == nil || !strings.HasPrefix(err.Error(), "UTC offset: 25 is no offset") {
		t.Errorf("offset 25: %v", err)
	}
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Read(stopped, []File{{"w", strings.NewReader(strings.Repeat(good, 9000))}}, Options{UTCOffset: hours(0)}); err != context.Canceled {
		t.Errorf("stopped: %v", err)
	}
}

// A few bad lines are read around, counted and shown with their place.
func TestFewBadLines(t *testing.T) {
	text := "time,temp_f,rh_pct,wind_mph,rain_in\n"
	for h := 1; h <= 24; h++ {
		text += fmt.Sprintf("2027-03-01 %02d:00,60,40,10,0\n", h)
	}
	text += "2027-03-02 01:00,60,-4,10,0\n2027-03-02 02:00,60,134,10,0\n2027-02-29 03:00,60,40,10,0\n2027-03-02 04:00,6O,40,-3,0\n2027-03-02 05:00,60\n"
	r := mustRead(t, text, Options{})
	if s := r.Sources[0]; s.BadLines != 5 || s.Kept != 27 {
		t.Errorf("%+v", s)
	}
	want := []string{
		"w:26:rh_pct: -4 is below 0; accepts 0 to 100 percent, or what the format writes for a missing reading",
		"w:27:rh_pct: 134 is above 100; accepts 0 to 100 percent, or what the format writes for a missing reading",
		`w:28:time: "2027-02-29 03:00" is no time; accepts a date and time such as 2027-03-01 14:00`,
		`w:29:temp_f: "6O" is not a number; accepts a decimal number`,
		"w:29:wind_mph: -3 is below 0; accepts 0 to 257 mph, or what the format writes for a missing reading",
		"w:30: holds 2 fields; accepts as many fields as the header row",
	}
	if got := r.Complaints().Error(); got != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", got, strings.Join(want, "\n"))
	}
	if !strings.Contains(strings.Join(r.Warnings, "\n"), "w: 5 of 29 lines could not be read whole") {
		t.Errorf("%q", r.Warnings)
	}
	// The line with the bad temperature keeps its humidity, and has none it made up.
	h := r.Hours[len(r.Hours)-1]
	if _, ok := h.Temperature(); ok {
		t.Error(show(&h))
	}
}

func TestJoin(t *testing.T) {
	line := func(day, hour, temp int) string {
		return fmt.Sprintf("2016 03 %02d %02d   %3d   100 10258   360    62     2     0 -9999\n", day, hour, temp)
	}
	read := func(texts ...string) (*Record, error) {
		var files []File
		for i, text := range texts {
			files = append(files, File{fmt.Sprintf("f%d", i+1), strings.NewReader(text)})
		}
		return Read(context.Background(), files, Options{UTCOffset: hours(0)})
	}
	r, err := read(line(2, 1, 200)+line(2, 2, 200), line(1, 1, 100)+line(2, 2, 300)+line(2, 3, 300), line(2, 1, 200))
	if err != nil {
		t.Fatal(err)
	}
	want := "2016-03-01 1: t 50 rh 100 v 13.87 from 0 rain 0\n2016-03-02 1: t 68 rh 52.56 v 13.87 from 0 rain 0\n" +
		"2016-03-02 2: t 68 rh 52.56 v 13.87 from 0 rain 0\n2016-03-02 3: t 86 rh 28.96 v 13.87 from 0 rain 0"
	if got := shown(r); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if s := r.Sources[1]; s.Overlaps != 1 || s.Differing != 1 {
		t.Errorf("%+v", s)
	}
	warnings := strings.Join(r.Warnings, "\n")
	for _, want := range []string{"f2: 1 of its hours are in a file before it, which is kept; 1 of them differ", "f3: holds nothing that the files before it do not hold (0 of its hours differ); is it there twice?"} {
		if !strings.Contains(warnings, want) {
			t.Errorf("%q lacks %q", warnings, want)
		}
	}
	if _, err := read(line(2, 1, 200), tmy3Head+"01/31/1995,24:00,10,50,360,5,-9900,-9900\n01/31/1995,23:00,10,50,360,5,-9900,-9900\n"); err == nil || !strings.Contains(err.Error(), "one of them is a typical year") {
		t.Errorf("a typical year beside a measured one: %v", err)
	}
	other := strings.Replace(epwHead, "999999", "111111", 1) + epwLine(2020, 1, 1, 1, "10", "50", "90", "5.0", "0.0", "1")
	if _, err := read(epwHead+epwLine(2020, 1, 1, 1, "10", "50", "90", "5.0", "0.0", "1"), other); err == nil || !strings.Contains(err.Error(), `is of station "111111"`) {
		t.Errorf("two stations: %v", err)
	}
}

// The real ISD-Lite years join without a gap across the end of the UTC year.
func TestJoinRealYears(t *testing.T) {
	r, err := ReadFiles(context.Background(), []string{shared(t, "isd/725300-2016.isdlite.gz"), shared(t, "isd/725300-2017.isdlite.gz")}, Options{UTCOffset: hours(-6)})
	if err != nil {
		t.Fatal(err)
	}
	count := 0
	for i := range r.Hours {
		if r.Hours[i].At.Day() == date.MustDay(2016, time.December, 31) {
			count++
		}
	}
	if count != 24 || len(r.Hours) != 8782+8759 || r.Years() != 2 {
		t.Errorf("31 December 2016 has %d hours; %d hours in all, %d years", count, len(r.Hours), r.Years())
	}
}

// smooth gives days of a smooth course, warmest at a label.
func smooth(days, warmest int, wind string) string {
	text := "time,temp_f,rh_pct,wind_mph,rain_in\n"
	d := date.MustDay(2027, 1, 1)
	for range days {
		for label := 1; label <= 24; label++ {
			away := (label - warmest + 36) % 24 // 12 at the warmest
			text += fmt.Sprintf("%s %02d:00,%d,40,%s,0\n", d, label, 40+min(away, 24-away)*2, wind)
		}
		d = d.AddDays(1)
	}
	return text
}

func TestWarnings(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"afternoon", smooth(40, 15, "9"), ""},
		{"clock upside down", smooth(40, 2, "9"), "noon is colder than midnight on average"},
		{"clock six hours off", smooth(40, 9, "9"), "the warmest hour is that ending at 9:00 on average"},
		{"wind in the wrong unit", smooth(40, 15, "32"), "the median wind is 32.0 mph"},
		{"no wind", smooth(40, 15, "0"), "the median wind is 0.0 mph"},
		{"ends in the middle", strings.TrimSuffix(smooth(40, 15, "9"), strings.Join(strings.SplitAfter(smooth(40, 15, "9"), "\n")[40*24+1-12:], "")), "the record ends on 2027-02-09 at 12:00, in the middle of a day"},
		{"rain missing", strings.ReplaceAll(smooth(40, 15, "9"), ",0\n", ",\n"), "100.0 percent of the hours have no depth of precipitation"},
		{"a year missing", smooth(40, 15, "9") + "2029-06-01 18:00,60,40,9,0\n", "no reading at all in 2028"},
		{"a gap", smooth(40, 15, "9") + "2027-06-01 18:00,60,40,9,0\n", "111 days without a reading, from 2027-02-09 to 2027-06-01"},
	} {
		r := mustRead(t, c.text, Options{})
		got := strings.Join(r.Warnings, "\n")
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	r := mustRead(t, epwHead+epwLine(2020, 1, 1, 18, "10", "50", "90", "5.0", "0.0", "1"), Options{UTCOffset: hours(-5)})
	if len(r.Warnings) != 1 || r.Warnings[0] != "the UTC offset -5 was given, but the file says -6; the file's is used" {
		t.Errorf("%q", r.Warnings)
	}
}
