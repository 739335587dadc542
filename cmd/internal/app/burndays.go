package app

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/schedule/assemble"
	"emberquilt/schedule/window"
)

// BurnDaysFrom says where the burn days of a plan's seasons come from.
type BurnDaysFrom string

// The zero value takes PoorDays where a weather record is loaded, and
// SettingsDays without one.
const (
	DefaultDays BurnDaysFrom = ""
	// PoorDays are those of the poor year of the record, one in five.
	PoorDays BurnDaysFrom = "poor"
	// MedianDays are those of its median year.
	MedianDays BurnDaysFrom = "median"
	// MeanDays are the mean of its years.
	MeanDays BurnDaysFrom = "mean"
	// SettingsDays are those of the settings alone.
	SettingsDays BurnDaysFrom = "settings"
	// StatedDays are a number that the caller states.
	StatedDays BurnDaysFrom = "stated"
)

// BurnDays say how many burn days the seasons of a plan have.
type BurnDays struct {
	From BurnDaysFrom
	// Days counts where From is StatedDays.
	Days float64
	// Toward is by what share the days of PoorDays are moved toward those of the
	// median year.
	Toward float64
}

// ParseBurnDays reads poor, median, mean, settings, a number, or nothing for the
// default.
func ParseBurnDays(text string) (BurnDays, error) {
	if days, err := quantity.Parse(text); err == nil {
		return BurnDays{From: StatedDays, Days: days}, nil
	}
	switch from := BurnDaysFrom(text); from {
	case DefaultDays, PoorDays, MedianDays, MeanDays, SettingsDays:
		return BurnDays{From: from}, nil
	}
	return BurnDays{}, badOption("burn-days", "poor, median, mean, settings or a number of days", "%s is none of these", source.Quote(text))
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
		expected[season.Name] = d.BurnDays(window.Season{Span: span, Closures: s.Property.ClosedIn("", span), Crew: &s.Property.Crew}, 0)
	}
	return expected
}

