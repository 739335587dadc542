package app

import (
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/schedule/problem"
)

func TestInForce(t *testing.T) {
	p := habitat.NewProperty("x")
	plan := func(madeFor date.Day, first date.ProgramYear) *StoredPlan {
		s := &StoredPlan{Problem: &problem.Problem{Units: []problem.Unit{{ID: madeFor.String()}}, Seasons: []string{"s"}}, Answer: &problem.Answer{}}
		s.MadeFor, s.FirstYear, s.Years = madeFor, first, 3
		for year := first; year < first+3; year++ {
			s.Answer.Burns = append(s.Answer.Burns, problem.Burn{Year: int(year)})
		}
		return s
	}
	// Program year 2027 begins on 2026-10-01.
	early, late := plan(date.MustDay(2026, time.August, 1), 2026), plan(date.MustDay(2027, time.January, 5), 2027)
	got := map[date.ProgramYear]string{}
	for _, burn := range inForce([]*StoredPlan{early, late}, &p, date.MustDay(2028, time.March, 1)) {
		got[burn.Year] = burn.Unit
	}
	want := map[date.ProgramYear]string{2026: "2026-08-01", 2027: "2026-08-01", 2028: "2027-01-05"}
	for year, unit := range want {
		if got[year] != unit {
			t.Errorf("%d: %q was in force, want %q", year, got[year], unit)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%v", got)
	}
}
