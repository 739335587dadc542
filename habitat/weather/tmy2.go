package weather

import (
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// readTMY2 reads the older typical-year format of fixed columns: a station
// line, then one line an hour in local standard time, hour ending. A missing
// reading is all nines. There is no amount of precipitation.
//
// Source: Marion and Urban 1995, User's Manual for TMY2s, NREL.
func readTMY2(g *gather) error {
	line, _ := g.in.next()
	g.stationTMY2(line)
	for line := g.dataLine(); line != nil; line = g.dataLine() {
		g.hourTMY2(line)
	}
	g.noteHumidity("as the file gives it")
	g.note("precipitation: the format holds none")
	g.typical = true
	return nil
}

func (g *gather) hourTMY2(line []byte) {
	if len(line) < 98 {
		g.complain("", "98 columns or more", "holds %d columns", len(line))
		return
	}
	year := append([]byte("19"), columns(line, 2, 3)...)
	stamp, ok := g.label(year, columns(line, 4, 5), columns(line, 6, 7), columns(line, 8, 9))
	if !ok {
		return
	}
	h := Hour{At: stamp}
	if t, ok := g.fixed("dry bulb (columns 68-71)", columns(line, 68, 71), 9999); ok {
		g.temperature(&h, "dry bulb (columns 68-71)", quantity.Celsius(t/10))
	}
	if rh, ok := g.fixed("humidity (columns 80-82)", columns(line, 80, 82), 999); ok {
		g.humidity(&h, "humidity (columns 80-82)", rh)
	}
	if g.comparesDewPoint() {
		if dew, ok := whole(columns(line, 74, 77)); ok {
			g.compareDewPoint(&h, quantity.Celsius(dew)/10) // missing is 9999, which is past the hottest
		}
	}
	if v, ok := g.fixed("wind speed (columns 96-98)", columns(line, 96, 98), 999); ok {
		g.wind(&h, "wind speed (columns 96-98)", quantity.MetersPerSecond(v/10))
	}
	if d, ok := g.fixed("wind direction (columns 91-93)", columns(line, 91, 93), 999); ok {
		g.windFrom(&h, "wind direction (columns 91-93)", d)
	}
	g.list.add(h)
}

// fixed reads a whole number from fixed columns; ok is false for the missing
// value, and with a complaint for other text.
func (g *gather) fixed(name string, text []byte, missing int) (float64, bool) {
	n, ok := whole(text)
	if !ok {
		g.complain(name, "a whole number", "%s is not a whole number", source.Quote(string(text)))
		return 0, false
	}
	return float64(n), n != missing
}

// stationTMY2 reads number, city, state, zone, latitude and longitude in degrees
// and minutes.
func (g *gather) stationTMY2(line []byte) {
	if len(line) < 53 {
		g.complain("station", "53 columns or more", "holds %d columns", len(line))
		return
	}
	g.station.ID = clean(string(columns(line, 2, 6)))
	g.station.Name = clean(string(columns(line, 8, 29)))
	g.offset(columns(line, 34, 36))
	angle := func(side byte, degrees, minutes []byte) (float64, bool) {
		d, dOK := whole(degrees)
		m, mOK := whole(minutes)
		v := float64(d) + float64(m)/60
		if side == 'S' || side == 'W' {
			v = -v
		}
		return v, dOK && mOK && m >= 0 && m < 60
	}
	lat, latOK := angle(line[37], columns(line, 40, 41), columns(line, 43, 44))
	lon, lonOK := angle(line[45], columns(line, 47, 50), columns(line, 52, 53))
	if at := (Place{lat, lon}); latOK && lonOK && isPlace(at) {
		g.station.Place = &at
	} else {
		g.complain("station", "latitude and longitude in degrees and minutes", "%s is not a position", source.Quote(string(line[37:53])))
	}
}
