package view

import (
	"testing"

	"emberquilt/habitat"
	"emberquilt/schedule/problem"
)

func TestScenariosInWords(t *testing.T) {
	days := []habitat.SeasonCap{{Season: "dormant", Days: 4.125}, {Season: "early", Days: 1}}
	for want, s := range map[string]habitat.BurnDayScenario{
		"A median year, 4.125 days in dormant, 1 day in early: that is what this plan counts on.":                                                                                                                                              {Name: "median", Days: days, Same: true, Cost: 3},
		"A poor year, no limit of burn days: no plan exists with the locks as they are.":                                                                                                                                                       {Name: "poor", Infeasible: true},
		"A poor year, 10 days in dormant: planned again, the best plan found has a shortfall of 12.3 acre-years; against this plan it is 2.3 acre-years larger (1.9 or more by the proofs).":                                                   {Name: "poor", Days: []habitat.SeasonCap{{Season: "dormant", Days: 10}}, Cost: 12.3, Bound: 12, Difference: 2.25},
		"A median year, 4.125 days in dormant, 1 day in early: planned again, the best plan found has a shortfall of 12.3 acre-years; against this plan it is not told apart by these proofs (between 0.3 acre-years smaller and 0.1 larger).": {Name: "median", Days: days, Cost: 12.3, Bound: 12, Difference: 0.004},
	} {
		if got := newSpring(&s, &problem.Answer{Status: problem.Optimal, Cost: s.Cost - s.Difference}).Words; got != want {
			t.Errorf("%s\nwant %s", got, want)
		}
	}
}
