package weather

import (
	"math"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// Beyond these a column or its unit is doubted, and nothing is refused. From memory of the
// extremes of stations in the United States: the coldest have summer days above 60 °F, the
// driest a mean humidity above 20 percent, the wettest rain of some 150 inches a year and
// in a third of their hours.
const (
	fewestForYear  = 24 * 300 // hours
	fewestForHalf  = 24 * 170 // hours
	coolestSummer  = quantity.Fahrenheit(50)
	driestMean     = 10.0 // percent
	wettestYear    = 160  // inches
	driestYear     = 1.9  // inches: Death Valley has over two
	wettestShare   = 0.5
	unknownDoubted = 0.2
	// Gusts are some one and a half times the wind, in hours that have any.
	fewestGusts         = 20
	leastGust, mostGust = 1.1, 2.6
	// mostOffset is how far standard time may be from that of the sun, in hours: over two
	// in western Alaska, three in western China.
	mostOffset = 3.2
)

// totals are sums over the hours of a record.
type totals struct {
	temperature, humidity, wind, direction, wet, depths int // how many hours have them
	known, gusty                                        int
	warmest                                             quantity.Fahrenheit
	humiditySum, rain, gustSum, windOfGusts             float64
	furthest                                            quantity.Bearing
}

func (r *Record) totals() totals {
	t := totals{warmest: quantity.Fahrenheit(math.Inf(-1))}
	for i := range r.Hours {
		h := &r.Hours[i]
		if h.IsKnown() {
			t.known++
		}
		if v, ok := h.Temperature(); ok {
			t.temperature++
			t.warmest = max(t.warmest, v)
		}
		if v, ok := h.Humidity(); ok {
			t.humidity++
			t.humiditySum += float64(v)
		}
		if _, ok := h.Wind(); ok {
			t.wind++
		}
		if v, ok := h.WindFrom(); ok {
			t.direction++
			t.furthest = max(t.furthest, v)
		}
		if gust, ok := h.Gust(); ok && h.known&hasWind != 0 {
			t.gusty++
			t.gustSum += float64(gust)
			t.windOfGusts += float64(h.wind)
		}
		if h.IsWet() {
			t.wet++
		}
		if v, ok := h.Rain(); ok {
			t.depths++
			t.rain += float64(v)
		}
	}
	return t
}

// checkReadings doubts columns that hold nothing, or what a year of weather cannot hold.
func (r *Record) checkReadings() {
	t, n := r.totals(), len(r.Hours)
	if n == 0 {
		return
	}
	lacking := func(has int) float64 { return 100 * float64(n-has) / float64(n) }
	if all := int(r.Hours[n-1].At-r.Hours[0].At) + 1; n >= fewestForCheck && float64(all-n) > unknownDoubted*float64(all) && !r.Typical {
		r.warn("%.1f percent of the hours from %s to %s are absent", 100*float64(all-n)/float64(all), r.Hours[0].At.Day(), r.Hours[n-1].At.Day())
	}
	if n >= fewestForCheck && float64(n-t.known) > unknownDoubted*float64(n) {
		r.warn("%.1f percent of the hours lack temperature, humidity or wind (%.1f, %.1f and %.1f percent); they are not known",
			lacking(t.known), lacking(t.temperature), lacking(t.humidity), lacking(t.wind))
	}
	if t.temperature >= fewestForYear && t.warmest < coolestSummer {
		r.warn("it is never warmer than %.1f °F: the unit of the temperature may be wrong", float64(t.warmest))
	}
	if mean := t.humiditySum / float64(t.humidity); t.humidity >= fewestForCheck && mean < driestMean {
		r.warn("the mean humidity is %.1f percent: its unit or its column may be wrong", mean)
	}
	if t.direction >= fewestForCheck && t.furthest <= 36 || t.direction >= fewestForHalf && t.furthest <= 180 {
		r.warn("no wind comes from beyond %s degrees: the unit of the direction or its column may be wrong", formatFloat(float64(t.furthest)))
	}
	if ratio := t.gustSum / t.windOfGusts; t.gusty >= fewestGusts && t.windOfGusts > 0 && (ratio < leastGust || ratio > mostGust) {
		r.warn("gusts are %.1f times the wind on average: the unit of one of them may be wrong", ratio)
	}
	yearly := t.rain / float64(n) * 24 * 365.25
	isDry := t.depths >= fewestForYear && float64(t.depths) > 0.9*float64(n) && yearly < driestYear
	if n >= fewestForHalf && yearly > wettestYear || isDry {
		r.warn("rain adds up to %s inches a year: its unit or its column may be wrong", quantity.Group(yearly, 1))
	}
	if share := float64(t.wet) / float64(n); n >= fewestForHalf && share > wettestShare {
		r.warn("rain fell in %.1f percent of the hours: its column may be wrong", 100*share)
	}
}

// checkTypicalYear names what a typical year lacks: it has no other year to make up for it.
func (r *Record) checkTypicalYear() {
	if absent := 365*24 - len(r.Hours); r.Typical && absent >= 24 {
		r.warn("%s of the 8,760 hours of a typical year are absent", quantity.Group(float64(absent), 0))
	}
}

// checkOffset holds the UTC offset against the longitude: a lost sign of either moves the
// sun, and with it daylight, by hours.
func (r *Record) checkOffset() {
	at, offset := r.Station.Place, r.Station.UTCOffset
	if at == nil || offset == nil {
		return
	}
	sun := at.Longitude / 15
	if away := math.Abs(math.Remainder(float64(*offset)-sun, 24)); away > mostOffset {
		r.warn("the UTC offset %s does not go with the longitude %s, where the sun's time is near %.1f: one of the two is wrong",
			formatFloat(float64(*offset)), formatFloat(at.Longitude), sun)
	}
}

// Of files that have humidity and dew point, the humidity of one hour in ten at most is
// over 10 points from what the dew point says: gaps were filled column by column.
const (
	apartFrom    = 10.0 // points of humidity
	apartDoubted = 0.25
	// The dew point is not above the temperature but by rounding: under a degree.
	aboveDoubted = 0.05
	// compareEach: it is enough to look at some lines. 7 and 24 share no divisor, so that
	// every hour of the day is among them.
	compareEach, fewestCompared = 7, 50
)

// comparesDewPoint says whether the dew point of this line is looked at.
func (g *gather) comparesDewPoint() bool { return g.about.Lines%compareEach == 0 }

// compareDewPoint holds a humidity that the file gives against the dew point beside it.
func (g *gather) compareDewPoint(h *Hour, dewPoint quantity.Celsius) {
	if h.known&hasTemperature == 0 || h.known&hasHumidity == 0 || dewPoint < coldest || dewPoint > hottest {
		return
	}
	g.compared++
	if math.Abs(float64(RelativeHumidity(h.temperature.Celsius(), dewPoint)-h.humidity)) > apartFrom {
		g.apart++
	}
}

// checkDewPoint doubts temperature, dew point and humidity where they contradict each
// other.
func (g *gather) checkDewPoint() {
	if share := float64(g.apart) / float64(g.compared); g.compared >= fewestCompared && share > apartDoubted {
		g.doubt("the humidity is not that of temperature and dew point in %.0f percent of the hours compared: one of the three may be in another unit or column", 100*share)
	}
	if share := float64(g.above) / float64(g.derived); g.derived >= fewestCompared && share > aboveDoubted {
		g.doubt("the dew point is above the temperature in %.0f percent of the hours: one of the two may be in another unit or column", 100*share)
	}
}

// checkClocks doubts a file without offsets that lacks, in each year, the one hour that
// clocks in the United States leap over, and no other of that day.
func (g *gather) checkClocks() {
	if !g.unzoned {
		return
	}
	var years []int
	for i := 0; i < len(g.hours); {
		day := g.hours[i].At.DayNumber()
		has, next := Stamp(0), i // bit by label
		for ; next < len(g.hours) && g.hours[next].At.DayNumber() == day; next++ {
			has |= 1 << g.hours[next].At.Label()
		}
		if d := g.hours[i].At.Day(); d == springForward(d.Year) {
			switch absent := (1<<25 - 2) &^ has; absent {
			case 1 << 2, 1 << 3: // the hour ends at 2:00 or 3:00, as times are stamped
				years = append(years, d.Year)
			case 0:
				return
			}
		}
		i = next
	}
	if len(years) > 0 {
		g.doubt("the hour that the clocks leap over is absent in %s, and no other of that day: the times may be clock time; they are read as standard time, and are an hour late in summer then",
			joinYears(years))
	}
}

// springForward is the day on which clocks in the United States go forward.
//
// Source: 15 U.S.C. 260a; before 2007 the first Sunday of April, since 1987.
func springForward(year int) date.Day {
	d := date.MustDay(year, time.March, 8)
	if year < 2007 {
		d = date.MustDay(year, time.April, 1)
	}
	return d.AddDays((7 - int(d.Weekday())) % 7)
}
