package weather

import (
	"bytes"
	"fmt"

	"emberquilt/habitat/quantity"
)

// Columns of local climatological data that are read, in the two versions of
// its names; the misspelling in the first is the format's own.
//
// Source: NOAA, Local Climatological Data documentation.
var (
	lcd1Columns = []string{"DATE", "REPORTTPYE", "HOURLYDRYBULBTEMPF", "HOURLYRelativeHumidity", "HOURLYWindSpeed", "HOURLYWindDirection",
		"HOURLYPrecip", "STATION", "STATION_NAME", "LATITUDE", "LONGITUDE", "HOURLYWindGustSpeed", "HOURLYDewPointTempF"}
	lcd2Columns = []string{"DATE", "REPORT_TYPE", "HourlyDryBulbTemperature", "HourlyRelativeHumidity", "HourlyWindSpeed", "HourlyWindDirection",
		"HourlyPrecipitation", "STATION", "NAME", "LATITUDE", "LONGITUDE", "HourlyWindGustSpeed", "HourlyDewPointTemperature"}
)

const (
	lcdDate = iota
	lcdType
	lcdTemperature
	lcdHumidity
	lcdSpeed
	lcdDirection
	lcdDepth
	lcdNeeded
	lcdGust     = lcdNeeded + 4 // behind the station's own
	lcdDewPoint = lcdGust + 1
)

// readLCD reads local climatological data of either version: CSV, in local
// standard time, with marks behind the values. Hourly reports (FM-15) are taken.
func readLCD(g *gather) error {
	line, _ := g.in.next()
	fields, _ := splitAll(line)
	names := lcd1Columns
	if g.about.Format == LCD2 {
		names = lcd2Columns
	}
	column, err := g.findLCD(fields, names)
	if err != nil {
		return err
	}
	metric := g.options.Metric != nil && *g.options.Metric
	// What lies behind the furthest column is not cut.
	for fields := range g.rows(furthest(column[:lcdNeeded])+1, furthest(column)+1, "as many fields as the header row") {
		if g.about.Lines == 1 {
			g.stationCSV(fields, column[lcdNeeded:lcdGust])
		}
		kind := reportOf(fields[column[lcdType]])
		if kind == noHourly {
			g.about.OtherReports++
			continue
		}
		if h, ok := g.hourLCD(fields, column, names, metric); ok {
			g.report(h, kind)
		}
	}
	g.noteHumidity("as the file gives it")
	g.note("reports: hourly ones (FM-15), the first of each hour")
	return nil
}

// findLCD finds the columns; the type may be spelled rightly in version 1 too.
func (g *gather) findLCD(header [][]byte, names []string) ([]int, error) {
	column, err := g.find(header, names, lcdNeeded)
	if err != nil && g.about.Format == LCD1 {
		right := append([]string(nil), names...)
		for _, spelling := range []string{"REPORTTYPE", "REPORT_TYPE"} {
			right[lcdType] = spelling
			if found, again := g.find(header, right, lcdNeeded); again == nil {
				return found, nil
			}
		}
	}
	return column, err
}

