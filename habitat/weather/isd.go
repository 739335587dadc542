package weather

import (
	"bytes"
	"fmt"

	"emberquilt/habitat/quantity"
)

// readISD reads NOAA's full fixed-width surface data: a mandatory part, then
// groups in any number, in UTC. Hourly reports (FM-15) are taken; specials and
// summaries are not.
//
// Source: NOAA, Federal Climate Complex Data Documentation for Integrated
// Surface Data.
func readISD(g *gather) error {
	offset, known := 0, false
	for line := g.dataLine(); line != nil; line = g.dataLine() {
		if len(line) < 105 {
			g.complain("", "105 columns or more", "holds %d columns", len(line))
			continue
		}
		if !known {
			g.stationISD(line)
			var err error
			if offset, err = g.needOffset(g.longitude()); err != nil {
				return err
			}
			known = true
		}
		g.hourISD(line, offset)
	}
	g.noteUTC(offset)
	return nil
}

func (g *gather) noteUTC(offset int) {
	g.note("times: UTC, brought to local standard time by %s hours", formatFloat(float64(offset)/60))
	g.noteHumidity("from temperature and dew point")
	g.note("reports: hourly ones (FM-15), the first of each hour")
}

func (g *gather) longitude() *float64 {
	if g.station.Place == nil {
		return nil
	}
	return &g.station.Place.Longitude
}

func (g *gather) stationISD(line []byte) {
	g.station.ID = clean(string(columns(line, 5, 15)))
	g.station.Name = clean(string(columns(line, 52, 56)))
	lat, latOK := whole(columns(line, 29, 34))
	lon, lonOK := whole(columns(line, 35, 41))
	if at := (Place{float64(lat) / 1000, float64(lon) / 1000}); latOK && lonOK && isPlace(at) && at != (Place{}) {
		g.station.Place = &at
	}
}

func (g *gather) hourISD(line []byte, offset int) {
	kind := reportOf(columns(line, 42, 46))
	if kind == noHourly {
		g.about.OtherReports++
		return
	}
	minutes, ok := g.dateUTC(columns(line, 16, 19), columns(line, 20, 21), columns(line, 22, 23), columns(line, 24, 25))
	past, pastOK := whole(columns(line, 26, 27))
	if ok && (!pastOK || past < 0 || past > 59) {
		g.complain("minute (columns 26-27)", "00 to 59", "%q is not a minute", columns(line, 26, 27))
		return
	}
	if !ok {
		return
	}
	h := Hour{At: stampAt(minutes + past + offset)}
	temperature, hasT := g.graded("temperature (columns 88-92)", columns(line, 88, 92), 9999, line[92])
	if hasT {
		g.temperature(&h, "temperature (columns 88-92)", quantity.Celsius(temperature/10))
	}
	if dew, ok := g.graded("dew point (columns 94-98)", columns(line, 94, 98), 9999, line[98]); ok {
		g.humidityFromDewPoint(&h, "dew point (columns 94-98)", quantity.Celsius(temperature/10), quantity.Celsius(dew/10))
	}
	g.windISD(&h, windISD{columns(line, 61, 63), line[63], line[64], columns(line, 66, 69), line[69]})
	g.rainISD(&h, line[105:])
	g.gustISD(&h, line[105:])
	g.report(h, kind)
}

// windISD is the wind part of a report in either form.
type windISD struct {
	from        []byte
	fromQuality byte
	kind        byte // C calm, V variable, N normal, 9 unknown
	speed       []byte
	quality     byte
}

func (g *gather) windISD(h *Hour, w windISD) {
	if v, ok := g.graded("wind speed", w.speed, 9999, w.quality); ok {
		g.wind(h, "wind speed", quantity.MetersPerSecond(v/10))
	}
	d, ok := g.graded("wind direction", w.from, 999, w.fromQuality)
	switch {
	case w.kind == 'C' || w.kind == 'V' && !ok:
		h.SetUnsteady()
	case ok: // of a wind that varies about it too
		g.windFrom(h, "wind direction", d)
	}
}

// graded reads a whole number with a quality code. A value that NOAA marks as
// suspect or erroneous is not taken.
func (g *gather) graded(name string, text []byte, missing int, quality byte) (float64, bool) {
	v, ok := g.fixed(name, text, missing)
	if ok && isSuspect(quality) {
		g.about.Suspect++
		return 0, false
	}
	return v, ok
}

// isSuspect: codes 2 and 6 mark a suspect value, 3 and 7 an erroneous one.
func isSuspect(quality byte) bool {
	return quality == '2' || quality == '3' || quality == '6' || quality == '7'
}

// gustISD looks through the groups up to the remarks for a gust: OC1, tenths of a
// meter a second in four digits, and a quality code.
func (g *gather) gustISD(h *Hour, groups []byte) {
	if end := bytes.Index(groups, []byte("REM")); end >= 0 {
		groups = groups[:end]
	}
	at := bytes.Index(groups, []byte("OC1"))
	if at < 0 || len(groups) < at+8 {
		return
	}
	if v, ok := g.graded("gust (OC1)", groups[at+3:at+7], 9999, groups[at+7]); ok {
		g.gust(h, "gust (OC1)", quantity.MetersPerSecond(v/10))
	}
}

// rainISD looks through the groups up to the remarks for a depth over one hour.
func (g *gather) rainISD(h *Hour, groups []byte) {
	if end := bytes.Index(groups, []byte("REM")); end >= 0 {
		groups = groups[:end]
	}
	for {
		at := bytes.Index(groups, []byte("AA"))
		if at < 0 || len(groups) < at+11 {
			return
		}
		group := groups[at : at+11]
		groups = groups[at+2:]
		if group[2] < '1' || group[2] > '4' {
			continue
		}
		hours, ok := whole(group[3:5])
		if ok && hours == 1 {
			g.depthISD(h, group[5:9], group[9], group[10])
			return
		}
	}
}

