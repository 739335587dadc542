package weather

import (
	"context"
	"fmt"
	"iter"
	"math"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// BadAllowed says how many lines of a file may be bad: ten, or one line in
// fifty where that is more, and never more than half of them. A file with more
// is refused.
func BadAllowed(lines int) int { return min(max(10, lines/50), lines/2) }

// MaxLines bounds the lines of data of one record, all its files together:
// over three hundred years of hours, or some thirty of readings every five
// minutes. A packed file of a few megabytes can hold more lines than memory.
const MaxLines = 3_000_000

// floodLines is after how many lines it is looked at of how many hours they are, and
// mostReadings how many readings an hour may have on average: two a minute. What repeats
// a few hours is no record, and is refused long before MaxLines.
const (
	floodLines   = 65_536
	mostReadings = 120
)

// gather collects what a format's reader finds in one file.
type gather struct {
	ctx     context.Context
	options *Options
	in      *lines
	// stopped is why dataLine ended before the end of the file; nil where it
	// did not.
	stopped error
	about   *Source
	station Station
	list    hourList
	// others are hourly reports of lesser types, taken only where a file has no
	// report of the first type.
	others hourList
	// hours are those of the list, or of others, once all lines are read.
	hours []Hour
	// hasComments says that data lines that begin with # are comments.
	hasComments bool
	// typical says that the hours are of a typical year.
	typical bool
	// unzoned says that times bear no offset and the file does not say whose clock they are.
	unzoned bool
	// compared counts the hours whose humidity was held against the dew point, apart those
	// in which the two are far apart.
	compared, apart int
	// derived counts the hours whose humidity follows from the dew point, above those in
	// which that lies above the temperature.
	derived, above int
	// invented says that the file calls its own weather invented.
	invented bool
	// doubts are warnings about the file as a whole.
	doubts []string
	// bad keeps the first errors; badLine is the last line that had one.
	bad     source.List
	badLine int
}

// at gives the place of a field in the line being read.
func (g *gather) at(name string) source.Position {
	return source.Position{File: g.about.File, Line: g.in.n, Field: name}
}

// complain notes bad input in the line being read; the line counts as bad once.
func (g *gather) complain(name, accepts, format string, args ...any) {
	if g.badLine != g.in.n {
		g.badLine = g.in.n
		g.about.BadLines++
	}
	g.bad.Addf(g.at(name), accepts, format, args...)
}

// doubt adds a warning about the file to the record.
func (g *gather) doubt(format string, args ...any) {
	g.doubts = append(g.doubts, fmt.Sprintf(format, args...))
}

// note adds a sentence on how the file was read.
func (g *gather) note(format string, args ...any) {
	g.about.Notes = append(g.about.Notes, fmt.Sprintf(format, args...))
}

// dataLine gives and counts the next data line, good until the call after, and
// nil at the end of the file. Empty lines are none, nor are comments. It ends
// early where the context is done, which is looked at every few thousand lines,
// and leaves the reason in stopped.
func (g *gather) dataLine() []byte {
	for {
		line, ok := g.in.next()
		if !ok {
			return nil
		}
		if len(line) == 0 || g.hasComments && line[0] == '#' {
			continue
		}
		g.about.Lines++
		if *g.options.lines++; *g.options.lines > MaxLines {
			g.stopped = &source.Error{Position: g.at(""), Found: fmt.Sprintf("the record goes on past %s lines", quantity.Group(float64(MaxLines), 0)),
				Accepts: "up to so many in all files of a station together, which is over three hundred years of hours"}
			return nil
		}
		if g.about.Lines%floodLines == 0 {
			if g.stopped = g.flooded(); g.stopped != nil {
				return nil
			}
		}
		if g.about.Lines%4096 == 0 {
			if g.stopped = g.ctx.Err(); g.stopped != nil {
				return nil
			}
		}
		return line
	}
}

// flooded refuses a file whose last lines are readings of a few hours, over and over.
func (g *gather) flooded() error {
	for _, all := range []*hourList{&g.list, &g.others} {
		if all.n < floodLines/2 {
			continue
		}
		last := min(all.n, floodLines-1)
		hours := map[Stamp]bool{}
		for i := 0; i < last && len(hours)*mostReadings < last; i++ {
			hours[all.at(all.n-1-i).At] = true
		}
		if len(hours)*mostReadings < last {
			return &source.Error{Position: g.at(""), Found: fmt.Sprintf("the last %s are readings of %s, over and over", quantity.Count(last, "line"), quantity.Count(len(hours), "hour")),
				Accepts: fmt.Sprintf("a record of up to %d readings an hour", mostReadings)}
		}
	}
	return nil
}

// rows gives the data lines cut at their commas, the first most fields of each,
// and complains of lines that have fewer than fewest or cannot be cut; accepts
// says how many there should be.
func (g *gather) rows(fewest, most int, accepts string) iter.Seq[[][]byte] {
	return func(yield func([][]byte) bool) {
		fields := make([][]byte, 0, most)
		for line := g.dataLine(); line != nil; line = g.dataLine() {
			var ok bool
			if fields, ok = split(line, fields); !ok || len(fields) < fewest {
				g.complain("", accepts, "holds %d fields", len(fields))
				continue
			}
			if !yield(fields) {
				return
			}
		}
	}
}

// What a reading may be. Beyond it lies no weather but a misread column or
// unit. Sources: world records kept by the WMO (temperature −89.2 to 56.7 °C,
// wind 113 m/s), with room to spare; rain of one to a few hours below 1,000 mm.
const (
	coldest, hottest = quantity.Celsius(-95), quantity.Celsius(62)
	strongest        = quantity.MetersPerSecond(115)
	deepest          = quantity.Millimeters(1000)
	// highest is a mixing height in feet: no air mixes to twice the height at which
	// airliners fly. From memory.
	highest = 80000
)

func (g *gather) temperature(h *Hour, name string, t quantity.Celsius) {
	if g.inRange(name, float64(t), float64(coldest), float64(hottest), "°C") {
		h.SetTemperature(t.Fahrenheit())
	}
}

func (g *gather) fahrenheit(h *Hour, name string, t quantity.Fahrenheit) {
	if g.inRange(name, float64(t), float64(coldest.Fahrenheit()), float64(hottest.Fahrenheit()), "°F") {
		h.SetTemperature(t)
	}
}

func (g *gather) humidity(h *Hour, name string, rh float64) {
	if g.inRange(name, rh, 0, 100, "percent") {
		h.SetHumidity(quantity.Percent(rh))
	}
}

// humidityFromDewPoint derives the humidity where the temperature is known too.
func (g *gather) humidityFromDewPoint(h *Hour, name string, t, dewPoint quantity.Celsius) {
	if g.inRange(name, float64(dewPoint), float64(coldest), float64(hottest), "°C") && h.known&hasTemperature != 0 {
		h.SetHumidity(RelativeHumidity(t, dewPoint))
		g.derived++
		if dewPoint > t+1 {
			g.above++
		}
	}
}

func (g *gather) wind(h *Hour, name string, v quantity.MetersPerSecond) {
	if g.inRange(name, float64(v), 0, float64(strongest), "m/s") {
		h.SetWind(v.MilesPerHour())
	}
}

func (g *gather) windMPH(h *Hour, name string, v quantity.MilesPerHour) {
	if g.inRange(name, float64(v), 0, math.Floor(float64(strongest.MilesPerHour())), "mph") {
		h.SetWind(v)
	}
}

func (g *gather) gust(h *Hour, name string, v quantity.MetersPerSecond) {
	if g.inRange(name, float64(v), 0, float64(strongest), "m/s") {
		h.SetGust(v.MilesPerHour())
	}
}

func (g *gather) gustMPH(h *Hour, name string, v quantity.MilesPerHour) {
	if g.inRange(name, float64(v), 0, math.Floor(float64(strongest.MilesPerHour())), "mph") {
		h.SetGust(v)
	}
}

func (g *gather) windFrom(h *Hour, name string, degrees float64) {
	if g.inRange(name, degrees, 0, 360, "degrees") {
		h.SetWindFrom(quantity.NewBearing(degrees))
	}
}

func (g *gather) rain(h *Hour, name string, depth quantity.Millimeters, hours int) {
	if g.inRange(name, float64(depth), 0, float64(deepest), "mm") {
		h.setRainOver(depth.Inches(), hours)
	}
}

func (g *gather) rainInches(h *Hour, name string, depth quantity.Inches) {
	if g.inRange(name, float64(depth), 0, math.Floor(float64(deepest.Inches())), "inches") {
		h.SetRain(depth)
	}
}

// inRange complains of a number outside lo to hi.
func (g *gather) inRange(name string, v, lo, hi float64, unit string) bool {
	if v >= lo && v <= hi {
		return true
	}
	side := "above " + formatFloat(hi)
	if v < lo {
		side = "below " + formatFloat(lo)
	}
	g.complain(name, fmt.Sprintf("%s to %s %s, or what the format writes for a missing reading", formatFloat(lo), formatFloat(hi), unit),
		"%s is %s", formatFloat(v), side)
	return false
}

// numberIn reads a field as a number and complains of other text.
func (g *gather) numberIn(name string, text []byte) (float64, bool) {
	v, ok := number(text)
	if !ok {
		g.complain(name, "a decimal number", "%s is not a number", source.Quote(string(text)))
	}
	return v, ok
}

// label reads year, month, day and an hour from 1 to 24 as numbers.
func (g *gather) label(year, month, dom, hour []byte) (Stamp, bool) {
	y, yOK := whole(year)
	m, mOK := whole(month)
	d, dOK := whole(dom)
	h, hOK := whole(hour)
	if !yOK || !mOK || !dOK || !isDate(y, m, d) {
		g.complain("date", "year, month and day of a date from 1800 to 2200", "%s is not a date",
			source.Quote(fmt.Sprintf("%s-%s-%s", year, month, dom)))
		return 0, false
	}
	if !hOK || h < 1 || h > 24 {
		g.complain("hour", "1 to 24, the hour ending", "%s is not an hour", source.Quote(string(hour)))
		return 0, false
	}
	return Stamp(dayNumber(y, m, d)*24 + h - 1), true
}
