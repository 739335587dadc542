package view

import (
	"math"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/schedule/problem"
)

// PlanLine is one stored plan in the list of all.
type PlanLine struct {
	Number int `json:"plan"`
	// MadeFor is the date that counted as today when it was made.
	MadeFor date.Day         `json:"made_for"`
	First   date.ProgramYear `json:"first_year"`
	Last    date.ProgramYear `json:"last_year"`
	Status  problem.Status   `json:"status"`
	// Cost and Bound are acre-years.
	Cost  float64 `json:"shortfall_acre_years"`
	Bound float64 `json:"bound_acre_years"`
	// GapPercent is how much better another plan could be; 0 where it is proven
	// that none is.
	GapPercent float64 `json:"gap_pct"`
	// Data stamps what the plan was made from, Note is what its maker said.
	Data string `json:"data_version"`
	Note string `json:"note"`
	// Standing says what counts on it, since when, by whom and why.
	Standing habitat.PlanStanding `json:"standing"`
}

// NewPlanLine computes the gap of a plan from its status, cost and bound, and rounds
// all three, the first two to what the proof says and the bound down.
func NewPlanLine(line PlanLine) PlanLine {
	gap := 100 * problem.GapOf(line.Cost, line.Bound)
	if line.Status == problem.Optimal {
		gap = 0
	}
	slack := max(0, line.Cost-line.Bound)
	if line.Status == problem.Optimal {
		slack = 0
	}
	decimals := Decimals(slack)
	line.Cost, line.GapPercent = Rounded(line.Cost, decimals), Rounded(gap, 2)
	if slack == 0 {
		line.Bound = Rounded(line.Bound, decimals)
	} else {
		line.Bound = toward(math.Floor, line.Bound, decimals)
	}
	return line
}
