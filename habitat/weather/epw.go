package weather

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// Fields of an EPW line, counted from 0. An old file may end after field 31.
//
// Source: EnergyPlus, Auxiliary Programs, EPW data dictionary.
const (
	epwYear = iota
	epwMonth
	epwDay
	epwHour
	epwTemperature = 6
	epwDewPoint    = 7
	epwHumidity    = 8
	epwDirection   = 20
	epwSpeed       = 21
	epwFewest      = 32
	epwDepth       = 33
	epwQuantity    = 34
)

// readEPW reads the energy-modeling weather format: eight header lines, then
// one line an hour in local standard time, hour ending.
func readEPW(g *gather) error {
	fields := make([][]byte, 0, 35)
	perHour := 1.0
	for range 8 {
		line, ok := g.in.next()
		if !ok {
			return g.cutOff("the file ends in its header", "eight header lines and one line an hour")
		}
		if fields, ok = split(line, fields); !ok || len(fields) == 0 {
			continue // a comment with a stray quote
		}
		switch strings.ToUpper(string(fields[0])) {
		case "LOCATION":
			g.locationEPW(fields)
		case "DATA PERIODS":
			if len(fields) > 2 {
				if n, ok := number(fields[2]); ok && n > 1 {
					perHour = n
				}
			}
		}
	}
	if perHour != 1 {
		g.note("states %v readings an hour; the first of each hour is kept", perHour)
	}
	for fields := range g.rows(epwFewest, cap(fields), "32 to 35 fields with commas between") {
		g.hourEPW(fields)
	}
	g.noteHumidity("as the file gives it")
	g.typical = g.typical || jumps(&g.list)
	return nil
}

func (g *gather) hourEPW(fields [][]byte) {
	stamp, ok := g.label(fields[epwYear], fields[epwMonth], fields[epwDay], fields[epwHour])
	if !ok {
		return
	}
	h := Hour{At: stamp}
	if t, ok := g.numberIn("dry bulb", fields[epwTemperature]); ok && t < 99.9 {
		g.temperature(&h, "dry bulb", quantity.Celsius(t))
	}
	if rh, ok := g.numberIn("relative humidity", fields[epwHumidity]); ok && rh < 999 {
		if rh <= 110 { // the data dictionary allows up to 110
			rh = min(rh, 100)
		}
		g.humidity(&h, "relative humidity", rh)
	}
	if g.comparesDewPoint() {
		if dew, ok := number(fields[epwDewPoint]); ok {
			g.compareDewPoint(&h, quantity.Celsius(dew)) // missing is 99.9, which is past the hottest
		}
	}
	if v, ok := g.numberIn("wind speed", fields[epwSpeed]); ok && v < 999 {
		g.wind(&h, "wind speed", quantity.MetersPerSecond(v))
	}
	if d, ok := g.numberIn("wind direction", fields[epwDirection]); ok && d < 999 {
		g.windFrom(&h, "wind direction", d)
	}
	if len(fields) > epwDepth && len(fields[epwDepth]) > 0 {
		if depth, ok := g.numberIn("liquid precipitation depth", fields[epwDepth]); ok && depth < 999 {
			g.rain(&h, "liquid precipitation depth", quantity.Millimeters(depth), hoursEPW(fields))
		}
	}
	g.list.add(h)
}

// hoursEPW gives over how many hours the depth was summed; 1 where it is not
// said.
func hoursEPW(fields [][]byte) int {
	if len(fields) > epwQuantity {
		if q, ok := number(fields[epwQuantity]); ok && q > 1 && q < 99 {
			return int(q)
		}
	}
	return 1
}

// locationEPW reads LOCATION,city,state,country,source,id,latitude,longitude,
// UTC offset,elevation.
func (g *gather) locationEPW(fields [][]byte) {
	if len(fields) < 9 {
		g.complain("LOCATION", "city, state, country, source, number, latitude, longitude and UTC offset", "holds %d fields", len(fields))
		return
	}
	g.station.Name = clean(string(fields[1]))
	g.station.ID = clean(string(fields[5]))
	g.place(fields[6], fields[7])
	g.offset(fields[8])
	kind := strings.ToUpper(string(fields[4]))
	for _, synthetic := range []string{"TMY", "TRY", "IWEC", "CWEC", "RMY", "IGDG", "CTZ", "CZ20"} {
		g.typical = g.typical || strings.Contains(kind, synthetic)
	}
}

// place notes the station's position where it is one.
func (g *gather) place(latitude, longitude []byte) {
	lat, latOK := number(latitude)
	lon, lonOK := number(longitude)
	switch at := (Place{lat, lon}); {
	case !latOK || !lonOK || !isPlace(at):
		g.complain("latitude, longitude", "degrees, north and east positive", "%s is not a position",
			source.Quote(fmt.Sprintf("%s, %s", latitude, longitude)))
	case at != Place{}: // 0, 0 stands in files that do not know
		g.station.Place = &at
	}
}

// offset notes the station's UTC offset in hours.
func (g *gather) offset(text []byte) {
	v, ok := number(text)
	if !ok || v < -12 || v > 14 {
		g.complain("UTC offset", "-12 to 14 hours", "%s is not a UTC offset", source.Quote(string(text)))
		return
	}
	hours := quantity.Hours(v)
	g.station.UTCOffset = &hours
}

// cutOff is the error of a file that ends before its first hour.
func (g *gather) cutOff(found, accepts string) error {
	return &source.Error{Position: source.Position{File: g.about.File, Line: g.in.n}, Found: found, Accepts: accepts}
}

func (g *gather) noteHumidity(how string) { g.note("humidity: %s", how) }

// clean drops blanks around and control characters inside a name.
func clean(name string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == 0xfffd {
			return -1
		}
		return r
	}, name))
}

// jumps reports that the hours, in file order, go back in time while their
// months go on, or that whole years lie between two months that follow each
// other: the mark of a year put together from months of several. A record of
// more hours than a year has is none.
func jumps(hours *hourList) bool {
	if hours.n > 366*24 {
		return false
	}
	for i := 1; i < hours.n; i++ {
		a, b := hours.at(i-1).At, hours.at(i).At
		if b >= a && b-a < 300*24 {
			continue
		}
		before, after := a.Day(), b.Day()
		if after.Month == before.Month%12+1 && after.Dom == 1 && after.Year != before.Year && before.Month != 12 {
			return true
		}
	}
	return false
}

// toTypicalYear moves every hour to the nominal year and puts them in the order
// of month, day and hour.
func (g *gather) toTypicalYear() {
	first, last, leap := 9999, 0, false
	for i := range g.hours {
		d := g.hours[i].At.Day()
		first, last = min(first, d.Year), max(last, d.Year)
		leap = leap || d.Month == 2 && d.Dom == 29
	}
	year := TypicalYear
	if leap {
		year = TypicalLeapYear
	}
	for i := range g.hours {
		h := &g.hours[i]
		d := h.At.Day()
		h.At = Stamp(dayNumber(year, int(d.Month), d.Dom)*24 + h.At.Label() - 1)
	}
	g.about.SourceYears = [2]int{first, last}
	slices.SortStableFunc(g.hours, func(a, b Hour) int { return int(a.At) - int(b.At) })
}
