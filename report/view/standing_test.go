package view

import (
	"strings"
	"testing"

	"emberquilt/habitat"
)

func TestStandingChoice(t *testing.T) {
	half, median := 0.5, 1.0
	sure, unsure := habitat.Spread{Mean: -4, Low: -6, High: -2}, habitat.Spread{Mean: -4, Low: -9, High: 0}
	for _, test := range []struct {
		choice StandingChoice
		want   string
		surer  bool
	}{
		{StandingChoice{Plans: 1}, "no other first year is nearly as good", false},
		{StandingChoice{Plans: 3, ChosenIn: 50, ReportedIn: 100}, "3 plans with different first years were rehearsed in 50 futures, and none came to less than the plain plan", false},
		{StandingChoice{Plans: 3, Best: FirstYear{Toward: &half}, ReportedIn: 100, Difference: sure}, "this one (a plan with burn days 50% of the way from the poor to the median year) stands up best: in 100 futures other than those of the choice it falls short by 4 acre-years less than the plain plan (95% interval 2 to 6)", true},
		{StandingChoice{Plans: 3, Best: FirstYear{Toward: &median}, ReportedIn: 100, Difference: unsure}, "a plan with the burn days of the median year looked best, and no difference from the plain plan was seen in 100 futures", false},
		{StandingChoice{Plans: 2, Best: FirstYear{NearBest: 2}, ReportedIn: 1, Difference: unsure}, "of 2 plans with different first years, near-best plan 2 looked best", false},
	} {
		got := test.choice.Words()
		if !strings.Contains(got, test.want) || !strings.HasSuffix(got, RehearsalCaution) || test.choice.IsSurer() != test.surer {
			t.Errorf("%q, surer %v; want %q", got, test.choice.IsSurer(), test.want)
		}
	}
}
