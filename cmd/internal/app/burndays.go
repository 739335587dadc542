package app

import (
	"context"
	"fmt"
	"slices"

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

// ExpectedBurnDays gives, season by season, the burn days to expect in a program year:
// days on which at least one unit that may burn in it is in prescription.
// Closures of single units do not count. nil where no weather is known.
func (s *Session) ExpectedBurnDays(o *Outlook, year date.ProgramYear) (map[string]*window.BurnDays, error) {
	if o.Series == nil {
		return nil, nil
	}
	expected := map[string]*window.BurnDays{}
	for i, season := range s.Property.Seasons {
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
		if len(all) == 0 {
			continue
		}
		span := s.Property.SeasonSpan(i, year)
		expected[season.Name] = window.AnyOf(all...).BurnDays(window.Season{Span: span, Closures: s.Property.ClosedIn("", span), Crew: &s.Property.Crew}, 0)
	}
	return expected, nil
}

// capBurnDays caps the burn days of the seasons by what the weather record lets
// expect, never above the crew's own cap, and says so.
func (s *Session) capBurnDays(ctx context.Context, in *assemble.Input, choice BurnDays) (words []string, err error) {
	if choice.From == SettingsDays {
		return nil, nil
	}
	var expected map[string]*window.BurnDays
	var odd []string
	if choice.From != StatedDays {
		o, err := s.Outlook(ctx)
		if err != nil {
			return nil, err
		}
		year := in.FirstYear
		if year == 0 {
			year = s.Property.YearStart.Of(s.Today)
		}
		if expected, err = s.ExpectedBurnDays(o, year); err != nil {
			return nil, err
		}
		if expected == nil && choice.From != DefaultDays {
			return nil, badOption("burn-days", "settings or a number of days while no weather record is loaded", "%s needs a weather record", choice.From)
		}
		odd = o.Warnings()
	}
	in.BurnDays = map[string]float64{}
	for _, season := range s.Property.Seasons {
		days, what := choice.Days, "as the command says"
		if choice.From != StatedDays {
			e := expected[season.Name]
			if e == nil {
				continue
			}
			days, what = e.Low, "the poor year, one in five"
			if choice.Toward > 0 {
				days += choice.Toward * (e.Median - e.Low)
				what = fmt.Sprintf("%s of the way from the poor to the median year", view.Percent(choice.Toward))
			}
			switch choice.From {
			case MedianDays:
				days, what = e.Median, "the median year"
			case MeanDays:
				days, what = e.Mean*float64(e.Reliability), "the mean of the years"
			}
			if !e.HasYears {
				what = "neither a median nor a poor year can be told"
			}
			what += "; " + e.Note
		}
		if own := season.BurnDays; own != nil && *own <= days {
			words = append(words, fmt.Sprintf("burn days in %s: %s, the crew's own cap; the weather would give %s (%s)", season.Name, view.Figure(*own), view.Figure(days), what))
			continue
		}
		in.BurnDays[season.Name] = days
		words = append(words, fmt.Sprintf("burn days in %s: %s (%s)", season.Name, view.Figure(days), what))
	}
	for _, warning := range odd {
		words = append(words, "the weather record that the burn days rest on: "+warning)
	}
	return words, nil
}
