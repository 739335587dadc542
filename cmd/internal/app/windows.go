package app

import (
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

// Windows gives the windows of one planned burn, from today on.
func (s *Session) Windows(o *Outlook, u *habitat.Unit, burn habitat.PlannedBurn) ([]window.Window, error) {
	season := s.Property.SeasonIndex(burn.Season)
	if season < 0 {
		return nil, nil
	}
	span := s.Property.SeasonSpan(season, burn.Year)
	if s.isUnderWay(span) {
		span.First = s.Today
	}
	return s.windowsIn(o, u, burn, span)
}

// wholeWindows gives the windows of a burn whose season is under way, with the days that
// are over; nil where the season is not.
func (s *Session) wholeWindows(o *Outlook, u *habitat.Unit, burn habitat.PlannedBurn) ([]window.Window, error) {
	season := s.Property.SeasonIndex(burn.Season)
	if season < 0 {
		return nil, nil
	}
	span := s.Property.SeasonSpan(season, burn.Year)
	if !s.isUnderWay(span) {
		return nil, nil
	}
	return s.windowsIn(o, u, burn, span)
}

func (s *Session) isUnderWay(span date.Span) bool {
	return span.First.Before(s.Today) && !s.Today.After(span.Last)
}

func (s *Session) windowsIn(o *Outlook, u *habitat.Unit, burn habitat.PlannedBurn, span date.Span) ([]window.Window, error) {
	closed := s.closedTo(o, u, burn.Season, span)
	days, err := o.UnitDays(u, burn.Season)
	switch {
	case err != nil || days == nil && !o.Terms(u, burn.Season).Suits:
		return nil, err
	case days == nil:
		windows := window.FromDates(span, closed, &s.Property.Crew)
		if o.Series != nil {
			for i := range windows {
				windows[i].Basis = window.NoPrescription
			}
		}
		return windows, nil
	}
	return days.Windows(window.Season{Span: span, Closures: closed, Crew: &s.Property.Crew}, s.Property.WindowChance), nil
}

// closedTo gives the closures of a unit in a span of a season.
func (s *Session) closedTo(o *Outlook, u *habitat.Unit, season string, span date.Span) []date.Span {
	_, limits := o.limitsIn(u, season)
	return s.closedOn(u.ID, span, limits != nil && limits.BurnHours.IsOvernight())
}

// closedOn gives the closures of a unit, "" for those of every unit, in a span: where burn
// hours run across midnight, the day before each too.
func (s *Session) closedOn(unit string, span date.Span, isOvernight bool) []date.Span {
	if !isOvernight {
		return s.Property.ClosedIn(unit, span)
	}
	span.Last = span.Last.AddDays(1)
	return window.BeforeClosed(s.Property.ClosedIn(unit, span))
}

// yearsAsked is for how many program years, from that of the season under way on,
// it is asked why burns have no window: asking means counting the record many times.
const yearsAsked = 2

// noWindow says why a planned burn has no window; nil where it is too far ahead to
// ask.
func (s *Session) noWindow(o *Outlook, u *habitat.Unit, burn habitat.PlannedBurn) (*window.NoWindow, error) {
	season := s.Property.SeasonIndex(burn.Season)
	_, now := view.SeasonOn(&s.Property, s.Today)
	if season < 0 || burn.Year >= now+yearsAsked {
		return nil, nil
	}
	key := fmt.Sprint(u.ID, "\x00", burn.Season, "\x00", burn.Year)
	if none, ok := o.none[key]; ok {
		return none, nil
	}
	span := s.Property.SeasonSpan(season, burn.Year)
	t, own := o.Terms(u, burn.Season), o.Firings.For(u.ID)
	c := window.Case{Series: o.Series, Prescription: t.Limits, Firing: windowFiring(&own), Threshold: s.Property.WindowChance, Today: s.Today,
		Options: window.Options{WindAdjustment: t.Options.WindAdjustment, Zone: t.Options.Zone},
		Season:  window.Season{Span: span, Closures: s.closedTo(o, u, burn.Season, span), Crew: &s.Property.Crew}}
	if in, known := o.CardInput(u.ID); known {
		c.Card = &in
	}
	none, err := c.Why()
	if err != nil {
		return nil, AgainstUnit(u.ID, err)
	}
	o.none[key] = none
	return none, nil
}

// firstUsable gives the first day of a burn's season, from today on, that the
// calendar allows; else, with isLeft false, the first of the season that is not over, and
// the zero Day where the season is.
func (s *Session) firstUsable(o *Outlook, u *habitat.Unit, burn habitat.PlannedBurn) (first date.Day, isLeft bool) {
	season := s.Property.SeasonIndex(burn.Season)
	if season < 0 {
		return date.Day{}, false
	}
	span := s.Property.SeasonSpan(season, burn.Year)
	if span.First.Before(s.Today) {
		span.First = s.Today
	}
	if span.Days() == 0 {
		return date.Day{}, false
	}
	usable := window.FromDates(span, s.closedTo(o, u, burn.Season, span), &s.Property.Crew)
	if len(usable) == 0 {
		return span.First, false
	}
	return usable[0].First, true
}
