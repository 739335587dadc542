package habitat

import "testing"

// A number that the property has too is told once, with the property.
func TestBesides(t *testing.T) {
	property := LandNumbers{Farm: "2210", Tract: "4471", Section: "14-11S-8E"}
	for want, unit := range map[string]LandNumbers{
		"":                                 {},
		"field 3":                          {Farm: "2210", Tract: "4471", Field: "3"},
		"farm 2211, field 3":               {Farm: "2211", Tract: "4471", Field: "3", Section: "14-11S-8E"},
		"tract 1, NE 1/4 of 14-11S-8E":     {Tract: "1", Section: "NE 1/4 of 14-11S-8E"},
		"farm 1, tract 2, field 3, a line": {Farm: "1", Tract: "2", Field: "3", Section: "a line"},
	} {
		if got := unit.Besides(property).Words(); got != want {
			t.Errorf("%+v: %q, want %q", unit, got, want)
		}
	}
}
