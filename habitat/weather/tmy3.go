package weather

import (
	"bytes"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// tmy3Columns are the columns that are read, by name.
//
// Source: Wilcox and Marion 2008, Users Manual for TMY3 Data Sets,
// NREL/TP-581-43156.
var tmy3Columns = []string{"Date (MM/DD/YYYY)", "Time (HH:MM)", "Dry-bulb (C)", "RHum (%)", "Wdir (degrees)", "Wspd (m/s)",
	"Lprecip depth (mm)", "Lprecip quantity (hr)"}

const (
	tmy3Date = iota
	tmy3Time
	tmy3Temperature
	tmy3Humidity
	tmy3Direction
	tmy3Speed
	tmy3Depth
	tmy3Quantity
	tmy3Needed = tmy3Speed + 1
)

// tmy3Missing: the format writes −9900 for a missing reading.
const tmy3Missing = -9000

// readTMY3 reads the typical-year CSV: a station line, a line of column names,
// then one line an hour in local standard time, hour ending, 24:00 on the day
// that ends.
func readTMY3(g *gather) error {
	fields := make([][]byte, 0, 128)
	line, _ := g.in.next()
	if fields, _ = split(line, fields); len(fields) >= 6 {
		g.station.ID, g.station.Name = clean(string(fields[0])), clean(string(fields[1]))
		g.offset(fields[3])
		g.place(fields[4], fields[5])
	} else {
		g.complain("station", "number, name, state, UTC offset, latitude, longitude, elevation", "holds %d fields", len(fields))
	}
	line, _ = g.in.next()
	fields, _ = split(line, fields)
	column, err := g.find(fields, tmy3Columns, tmy3Needed)
	if err != nil {
		return err
	}
	var depths []float64 // as written, one an hour, −1 where missing
	for fields := range g.rows(furthest(column[:tmy3Needed])+1, cap(fields), "as many fields as the line of column names") {
		if h, depth, ok := g.hourTMY3(fields, column); ok {
			g.hours = append(g.hours, h)
			depths = append(depths, depth)
		}
	}
	g.rainTMY3(depths)
	g.noteHumidity("as the file gives it")
	g.typical = true
	return nil
}

func (g *gather) hourTMY3(fields [][]byte, column []int) (h Hour, depth float64, ok bool) {
	field := func(i int) []byte {
		if column[i] < 0 || column[i] >= len(fields) {
			return nil
		}
		return fields[column[i]]
	}
	month, rest, _ := bytes.Cut(field(tmy3Date), []byte("/"))
	dom, year, _ := bytes.Cut(rest, []byte("/"))
	hour, minute, _ := bytes.Cut(field(tmy3Time), []byte(":"))
	if m, ok := whole(minute); !ok || m != 0 {
		g.complain("Time (HH:MM)", "01:00 to 24:00", "%s is not a full hour", source.Quote(string(field(tmy3Time))))
		return h, 0, false
	}
	if h.At, ok = g.label(year, month, dom, hour); !ok {
		return h, 0, false
	}
	reading := func(i int) (float64, bool) {
		v, ok := g.numberIn(tmy3Columns[i], field(i))
		return v, ok && v > tmy3Missing
	}
	if t, ok := reading(tmy3Temperature); ok {
		g.temperature(&h, tmy3Columns[tmy3Temperature], quantity.Celsius(t))
	}
	if rh, ok := reading(tmy3Humidity); ok {
		g.humidity(&h, tmy3Columns[tmy3Humidity], rh)
	}
	if v, ok := reading(tmy3Speed); ok {
		g.wind(&h, tmy3Columns[tmy3Speed], quantity.MetersPerSecond(v))
	}
	if d, ok := reading(tmy3Direction); ok {
		g.windFrom(&h, tmy3Columns[tmy3Direction], d)
	}
	depth = -1
	if len(field(tmy3Depth)) > 0 {
		// The unit is not known before the last line; see rainTMY3.
		if d, ok := reading(tmy3Depth); ok && g.inRange(tmy3Columns[tmy3Depth], d, 0, float64(10*deepest), "tenths of a millimeter") {
			depth = d
			h.rainHours = 1
			if q, ok := whole(field(tmy3Quantity)); ok && q > 1 && q < 99 {
				h.rainHours = uint8(q)
			}
		}
	}
	return h, depth, true
}

// rainTMY3 settles the unit of the depths and books them. The column is labeled
// millimeters, but the copies issued in 2015 carry tenths. They betray
// themselves by their sum, or by holding hundredths of an inch in tenths of a
// millimeter (3, 5, 8, 10, 13, …) and nearly nothing between.
func (g *gather) rainTMY3(depths []float64) {
	const wettest = 3000 // millimeters a year, above which they are tenths
	sum, above, onGrid := 0.0, 0, 0
	for _, d := range depths {
		if d <= 0 {
			continue
		}
		sum += d
		above++
		if hundredths := int(d/2.54 + 0.5); int(float64(hundredths)*2.54+0.5) == int(d) && d == float64(int(d)) {
			onGrid++
		}
	}
	tenths := sum > wettest || above >= 20 && onGrid*100 >= above*90
	for i, d := range depths {
		if d < 0 {
			continue
		}
		if tenths {
			d /= 10
		}
		g.hours[i].setRainOver(quantity.Millimeters(d).Inches(), int(g.hours[i].rainHours))
	}
	if tenths {
		g.note("precipitation: labeled mm, read as tenths of a millimeter, since its sum is %s", formatFloat(sum))
	}
}

// find gives, for each wanted column, where it stands in the header, by name in
// any case; −1 where it is absent. The first needed ones must be there.
func (g *gather) find(header [][]byte, wanted []string, needed int) ([]int, error) {
	column := make([]int, len(wanted))
	for i, name := range wanted {
		column[i] = -1
		for j := range header {
			if strings.EqualFold(string(bytes.TrimSpace(header[j])), name) {
				column[i] = j
				break
			}
		}
		if column[i] < 0 && i < needed {
			return nil, &source.Error{Position: g.at(name), Found: "there is no such column", Accepts: "a header row with it"}
		}
	}
	return column, nil
}

// furthest gives the highest column.
func furthest(column []int) int {
	most := -1
	for _, c := range column {
		most = max(most, c)
	}
	return most
}
