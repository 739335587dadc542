package weather

import (
	"time"

	"emberquilt/habitat/date"
)

// Stamp numbers the hours of local standard time one by one. The hour with
// label h of a day, h from 1 to 24, covers h−1 to h o'clock: hour ending.
type Stamp int32

// StampOf gives the stamp of a day's hour; label runs from 1 to 24.
func StampOf(d date.Day, label int) Stamp {
	return Stamp(dayNumber(d.Year, int(d.Month), d.Dom)*24 + label - 1)
}

// Label gives the hour's label, 1 to 24.
func (s Stamp) Label() int { return int(s-s.DayNumber()*24) + 1 }

// DayNumber numbers the days one by one; equal numbers are the same day.
func (s Stamp) DayNumber() Stamp {
	if s < 0 {
		return (s - 23) / 24
	}
	return s / 24
}

// Day gives the hour's civil date.
func (s Stamp) Day() date.Day { return dayOf(int(s.DayNumber())) }

// stampAt gives the stamp of the hour that holds a number of minutes since
// 1970-01-01 00:00 local standard time. A full hour ends its hour, so that
// 00:00 has label 24 of the day before, and 00:51 label 1.
func stampAt(minutes int) Stamp {
	hour := minutes / 60
	if hour*60 > minutes { // division rounds toward zero
		hour--
	}
	if hour*60 < minutes {
		hour++
	}
	return Stamp(hour - 1)
}

// dayNumber counts days from 1970-01-01 in the proleptic Gregorian calendar. It
// takes any month and day in range, without asking whether the month has it.
//
// Source: the usual 400-year-era arithmetic; tested against the time package.
func dayNumber(year, month, dom int) int {
	if month <= 2 {
		year--
	}
	era := floorDiv(year, 400)
	yearOfEra := year - era*400
	dayOfYear := (153*((month+9)%12)+2)/5 + dom - 1
	dayOfEra := yearOfEra*365 + yearOfEra/4 - yearOfEra/100 + dayOfYear
	return era*146097 + dayOfEra - 719468
}

func dayOf(number int) date.Day {
	return date.DayOf(time.Unix(int64(number)*86400, 0).UTC())
}

func floorDiv(a, b int) int {
	q := a / b
	if a%b != 0 && (a < 0) != (b < 0) {
		q--
	}
	return q
}

// daysIn counts the days of a month; month runs from 1 to 12.
func daysIn(year, month int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// isDate reports whether there is such a day, in the years 1800 to 2200 that a
// weather record can be of.
func isDate(year, month, dom int) bool {
	return year >= 1800 && year <= 2200 && month >= 1 && month <= 12 && dom >= 1 && dom <= daysIn(year, month)
}