// capBurnDays caps the burn days of the seasons by what the weather record lets
// expect in each program year, never above the crew's own cap, and says so. A
// closure of one year cuts that year alone.
func (s *Session) capBurnDays(ctx context.Context, in *assemble.Input, choice BurnDays) (words []string, err error) {
	switch choice.From {
	case SettingsDays:
		return nil, nil
	case StatedDays:
		return s.capStatedDays(in, choice.Days), nil
	}
	o, err := s.Outlook(ctx)
	if err != nil {
		return nil, err
	}
	days, err := s.seasonDays(o)
	if err != nil {
		return nil, err
	}
	if days == nil && choice.From != DefaultDays {
		return nil, badOption("burn-days", "settings or a number of days while no weather record is loaded", "%s needs a weather record", choice.From)
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
	in.ExpectedDays = map[date.ProgramYear]map[string]float64{}
	said := make([]yearlyDays, len(s.Property.Seasons))
	for year := first; year < first+date.ProgramYear(years+habitat.MaxLookahead); year++ {
		from := date.Day{}
		if year == now {
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
			in.ExpectedDays[year][season.Name] = choice.of(e)
			if year < first+date.ProgramYear(years) {
				said[i].add(year, choice.of(e), from.After(span.First))
				said[i].what = choice.words(e)
			}
		}
	}
	for i, season := range s.Property.Seasons {
		words = append(words, said[i].words(season)...)
	}
	unsupported, err := s.closeUnsupported(o, in, first, years+habitat.MaxLookahead)
	if err != nil {
		return nil, err
	}
	words = append(words, unsupported...)
	for _, warning := range o.Warnings() {
		words = append(words, "the weather record that the burn days rest on: "+warning)
	}
	return words, nil
}

// closeUnsupported closes a season to the units for which the record has no
// candidate day in it, by the closures and the calendar of each year: such a burn
// is a hope, not a plan. Burn days from the settings alone leave it open.
func (s *Session) closeUnsupported(o *Outlook, in *assemble.Input, first date.ProgramYear, years int) (words []string, err error) {
	if o.Series == nil {
		return nil, nil
	}
	for k := range s.Units {
		u := &s.Units[k]
		for _, choice := range u.Choices(&s.Property) {
			days, err := o.UnitDays(u, choice.Season)
			if err != nil {
				return nil, err
			}
			if days == nil && o.Terms(u, choice.Season).Suits {
				continue // no prescription: nothing to hold the record against
			}
			closed := 0
			for year := first; year < first+date.ProgramYear(years); year++ {
				if days == nil || !s.isSupported(days, u, choice.Season, year) {
					in.Closed = append(in.Closed, assemble.Closed{Unit: u.ID, Year: year, Season: choice.Season})
					closed++
				}
			}
			if closed == years {
				why := "the record has no candidate day for it"
				if days == nil {
					why = "no wind suits it"
				}
				words = append(words, fmt.Sprintf("%s is not planned in %s: %s", u.ID, choice.Season, why))
			}
		}
	}
	return words, nil
}

// isSupported reports whether a year of the record has a candidate day among the
// usable days of a unit's season; a season without a usable day is not a
// question of weather.
func (s *Session) isSupported(days *window.Days, u *habitat.Unit, season string, year date.ProgramYear) bool {
	span := s.Property.SeasonSpan(s.Property.SeasonIndex(season), year)
	e := days.BurnDays(window.Season{Span: span, Closures: s.Property.ClosedIn(u.ID, span), Crew: &s.Property.Crew}, 0)
	return e.Usable == 0 || slices.ContainsFunc(e.Years, func(y window.SeasonYear) bool { return y.Candidate > 0 })
}

// yearlyDays are the expected burn days of a season, by the plan's years.
type yearlyDays struct {
	years []date.ProgramYear
	days  []float64
	// begun says that the days of the first of the years are those that are left.
	begun bool
	what  string
}

func (y *yearlyDays) add(year date.ProgramYear, days float64, begun bool) {
	y.years, y.days = append(y.years, year), append(y.days, days)
	y.begun = y.begun || begun
}

// likeDays is how far years may lie apart that are told by their range alone:
// weekends move by a day or two from year to year.
const likeDays = 0.2

// words says the days in a line: by their range where the years are alike, by
// year where a closure cuts one short, and what is left of a season under way.
func (y *yearlyDays) words(season habitat.Season) (all []string) {
	years, days := y.years, y.days
	if len(days) == 0 {
		return nil
	}
	if y.begun {
		all = append(all, fmt.Sprintf("burn days left in %s: %s", habitat.SeasonWords(season.Name, years[0]), capWords(season, days[0], days[0], y.what)))
		if years, days = years[1:], days[1:]; len(days) == 0 {
			return all
		}
	}
	least, most := slices.Min(days), slices.Max(days)
	if most-least <= likeDays*most {
		return append(all, "burn days in "+season.Name+": "+capWords(season, least, most, y.what))
	}
	var parts []string
	for i, year := range years {
		parts = append(parts, fmt.Sprintf("%d: %s", year, view.Figure(days[i])))
	}
	text := strings.Join(parts, ", ")
	if own := season.BurnDays; own != nil {
		text += ", never above the crew's own cap of " + view.Figure(*own)
	}
	return append(all, fmt.Sprintf("burn days in %s by year: %s (%s)", season.Name, text, y.what))
}

// of gives the days of a year as good as the one that is chosen.
func (c BurnDays) of(e *window.BurnDays) float64 {
	switch c.From {
	case MedianDays:
		return e.Median
	case MeanDays:
		return e.Mean * float64(e.Reliability)
	}
	return e.Low + c.Toward*(e.Median-e.Low)
}

func (c BurnDays) words(e *window.BurnDays) string {
	what := "the poor year, one in five"
	if c.Toward > 0 {
		what = fmt.Sprintf("%s of the way from the poor to the median year", view.Percent(c.Toward))
	}
	switch c.From {
	case MedianDays:
		what = "the median year"
	case MeanDays:
		what = "the mean of the years"
	}
	if !e.HasYears {
		what = "neither a median nor a poor year can be told"
	}
	return what + "; " + e.Note
}

// capWords says which cap a season has when least to most burn days are to be
// had.
func capWords(season habitat.Season, least, most float64, what string) string {
	figures := view.Figure(least)
	if most := view.Figure(most); most != figures {
		figures += " to " + most
	}
	if own := season.BurnDays; own != nil && *own <= least {
		return fmt.Sprintf("%s, the crew's own cap; the weather would give %s (%s)", view.Figure(*own), figures, what)
	}
	return fmt.Sprintf("%s (%s)", figures, what)
}

// capStatedDays takes a number for the burn days of every season and year.
func (s *Session) capStatedDays(in *assemble.Input, days float64) (words []string) {
	in.BurnDays = map[string]float64{}
	for _, season := range s.Property.Seasons {
		if own := season.BurnDays; own == nil || *own > days {
			in.BurnDays[season.Name] = days
		}
		words = append(words, "burn days in "+season.Name+": "+capWords(season, days, days, "as the command says"))
	}
	return words
}
