package view

import (
	"testing"

	"emberquilt/habitat"
)

func TestRuleWords(t *testing.T) {
	for text, want := range map[string]string{
		"plan":                       "plan 7, the adopted one, planned again each year",
		"plan-2":                     "plan 2, planned again each year",
		"poor":                       "plans with the burn days of the poor year, one in five",
		"median+ahead":               "plans with the burn days of the median year; days that are left take next year's units",
		"mean":                       "plans with the mean burn days of the years",
		"settings":                   "plans with the burn days of the settings alone",
		"1":                          "plans with 1 burn day a season",
		"2.5+crew-day":               "plans with 2.5 burn days a season; one crew day more a season",
		"plan+second-crew":           "plan 7, the adopted one, planned again each year; a second crew",
		"most-overdue+second-chance": "no plan: what is due burns, the most overdue first; a missed unit waits for its next season of the same year",
	} {
		r, err := habitat.ParseRule(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := RuleWords(r, 7); got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
}
