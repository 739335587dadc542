package view

import (
	"slices"
	"testing"
)

// What is said of a unit's own break stands on its page; what the widths rest on stands
// once, for all units.
func TestBreaksStandWithTheirUnit(t *testing.T) {
	alone, together := "900 ft of break to make when it burns alone, of 1,000 ft of boundary", "700 ft when its neighbors that burn in 2027 burn with it as one"
	s := NewSheet(&Due{Units: []DueUnit{{Unit: "Alder"}, {Unit: "Oxbow"}}}, SheetInput{Facts: map[string]SheetFacts{
		"Alder": {Breaks: []string{alone, BreakWidthLine}},
		"Oxbow": {Breaks: []string{alone, together, BreakWidthLine}},
	}})
	if len(s.Units) != 2 || !slices.Equal(s.Units[0].Breaks, []string{alone}) || !slices.Equal(s.Units[1].Breaks, []string{alone, together}) {
		t.Errorf("%+v", s.Units)
	}
	if !slices.Equal(s.BreakNotes, []string{BreakWidthLine}) {
		t.Errorf("for all units: %q", s.BreakNotes)
	}
}
