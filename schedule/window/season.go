package window

import (
	"fmt"
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// DefaultThreshold is the chance from which a week belongs to a window: one day
// in five.
const DefaultThreshold = quantity.Share(0.2)

// Season is the dates on which a unit may burn, as far as the calendar goes.
type Season struct {
	date.Span
	// Closures are the days on which the unit may not burn; see BeforeClosed for burn
	// hours that run across midnight.
	Closures []date.Span
	// Crew says which days are worked; nil works every day.
	Crew *date.Crew
	// Ready is the first day after the unit's preparation; the zero Day means
	// that nothing has to be done before.
	Ready date.Day
}

// BeforeClosed gives the closures of a unit whose burn hours run across midnight: a night
// that runs into a closed day is closed too.
func BeforeClosed(closures []date.Span) []date.Span {
	all := slices.Clone(closures)
	for i := range all {
		if all[i].Days() > 0 {
			all[i].First = all[i].First.AddDays(-1)
		}
	}
	return all
}

// IsUsable reports whether the calendar allows a burn on the day.
func (s *Season) IsUsable(d date.Day) bool {
	if !s.Has(d) || d.Before(s.Ready) || !works(s.Crew, d) {
		return false
	}
	return !isClosed(s, d)
}

// isClosed reports whether a closure holds the day.
func isClosed(s *Season, d date.Day) bool {
	return slices.ContainsFunc(s.Closures, func(c date.Span) bool { return c.Has(d) })
}

// open gives the season's dates from the day on which the unit is ready.
func (s *Season) open() date.Span {
	if s.Ready.After(s.First) {
		return date.Span{First: s.Ready, Last: s.Last}
	}
	return s.Span
}

// Windows gives the season's windows: maximal runs of weeks, Monday to Sunday,
// whose chance reaches the threshold, cut by the season's ends, by closures and
// by the unit's readiness, and trimmed to usable days. The chance of a week is
// the mean of the chances of its days in the season. threshold 0 means
// DefaultThreshold.
func (d *Days) Windows(season Season, threshold quantity.Share) []Window {
	if threshold == 0 {
		threshold = DefaultThreshold
	}
	chances := d.Chances()
	basis := d.Basis()
	var windows []Window
	for _, run := range goodWeeks(chances, season.open(), threshold) {
		for _, open := range openSpans(run, season.Closures) {
			usable, count := usableSpan(open, season.Crew)
			if count > 0 {
				windows = append(windows, Window{Span: usable, UsableDays: count, Basis: basis,
					Weather: d.outlook(chances, season, usable)})
			}
		}
	}
	return windows
}

// goodWeeks gives the runs of days whose weeks reach the threshold.
func goodWeeks(c *Chances, season date.Span, threshold quantity.Share) []date.Span {
	var runs []date.Span
	for first := season.First; !first.After(season.Last); {
		week := date.Span{First: first, Last: weekOf(first).Last}
		if week.Last.After(season.Last) {
			week.Last = season.Last
		}
		if chance, ok := c.Over(week); ok && chance >= threshold-1e-12 {
			if n := len(runs); n > 0 && runs[n-1].Last.AddDays(1) == first {
				runs[n-1].Last = week.Last
			} else {
				runs = append(runs, week)
			}
		}
		first = week.Last.AddDays(1)
	}
	return runs
}

// outlook sums up what the weather says about a window.
func (d *Days) outlook(c *Chances, season Season, span date.Span) *Outlook {
	o := &Outlook{}
	for day := span.First; !day.After(span.Last); day = day.AddDays(1) {
		if chance, ok := c.On(day); ok && season.IsUsable(day) {
			o.ExpectedDays += float64(chance)
		}
	}
	best := quantity.Share(-1)
	for first := span.First; !first.After(span.Last); {
		week := date.Span{First: first, Last: weekOf(first).Last}
		if week.Last.After(span.Last) {
			week.Last = span.Last
		}
		if chance, ok := c.Over(week); ok && chance > best {
			best, o.BestWeek, o.BestChance = chance, week, chance
		}
		first = week.Last.AddDays(1)
	}
	o.StartHour = d.startHour(span)
	return o
}

// startHour gives the median label of the first hour of the longest run, over
// the candidate days of all years that lie in the span's days of the year, in
// clock time where the zone is known; 0 where there are none.
func (d *Days) startHour(span date.Span) int {
	var in [slots]bool
	for day := span.First; !day.After(span.Last); day = day.AddDays(1) {
		in[slotOf(day)] = true
	}
	var count [50]int // of a night, label 48 and an hour of daylight saving time
	total := 0
	for i := range d.Days {
		if day := &d.Days[i]; day.Candidate && in[slotOf(day.Date())] {
			start, _ := day.Counting.LongestRun()
			count[max(1, start+d.Shift(day.Date()))]++
			total++
		}
	}
	seen := 0
	for label, n := range count {
		if seen += n; 2*seen >= total && total > 0 {
			return label
		}
	}
	return 0
}

// Basis says in a few words what the days rest on.
func (d *Days) Basis() string {
	r := d.Series.record
	name := r.Station.Name
	if name == "" {
		name = r.Station.ID
	}
	if name == "" {
		name = "an unnamed station"
	}
	if r.Typical {
		return "one typical year of " + name + ", which says nothing about poor years"
	}
	span := r.Span()
	return fmt.Sprintf("weather of %s, %s", name, span)
}
