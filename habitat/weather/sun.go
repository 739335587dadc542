package weather

import (
	"math"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// Place is a position on the earth in degrees, north and east positive.
type Place struct{ Latitude, Longitude float64 }

// Daylight is the time between sunrise and sunset of a civil day, in hours of
// local standard time. Where the sun does not set, Rise is 0 and Set 24; where
// it does not rise, both are 12. Neither is an error.
type Daylight struct{ Rise, Set quantity.Hours }

// zenith is the sun's distance from overhead at rise and set: 90° and 50
// minutes of arc for refraction and the sun's half width.
const zenith = 90.833

// Sun gives sunrise and sunset on a local civil day; utcOffset is local
// standard time minus UTC. The sun's place is taken at the event's own time, by
// repetition, so that the day of UTC never matters.
//
// Source: the equations of NOAA's solar calculator, after Meeus, Astronomical
// Algorithms. Within seconds of other implementations up to 61° north.
func Sun(d date.Day, at Place, utcOffset quantity.Hours) Daylight {
	days, noon := dayNumberOf(d), noonAt(at)
	event := func(side float64) (hour float64, angle hourAngle) {
		hour = noon + side*6
		for range 6 {
			declination, equation := sunAt(days + hour/24)
			half, kind := halfDay(at.Latitude, declination)
			if kind != risesAndSets {
				return 0, kind
			}
			hour = noon - equation/60 + side*half/15
		}
		return hour, risesAndSets
	}
	rise, kind := event(-1)
	set, kindAtSet := event(+1)
	if kind == risesAndSets {
		kind = kindAtSet
	}
	switch kind {
	case staysUp:
		return Daylight{0, 24}
	case staysDown:
		return Daylight{12, 12}
	}
	return Daylight{quantity.Hours(rise) + utcOffset, quantity.Hours(set) + utcOffset}
}

// dayNumberOf counts the days from 1970-01-01 0:00 UTC.
func dayNumberOf(d date.Day) float64 { return float64(dayNumber(d.Year, int(d.Month), d.Dom)) }

// noonAt gives the mean noon in hours UTC from the day's 0:00.
func noonAt(at Place) float64 { return 12 - at.Longitude/15 }

// LitHours tells of days, one after the other, which of their hours lie wholly between
// sunrise and sunset. It says what Sun says at a sixth of the cost: an event is computed
// from that of the day before, and only as far as the hour that it falls into needs.
type LitHours struct {
	at        Place
	utcOffset quantity.Hours
	// rise and set are the last day's, in hours UTC from its 0:00.
	rise, set float64
	known     bool
}

// NewLitHours gives the lit hours at a place; utcOffset is local standard time minus UTC.
func NewLitHours(at Place, utcOffset quantity.Hours) *LitHours {
	return &LitHours{at: at, utcOffset: utcOffset}
}

// On gives the labels of the first and the last hour of a day, in local standard time,
// that lie wholly between sunrise and sunset; none do where last is below first.
func (l *LitHours) On(d date.Day) (first, last int) {
	if l.known {
		days, noon := dayNumberOf(d), noonAt(l.at)
		rise, riseIsClear := l.near(days, noon, -1, l.rise)
		set, setIsClear := l.near(days, noon, +1, l.set)
		if riseIsClear && setIsClear {
			l.rise, l.set = rise, set
			return between(rise+float64(l.utcOffset), set+float64(l.utcOffset))
		}
	}
	sun := Sun(d, l.at, l.utcOffset)
	l.rise, l.set = float64(sun.Rise-l.utcOffset), float64(sun.Set-l.utcOffset)
	// Nearer the poles an event moves so much in a day that one is not told by another.
	l.known = math.Abs(l.at.Latitude) <= 60
	return between(float64(sun.Rise), float64(sun.Set))
}

// near repeats the computation of an event from where it was the day before, until what is
// left to go cannot carry it into another hour: each time it moves by under a hundredth
// of the last move, since the events of two days differ by minutes.
func (l *LitHours) near(days, noon, side, from float64) (hour float64, isClear bool) {
	hour = from
	for range 6 {
		before := hour
		declination, equation := sunAt(days + hour/24)
		half, kind := halfDay(l.at.Latitude, declination)
		if kind != risesAndSets {
			return 0, false
		}
		hour = noon - equation/60 + side*half/15
		local := hour + float64(l.utcOffset)
		if math.Abs(local-math.Round(local)) > math.Abs(hour-before) {
			return hour, true
		}
	}
	return 0, false
}

func between(rise, set float64) (first, last int) {
	return max(1, int(math.Ceil(rise))+1), min(24, int(math.Floor(set)))
}

type hourAngle int

const (
	risesAndSets hourAngle = iota
	staysUp
	staysDown
)

// halfDay gives the hour angle of sunset in degrees.
func halfDay(latitude, declination float64) (degrees float64, kind hourAngle) {
	c := cosd(zenith)/(cosd(latitude)*cosd(declination)) - tand(latitude)*tand(declination)
	switch {
	case c < -1:
		return 0, staysUp
	case c > 1 || math.IsNaN(c):
		return 0, staysDown
	}
	return math.Acos(c) * 180 / math.Pi, risesAndSets
}

// sunAt gives the sun's declination in degrees and the equation of time in
// minutes, at a number of days since 1970-01-01 0:00 UTC.
func sunAt(days float64) (declination, equation float64) {
	century := (days + 2440587.5 - 2451545) / 36525
	meanLongitude := math.Mod(280.46646+century*(36000.76983+century*0.0003032), 360)
	meanAnomaly := 357.52911 + century*(35999.05029-0.0001537*century)
	eccentricity := 0.016708634 - century*(0.000042037+0.0000001267*century)
	sinAnomaly, sinTwice := sind(meanAnomaly), sind(2*meanAnomaly)
	center := sinAnomaly*(1.914602-century*(0.004817+0.000014*century)) +
		sinTwice*(0.019993-0.000101*century) + sind(3*meanAnomaly)*0.000289
	node := 125.04 - 1934.136*century
	longitude := meanLongitude + center - 0.00569 - 0.00478*sind(node)
	obliquity := 23 + (26+(21.448-century*(46.815+century*(0.00059-century*0.001813)))/60)/60 + 0.00256*cosd(node)
	declination = math.Asin(sind(obliquity)*sind(longitude)) * 180 / math.Pi

	half := tand(obliquity / 2)
	y := half * half
	equation = 4 * 180 / math.Pi * (y*sind(2*meanLongitude) - 2*eccentricity*sinAnomaly +
		4*eccentricity*y*sinAnomaly*cosd(2*meanLongitude) -
		y*y/2*sind(4*meanLongitude) - 1.25*eccentricity*eccentricity*sinTwice)
	return declination, equation
}

func sind(degrees float64) float64 { return math.Sin(degrees * math.Pi / 180) }
func cosd(degrees float64) float64 { return math.Cos(degrees * math.Pi / 180) }
func tand(degrees float64) float64 { return math.Tan(degrees * math.Pi / 180) }
