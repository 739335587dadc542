package date

import (
	"fmt"
	"time"
)

// FiscalYear is the year by which an agency counts money and work, named by the
// calendar year in which it ends. It is not a ProgramYear: a property whose
// program years start in January has federal fiscal years all the same.
type FiscalYear int

// FiscalStart is the month on whose first day fiscal years start. The zero value
// stands for the federal fiscal year, which starts in October.
type FiscalStart time.Month

// Month gives the month in which fiscal years start.
//
// Source: 31 U.S.C. 1102, "The fiscal year of the Treasury begins on October 1
// of each year and ends on September 30 of the following year."
func (m FiscalStart) Month() time.Month {
	if m == 0 {
		return time.October
	}
	return time.Month(m)
}

// Of gives the fiscal year in which the day lies.
func (m FiscalStart) Of(d Day) FiscalYear { return FiscalYear(YearStart(m.Month()).Of(d)) }

// Words names the kind of fiscal year for a paper: "federal fiscal year", or
// "fiscal year from July".
func (m FiscalStart) Words() string {
	if m.Month() == time.October {
		return "federal fiscal year"
	}
	return "fiscal year from " + m.Month().String()
}

// String gives the year alone, such as "2027".
func (y FiscalYear) String() string { return fmt.Sprintf("%d", int(y)) }

// IsUsual reports whether the year may be one of a contract: 1990 to 2100. A year
// outside is a slip, such as 27 for 2027.
func (y FiscalYear) IsUsual() bool { return y >= 1990 && y <= 2100 }
