package date

import (
	"errors"
	"fmt"
	"time"
)

// Annual is a day that comes every year, such as 15 November.
type Annual struct {
	Month time.Month
	Dom   int
}

// ErrAnnual is what ParseAnnual returns for text that is not a day of a year.
var ErrAnnual = errors.New("is not a day of the year")

// ParseAnnual reads MM-DD; 02-29 is accepted and means 1 March in years
// without it, or 28 February where a span ends on it. The error is ErrAnnual.
func ParseAnnual(text string) (Annual, error) {
	t, err := time.Parse(time.DateOnly, "2000-"+text)
	if err != nil {
		return Annual{}, ErrAnnual
	}
	return Annual{t.Month(), t.Day()}, nil
}

// String gives MM-DD.
func (a Annual) String() string { return fmt.Sprintf("%02d-%02d", a.Month, a.Dom) }

// Words gives the day as papers print it: "Nov 15".
func (a Annual) Words() string { return fmt.Sprintf("%s %d", a.Month.String()[:3], a.Dom) }

// In gives the day in a calendar year; 29 February becomes 1 March in years
// without it.
func (a Annual) In(year int) Day {
	// The seasons of years are asked for by the hundred thousand, mostly on days that
	// every year has.
	if a.Dom >= 1 && a.Dom <= everyMonth && a.Month >= time.January && a.Month <= time.December {
		return Day{year, a.Month, a.Dom}
	}
	return DayOf(time.Date(year, a.Month, a.Dom, 0, 0, 0, 0, time.UTC))
}

// MarshalText gives MM-DD.
func (a Annual) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText reads MM-DD.
func (a *Annual) UnmarshalText(text []byte) error {
	parsed, err := ParseAnnual(string(text))
	if err != nil {
		return fmt.Errorf("%q %w", text, err)
	}
	*a = parsed
	return nil
}

// Span is a run of days, first and last included.
type Span struct{ First, Last Day }

// Has reports whether the day lies in the span.
func (s Span) Has(d Day) bool { return !d.Before(s.First) && !d.After(s.Last) }

// Days counts the days of the span; 0 where Last comes before First.
func (s Span) Days() int { return max(0, s.Last.Sub(s.First)+1) }

// String gives "2027-01-15 to 2027-03-31".
func (s Span) String() string { return s.First.String() + " to " + s.Last.String() }

// AnnualSpan is a run of days that comes every year, first and last included.
// It crosses the new year where Last comes before First.
type AnnualSpan struct{ First, Last Annual }

// Crosses reports whether the span crosses the new year.
func (s AnnualSpan) Crosses() bool {
	return s.Last.Month < s.First.Month || s.Last.Month == s.First.Month && s.Last.Dom < s.First.Dom
}

// From gives the span whose first day lies in a calendar year. One that ends on 29
// February ends with the month in every year: a span that begins on 1 March follows on it.
func (s AnnualSpan) From(year int) Span {
	in := year
	if s.Crosses() {
		in++
	}
	first, last := s.First.In(year), s.Last.In(in)
	if last.Month != s.Last.Month {
		last = last.AddDays(-1)
	}
	if last.Before(first) { // 29 February alone
		first = last
	}
	return Span{first, last}
}

// Has reports whether the day lies in the span of some year.
func (s AnnualSpan) Has(d Day) bool { return s.From(d.Year).Has(d) || s.From(d.Year-1).Has(d) }

// Words gives "Nov 15 to Mar 15".
func (s AnnualSpan) Words() string { return s.First.Words() + " to " + s.Last.Words() }
