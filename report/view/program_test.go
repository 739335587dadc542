package view_test

import (
	"encoding/json"
	"math"
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
)

func program(t *testing.T, plan *view.Plan) *view.Program {
	t.Helper()
	v, err := view.NewProgram(plan)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// The cost parts are counted twice: by the view from its layout of ages, and by
// reference.Cost from the list of burns and the text of the rotation problem.
func TestCostPartsAgainstSecondCount(t *testing.T) {
	plan := sample.Terrace()
	v := program(t, plan)
	want := plan.Answer.Parts
	for i, w := range []float64{want.Overdue, want.Mix, want.Season, want.Evenness, want.Neighbors, want.Keep} {
		part := v.Parts[i]
		if math.Abs(float64(part.Total)-w) > 1e-6 {
			t.Errorf("%s: %v, second count %v", part.Name, part.Total, w)
		}
		sum := part.Later
		for _, y := range part.ByYear {
			sum += y
		}
		if math.Abs(float64(sum-part.Total)) > 1e-6 {
			t.Errorf("%s: years add up to %v of %v", part.Name, sum, part.Total)
		}
	}
	plan.Answer.Burns = plan.Answer.Burns[1:]
	if v = program(t, plan); math.Abs(float64(v.Parts[0].Total+v.Parts[1].Total+v.Parts[3].Total)-want.Overdue-want.Mix-want.Evenness) < 1e-6 {
		t.Error("a plan with a burn less costs the same: the check cannot fail")
	}
}

// Common practice, no source: burned and rested acres add up to the burnable area every year;
// so do the age classes of a mix to its own.
func TestAcresAddUp(t *testing.T) {
	v := program(t, sample.Terrace())
	for i, y := range v.ByYear {
		if math.Abs(float64(y.Burned+y.Rested-v.Acres)) > 1e-6 {
			t.Errorf("%d: %v burned and %v rested of %v", y.Year, y.Burned, y.Rested, v.Acres)
		}
		var seasons, grid float64
		for _, s := range y.Seasons {
			seasons += float64(s.Acres)
		}
		for _, u := range v.Units {
			if u.Cells[i].Burn {
				grid += float64(u.Acres)
			}
		}
		if math.Abs(seasons-float64(y.Burned)) > 1e-6 || math.Abs(grid-float64(y.Burned)) > 1e-6 {
			t.Errorf("%d: %v burned, %v by season, %v by unit", y.Year, y.Burned, seasons, grid)
		}
		for _, m := range v.Mixes {
			sum := 0.0
			for _, c := range m.Classes {
				sum += float64(c.Years[i].Acres)
			}
			if math.Abs(sum-float64(m.Acres)) > 1e-6 {
				t.Errorf("%d: the classes of %s hold %v of %v acres", y.Year, m.Name, sum, m.Acres)
			}
		}
	}
}

func TestGapWords(t *testing.T) {
	plan := sample.Terrace()
	for status, want := range map[problem.Status]string{
		problem.Optimal:    "Proven best: no plan that keeps every requirement has a smaller shortfall.",
		problem.Feasible:   "No plan can be better by more than 102 acre-years, which is 4.0% of this plan's shortfall.",
		problem.Infeasible: "No plan exists: the locked burns cannot stand together.",
	} {
		plan.Answer.Status = status
		if got := program(t, plan).GapWords; got != want {
			t.Errorf("%s: %q, want %q", status, got, want)
		}
	}
}

// Absent limits are infinite in the problem; JSON has no such number.
func TestEveryProgramIsJSON(t *testing.T) {
	plan := sample.Terrace()
	plan.Problem.EvenHi = problem.NoLimit
	plan.Problem.Caps[1].Cost = problem.NoLimit
	for _, status := range []problem.Status{problem.Feasible, problem.Infeasible} {
		plan.Answer.Status = status
		if status == problem.Infeasible {
			plan.Answer.Burns = nil
		}
		text, err := json.Marshal(program(t, plan))
		if err != nil || len(text) < 1000 {
			t.Errorf("%s: %d bytes, %v", status, len(text), err)
		}
	}
}

func TestForeignAnswerIsRefused(t *testing.T) {
	plan := sample.Terrace()
	plan.Answer.Burns[0].Unit = 99
	if _, err := view.NewProgram(plan); err == nil {
		t.Error("a burn of a unit that is not there went through")
	}
}

func TestSeasonLettersDiffer(t *testing.T) {
	plan := sample.Terrace()
	plan.Problem.Seasons = []string{"dormant", "dry"}
	v := program(t, plan)
	if v.Seasons[0].Letter != "D" || v.Seasons[1].Letter != "R" {
		t.Errorf("letters %q and %q", v.Seasons[0].Letter, v.Seasons[1].Letter)
	}
}
