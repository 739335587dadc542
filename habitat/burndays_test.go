package habitat

import "testing"

// Stated days are held to what a year has where they enter.
func TestParseBurnDaysIsBounded(t *testing.T) {
	for _, text := range []string{"0", "4", "0.5", "366"} {
		if days, err := ParseBurnDays(text); err != nil || days.From != StatedDays {
			t.Errorf("%s: %+v, %v", text, days, err)
		}
	}
	for _, text := range []string{"-1", "366.5", "1e19"} {
		if _, err := ParseBurnDays(text); err == nil || err.Error() != `burn_days: "`+text+`" is not a number of days; accepts 0 to 366 days` {
			t.Errorf("%s: %v", text, err)
		}
	}
}
