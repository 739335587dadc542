package app

import (
	"context"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/schedule/assemble"
	"emberquilt/schedule/window"
)

// ParseBurnDays reads poor, median, mean, settings, a number, or nothing for the
// default.
func ParseBurnDays(text string) (habitat.BurnDays, error) {
	days, err := habitat.ParseBurnDays(text)
	return days, optionFaults(err)
}

// ExpectedBurnDays gives, season by season, the expected burn days of a program
// year: days on which at least one unit that may burn in it is in prescription.
// Closures of single units do not count. nil where no weather is known.
func (s *Session) ExpectedBurnDays(o *Outlook, year date.ProgramYear) (map[string]*window.BurnDays, error) {
	days, err := s.seasonDays(o)
	if err != nil || days == nil {
		return nil, err
	}
	return s.burnDaysOf(days, year, date.Day{}), nil
}

// seasonDays joins, for each season, the days of the units that may burn in it:
// those on which at least one of them is in prescription. nil where no weather
// is known.
func (s *Session) seasonDays(o *Outlook) (map[string]*window.Days, error) {
	if o.Series == nil {
		return nil, nil
	}
	joined := map[string]*window.Days{}
	for _, season := range s.Property.Seasons {
		var all []*window.Days
		for k := range s.Units {
			u := &s.Units[k]
			if !slices.ContainsFunc(u.Choices(&s.Property), func(c habitat.SeasonChoice) bool { return c.Season == season.Name }) {
				continue
			}
			days, err := o.UnitDays(u, season.Name)
			if err != nil {
				return nil, err
			}
			if days != nil {
				all = append(all, days)
			}
		}
		if len(all) > 0 {
			joined[season.Name] = window.AnyOf(all...)
		}
	}
	return joined, nil
}

// burnDaysOf gives the expected burn days of the seasons of a program year, by
// the closures and the calendar of that year; from a day on where it is not
// zero.
func (s *Session) burnDaysOf(days map[string]*window.Days, year date.ProgramYear, from date.Day) map[string]*window.BurnDays {
	expected := map[string]*window.BurnDays{}
	for i, season := range s.Property.Seasons {
		d := days[season.Name]
		if d == nil {
			continue
		}
		span := s.Property.SeasonSpan(i, year)
		if span.First.Before(from) && !from.After(span.Last) {
			span.First = from
		}
		closed := s.closedOn("", span, d.IsOvernight)
		expected[season.Name] = d.BurnDays(window.Season{Span: span, Closures: closed, Crew: &s.Property.Crew}, 0)
	}
	return expected
}

// capBurnDays caps the burn days of the seasons by what the weather record lets
// expect in each program year, never above the crew's own cap, and says so. A
// closure of one year cuts that year alone. Where the user says the burn days, what the
// record does not support may be planned all the same: hopes lists it.
func (s *Session) capBurnDays(ctx context.Context, in *assemble.Input, choice habitat.BurnDays) (words []string, hopes []habitat.PlannedBurn, err error) {
	o, err := s.Outlook(ctx)
	if err != nil {
		return nil, nil, err
	}
	now := s.Property.YearStart.Of(s.Today)
	first := in.FirstYear
	if first == 0 {
		first = now
	}
	years := in.Years
	if years == 0 {
		years = s.Property.Years
	}
	unsupported, unplanned, err := s.unsupported(o, first, years+habitat.MaxLookahead)
	if err != nil {
		return nil, nil, err
	}
	switch choice.From {
	case habitat.SettingsDays:
		return nil, unsupported, nil
	case habitat.StatedDays:
		return s.capStatedDays(in, choice.Days), unsupported, nil
	}
	days, err := s.seasonDays(o)
	if err != nil {
		return nil, nil, err
	}
	if days == nil && choice.From != habitat.DefaultDays {
		return nil, nil, badOption("burn-days", "settings or a number of days while no weather record is loaded", "%s needs a weather record", choice.From)
	}
	in.ExpectedDays = map[date.ProgramYear]map[string]float64{}
	said := make([]view.CountedDays, len(s.Property.Seasons))
	for year := first; year < first+date.ProgramYear(years+habitat.MaxLookahead); year++ {
		from := date.Day{}
		if year >= now { // a season of the next year may be under way
			from = s.Today
		}
		in.ExpectedDays[year] = map[string]float64{}
		expected := s.burnDaysOf(days, year, from)
		for i, season := range s.Property.Seasons {
			e := expected[season.Name]
			span := s.Property.SeasonSpan(i, year)
			if e == nil || span.Last.Before(from) {
				continue
			}
			days := daysOf(choice, e) * s.Property.BurnDaysADay()
			in.ExpectedDays[year][season.Name] = days
			if year < first+date.ProgramYear(years) {
				said[i].Add(year, days, from.After(span.First))
				said[i].Season, said[i].As, said[i].HasYears, said[i].Note, said[i].Holds = season, choice, e.HasYears, e.Note, s.Property.DayHolds
			}
		}
	}
	for i := range said {
		words = append(words, said[i].Words()...)
	}
	for _, burn := range unsupported {
		in.Closed = append(in.Closed, assemble.Closed(burn))
	}
	words = append(words, unplanned...)
	for _, warning := range o.Warnings() {
		words = append(words, view.BurnDaysWarning(warning))
	}
	return words, nil, nil
}

