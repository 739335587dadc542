package view

import (
	"slices"
	"testing"

	"emberquilt/schedule/window"
)

func TestTerms(t *testing.T) {
	need := window.Need{Hours: 4, Lines: 2, Words: "4 hours in a row", Warning: "that is long"}
	for _, test := range []struct {
		name  string
		facts TermsFacts
		words []string
		brief []string
		hours bool
		lines bool
	}{
		{"no prescription", TermsFacts{Need: &need}, []string{"It has no prescription: its windows follow from dates only."}, nil, false, false},
		{"not loaded", TermsFacts{Prescription: "grass", Need: &need}, []string{`Its prescription "grass" is not loaded: its windows follow from dates only.`}, nil, false, false},
		{"no wind", TermsFacts{Prescription: "grass", IsLoaded: true}, []string{"Prescription grass.", "No wind suits it: each one of the prescription carries smoke to a sensitive place."}, nil, false, false},
		{"without a depth", TermsFacts{Prescription: "grass", IsLoaded: true, Need: &need}, []string{"Prescription grass.", "Needed: 4 hours in a row.", "Warning: that is long."},
			[]string{"Prescription grass.", "Needs 4 hours in a row.", "Warning: that is long."}, true, false},
		{"with a depth", TermsFacts{Prescription: "grass", IsLoaded: true, Need: &need, HasDepth: true}, []string{"Prescription grass.", "Needed: 4 hours in a row.", "Warning: that is long."},
			[]string{"Prescription grass.", "Needs 4 hours in a row, with up to 2 lines burned across the middle; the wind card says how that is counted.", "Warning: that is long."}, true, true},
	} {
		v := NewTerms(test.facts)
		if !slices.Equal(v.Words, test.words) || (v.Hours != nil) != test.hours || (v.Lines != nil) != test.lines {
			t.Errorf("%s: %q, hours %v, lines %v", test.name, v.Words, v.Hours, v.Lines)
		}
		want := test.brief
		if want == nil {
			want = test.words
		}
		if got := v.Brief(); !slices.Equal(got, want) {
			t.Errorf("%s, in brief: %q, want %q", test.name, got, want)
		}
	}
	// A warning is what stands in its field, not what begins like one.
	odd := NewTerms(TermsFacts{Prescription: "x", IsLoaded: true, Need: &need})
	odd.Words = append(odd.Words, "Warning: of a name.")
	if got := odd.Brief(); len(got) != 3 {
		t.Errorf("in brief: %q", got)
	}
}
