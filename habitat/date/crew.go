package date

import (
	"sync"
	"time"

	"github.com/rickar/cal/v2/us"
)

// Crew is the calendar of the people who burn: which days are worked. The zero
// value works Monday to Friday, federal holidays too; see NewCrew.
type Crew struct {
	// Weekends says that Saturdays and Sundays are worked.
	Weekends bool
	// FederalHolidays says that the US federal holidays, on the days on which
	// they are observed, are off.
	FederalHolidays bool
	// Off holds further days off.
	Off []DaysOff
	// Shared holds the days that are shared with crews of partners.
	Shared []SharedDays
}

// SharedDays are days that are agreed with a partner's crew: either it comes to burn
// here, and the days are worked whatever day of the week they are, or the crew burns on
// the partner's ground, and nothing burns here.
type SharedDays struct {
	Partner string
	// Yearly or Once are the days, first and last included; one of them is nil.
	Yearly *AnnualSpan
	Once   *Span
	// Away says that the crew burns on the partner's ground.
	Away bool
	// People is how many the partner brings; 0 is not known.
	People int
}

// Has reports whether the days hold a day.
func (s *SharedDays) Has(d Day) bool {
	return s.Once != nil && s.Once.Has(d) || s.Yearly != nil && s.Yearly.Has(d)
}

// Within gives the days that lie in a span, as spans in order of time.
func (s *SharedDays) Within(span Span) []Span {
	var all []Span
	for d := span.First; !d.After(span.Last); d = d.AddDays(1) {
		switch last := len(all) - 1; {
		case !s.Has(d):
		case last >= 0 && all[last].Last.AddDays(1) == d:
			all[last].Last = d
		default:
			all = append(all, Span{First: d, Last: d})
		}
	}
	return all
}

// DaysOff is a run of days off, first and last day included, with what it is
// called; the name may be empty.
type DaysOff struct {
	Name string
	Span
}

// NewCrew gives the usual calendar: weekends and federal holidays off.
func NewCrew() Crew { return Crew{FederalHolidays: true} }

// IsWorkday reports whether the crew works on the day, on the property's own ground.
// Days off come before days that partners share, and those before weekends and holidays.
func (c *Crew) IsWorkday(d Day) bool {
	for _, off := range c.Off {
		if off.Has(d) {
			return false
		}
	}
	isHere := false
	for i := range c.Shared {
		if days := &c.Shared[i]; days.Has(d) {
			if days.Away {
				return false
			}
			isHere = true
		}
	}
	if isHere {
		return true
	}
	if w := d.Weekday(); !c.Weekends && (w == time.Saturday || w == time.Sunday) {
		return false
	}
	return !c.FederalHolidays || !IsFederalHoliday(d)
}

// AddWorkdays gives the day that lies n workdays after d, or before it where n
// is negative; d itself is not counted. With 0 it gives d when d is worked, else
// the next workday. A crew that works on none of the next 4,000 days gives the
// zero Day.
func (c *Crew) AddWorkdays(d Day, n int) Day {
	step := 1
	if n < 0 {
		step, n = -1, -n
	}
	if n == 0 {
		if c.IsWorkday(d) {
			return d
		}
		n = 1
	}
	for idle := 0; idle < 4000; idle++ {
		d = d.AddDays(step)
		if c.IsWorkday(d) {
			if n--; n == 0 {
				return d
			}
			idle = 0
		}
	}
	return Day{}
}

// IsFederalHoliday reports whether federal offices are closed on the day for a
// holiday; see FederalHoliday.
func IsFederalHoliday(d Day) bool { return FederalHoliday(d) != "" }

// FederalHoliday gives the name of the federal holiday observed on the day, or
// an empty text. A Saturday's holiday is kept on the Friday before, a Sunday's
// on the Monday after; the weekend day itself then bears no name.
//
// Source: 5 U.S.C. 6103, through rickar/cal.
func FederalHoliday(d Day) string { return holidaysIn(d.Year)[d] }

// observed caches, by calendar year, the federal holidays observed in it.
var observed sync.Map

func holidaysIn(year int) map[Day]string {
	if known, ok := observed.Load(year); ok {
		return known.(map[Day]string)
	}
	names := make(map[Day]string)
	// New Year's Day of the next year may be observed on 31 December.
	for _, y := range []int{year, year + 1} {
		for _, h := range us.Holidays {
			// cal gives midnights in its own zone; only the civil date counts.
			if _, t := h.Calc(y); !t.IsZero() && t.Year() == year {
				names[DayOf(t)] = h.Name
			}
		}
	}
	observed.Store(year, names)
	return names
}
