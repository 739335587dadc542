package store

import (
	"context"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

func rehearsed(plan int) *habitat.Rehearsal {
	one := []habitat.Spread{{Mean: 1.5, Low: 1, High: 2, P10: 0.5, P50: 1.25, P90: 3}}
	done := 0.75
	return &habitat.Rehearsal{Plan: plan, MadeOn: date.Day{Year: 2027, Month: 1, Dom: 20}, FirstYear: 2027, Years: 1, Futures: 8, Asked: 10, Seed: 1 << 60, Blocks: 2,
		Lost: map[string]float64{"dormant": 0.1}, Gap: 0.02, Rounds: 16, Seconds: 10, Plans: 40, Cut: 1, Basis: "a tower", RecordYears: []date.ProgramYear{2001, 2003},
		LeftOut: "2002 (12% of dormant known)", Notes: []string{"none"}, Foresight: &one[0],
		Rules: []habitat.RehearsedRule{{Name: "plan", Words: "plan 1", Shortfall: one[0], Parts: map[string]float64{"overdue": 1.5}, Difference: habitat.Spread{}, Foresight: &one[0],
			Acres: one, OverdueAcres: one, OverdueUnits: one, Burns: one[0], OnTime: 0.5, OneLate: 1, Done: &done, InSeason: &done,
			InBands: map[string]float64{"savanna": 0.25}, Units: []habitat.RehearsedUnit{{Unit: "n1", Overdue: []float64{0.5}, Ever: 0.5, Interval: 2.5}}}}}
}

func TestRehearsalsComeBack(t *testing.T) {
	s := create(t)
	later := rehearsed(1)
	later.Futures = 9
	for _, r := range []*habitat.Rehearsal{rehearsed(1), rehearsed(2), later} {
		update(t, s, func(tx *Tx) error { return tx.PutRehearsal(r) })
	}
	snapshot, err := s.Snapshot(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(map[int]*habitat.Rehearsal{1: later, 2: rehearsed(2)}, snapshot.Rehearsals); diff != "" {
		t.Error(diff)
	}
	bad := rehearsed(3)
	bad.Rules[0].Acres = nil
	err = s.Update(context.Background(), noon, "", "bad", func(tx *Tx) error { return tx.PutRehearsal(bad) })
	if err == nil || !strings.Contains(err.Error(), "rehearsal of plan 3: rules.acres_burned: 0 figures in 1 years") {
		t.Errorf("got %v", err)
	}
}
