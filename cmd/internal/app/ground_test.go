package app

import (
	"context"
	"errors"
	"math"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
)

// asOption gives the option that an error refuses; empty where it refuses none.
func asOption(err error) string {
	var option *OptionError
	if errors.As(err, &option) {
		return option.Option
	}
	return ""
}

func TestPairsFollowTheGround(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	all, err := s.Borders(ctx, BorderOptions{Tolerance: ground.DefaultTolerance})
	if err != nil {
		t.Fatal(err)
	}
	if all.Units != len(s.Units) || all.Sides == 0 || len(all.Rows) != all.Sides+all.Corners {
		t.Fatalf("%d units with a shape of %d, %d sides, %d corners, %d rows", all.Units, len(s.Units), all.Sides, all.Corners, len(all.Rows))
	}
	// A dry run says what the change then does, and changes nothing.
	rule := PairRule{BorderOptions: BorderOptions{Tolerance: ground.DefaultTolerance}, DryRun: true}
	before, stamp := s.Pairs, s.Change.Stamp()
	dry, err := s.KeepPairs(ctx, rule)
	if err != nil {
		t.Fatal(err)
	}
	if dry.Changed || s.Change.Stamp() != stamp || len(dry.Changes)+dry.Same != all.Sides {
		t.Errorf("dry: %+v of %d sides", dry, all.Sides)
	}
	rule.DryRun = false
	kept, err := s.KeepPairs(ctx, rule)
	if err != nil {
		t.Fatal(err)
	}
	if kept.Changed != (len(kept.Changes) > 0) || len(kept.Changes) != len(dry.Changes) {
		t.Errorf("kept %+v, said %+v", kept, dry)
	}
	for _, was := range before {
		if now := s.pairOf(was.A, was.B); now == nil || now.Kind != was.Kind {
			t.Errorf("%s and %s were %s, are %+v", was.A, was.B, was.Kind, now)
		}
	}
	again, err := s.KeepPairs(ctx, rule)
	if err != nil || again.Changed || len(again.Changes) != 0 || again.Same != all.Sides {
		t.Errorf("kept again: %+v %v", again, err)
	}
	// By hand: a pair is made, changed and taken away.
	one := all.Rows[0]
	for _, step := range []struct {
		as     habitat.PairKind
		action string
	}{{NoPair, "removed"}, {NoPair, ""}, {habitat.Apart, "added"}, {habitat.Neighbors, "changed"}, {habitat.Neighbors, ""}} {
		v, err := s.Pair(ctx, PairOptions{Units: [2]string{one.B, one.A}, As: step.as, Tolerance: ground.DefaultTolerance})
		if err != nil {
			t.Fatal(err)
		}
		if step.action == "" != (len(v.Changes) == 0) || len(v.Changes) > 0 && v.Changes[0].Action != step.action {
			t.Errorf("as %s: %+v, want %q", step.as, v.Changes, step.action)
		}
	}
	if now := s.pairOf(one.A, one.B); now == nil || math.Abs(float64(now.SharedFeet-one.Shared)) > 0.5 {
		t.Errorf("%+v is kept with other feet than %v", now, one.Shared)
	}
}

func TestPairsRefuse(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	first := s.Units[0].ID
	if _, err := s.Borders(ctx, BorderOptions{Tolerance: 1001}); asOption(err) != "tolerance" {
		t.Errorf("a wide tolerance: %v", err)
	}
	if _, err := s.KeepPairs(ctx, PairRule{BorderOptions: BorderOptions{LongerThan: -1}}); asOption(err) != "longer-than" {
		t.Errorf("a negative length: %v", err)
	}
	if _, err := s.KeepPairs(ctx, PairRule{ApartWith: []string{"nowhere"}}); !source.Is(err) {
		t.Errorf("a unit that is none: %v", err)
	}
	if _, err := s.Pair(ctx, PairOptions{Units: [2]string{first, s.Units[1].ID}, As: "friends"}); asOption(err) != "as" {
		t.Errorf("a kind that is none: %v", err)
	}
	var same *SameUnitError
	if _, err := s.Pair(ctx, PairOptions{Units: [2]string{first, first}, As: habitat.Apart}); !errors.As(err, &same) || same.Unit != first {
		t.Errorf("a unit with itself: %v", err)
	}
}

func TestBreakReport(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	ask := BreakOptions{Tolerance: ground.DefaultTolerance, FuelHeight: 3}
	alone, err := s.BreakReport(ctx, ask)
	if err != nil {
		t.Fatal(err)
	}
	if len(alone.Alone) != len(s.Units) || alone.Years != nil || len(alone.Widths) != len(view.BreakWidths(3)) {
		t.Errorf("without a plan: %+v", alone)
	}
	if _, err := s.BreakReport(ctx, BreakOptions{Of: BreaksOfYear, Year: 2027, Tolerance: 1}); err == nil {
		t.Error("a year of a plan that is not there is measured")
	}
	if _, err := s.MakePlan(ctx, PlanOptions{Solver: quick}); err != nil {
		t.Fatal(err)
	}
	years, err := s.BreakReport(ctx, ask)
	if err != nil || len(years.Years) == 0 {
		t.Fatalf("%+v %v", years, err)
	}
	// What a year needs is what its units need when they are named together.
	for _, year := range years.Years {
		var units []string
		for _, u := range year.Units {
			units = append(units, u.Unit)
		}
		if len(units) == 0 {
			continue
		}
		named, err := s.BreakReport(ctx, BreakOptions{Of: BreaksOfUnits, Units: units, Tolerance: ground.DefaultTolerance})
		if err != nil || named.Set.Needed != year.Needed {
			t.Errorf("%v: %v, named %+v %v", year.Year, year.Needed, named, err)
		}
		of, err := s.BreakReport(ctx, BreakOptions{Of: BreaksOfYear, Year: year.Year, Tolerance: ground.DefaultTolerance})
		if err != nil || of.Set.Needed != year.Needed || of.Set.Year != year.Year {
			t.Errorf("%v: %v, of the year %+v %v", year.Year, year.Needed, of, err)
		}
	}
	for _, test := range []struct {
		option string
		ask    BreakOptions
	}{
		{"tolerance", BreakOptions{}},
		{"fuel-height", BreakOptions{Tolerance: 1, FuelHeight: 101}},
		{"dollars", BreakOptions{Tolerance: 1, DollarsPerFoot: math.NaN()}},
		{"width", BreakOptions{Tolerance: 1, Widths: append(ask.Widths, 15, 0)}},
		{"year", BreakOptions{Tolerance: 1, Of: BreaksOfYear, Year: 2000}},
	} {
		if _, err := s.BreakReport(ctx, test.ask); asOption(err) != test.option {
			t.Errorf("%s: %v", test.option, err)
		}
	}
	saved, err := s.BreakReport(ctx, BreakOptions{Of: BreaksOfPairs, Tolerance: ground.DefaultTolerance})
	if err != nil || !saved.HasSavings {
		t.Errorf("%+v %v", saved, err)
	}
}
