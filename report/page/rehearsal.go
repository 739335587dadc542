package page

import (
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// fanChart draws the middle of the futures as a line in front of the band from
// one future in ten to nine in ten.
func fanChart(id, label string, years []string, all []habitat.Spread, unit string) Chart {
	middle, lows, heights := make([]float64, len(all)), make([]float64, len(all)), make([]float64, len(all))
	for i, s := range all {
		middle[i], lows[i], heights[i] = s.P50, s.P10, s.P90-s.P10
	}
	c := Chart{ID: id, Label: label, Height: 240, Print: "340x200"}
	return c.lineOverBand(unit, years, middle, "middle future", lows, heights, "8 of 10 futures")
}

// rehearsalCharts draws acres burned and acres overdue under the first rule.
func rehearsalCharts(v *view.Rehearsal) []Chart {
	years, rule := yearLabels(v.YearList()), &v.Rules[0]
	words := func(what string) string {
		return fmt.Sprintf(
			"Acres %s in each year over %s: the middle one, and between one in ten and nine in ten; the table below holds the numbers",
			what,
			quantity.Count(v.Futures, "future"),
		)
	}
	return []Chart{fanChart("chart-fan-burned", words("burned"), years, rule.Acres, "acres burned"),
		fanChart("chart-fan-overdue", words("overdue"), years, rule.OverdueAcres, "acres overdue")}
}

// ruleBar is a rule's interval as a bar across a scale from 0 to the largest.
type ruleBar struct {
	*habitat.RehearsedRule
	// Left and Width are in percent of the scale.
	Left, Width string
	Difference  string
}

func ruleBars(v *view.Rehearsal) []ruleBar {
	most := 1.0
	for i := range v.Rules {
		most = max(most, v.Rules[i].Shortfall.P90)
	}
	percent := func(x float64) string { return fmt.Sprintf("%.1f", 100*max(0, x)/most) }
	all := make([]ruleBar, len(v.Rules))
	for i := range all {
		rule := &v.Rules[i]
		all[i] = ruleBar{rule, percent(rule.Shortfall.P10), percent(max(most/200, rule.Shortfall.P90-rule.Shortfall.P10)), v.Differences[i]}
	}
	return all
}
