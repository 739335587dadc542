package view

import (
	"fmt"

	"emberquilt/habitat/source"
	"emberquilt/schedule/window"
)

// TermsFacts are what a burn of a unit in a season is held to, before it is said in
// words.
type TermsFacts struct {
	// Prescription is the name that holds in the season, or empty; IsLoaded says
	// whether its limits are there.
	Prescription string
	IsLoaded     bool
	// Need is what the burn needs; nil where no wind suits.
	Need *window.Need
	// HasDepth says whether the unit's depth along the wind is known.
	HasDepth bool
}

// warningWords says a warning in a sentence.
func warningWords(warning string) string { return "Warning: " + warning + "." }

// NewTerms words them.
func NewTerms(f TermsFacts) Terms {
	t := Terms{Prescription: f.Prescription}
	switch {
	case f.Prescription == "":
		t.Words = []string{"It has no prescription: its windows follow from dates only."}
		return t
	case !f.IsLoaded:
		t.Words = []string{fmt.Sprintf("Its prescription %s is not loaded: its windows follow from dates only.", source.Quote(f.Prescription))}
		return t
	}
	t.Words = []string{fmt.Sprintf("Prescription %s.", f.Prescription)}
	if f.Need == nil {
		t.Words = append(t.Words, "No wind suits it: each one of the prescription carries smoke to a sensitive place.")
		return t
	}
	t.Words = append(t.Words, "Needed: "+f.Need.Words+".")
	if f.Need.Warning != "" {
		t.Warning = f.Need.Warning
		t.Words = append(t.Words, warningWords(t.Warning))
	}
	hours, lines := f.Need.Hours, f.Need.Lines
	t.Hours = &hours
	if f.HasDepth {
		t.Lines = &lines
	}
	return t
}
