package window

import (
	"slices"

	"emberquilt/habitat/date"
)

// FromDates gives the windows of a season when no weather is known: the
// maximal runs of days between closures, each from its first usable day to its
// last. Days off inside a run do not cut it, they are only not counted; a run
// without a usable day is not a window.
//
// closures may overlap, stand in any order and reach beyond the season; spans
// that end before they begin close nothing. A nil crew works every day.
func FromDates(season date.Span, closures []date.Span, crew *date.Crew) []Window {
	var windows []Window
	for _, open := range openSpans(season, closures) {
		if usable, count := usableSpan(open, crew); count > 0 {
			windows = append(windows, Window{Span: usable, UsableDays: count, Basis: DatesOnly})
		}
	}
	return windows
}

// openSpans gives the maximal runs of days of the season that no closure holds,
// in order.
func openSpans(season date.Span, closures []date.Span) []date.Span {
	closed := slices.Clone(closures)
	slices.SortFunc(closed, func(a, b date.Span) int { return a.First.Compare(b.First) })
	var open []date.Span
	next := season.First // first day that is neither closed nor in open
	for _, c := range closed {
		if c.Days() == 0 || c.Last.Before(next) {
			continue
		}
		if c.First.After(season.Last) {
			break
		}
		if c.First.After(next) {
			open = append(open, date.Span{First: next, Last: c.First.AddDays(-1)})
		}
		next = c.Last.AddDays(1)
	}
	if !next.After(season.Last) {
		open = append(open, date.Span{First: next, Last: season.Last})
	}
	return open
}

// usableSpan trims the span to its first and last workday and counts the
// workdays.
func usableSpan(s date.Span, crew *date.Crew) (usable date.Span, count int) {
	for d := s.First; !d.After(s.Last); d = d.AddDays(1) {
		if !works(crew, d) {
			continue
		}
		if count == 0 {
			usable.First = d
		}
		usable.Last = d
		count++
	}
	return usable, count
}

// works reports whether the crew works on the day; a nil crew always does.
func works(crew *date.Crew, d date.Day) bool { return crew == nil || crew.IsWorkday(d) }
