package weather

import (
	"bytes"
	"math"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// isdMissing is what ISD-Lite writes for a missing reading; isdTrace is
// precipitation too little to measure.
const (
	isdMissing = -9999
	isdTrace   = -1
	// isdLiteWidth is how many characters a line has.
	isdLiteWidth = 61
)

// readISDLite reads NOAA's fixed-width hourly files: UTC, whole numbers scaled
// by ten, no position and no humidity. The columns are separated by blanks. A
// report is stamped with its nearest full hour, which is the hour that it ends.
//
// Source: NOAA, ISD-Lite Format Documentation (2006).
func readISDLite(g *gather) error {
	offset, err := g.needOffset(nil)
	if err != nil {
		return err
	}
	var fields [12][]byte
	odd := 0
	for line := g.dataLine(); line != nil; line = g.dataLine() {
		n := blanks(line, &fields)
		if n < len(fields) { // a cut line may hold a cut number
			g.complain("", "year, month, day, hour and eight readings", "holds %d fields", n)
			continue
		}
		if len(bytes.TrimRight(line, " ")) != isdLiteWidth {
			odd++
		}
		g.hourISDLite(fields[:], offset)
	}
	if odd > 1 { // the last line may be cut
		g.doubt("%s of its lines have not the %d characters of the format: a digit or a sign may be lost", quantity.Group(float64(odd), 0), isdLiteWidth)
	}
	g.note("times: UTC, brought to local standard time by %s hours", formatFloat(float64(offset)/60))
	g.noteHumidity("from temperature and dew point")
	return nil
}

func (g *gather) hourISDLite(fields [][]byte, offset int) {
	minutes, ok := g.dateUTC(fields[0], fields[1], fields[2], fields[3])
	if !ok {
		return
	}
	h := Hour{At: stampAt(minutes + offset)}
	temperature, hasT := g.fixed("temperature (columns 14-19)", fields[4], isdMissing)
	if hasT {
		g.temperature(&h, "temperature (columns 14-19)", quantity.Celsius(temperature/10))
	}
	if dew, ok := g.fixed("dew point (columns 20-25)", fields[5], isdMissing); ok {
		g.humidityFromDewPoint(&h, "dew point (columns 20-25)", quantity.Celsius(temperature/10), quantity.Celsius(dew/10))
	}
	if v, ok := g.fixed("wind speed (columns 38-43)", fields[8], isdMissing); ok {
		g.wind(&h, "wind speed (columns 38-43)", quantity.MetersPerSecond(v/10))
	}
	if d, ok := g.fixed("wind direction (columns 32-37)", fields[7], isdMissing); ok {
		g.windFrom(&h, "wind direction (columns 32-37)", d)
	}
	switch depth, ok := g.fixed("precipitation (columns 50-55)", fields[10], isdMissing); {
	case !ok:
	case depth == isdTrace:
		h.SetTrace()
	default:
		g.rain(&h, "precipitation (columns 50-55)", quantity.Millimeters(depth/10), 1)
	}
	g.list.add(h)
}

// dateUTC reads year, month, day and an hour from 0 to 23 as minutes since 1970.
func (g *gather) dateUTC(year, month, dom, hour []byte) (minutes int, ok bool) {
	y, yOK := whole(year)
	m, mOK := whole(month)
	d, dOK := whole(dom)
	hh, hOK := whole(hour)
	if !yOK || !mOK || !dOK || !isDate(y, m, d) {
		g.complain("date", "year, month and day of a date from 1800 to 2200", "%s is not a date",
			source.Quote(string(bytes.Join([][]byte{year, month, dom}, []byte("-")))))
		return 0, false
	}
	if !hOK || hh < 0 || hh > 23 {
		g.complain("hour", "0 to 23", "%s is not an hour", source.Quote(string(hour)))
		return 0, false
	}
	return (dayNumber(y, m, d)*24 + hh) * 60, true
}

// needOffset gives the UTC offset in minutes for a format in UTC. longitude, or
// nil, serves a hint where it was not given.
func (g *gather) needOffset(longitude *float64) (minutes int, err error) {
	if g.options.UTCOffset != nil {
		return int(math.Round(float64(*g.options.UTCOffset) * 60)), nil
	}
	e := &source.Error{Position: source.Position{File: g.about.File, Field: "UTC offset"},
		Found:   "its times are UTC (" + string(g.about.Format) + ") and the station's offset is not given",
		Accepts: "the offset of local standard time in hours, such as --utc-offset -6 for US central standard time"}
	if longitude != nil && *longitude != 0 {
		e.Hint = "the station's longitude " + formatFloat(*longitude) + " suggests " + formatFloat(math.Round(*longitude/15))
	}
	return 0, e
}

// blanks cuts a line at its blanks into up to twelve fields and counts them.
func blanks(line []byte, fields *[12][]byte) int {
	n := 0
	for i := 0; i < len(line) && n < len(fields); {
		for i < len(line) && line[i] == ' ' {
			i++
		}
		start := i
		for i < len(line) && line[i] != ' ' {
			i++
		}
		if i > start {
			fields[n] = line[start:i]
			n++
		}
	}
	return n
}
