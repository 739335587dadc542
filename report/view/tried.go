package view

import (
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

// TriedDays says which burn days a what-if counts on.
func TriedDays(days habitat.BurnDays) string {
	words := fmt.Sprintf("those of the %s year of the record", days.From)
	switch days.From {
	case habitat.StatedDays:
		words = Figure(days.Days) + " in each season at most"
	case habitat.SettingsDays:
		words = "those of the settings alone"
	case habitat.MeanDays:
		words = "the mean of the record"
	}
	return "burn days: " + words
}

// TriedClosure is what a what-if closes: one of a span of days, a season of a year or
// of every year, or a whole program year.
type TriedClosure struct {
	Unit   string // empty for every unit
	Days   date.Span
	Season string
	Year   date.ProgramYear // 0 for every year
}

// Words says it.
func (c *TriedClosure) Words() string {
	words := "closed: "
	if c.Unit != "" {
		words += c.Unit + " in "
	}
	switch {
	case !c.Days.First.IsZero():
		return words + c.Days.First.Words() + " to " + c.Days.Last.Words()
	case c.Season == "":
		return words + fmt.Sprintf("program year %d", c.Year)
	case c.Year != 0:
		return words + habitat.SeasonWords(c.Season, c.Year)
	}
	return words + c.Season + " of every year"
}
