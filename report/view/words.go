package view

import (
	"fmt"
	"math"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// Number prints a quantity for a sentence or a cell: commas between thousands,
// one decimal from 10 upward and two below, no zeros at the end. Every number of
// a paper that is not acres goes through it.
func Number(v float64) string { return short(v) }

func short(v float64) string {
	decimals := 1
	if v > -10 && v < 10 {
		decimals = 2
	}
	return strings.TrimSuffix(strings.TrimRight(quantity.Group(v, decimals), "0"), ".")
}

// counted gives "1 burn day", "2.5 burn days", "$1,000" of a unit in its plural.
func counted(v float64, unit string) string {
	if unit == "dollars" {
		return "$" + short(v)
	}
	return short(v) + " " + quantity.Plural(v, strings.TrimSuffix(unit, "s"), unit)
}

// BurnDays gives "1 burn day", "2.5 burn days"; a tenth of a day is as fine as
// past weather can be read.
func BurnDays(v float64) string { return counted(math.Round(v*10)/10, "burn days") }

// gapWords says how good the plan is proven to be.
func gapWords(a *problem.Answer) string {
	switch a.Status {
	case problem.Infeasible:
		return "No plan exists: the locked burns cannot stand together."
	case problem.Optimal:
		return "Proven best: no plan that keeps every requirement costs less."
	}
	room := max(0, a.Cost-a.Bound)
	return fmt.Sprintf("No plan can be better by more than %s acre-years, which is %s of this plan's cost.", short(room), Percent(problem.GapOf(a.Cost, a.Bound)))
}

// Percent prints a share: "12 %", and with a decimal below ten: "3.4 %".
func Percent(share float64) string {
	decimals := 1
	if share >= 0.0995 || share == 0 {
		decimals = 0
	}
	text := quantity.Group(share*100, decimals)
	if text == "0.0" {
		text = "under 0.1"
	}
	return text + " %"
}
