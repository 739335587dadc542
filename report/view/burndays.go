package view

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// CountedDays are the burn days that a plan counts on in a season, by its years.
type CountedDays struct {
	Season habitat.Season
	Years  []date.ProgramYear
	Days   []float64
	// Begun says that the days of the first of the years are those that are left.
	Begun bool
	// As says how they were chosen. HasYears and Note are those of the weather
	// record; they do not count where the days are stated.
	As       habitat.BurnDays
	HasYears bool
	Note     string
	// Holds is how many burn days a day of the crew holds; 0 where nobody says, for 1.
	Holds float64
}

// Add adds the days of a year; begun says that the season is under way.
func (c *CountedDays) Add(year date.ProgramYear, days float64, begun bool) {
	c.Years, c.Days = append(c.Years, year), append(c.Days, days)
	c.Begun = c.Begun || begun
}

// likeDays is how far years may lie apart that are told by their range alone:
// weekends move by a day or two from year to year.
const likeDays = 0.2

// Words says the days in a line: by their range where the years are alike, by
// year where a closure cuts one short, and what is left of a season under way.
func (c *CountedDays) Words() (all []string) {
	years, days, season := c.Years, c.Days, c.Season.Name
	if len(days) == 0 {
		return nil
	}
	if c.Begun {
		all = append(all, fmt.Sprintf("burn days left in %s: %s", habitat.SeasonWords(season, years[0]), c.capWords(days[0], days[0])))
		if years, days = years[1:], days[1:]; len(days) == 0 {
			return all
		}
	}
	least, most := slices.Min(days), slices.Max(days)
	if most-least <= likeDays*most {
		return append(all, "burn days in "+season+": "+c.capWords(least, most))
	}
	var parts []string
	for i, year := range years {
		parts = append(parts, fmt.Sprintf("%d: %s", year, Figure(days[i])))
	}
	text := strings.Join(parts, ", ")
	if own := c.Season.BurnDays; own != nil {
		text += ", never above the crew's own cap of " + Figure(*own)
	}
	return append(all, fmt.Sprintf("burn days in %s by year: %s (%s)", season, text, c.basis()))
}

// basis says what the days rest on.
func (c *CountedDays) basis() string {
	what := "the poor year, one in five"
	if c.As.Toward > 0 {
		what = fmt.Sprintf("%s of the way from the poor to the median year", Percent(c.As.Toward))
	}
	switch c.As.From {
	case habitat.StatedDays:
		return "as stated for this plan"
	case habitat.MedianDays:
		what = "the median year"
	case habitat.MeanDays:
		what = "the mean of the years"
	}
	if !c.HasYears {
		what = "neither a median nor a poor year can be told"
	}
	what += "; " + c.Note
	if c.Holds > 0 {
		what += "; " + DayHoldsNote(c.Holds)
	}
	return what
}

// DayHoldsNote says how many burn days a day of the crew holds.
func DayHoldsNote(days float64) string {
	return fmt.Sprintf("a day of the crew holds %s %s", Figure(days), quantity.Plural(days, "burn day"))
}

// capWords says which cap the season has when least to most burn days are to be had.
func (c *CountedDays) capWords(least, most float64) string {
	figures := Figure(least)
	if most := Figure(most); most != figures {
		figures += " to " + most
	}
	if own := c.Season.BurnDays; own != nil && *own <= least {
		if c.As.From == habitat.StatedDays {
			return fmt.Sprintf("%s, the crew's own cap, which is below the %s stated for this plan", Figure(*own), figures)
		}
		return fmt.Sprintf("%s, the crew's own cap; the weather would give %s (%s)", Figure(*own), figures, c.basis())
	}
	return fmt.Sprintf("%s (%s)", figures, c.basis())
}

// UnsupportedWords says why a unit is not planned in a season: no wind suits it, or no
// day of the record does.
func UnsupportedWords(unit, season string, windSuits bool) string {
	why := "no wind suits it"
	if windSuits {
		why = "the record has no candidate day for it"
	}
	return fmt.Sprintf("%s is not planned in %s: %s", unit, season, why)
}

// HopeWords says which planned burns no day of the weather record supports; nothing where
// there are none.
func HopeWords(burns []habitat.PlannedBurn) []string {
	if len(burns) == 0 {
		return nil
	}
	const most = 12
	var names []string
	for _, b := range burns[:min(most, len(burns))] {
		names = append(names, fmt.Sprintf("%s in %s %d", b.Unit, b.Season, b.Year))
	}
	if more := len(burns) - len(names); more > 0 {
		names = append(names, quantity.Count(more, "other"))
	}
	return []string{fmt.Sprintf("%s on dates alone: the weather record has no candidate day for %s",
		quantity.Count(len(burns), "planned burn rests", "planned burns rest"), quantity.List(names))}
}

// BurnDaysWarning says what is odd about the record behind the burn days.
func BurnDaysWarning(warning string) string {
	return "the weather record that the burn days rest on: " + warning
}