func (g *gather) hourLCD(fields [][]byte, column []int, names []string, metric bool) (h Hour, ok bool) {
	m, ok := when(fields[column[lcdDate]])
	if !ok {
		g.complain(names[lcdDate], "a date and time such as 2010-01-01 00:51", "%q is not a time", fields[column[lcdDate]])
		return h, false
	}
	h.At = stampAt(m.minutes)
	reading := func(i int) (float64, bool) { return g.marked(names[i], fields[column[i]]) }
	if t, ok := reading(lcdTemperature); ok {
		if metric {
			g.temperature(&h, names[lcdTemperature], quantity.Celsius(t))
		} else {
			g.fahrenheit(&h, names[lcdTemperature], quantity.Fahrenheit(t))
		}
	}
	if rh, ok := reading(lcdHumidity); ok {
		g.humidity(&h, names[lcdHumidity], rh)
	}
	if c := column[lcdDewPoint]; c >= 0 && c < len(fields) && g.comparesDewPoint() {
		if dew, ok := number(bytes.TrimSpace(fields[c])); ok && metric {
			g.compareDewPoint(&h, quantity.Celsius(dew))
		} else if ok {
			g.compareDewPoint(&h, quantity.Fahrenheit(dew).Celsius())
		}
	}
	if v, ok := reading(lcdSpeed); ok {
		if metric {
			g.wind(&h, names[lcdSpeed], quantity.MetersPerSecond(v))
		} else {
			g.windMPH(&h, names[lcdSpeed], quantity.MilesPerHour(v))
		}
	}
	if from := bytes.TrimSpace(fields[column[lcdDirection]]); bytes.Equal(from, []byte("VRB")) {
		h.SetUnsteady()
	} else if d, ok := g.marked(names[lcdDirection], from); ok {
		g.windFrom(&h, names[lcdDirection], d)
	}
	if c := column[lcdGust]; c >= 0 && c < len(fields) {
		if v, ok := g.marked(names[lcdGust], fields[c]); ok && metric {
			g.gust(&h, names[lcdGust], quantity.MetersPerSecond(v))
		} else if ok {
			g.gustMPH(&h, names[lcdGust], quantity.MilesPerHour(v))
		}
	}
	g.depthLCD(&h, names[lcdDepth], fields[column[lcdDepth]], metric)
	return h, true
}

// marked reads a value of this format: empty is not reported, * is missing, a
// trailing V is variable, and a trailing s is suspect and not taken.
func (g *gather) marked(name string, text []byte) (v float64, ok bool) {
	text = bytes.TrimSpace(text)
	if len(text) == 0 || text[0] == '*' || len(text) == 1 && (text[0] == 'M' || text[0] == 's') {
		return 0, false
	}
	number := bytes.TrimRight(text, "sV")
	v, ok = g.numberIn(name, number)
	if ok && bytes.IndexByte(text[len(number):], 's') >= 0 {
		g.about.Suspect++
		return 0, false
	}
	return v, ok
}

// depthLCD books the depth of the hour that ends at the report; T is a trace. A
// suspect depth above zero stays rain, which is the careful side.
func (g *gather) depthLCD(h *Hour, name string, text []byte, metric bool) {
	text = bytes.TrimSpace(text)
	if len(text) == 0 || text[0] == '*' || len(text) == 1 && (text[0] == 'M' || text[0] == 's') {
		return
	}
	depth := bytes.TrimRight(text, "sV")
	isSuspect := len(depth) < len(text)
	if isSuspect {
		g.about.Suspect++
	}
	if bytes.Equal(depth, []byte("T")) {
		h.SetTrace()
		return
	}
	v, ok := g.numberIn(name, depth)
	switch {
	case !ok || isSuspect && v == 0:
	case metric:
		g.rain(h, name, quantity.Millimeters(v), 1)
	default:
		g.rainInches(h, name, quantity.Inches(v))
	}
}

// sniffUnits decides whether a version 2 file is metric, which nothing in it
// says: temperatures in °F are whole numbers, those in °C have decimals.
func (g *gather) sniffUnits(start []byte) {
	if g.options.Metric != nil {
		return
	}
	header, rest, _ := bytes.Cut(start, []byte("\n"))
	fields, _ := splitAll(bytes.TrimRight(bytes.TrimPrefix(header, []byte("\xef\xbb\xbf")), "\r"))
	column, err := g.find(fields, lcd2Columns, lcdNeeded)
	if err != nil {
		return
	}
	values, decimals := 0, 0
	for {
		line, after, whole := bytes.Cut(rest, []byte("\n"))
		if !whole {
			break
		}
		rest = after
		if fields, _ = split(line, fields); len(fields) <= column[lcdTemperature] {
			continue
		}
		t := bytes.TrimRight(fields[column[lcdTemperature]], "sV \r")
		if _, ok := number(t); ok {
			values++
			if bytes.IndexByte(t, '.') >= 0 {
				decimals++
			}
		}
	}
	metric := decimals*2 > values
	options := *g.options
	options.Metric = &metric
	g.options = &options
	units := "°F, mph and inches"
	if metric {
		units = "°C, m/s and mm"
	}
	g.note("%s", fmt.Sprintf("units: nothing in the file says them; its temperatures make them %s", units))
}
