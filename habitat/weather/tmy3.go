package weather

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// tmy3Columns are the columns that are read, by name.
//
// Source: Wilcox and Marion 2008, Users Manual for TMY3 Data Sets,
// NREL/TP-581-43156.
var tmy3Columns = []string{"Date (MM/DD/YYYY)", "Time (HH:MM)", "Dry-bulb (C)", "RHum (%)", "Wdir (degrees)", "Wspd (m/s)",
	"Lprecip depth (mm)", "Lprecip quantity (hr)", "Dew-point (C)"}

const (
	tmy3Date = iota
	tmy3Time
	tmy3Temperature
	tmy3Humidity
	tmy3Direction
	tmy3Speed
	tmy3Depth
	tmy3Quantity
	tmy3DewPoint
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
			g.list.add(h)
			depths = append(depths, depth)
		}
	}
	if err := g.rainTMY3(depths); err != nil {
		return err
	}
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
	if g.comparesDewPoint() {
		if dew, ok := number(field(tmy3DewPoint)); ok {
			g.compareDewPoint(&h, quantity.Celsius(dew))
		}
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

// Limits of what settles the unit of a TMY3 file's depths.
const (
	// A year in lower-48 places east of 120° west has under 2,000 mm: Mobile,
	// Alabama, the wettest of its larger stations, has some 1,700 (from memory).
	// Elsewhere, as on the Pacific coast and in Hawaii, 3,000 is possible.
	wettestEast, wettestElsewhere = 2000, 3000 // mm a year
	// Less than 40 mm a year falls nowhere that these files stand for: Death
	// Valley has some 60 (from memory).
	driest = 40 // mm a year
	// wholeYear is from how many hours on a sum is that of a year.
	wholeYear = 8000
	// fewDepths is how many wet hours a share needs to say anything.
	fewDepths = 20
	// Of the wet hours of five files in tenths 50 to 99% hold hundredths of an
	// inch; of the same hours rounded to millimeters 10 to 22% look so.
	gridTenths, gridMillimeters = 0.4, 0.3
)

// rainTMY3 settles the unit of the depths and books them. The column is labeled
// millimeters, but the copies issued in 2015 carry tenths. Two things tell: a
// sum that the place cannot have in one of the units, and the share of depths
// that are hundredths of an inch in tenths of a millimeter (3, 5, 8, 10, 13, …).
// Where they say nothing, or opposite things, the file is refused unless the
// options say the unit: a tenfold error would go on into the days since rain.
func (g *gather) rainTMY3(depths []float64) error {
	tenths, err := g.tenthsTMY3(depths)
	if err != nil {
		return err
	}
	for i, d := range depths {
		if d < 0 {
			continue
		}
		if tenths {
			d /= 10
		}
		h := g.list.at(i)
		h.setRainOver(quantity.Millimeters(d).Inches(), int(h.rainHours))
	}
	return nil
}

// tenthsTMY3 says whether depths are tenths of a millimeter.
func (g *gather) tenthsTMY3(depths []float64) (bool, error) {
	sum, above, onGrid, decimals := 0.0, 0, 0, false
	for _, d := range depths {
		if d <= 0 {
			continue
		}
		sum += d
		above++
		decimals = decimals || d != math.Trunc(d)
		if hundredths := int(d/2.54 + 0.5); int(float64(hundredths)*2.54+0.5) == int(d) {
			onGrid++
		}
	}
	if unit := g.options.RainUnit; unit != "" {
		g.note("precipitation: read as %s, as was asked", map[RainUnit]string{RainMillimeters: "millimeters", RainTenths: "tenths of a millimeter"}[unit])
		return unit == RainTenths, nil
	}
	wettest := float64(wettestElsewhere)
	if p := g.station.Place; p != nil && p.Latitude > 24.5 && p.Latitude < 49.5 && p.Longitude > -120 && p.Longitude < -66 {
		wettest = wettestEast
	}
	bySum, byGrid := RainUnit(""), RainUnit("")
	switch {
	case sum > wettest:
		bySum = RainTenths
	case len(depths) >= wholeYear && sum < 10*driest:
		bySum = RainMillimeters
	}
	share := float64(onGrid) / float64(max(above, 1))
	switch {
	case decimals:
		byGrid = RainMillimeters
	case above < fewDepths:
	case share >= gridTenths:
		byGrid = RainTenths
	case share <= gridMillimeters:
		byGrid = RainMillimeters
	}
	// A cut-off file with a sum above a year's is settled by that alone.
	switch {
	case byGrid == RainTenths && bySum != RainMillimeters, bySum == RainTenths && byGrid == "", sum > wettestElsewhere && !decimals:
		why := fmt.Sprintf("%d of its %d depths are hundredths of an inch", onGrid, above)
		if bySum == RainTenths {
			why = "its sum is " + formatFloat(sum)
		}
		g.note("precipitation: labeled mm, read as tenths of a millimeter, since %s", why)
		return true, nil
	case byGrid == RainMillimeters && bySum != RainTenths, bySum == RainMillimeters && byGrid == "":
		return false, nil
	case above < fewDepths:
		if above > 0 {
			g.note("precipitation: read as millimeters, as labeled; %d wet hours are too few to tell", above)
		}
		return false, nil
	}
	return false, &source.Error{
		Position: source.Position{File: g.about.File, Field: tmy3Columns[tmy3Depth]},
		Found: fmt.Sprintf("the depths add up to %s in %d wet hours, %.0f%% of them hundredths of an inch: that can be millimeters as labeled, or tenths of a millimeter",
			formatFloat(sum), above, 100*share),
		Accepts: "such a file with its unit said",
		Hint:    "say it with --rain-unit mm or --rain-unit tenths",
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
