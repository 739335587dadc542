package view

import (
	"fmt"
	"math"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/whatif"
)

// Decimals gives how many decimals a shortfall may bear that is proven to within so
// many acre-years: none from one acre-year up, a thousandth at most. Every shortfall
// and every difference of shortfalls is printed with no more.
func Decimals(within float64) int {
	switch {
	case !(within >= 0.001): // proven
		return 3
	case within >= 1:
		return 0
	}
	return min(3, int(math.Ceil(-math.Log10(within)-1e-9)))
}

// room is by how much a plan's shortfall may lie above that of the best plan.
func room(a *problem.Answer) float64 {
	if a.Status == problem.Optimal {
		return 0
	}
	return math.Max(0, a.Cost-a.Bound)
}

// within prints a figure that is proven to within so many acre-years, with at most so
// many decimals and no zeros at the end.
func within(v, slack float64, most int) string {
	return grouped(v, min(most, Decimals(slack)))
}

// below and above print a bound so that it stays one.
func below(v, slack float64, most int) string {
	d := min(most, Decimals(slack))
	return grouped(toward(math.Floor, v, d), d)
}

func above(v, slack float64, most int) string {
	d := min(most, Decimals(slack))
	return grouped(toward(math.Ceil, v, d), d)
}

// toward rounds down or up; dust of a sum of decimals moves nothing.
func toward(to func(float64) float64, v float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	if near := math.Round(v*scale) / scale; math.Abs(v-near) <= 1e-9*math.Max(1, math.Abs(v)) {
		return near
	}
	return to(v*scale) / scale
}

func grouped(v float64, decimals int) string {
	text := quantity.Group(v, decimals)
	if strings.Contains(text, ".") {
		text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}

// shownDecimals is how many decimals a sentence shows of a proven figure, as short
// does.
func shownDecimals(v float64) int {
	if v > -10 && v < 10 {
		return 2
	}
	return 1
}

// sameShortfall is the difference in acre-years that counts as none.
const sameShortfall = 0.005

// Apart is what two proofs tell of a difference of shortfalls.
type Apart int

// A difference may be proven to be none, larger or smaller, or not told by the proofs.
const (
	Same Apart = iota
	Larger
	Smaller
	NotTold
)

// ApartOf tells a proven difference from one that the proofs leave open.
func ApartOf(d whatif.Range) Apart {
	switch {
	case d.Least > sameShortfall:
		return Larger
	case d.Most < -sameShortfall:
		return Smaller
	case d.Most-d.Least <= 2*sameShortfall:
		return Same
	}
	return NotTold
}

// DifferenceOf is the shortfall of a second plan less that of a first, with what
// their proofs leave open.
func DifferenceOf(first, second *problem.Answer) whatif.Range {
	return whatif.Range{AtHand: second.Cost - first.Cost, Least: second.Cost - room(second) - first.Cost, Most: second.Cost - first.Cost + room(first)}
}

// DifferenceWords gives "12 acre-years larger", "the same", "12 acre-years larger (3
// or more by the proofs)", or that the proofs do not tell, as the words that follow
// "the shortfall is".
func DifferenceWords(d whatif.Range) string {
	slack, apart := d.Most-d.Least, ApartOf(d)
	size := math.Max(math.Abs(d.Least), math.Abs(d.Most))
	most := shownDecimals(size)
	switch apart {
	case Same:
		return "the same"
	case NotTold:
		return fmt.Sprintf("not told apart by these proofs (%s)", betweenWords(d, most))
	}
	far, near, word := d.AtHand, d.Least, "larger"
	if apart == Smaller {
		far, near, word = -d.AtHand, -d.Most, "smaller"
	}
	words := acreYears(within(far, slack, most)) + " " + word
	if slack > 2*sameShortfall {
		words += fmt.Sprintf(" (%s or more by the proofs)", below(near, slack, most))
	}
	return words
}

// betweenWords says between which ends a difference lies, each rounded outward.
func betweenWords(d whatif.Range, most int) string {
	slack := d.Most - d.Least
	low, high := above(-d.Least, slack, most), above(d.Most, slack, most)
	switch {
	case d.Least >= 0 || low == "0":
		return "the same or up to " + acreYears(high) + " larger"
	case d.Most <= 0 || high == "0":
		return "the same or up to " + acreYears(low) + " smaller"
	}
	return fmt.Sprintf("between %s smaller and %s larger", acreYears(low), high)
}

func acreYears(figure string) string {
	if figure == "1" {
		return "1 acre-year"
	}
	return figure + " acre-years"
}

// ShortDifference gives a difference for a column: "+12", "−3.5", "0", or "not told
// apart".
func ShortDifference(d whatif.Range) string {
	if ApartOf(d) == NotTold {
		return "not told apart"
	}
	return signedWithin(d.AtHand, d.Most-d.Least)
}

// signedWithin prints a difference with its sign and no more decimals than the slack
// allows.
func signedWithin(v, slack float64) string {
	text := within(math.Abs(v), slack, shownDecimals(v))
	switch {
	case text == "0":
		return "0"
	case v < 0:
		return "−" + text
	}
	return "+" + text
}

// plainWithin and plainBelow are within and below without marks between thousands,
// for lines that scripts read.
func plainWithin(v, slack float64) string { return strings.ReplaceAll(within(v, slack, 3), ",", "") }

func plainBelow(v, slack float64) string { return strings.ReplaceAll(below(v, slack, 3), ",", "") }

// provenTexts gives the shortfall of a plan and the bound that no plan beats.
func provenTexts(a *problem.Answer) (cost, bound string) {
	slack, most := room(a), shownDecimals(a.Cost)
	if slack == 0 {
		return within(a.Cost, 0, most), within(a.Cost, 0, most)
	}
	return within(a.Cost, slack, most), below(a.Bound, slack, most)
}
