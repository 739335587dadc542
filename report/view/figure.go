package view

import (
	"fmt"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// Figure prints a number with three decimals at most and no zeros at the end.
func Figure(v float64) string {
	text := strings.TrimRight(fmt.Sprintf("%.3f", quantity.Round(v, 3)), "0")
	return strings.TrimSuffix(text, ".")
}

// Rounded gives a number of so many decimals, halves away from zero.
func Rounded(v float64, decimals int) float64 {
	return quantity.Round(v, decimals)
}

// GapLine says in one line how good an answer is.
func GapLine(answer *problem.Answer) string {
	if answer.Status == problem.Optimal {
		return fmt.Sprintf("optimal: shortfall %s acre-years, and no plan is better", Figure(answer.Cost))
	}
	slack := room(answer)
	return fmt.Sprintf("feasible: shortfall %s acre-years, bound %s, gap %.2f%%", plainWithin(answer.Cost, slack), plainBelow(answer.Bound, slack), 100*answer.Gap)
}
