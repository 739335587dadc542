package view

import (
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
)

// RuleWords say what a rule does; adopted is the number of the plan that counts.
func RuleWords(r habitat.Rule, adopted int) string {
	var text string
	switch {
	case r.MostOverdue:
		text = "no plan: what is due burns, the most overdue first"
	case r.BurnDays != nil:
		text = map[habitat.BurnDaysFrom]string{
			habitat.PoorDays:   "plans with the burn days of the poor year, one in five",
			habitat.MedianDays: "plans with the burn days of the median year",
			habitat.MeanDays:   "plans with the mean burn days of the years",
		}[r.BurnDays.From]
		switch r.BurnDays.From {
		case habitat.SettingsDays:
			text = "plans with the burn days of the settings alone"
		case habitat.StatedDays:
			text = fmt.Sprintf("plans with %s %s a season", Figure(r.BurnDays.Days), quantity.Plural(r.BurnDays.Days, "burn day"))
		}
	case r.Plan > 0:
		text = fmt.Sprintf("plan %d, planned again each year", r.Plan)
	default:
		text = fmt.Sprintf("plan %d, the adopted one, planned again each year", adopted)
	}
	if r.CrewDay {
		text += "; one crew day more a season"
	}
	if r.SecondCrew {
		text += "; a second crew"
	}
	if r.SecondChance {
		text += "; a missed unit waits for its next season of the same year"
	}
	if r.Ahead {
		text += "; days that are left take next year's units"
	}
	return text
}
