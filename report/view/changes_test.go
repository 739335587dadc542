package view_test

import (
	"slices"
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
)

// A plan that replaces one which burned nothing: every burn is a change, and
// missed burns are named as the reason.
func TestChangesNameMissedBurns(t *testing.T) {
	plan := sample.Terrace()
	plan.Before = &view.EarlierPlan{Number: 2, First: 2027, Last: 2028}
	v := program(t, plan)
	burns := 0
	for _, y := range v.ByYear[:2] {
		burns += y.Burns
	}
	if v.Changed == nil || *v.Changed != burns || len(v.Changes) != burns {
		t.Fatalf("%d changes, the plan burns %d units in the years of the plan before", len(v.Changes), burns)
	}
	at := slices.IndexFunc(v.Changes, func(c view.Change) bool { return c.Unit == "Long Bottom East" })
	if want := "Long Bottom East burns in 2027; before, it rested (missed in dormant 2026)"; at < 0 || v.Changes[at].Words != want {
		t.Errorf("%+v, want %q", v.Changes[at], want)
	}
	for i := range plan.Problem.Units {
		plan.Problem.Units[i].Age = 9
	}
	if v = program(t, plan); !strings.Contains(v.Changes[at].Words, "(missed in dormant 2026, now overdue)") {
		t.Errorf("%q", v.Changes[at].Words)
	}
	// A plan that rests what was to burn says when it burns instead.
	plan = sample.Terrace()
	plan.Before = &view.EarlierPlan{Number: 2, First: 2027, Last: 2031, Burns: sample.Named(plan)}
	plan.Answer = sample.Other(plan, "Sandbar", 2027).Answer
	v = program(t, plan)
	if want := "Sandbar rests in 2027; before, it burned (its next burn is now in 2029)"; len(v.Changes) != 1 || v.Changes[0].Words != want {
		t.Errorf("%+v, want %q", v.Changes, want)
	}
}

// Without second solves prices are shown as what they are.
func TestPricesAreCalledEstimates(t *testing.T) {
	plan := sample.Terrace()
	plan.Answer.More = nil
	plan.Answer.Prices = []problem.RowPrice{
		{Row: problem.Row{Kind: problem.RowCost, Year: 2027}, PerUnit: 0.001}, {Row: problem.Row{Kind: problem.RowBurnDays, Season: 1, Year: 2028}, PerUnit: 4.2},
		{Row: problem.Row{Kind: problem.RowAcres, Year: 2029}, PerUnit: 0.5}, {Row: problem.Row{Kind: problem.RowBurns, Year: 2030}, PerUnit: 0.01},
		{Row: problem.Row{Kind: problem.RowMixLow, Year: 2027}, PerUnit: 99}, {Row: problem.Row{Kind: problem.RowAcres, Year: 2033}, PerUnit: 99},
	}
	v := program(t, plan)
	var words []string
	for _, c := range v.CapCosts {
		words = append(words, c.Words)
		if c.Solved {
			t.Errorf("%q is called solved", c.Words)
		}
	}
	want := []string{
		"Limit on acres burned, 2029: 25 acres more would take about 13 acre-years off the shortfall (an estimate from the bound; no second plan was made).",
		"Limit on burn days of early-growing, 2028: 1 burn day more would take about 4 acre-years off the shortfall (an estimate from the bound; no second plan was made).",
		"Limit on cost, 2027: $1,000 more would take about 1 acre-year off the shortfall (an estimate from the bound; no second plan was made).",
	}
	if !slices.Equal(words, want) {
		t.Errorf("got %q", words)
	}
}
