package app

import (
	"emberquilt/habitat"
	"emberquilt/schedule/window"
)

// Windows gives the windows of one planned burn, from today on.
func (s *Session) Windows(o *Outlook, u *habitat.Unit, burn habitat.PlannedBurn) ([]window.Window, error) {
	season := s.Property.SeasonIndex(burn.Season)
	if season < 0 {
		return nil, nil
	}
	span := s.Property.SeasonSpan(season, burn.Year)
	if span.First.Before(s.Today) && !s.Today.After(span.Last) {
		span.First = s.Today
	}
	closed := s.Property.ClosedIn(u.ID, span)
	days, err := o.UnitDays(u, burn.Season)
	switch {
	case err != nil || days == nil && !o.Terms(u, burn.Season).Suits:
		return nil, err
	case days == nil:
		return window.FromDates(span, closed, &s.Property.Crew), nil
	}
	return days.Windows(window.Season{Span: span, Closures: closed, Crew: &s.Property.Crew}, s.Property.WindowChance), nil
}
