package app

import "testing"

func TestParseRule(t *testing.T) {
	for text, words := range map[string]string{
		"plan":                       "plan 7, the newest, planned again each year",
		"plan-2":                     "plan 2, planned again each year",
		"poor":                       "plans with the burn days of the poor year, one in five",
		"median+ahead":               "plans with the burn days of the median year; days that are left take next year's units",
		"mean":                       "plans with the mean burn days of the years",
		"settings":                   "plans with the burn days of the settings alone",
		"1":                          "plans with 1 burn day a season",
		"2.5+crew-day":               "plans with 2.5 burn days a season; one crew day more a season",
		"plan+second-crew":           "plan 7, the newest, planned again each year; a second crew",
		"most-overdue+second-chance": "no plan: what is due burns, the most overdue first; a missed unit waits for its next season of the same year",
	} {
		r, err := ParseRule(text)
		if err != nil || r.String() != text || r.words(7) != words {
			t.Errorf("%s: %v, %s, %q", text, err, r, r.words(7))
		}
	}
	if r, err := ParseRule("ahead"); err != nil || r.String() != "plan+ahead" {
		t.Errorf("ahead alone: %v, %s", err, r)
	}
	for _, text := range []string{"", "+", "plan-", "plan-0", "plan-x", "-3", "NaN", "Poor", "poor+median", "plan+most-overdue", "poor+plan-2", "ahead+"} {
		if r, err := ParseRule(text); err == nil {
			t.Errorf("%q was read as %s", text, r)
		}
	}
}
