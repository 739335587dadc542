package problem_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// Units that can never burn for one reason are one warning, of many the first by name.
func TestUnitsThatNeverBurnAreToldTogether(t *testing.T) {
	for _, c := range []struct {
		large int
		want  []string
	}{
		{1, []string{"unit u1 can never burn: its 25.0 acres are more than the 12.5 acres that refuge north lets burn in a year"}},
		{2, []string{"units u1 and u2 can never burn: each is more than the caps of any year allow"}},
		{13, []string{"units u1, u2, u3, u4, u5, u6, u7, u8, u9, u10, u11, u12 and u13 can never burn: each is more than the caps of any year allow"}},
		{2000, []string{"units u1, u2, u3, u4, u5, u6, u7, u8, u9, u10, u11, u12 and 1,988 more can never burn: each is more than the caps of any year allow"}},
	} {
		var units []string
		for i := range c.large {
			acres, refuge := 700, ""
			if c.large == 1 {
				acres, refuge = 25, `, "refuge": "north"`
			}
			units = append(units, fmt.Sprintf(`{"id": "u%d", "acres": %d, "min_interval": 2, "max_interval": 3, "age": 2, "seasons": {"dormant": 0}%s}`, i+1, acres, refuge))
		}
		text := fmt.Sprintf(`{"format": "rotation-problem/1", "first_year": 2027, "years": 3, "lookahead": 0, "seasons": ["dormant"],
			"units": [%s], "caps": {"acres": 600}, "refuges": {"north": {"max_share": 0.5}}}`, strings.Join(units, ", "))
		got := slices.DeleteFunc(read(t, text).Warnings, func(w string) bool { return !strings.Contains(w, "can never burn") })
		if !slices.Equal(got, c.want) {
			t.Errorf("%d units: %q, want %q", c.large, got, c.want)
		}
	}
	// Another limit is another reason, and a unit may have two.
	text := change(`"mix": "savanna", "refuge": "north"},
    {"id": "n2", "acres": 20,`, `"mix": "savanna", "refuge": "north"},
    {"id": "n4", "acres": 190, "min_interval": 1, "max_interval": 4, "age": 3, "seasons": {"late-growing": 0.5}, "refuge": "north"},
    {"id": "n5", "acres": 180, "min_interval": 1, "max_interval": 4, "age": 3, "seasons": {"late-growing": 0.5}, "refuge": "north"},
    {"id": "n2", "acres": 20,`)
	want := []string{
		"units n4 and n5 can never burn: each has more than the 244.25 acres that refuge north lets burn in a year",
		"units n4 and n5 can never burn: each is more than the caps of any year allow",
	}
	if got := read(t, text).Warnings; !slices.Equal(got, want[1:]) {
		t.Errorf("%q, want %q", got, want[1:])
	}
	text = strings.Replace(text, `"max_share": 0.5`, `"max_share": 0.3`, 1)
	want[0] = strings.Replace(want[0], "244.25", "146.55", 1)
	if got := read(t, text).Warnings; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}
