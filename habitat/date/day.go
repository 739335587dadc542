package date

import (
	"cmp"
	"errors"
	"fmt"
	"time"
)

// Day is a civil date of the proleptic Gregorian calendar. The zero Day is no
// date at all; see IsZero.
type Day struct {
	Year  int
	Month time.Month
	Dom   int // day of the month, from 1
}

// ErrDay is what ParseDay returns for text that is not a date.
var ErrDay = errors.New("is not a date")

// NewDay gives the date, and ErrDay where there is no such one, as with 30 February.
func NewDay(year int, month time.Month, dom int) (Day, error) {
	d := Day{year, month, dom}
	if year < 1 || year > 9999 || DayOf(d.Time()) != d {
		return Day{}, ErrDay
	}
	return d, nil
}

// MustDay gives the date and panics where there is none. It is for dates that
// stand in code.
func MustDay(year int, month time.Month, dom int) Day {
	d, err := NewDay(year, month, dom)
	if err != nil {
		panic(fmt.Sprintf("date: no such day: %04d-%02d-%02d", year, month, dom))
	}
	return d
}

// ParseDay reads YYYY-MM-DD. The error is ErrDay.
func ParseDay(text string) (Day, error) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return Day{}, ErrDay
	}
	return NewDay(t.Year(), t.Month(), t.Day())
}

// DayOf gives the date that the instant has in its own zone.
func DayOf(t time.Time) Day {
	year, month, dom := t.Date()
	return Day{year, month, dom}
}

// Time gives midnight UTC of the day.
func (d Day) Time() time.Time { return time.Date(d.Year, d.Month, d.Dom, 0, 0, 0, 0, time.UTC) }

// IsZero reports whether d is not a date.
func (d Day) IsZero() bool { return d == Day{} }

// String gives YYYY-MM-DD, and an empty text for no date.
func (d Day) String() string {
	if d.IsZero() {
		return ""
	}
	if d.Year < 0 || d.Year > 9999 || !d.isInYear() {
		return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Dom)
	}
	// Files are full of dates: this takes a tenth of the time.
	digit := func(n int) byte { return byte('0' + n%10) }
	return string([]byte{
		digit(d.Year / 1000), digit(d.Year / 100), digit(d.Year / 10), digit(d.Year), '-',
		digit(int(d.Month) / 10), digit(int(d.Month)), '-', digit(d.Dom / 10), digit(d.Dom),
	})
}

// Words gives the date as papers print it: "Thu, Mar 4, 2027".
func (d Day) Words() string {
	if d.IsZero() {
		return ""
	}
	return d.Time().Format("Mon, Jan 2, 2006")
}

// MarshalText gives YYYY-MM-DD, or nothing for no date.
func (d Day) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what MarshalText gives.
func (d *Day) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*d = Day{}
		return nil
	}
	parsed, err := ParseDay(string(text))
	if err != nil {
		return fmt.Errorf("%q %w", text, err)
	}
	*d = parsed
	return nil
}

// Compare is negative where d comes before e, positive where after.
func (d Day) Compare(e Day) int {
	return cmp.Or(cmp.Compare(d.Year, e.Year), cmp.Compare(d.Month, e.Month), cmp.Compare(d.Dom, e.Dom))
}

// Before reports whether d comes before e.
func (d Day) Before(e Day) bool { return d.Compare(e) < 0 }

// After reports whether d comes after e.
func (d Day) After(e Day) bool { return d.Compare(e) > 0 }

// everyMonth is a day of the month that every month has.
const everyMonth = 28

// AddDays gives the day n days later, or earlier where n is negative.
func (d Day) AddDays(n int) Day {
	// Plans step through days by the million: within a month no calendar is needed.
	if dom := d.Dom + n; dom >= 1 && dom <= everyMonth && d.isInYear() {
		d.Dom = dom
		return d
	}
	return DayOf(d.Time().AddDate(0, 0, n))
}

// isInYear reports whether month and day of the month are those of some date.
func (d Day) isInYear() bool {
	return d.Month >= time.January && d.Month <= time.December && d.Dom >= 1 && d.Dom <= 31
}

// Sub counts the days from e to d.
func (d Day) Sub(e Day) int {
	if d.Year == e.Year && d.Month == e.Month {
		return d.Dom - e.Dom
	}
	return int(d.Time().Sub(e.Time()) / (24 * time.Hour))
}

// Weekday gives the day of the week.
func (d Day) Weekday() time.Weekday {
	if d.Year < 1 || !d.isInYear() {
		return d.Time().Weekday()
	}
	// Years are counted from March, so that the leap day is the last of its year; the
	// months from March on begin (13 m + 2) / 5 days after it, and 0000-03-01 was a
	// Wednesday.
	year, month := d.Year, int(d.Month)-3
	if month < 0 {
		year, month = year-1, month+12
	}
	return time.Weekday((year + year/4 - year/100 + year/400 + (153*month+2)/5 + d.Dom - 1 + int(time.Wednesday)) % 7)
}

// OfYear counts from 1 for 1 January.
func (d Day) OfYear() int { return d.Time().YearDay() }