// depthISD books a depth in tenths of a millimeter; condition 2 is a trace. A
// suspect depth above zero stays rain, which is the careful side.
func (g *gather) depthISD(h *Hour, text []byte, condition, quality byte) {
	depth, ok := g.fixed("precipitation (AA1)", text, 9999)
	if !ok {
		return
	}
	if isSuspect(quality) {
		g.about.Suspect++
		if depth == 0 && condition != '2' {
			return
		}
	}
	if depth == 0 && condition == '2' {
		h.SetTrace()
		return
	}
	g.rain(h, "precipitation (AA1)", quantity.Millimeters(depth/10), 1)
}

// reportKind sorts reports by type.
type reportKind int

const (
	hourly      reportKind = iota // FM-15
	otherHourly                   // taken where a file has no FM-15 at all
	noHourly                      // specials and summaries
)

func reportOf(kind []byte) reportKind {
	switch string(bytes.TrimSpace(kind)) {
	case "FM-15":
		return hourly
	case "FM-16", "SAOSP", "SOD", "SOM", "PCP15", "PCP60":
		return noHourly
	}
	return otherHourly
}

// report keeps an hour by the type of its report.
func (g *gather) report(h Hour, kind reportKind) {
	if kind == hourly {
		g.list.add(h)
		return
	}
	g.about.OtherReports++
	if g.list.n == 0 {
		g.others.add(h)
	}
}

// globalHourlyColumns are the columns of ISD's CSV form that are read.
var globalHourlyColumns = []string{"DATE", "REPORT_TYPE", "WND", "TMP", "DEW", "STATION", "NAME", "LATITUDE", "LONGITUDE", "AA1", "AA2", "AA3", "AA4", "OC1"}

// readGlobalHourly reads ISD's CSV form: one quoted column for each group, with
// commas inside, in UTC.
func readGlobalHourly(g *gather) error {
	line, _ := g.in.next()
	fields, _ := splitAll(line)
	column, err := g.find(fields, globalHourlyColumns, 5)
	if err != nil {
		return err
	}
	offset, known := 0, false
	for fields := range g.rows(furthest(column[:5])+1, furthest(column)+1, "as many quoted fields as the header row") {
		if !known {
			g.stationCSV(fields, column[5:9])
			if offset, err = g.needOffset(g.longitude()); err != nil {
				return err
			}
			known = true
		}
		g.hourGlobal(fields, column, offset)
	}
	g.noteUTC(offset)
	return nil
}

// stationCSV reads id, name, latitude and longitude where the columns are there.
func (g *gather) stationCSV(fields [][]byte, column []int) {
	text := func(i int) []byte {
		if column[i] < 0 || column[i] >= len(fields) {
			return nil
		}
		return fields[column[i]]
	}
	g.station.ID, g.station.Name = clean(string(text(0))), clean(string(text(1)))
	if len(text(2)) > 0 && len(text(3)) > 0 {
		g.place(text(2), text(3))
	}
}

func (g *gather) hourGlobal(fields [][]byte, column []int, offset int) {
	kind := reportOf(fields[column[1]])
	if kind == noHourly {
		g.about.OtherReports++
		return
	}
	m, ok := when(fields[column[0]])
	if !ok {
		g.complain("DATE", "a date and time such as 2017-02-10T14:04:00", "%q is not a time", fields[column[0]])
		return
	}
	h := Hour{At: stampAt(m.minutes - m.offset + offset)}
	var part [5][]byte
	temperature, hasT := 0.0, false
	if inner(fields[column[3]], &part) == 2 {
		if temperature, hasT = g.graded("TMP", part[0], 9999, one(part[1])); hasT {
			g.temperature(&h, "TMP", quantity.Celsius(temperature/10))
		}
	}
	if inner(fields[column[4]], &part) == 2 {
		if dew, ok := g.graded("DEW", part[0], 9999, one(part[1])); ok {
			g.humidityFromDewPoint(&h, "DEW", quantity.Celsius(temperature/10), quantity.Celsius(dew/10))
		}
	}
	if inner(fields[column[2]], &part) == 5 {
		g.windISD(&h, windISD{part[0], one(part[1]), one(part[2]), part[3], one(part[4])})
	}
	for i, c := range column[9:13] {
		if c >= 0 && c < len(fields) && inner(fields[c], &part) == 4 {
			if hours, ok := whole(part[0]); ok && hours == 1 {
				g.depthISD(&h, part[1], one(part[2]), one(part[3]))
				break
			} else if !ok {
				g.complain(fmt.Sprintf("AA%d", i+1), "hours, depth, condition and quality", "%q is not precipitation", fields[c])
			}
		}
	}
	if c := column[13]; c >= 0 && c < len(fields) && inner(fields[c], &part) == 2 {
		if v, ok := g.graded("OC1", part[0], 9999, one(part[1])); ok {
			g.gust(&h, "OC1", quantity.MetersPerSecond(v/10))
		}
	}
	g.report(h, kind)
}

// inner cuts a field at its commas and counts the parts; 0 where there are more
// than five.
func inner(field []byte, part *[5][]byte) int {
	for n := 0; n < len(part); n++ {
		end := bytes.IndexByte(field, ',')
		if end < 0 {
			part[n] = field
			return n + 1
		}
		part[n], field = field[:end], field[end+1:]
	}
	return 0
}

// one gives the only byte of a text, and 0 where it has more or none.
func one(text []byte) byte {
	if len(text) == 1 {
		return text[0]
	}
	return 0
}
