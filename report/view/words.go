package view

import (
	"fmt"
	"math"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
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

// counted gives "1 burn day", "2.5 burn days" of a unit in its singular.
func counted(v float64, unit string) string {
	number := short(v)
	if number == "1" { // also what only rounds to it
		return "1 " + unit
	}
	return number + " " + quantity.Plural(2, unit)
}

// amount is counted, with dollars as money: "$1,000".
func amount(v float64, unit string) string {
	if unit == "dollar" {
		return "$" + short(v)
	}
	return counted(v, unit)
}

// BurnYearWords names a program year for readers who do not know the word, with
// its months: "burn year 2027 (Oct 2026 to Sep 2027)".
func BurnYearWords(p *habitat.Property, year date.ProgramYear) string {
	span := p.YearStart.Span(year)
	month := func(d date.Day) string { return d.Time().Format("Jan 2006") }
	return fmt.Sprintf("burn year %d (%s to %s)", year, month(span.First), month(span.Last))
}

// BurnDays gives "1 burn day", "2.5 burn days"; a tenth of a day is as fine as
// past weather can be read.
func BurnDays(v float64) string { return counted(math.Round(v*10)/10, "burn day") }

// ShortfallLine says what a shortfall is, beside the first figure of it on a
// paper.
const ShortfallLine = "The shortfall is how far the plan stays behind what is wanted: each acre that is overdue, off its wanted age class, burned out of season or otherwise amiss for one year counts as one acre-year, times its weight. Lower is better."

// gapWords says how good the plan is proven to be.
func gapWords(a *problem.Answer) string {
	switch a.Status {
	case problem.Infeasible:
		return "No plan exists: the locked burns cannot stand together."
	case problem.Optimal:
		return "Proven best: no plan that keeps every requirement has a smaller shortfall."
	}
	room := room(a)
	return fmt.Sprintf(
		"No plan can be better by more than %s, which is %s of this plan's shortfall.",
		acreYears(above(room, room, shownDecimals(room))),
		Percent(problem.GapOf(a.Cost, a.Bound)),
	)
}

// proofWords are gapWords, which of a plan that was overtaken hold as it was made.
func (plan *Plan) proofWords() string {
	words := gapWords(plan.Answer)
	if plan.Stamp.Overtaken != "" {
		words += " This, and the shortfall, are of the plan as it was made."
	}
	return words
}

// Percent prints a share: "12%", and with a decimal below ten: "3.4%".
func Percent(share float64) string {
	decimals := 1
	if share >= 0.0995 || share == 0 {
		decimals = 0
	}
	text := quantity.Group(share*100, decimals)
	if text == "0.0" {
		text = "under 0.1"
	}
	return text + "%"
}
