package habitat

import "testing"

func TestParseRule(t *testing.T) {
	for _, text := range []string{"plan", "plan-2", "poor", "median+ahead", "mean", "settings", "1", "2.5+crew-day", "plan+second-crew", "most-overdue+second-chance"} {
		if r, err := ParseRule(text); err != nil || r.String() != text {
			t.Errorf("%s: %v, %s", text, err, r)
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
