package habitat

import (
	"testing"

	"emberquilt/habitat/date"
)

func TestJudgeOfASeason(t *testing.T) {
	day := func(text string) date.Day {
		d, err := date.ParseDay(text)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	adopted := func(plan int, on string) PlanStanding {
		return PlanStanding{Plan: plan, Standing: AdoptedPlan, On: day(on)}
	}
	span := date.Span{First: day("2026-11-15"), Last: day("2027-03-15")}
	for name, c := range map[string]struct {
		all   PlanStandings
		holds []int
		want  int
	}{
		"none":                              {nil, []int{1}, 0},
		"adopted before":                    {PlanStandings{adopted(1, "2026-10-01"), adopted(2, "2026-12-01")}, []int{1, 2}, 1},
		"the last one before":               {PlanStandings{adopted(1, "2026-10-01"), adopted(2, "2026-11-10")}, []int{1, 2}, 2},
		"on its first day":                  {PlanStandings{adopted(1, "2026-10-01"), adopted(2, "2026-11-15")}, []int{1, 2}, 2},
		"within it, none before":            {PlanStandings{adopted(1, "2026-12-01"), adopted(2, "2027-01-01")}, []int{1, 2}, 1},
		"after it":                          {PlanStandings{adopted(1, "2027-04-01")}, []int{1}, 0},
		"on its last day":                   {PlanStandings{adopted(1, "2027-03-15")}, []int{1}, 1},
		"of other years":                    {PlanStandings{adopted(1, "2020-10-01"), adopted(2, "2026-12-01")}, []int{2}, 2},
		"adopted anew":                      {PlanStandings{adopted(1, "2025-10-01"), adopted(2, "2026-10-01"), adopted(1, "2026-10-02")}, []int{1, 2}, 1},
		"drafts judge nothing":              {PlanStandings{{Plan: 1, Standing: DraftPlan, On: day("2026-01-01")}}, []int{1}, 0},
		"the one on the day holds it not":   {PlanStandings{adopted(1, "2025-10-01"), adopted(2, "2026-10-01")}, []int{1}, 0},
		"superseded on the day, then later": {PlanStandings{adopted(1, "2026-10-01"), {Plan: 1, Standing: SupersededPlan, On: day("2026-12-01")}, adopted(2, "2026-12-01")}, []int{1, 2}, 1},
	} {
		holds := map[int]bool{}
		for _, n := range c.holds {
			holds[n] = true
		}
		if got := c.all.Judge(span, func(plan int) bool { return holds[plan] }); got != c.want {
			t.Errorf("%s: plan %d, want %d", name, got, c.want)
		}
	}
}

// TestOnePlanIsAdopted holds that a plan which another one follows is superseded, also
// where only the adoptions were written down.
func TestOnePlanIsAdopted(t *testing.T) {
	first, second := date.MustDay(2026, 10, 1), date.MustDay(2027, 10, 1)
	all := PlanStandings{{Plan: 1, Standing: AdoptedPlan, On: first}, {Plan: 2, Standing: AdoptedPlan, On: second}, {Plan: 3, Standing: DraftPlan, On: second}}
	for plan, want := range map[int]PlanStanding{
		1: {Plan: 1, Standing: SupersededPlan, On: second}, 2: {Plan: 2, Standing: AdoptedPlan, On: second},
		3: {Plan: 3, Standing: DraftPlan, On: second}, 4: {Plan: 4, Standing: DraftPlan},
	} {
		if got := all.Of(plan); got.Standing != want.Standing || got.On != want.On {
			t.Errorf("plan %d: %+v, want %+v", plan, got, want)
		}
	}
}
