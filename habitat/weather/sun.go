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
	days := float64(dayNumber(d.Year, int(d.Month), d.Dom)) // since 1970-01-01 0:00 UTC
	noon := 12 - at.Longitude/15                            // hours UTC from the day's 0:00
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
	center := sind(meanAnomaly)*(1.914602-century*(0.004817+0.000014*century)) +
		sind(2*meanAnomaly)*(0.019993-0.000101*century) + sind(3*meanAnomaly)*0.000289
	node := 125.04 - 1934.136*century
	longitude := meanLongitude + center - 0.00569 - 0.00478*sind(node)
	obliquity := 23 + (26+(21.448-century*(46.815+century*(0.00059-century*0.001813)))/60)/60 + 0.00256*cosd(node)
	declination = math.Asin(sind(obliquity)*sind(longitude)) * 180 / math.Pi

	y := tand(obliquity/2) * tand(obliquity/2)
	equation = 4 * 180 / math.Pi * (y*sind(2*meanLongitude) - 2*eccentricity*sind(meanAnomaly) +
		4*eccentricity*y*sind(meanAnomaly)*cosd(2*meanLongitude) -
		y*y/2*sind(4*meanLongitude) - 1.25*eccentricity*eccentricity*sind(2*meanAnomaly))
	return declination, equation
}

func sind(degrees float64) float64 { return math.Sin(degrees * math.Pi / 180) }
func cosd(degrees float64) float64 { return math.Cos(degrees * math.Pi / 180) }
func tand(degrees float64) float64 { return math.Tan(degrees * math.Pi / 180) }
