package date

import (
	"fmt"
	"time"
)

// ProgramYear is twelve months in which a burn counts once, named by the
// calendar year in which it ends.
type ProgramYear int

// YearStart is the month on whose first day program years start. October makes
// them federal fiscal years; January makes them calendar years.
type YearStart time.Month

// Of gives the program year in which the day lies.
func (m YearStart) Of(d Day) ProgramYear {
	if m != YearStart(time.January) && d.Month >= time.Month(m) {
		return ProgramYear(d.Year + 1)
	}
	return ProgramYear(d.Year)
}

// Span gives the days of a program year.
func (m YearStart) Span(y ProgramYear) Span {
	first := Day{int(y), time.Month(m), 1}
	if m != YearStart(time.January) {
		first.Year--
	}
	return Span{first, DayOf(time.Date(first.Year+1, first.Month, 0, 0, 0, 0, 0, time.UTC))}
}

// Season gives the days of a season in a program year: the occurrence of the
// span whose last day lies in the program year. A season that the program
// year's first day would cut is so booked whole to the year in which it ends.
func (m YearStart) Season(s AnnualSpan, y ProgramYear) Span {
	first := int(y)
	if m != YearStart(time.January) && s.Last.Month >= time.Month(m) {
		first--
	}
	if s.Crosses() {
		first--
	}
	return s.From(first)
}

// String gives the year alone, such as "2027".
func (y ProgramYear) String() string { return fmt.Sprintf("%d", int(y)) }
