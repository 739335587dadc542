package view

import (
	"fmt"
	"strings"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// BreakReport holds the feet of break that were asked for. One of Alone, Set, Years
// and Savings holds them.
type BreakReport struct {
	// Alone has every unit burned alone.
	Alone []UnitBreak
	// Set has units that burn together: those of Set.Year, or, without a year,
	// those that were named.
	Set *YearBreak
	// Years has each year of a plan, its units burned as one.
	Years []YearBreak
	// Savings says what burning two neighbors together saves.
	Savings []PairSaving
	// HasSavings tells savings of which there are none from other reports.
	HasSavings bool
	// Widths are those for which acres are shown.
	Widths []BreakWidth
	// DollarsPerFoot is shown as information; 0 leaves it out.
	DollarsPerFoot float64
	// Standing and Missing are as in Breaks.
	Standing, Missing []string
}

// Title says what is shown.
func (v *BreakReport) Title() string {
	switch {
	case v.HasSavings:
		return "Burning two neighbors together saves"
	case v.Set != nil && v.Set.Year != 0:
		return fmt.Sprintf("Burned in %d, as one", v.Set.Year)
	case v.Set != nil:
		return "Burned together"
	case v.Years != nil:
		return "By plan year, the units of a year burned as one"
	}
	return "Each unit burned alone"
}

// Words says what a set comes to; empty where there is none.
func (y *YearBreak) Words() string {
	if y == nil {
		return ""
	}
	words := fmt.Sprintf("%s ft to make together; each alone %s ft; together saves %s ft.", y.Needed, y.Alone, y.Saved)
	if len(y.Missing) > 0 {
		words += " Without a shape, and not counted: " + strings.Join(y.Missing, ", ") + "."
	}
	return words
}

// Basis says what the figures rest on, a line each.
func (v *BreakReport) Basis() []string {
	var all []string
	if !v.HasSavings {
		for _, w := range v.Widths {
			all = append(all, fmt.Sprintf("%s ft wide: %s (%s; %s)", Figure(float64(w.Width)), w.What, w.Sources, w.Status))
		}
	}
	if len(v.Standing) > 0 {
		all = append(all, "Standing breaks: "+strings.Join(v.Standing, ", "))
	} else {
		all = append(all, "No standing breaks are known: a file of roads and water imported as breaks adds them.")
	}
	if len(v.Missing) > 0 {
		all = append(all, "Without a shape, and not counted: "+strings.Join(v.Missing, ", "))
	}
	return append(all, "Planning defaults: the written plan and the standard of the state set the widths.")
}

// StatedWidths are widths that the user plans with, in place of BreakWidths.
func StatedWidths(widths []quantity.Feet) []BreakWidth {
	all := make([]BreakWidth, len(widths))
	for i, w := range widths {
		all[i] = BreakWidth{Width: w, What: "as stated", Sources: "yours", Status: "yours"}
	}
	return all
}

// StandingBreak is a break that is there: a road, water.
type StandingBreak struct {
	Name, Kind string
	Length     quantity.Feet
}

// yearList names years.
func yearList(years []date.ProgramYear) string {
	words := make([]string, len(years))
	for i, y := range years {
		words[i] = y.String()
	}
	return strings.Join(words, ", ")
}

// Together names the years in which the plan burns both.
func (p *PairSaving) Together() string { return yearList(p.Years) }
