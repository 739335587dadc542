package store

import (
	"context"
	"testing"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

func TestPlansOfOlderProgramsStandAsTheyCounted(t *testing.T) {
	s := create(t, n1())
	day := date.MustDay(2027, 1, 20)
	add := func(note string, assumptions ...string) {
		update(t, s, func(tx *Tx) error {
			_, err := tx.AddPlan(Plan{PlanHead: PlanHead{MadeFor: day, FirstYear: 2027, Years: 1, Status: "optimal", Note: note}, Problem: []byte("p"), Answer: []byte("a"), Assumptions: assumptions})
			return err
		})
	}
	add("")
	add("", "burn days in dormant: 2 (as the command says)")
	add("alternative to plan 1")
	if got := snapshot(t, s).Standings.Adopted(); got != 1 {
		t.Errorf("plan %d is adopted: a what-if must not be", got)
	}
	add("")
	snap := snapshot(t, s)
	if got := snap.Standings.Adopted(); got != 4 {
		t.Errorf("plan %d is adopted, want the newest that is no what-if", got)
	}
	// From now on it is decided.
	update(t, s, func(tx *Tx) error { return tx.Adopt(habitat.PlanStanding{Plan: 2, On: day, By: "A. Manager"}) })
	update(t, s, func(tx *Tx) error { return tx.Adopt(habitat.PlanStanding{Plan: 4, On: day}) })
	update(t, s, func(tx *Tx) error { return tx.Adopt(habitat.PlanStanding{Plan: 2, On: day, By: "A. Manager"}) })
	snap = snapshot(t, s)
	if got := snap.Standings.Of(4).Standing; snap.Standings.Adopted() != 2 || got != habitat.SupersededPlan {
		t.Errorf("plan %d is adopted, plan 4 is %s", snap.Standings.Adopted(), got)
	}
	versions, err := history(s, documents, string(planStanding), "2")
	if err != nil || len(versions) != 3 {
		t.Errorf("%d versions of the standing of plan 2, %v", len(versions), err)
	}
	if err := s.Update(context.Background(), noon, "", "test", func(tx *Tx) error { return tx.PutPlanStanding(habitat.PlanStanding{Plan: 1, On: day}) }); err == nil {
		t.Error("a standing that is none was kept")
	}
	wantWhole(t, s)
	// Its plan 2 was made with burn days that the command stated.
	if got := snapshot(t, openCopy(t, "bend-schema-1.emberquilt")).Standings; len(got) != 2 || got.Adopted() != 1 {
		t.Errorf("file of schema 1: %s", cmp.Diff(habitat.PlanStandings{}, got))
	}
}
