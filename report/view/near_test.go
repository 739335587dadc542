package view

import (
	"slices"
	"strings"
	"testing"
)

func TestNearLines(t *testing.T) {
	all := []Near{{"Hill School", "school", 1200, 90}, {"house", "house", 2640, 45}, {"Clinic", "", 5280, 0}}
	want := []string{"Hill School (school): 1,200 ft to the E (90°)", "house: 2,640 ft to the NE (45°)", "Clinic: 5,280 ft to the N (0°)"}
	if got := NearLines(all); !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	for len(all) < mostNear+3 {
		all = append(all, Near{Name: "far"})
	}
	got := NearLines(all)
	if len(got) != mostNear+1 || got[mostNear] != "and 3 that lie farther off" {
		t.Errorf("a paper names %d places: %q", len(got), got)
	}
	if got := NearLines(all[:mostNear]); len(got) != mostNear || strings.Contains(got[mostNear-1], "farther off") {
		t.Errorf("the words speak of places left out: %q", got)
	}
	if a, b := AdjoiningLine("Elm", 660), AdjoiningLine("Elm", 0); a != "Elm, 660 ft of common boundary" || b != "Elm" {
		t.Errorf("%q, %q", a, b)
	}
}

// TestPlanLine states the gap of a plan by hand: 100 (cost − bound) / cost.
func TestPlanLine(t *testing.T) {
	if got := NewPlanLine(PlanLine{Status: "feasible", Cost: 80.00049, Bound: 60.00049}); got.GapPercent != 25 || got.Cost != 80 || got.Bound != 60 {
		t.Errorf("%+v", got)
	}
	if got := NewPlanLine(PlanLine{Status: "optimal", Cost: 80, Bound: 79.999}); got.GapPercent != 0 {
		t.Errorf("a plan that is proven best has a gap: %+v", got)
	}
}