// unsupported gives the units, seasons and years for which the record has no
// candidate day, by the closures and the calendar of each year: a burn there is a
// hope, not a plan. words says it of what has none in any year.
func (s *Session) unsupported(o *Outlook, first date.ProgramYear, years int) (all []habitat.PlannedBurn, words []string, err error) {
	if o.Series == nil {
		return nil, nil, nil
	}
	for k := range s.Units {
		u := &s.Units[k]
		for _, choice := range u.Choices(&s.Property) {
			days, err := o.UnitDays(u, choice.Season)
			if err != nil {
				return nil, nil, err
			}
			if days == nil && o.Terms(u, choice.Season).Suits {
				continue // no prescription: nothing to hold the record against
			}
			closed := 0
			for year := first; year < first+date.ProgramYear(years); year++ {
				if days == nil || !s.isSupported(o, days, u, choice.Season, year) {
					all = append(all, habitat.PlannedBurn{Unit: u.ID, Year: year, Season: choice.Season})
					closed++
				}
			}
			if closed == years {
				words = append(words, view.UnsupportedWords(u.ID, choice.Season, days != nil))
			}
		}
	}
	return all, words, nil
}

// isSupported reports whether a year of the record has a candidate day among the
// usable days of a unit's season; a season without a usable day is not a
// question of weather.
func (s *Session) isSupported(o *Outlook, days *window.Days, u *habitat.Unit, season string, year date.ProgramYear) bool {
	span := s.Property.SeasonSpan(s.Property.SeasonIndex(season), year)
	if span.First.Before(s.Today) && !s.Today.After(span.Last) {
		span.First = s.Today
	}
	e := days.BurnDays(window.Season{Span: span, Closures: s.closedTo(o, u, season, span), Crew: &s.Property.Crew}, 0)
	return e.Usable == 0 || slices.ContainsFunc(e.Years, func(y window.SeasonYear) bool { return y.Candidate > 0 })
}

// daysOf gives the days of a year as good as the one that is chosen.
func daysOf(c habitat.BurnDays, e *window.BurnDays) float64 {
	switch c.From {
	case habitat.MedianDays:
		return e.Median
	case habitat.MeanDays:
		return e.Mean * float64(e.Reliability)
	}
	return e.Low + c.Toward*(e.Median-e.Low)
}

// capStatedDays takes a number for the burn days of every season and year.
func (s *Session) capStatedDays(in *assemble.Input, days float64) (words []string) {
	in.BurnDays = map[string]float64{}
	for _, season := range s.Property.Seasons {
		if own := season.BurnDays; own == nil || *own > days {
			in.BurnDays[season.Name] = days
		}
		said := view.CountedDays{Season: season, As: habitat.BurnDays{From: habitat.StatedDays, Days: days}}
		said.Add(0, days, false)
		words = append(words, said.Words()...)
	}
	return words
}
