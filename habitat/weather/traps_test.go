package weather

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"emberquilt/habitat/date"
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

// The re-issued files carry tenths of millimeters: by their sum, or by holding
// nothing but hundredths of an inch.
func TestTMY3Tenths(t *testing.T) {
	file := func(depths ...int) string {
		text := tmy3Head
		for i, d := range depths {
			text += fmt.Sprintf("%02d/%02d/1995,%02d:00,10,50,90,5,%d,1\n", 1+i/600, 1+i/24%25, 1+i%24, d)
		}
		return text
	}
	repeat := repeatDepths
	for _, c := range []struct {
		name   string
		depths []int
		last   float64 // inches
	}{
		{"a dry station in tenths", repeat(8, 3, 5, 8, 10, 13), 13 / 254.0},
		{"a dry station in mm", repeat(8, 1, 2, 1, 4, 3), 3 / 25.4},
		{"a wet station in tenths, cut off", repeat(8, 1, 2, 500, 4, 6), 6 / 254.0},
		{"two showers", []int{1, 25}, 25 / 25.4},
		// An arid year in tenths: 2,960 by sum, 77% on the grid.
		{"an arid station in tenths", append(repeat(23, 3, 5, 8, 10, 13, 15, 18, 4, 7, 11), 25, 25), 25 / 254.0},
	} {
		r := mustRead(t, file(c.depths...), Options{})
		got, _ := r.Hours[len(r.Hours)-1].Rain()
		if float64(got) < c.last-1e-9 || float64(got) > c.last+1e-9 {
			t.Errorf("%s: last depth %v in, want %v", c.name, got, c.last)
		}
	}
}

// Where neither the sum nor the depths decide, the reader asks.
func TestTMY3AsksForTheUnit(t *testing.T) {
	text := tmy3Head
	for i, d := range repeatDepths(8, 3, 5, 2, 4, 6, 10, 11, 12, 1, 14) { // 3 in 10 and a little are hundredths of an inch
		text += fmt.Sprintf("%02d/%02d/1995,%02d:00,10,50,90,5,%d,1\n", 1+i/600, 1+i/24%25, 1+i%24, d)
	}
	text += "12/31/1995,01:00,10,50,90,5,5,1\n12/31/1995,02:00,10,50,90,5,5,1\n"
	_, err := Read(t.Context(), []File{{"w", strings.NewReader(text)}}, Options{})
	if err == nil || !strings.Contains(err.Error(), "w:Lprecip depth (mm): the depths add up to 554 in 82 wet hours, 32% of them hundredths of an inch") ||
		!strings.Contains(err.Error(), "--rain-unit mm or --rain-unit tenths") {
		t.Errorf("got %v", err)
	}
	for unit, want := range map[RainUnit]float64{RainMillimeters: 5 / 25.4, RainTenths: 5 / 254.0} {
		r := mustRead(t, text, Options{RainUnit: unit})
		if got, _ := r.Hours[len(r.Hours)-1].Rain(); math.Abs(float64(got)-want) > 1e-9 {
			t.Errorf("%s: last depth %v in, want %v", unit, got, want)
		}
	}
	if _, err := Read(t.Context(), []File{{"w", strings.NewReader(text)}}, Options{RainUnit: "inches"}); err == nil || !strings.Contains(err.Error(), "is not a unit of rain; accepts mm or tenths") {
		t.Errorf("an unknown unit: %v", err)
	}
}

func repeatDepths(n int, depths ...int) (all []int) {
	for range n {
		all = append(all, depths...)
	}
	return all
}

// The five held files are in tenths; the same hours rounded to whole
// millimeters are read as such.
//
// Source: the files themselves; see PROVENANCE.md beside them.
func TestTMY3UnitOfRealFiles(t *testing.T) {
	for _, name := range []string{"723170TYA.CSV", "FL-Tallahassee_Regional_Ap_Isis.tmy3", "GA-Albany_Dougherty_County_Ap.tmy3", "KS-Manhattan_Rgnl.tmy3", "MO-Columbia_Regional_Airport.tmy3.gz"} {
		sum := func(o Options) (inches float64) {
			r, err := readFiles(t.Context(), []string{station(t, "tmy3/"+name)}, o)
			if err != nil {
				t.Fatal(err)
			}
			for _, h := range r.Hours {
				if depth, ok := h.Rain(); ok {
					inches += float64(depth)
				}
			}
			return inches
		}
		told, asked := sum(Options{}), sum(Options{RainUnit: RainTenths})
		if told != asked || told < 15 || told > 80 {
			t.Errorf("%s: %.1f in a year as told, %.1f in tenths", name, told, asked)
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
	same, err := ParseColumns("time=Stamp,temp=AirT:c,dewpoint=Td:c,wind_speed=WS:km/h,wind_dir=WD,precip=P:mm,zone=utc,stamp=begin")
	if err != nil || *same != *c {
		t.Errorf("other words: %+v, %v", same, err)
	}
	for text, want := range map[string]string{
		"time=T,temp=X,wind=W:kt,rh=H":       `columns: "temp=X" lacks a good value; accepts f or c after a colon`,
		"time=T,temp=X:k,wind=W:kt,rh=H":     `columns: "temp=X:k" lacks a good value; accepts f or c after a colon`,
		"time=T,temp=X:c,wind=W:kt":          "columns: not all that is needed is there; accepts time, temp, wind, and rh or dewpoint",
		"time=T,pressure=X":                  `columns: "pressure" is unknown; accepts time, temp, rh, dewpoint, wind, from, gust, rain, mixing, transport, transport_from, zone, stamp`,
		"time":                               `columns: "time" names no column; accepts pairs such as temp=AirT:c with commas between`,
		"time=T,temp=X:c,wind=W:kt,zone=PST": `columns: "zone=PST" lacks a good value; accepts utc or standard`,
	} {
		if _, err := ParseColumns(text); err == nil || err.Error() != want {
			t.Errorf("%s:\n got %v\nwant %s", text, err, want)
		}
	}
}
