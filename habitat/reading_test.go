package habitat_test

import (
	"strings"
	"testing"

	"emberquilt/habitat"
)

func TestParseReading(t *testing.T) {
	for _, text := range []string{"13:00 temp=58 rh=42 wind=7 from=225", "00:05", "2026-11-21 23:59 rh=100"} {
		r, err := habitat.ParseReading(text)
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if r.String() != text {
			t.Errorf("%q prints as %q", text, r.String())
		}
	}
	r, err := habitat.ParseReading("9:5")
	if err == nil {
		t.Errorf("9:5 is taken for %v", r)
	}
	if r, err := habitat.ParseReading("12:00 from=SW"); err != nil || *r.WindFrom != 225 {
		t.Errorf("SW gives %v, %v", r.WindFrom, err)
	}
	for text, want := range map[string]string{
		"":                  "is empty",
		"temp=58":           "has no time",
		"24:00":             `"24:00" is not a time`,
		"13:00 hum=4":       `"hum" is nothing that is measured`,
		"13:00 rh=wet":      `"wet" is not a number`,
		"13:00 temp=NaN":    `"NaN" is not a number`,
		"13:00 from=up":     `"up" is not a direction`,
		"13:00 from=400":    `"400" is not a direction`,
		"13:00 2026-11-21":  `"2026-11-21" is not a time`,
		"13:00 temp = 58":   `"=" `,
		"\x1b[31m13:00":     "is not a time",
		"13:00 wind=1e999":  "is not a number",
		"13:00 wind=0x1p-2": "is not a number",
	} {
		_, err := habitat.ParseReading(text)
		if err == nil || !strings.Contains(err.Error(), strings.TrimSuffix(want, ` `)) && want != `"=" ` {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
		if err != nil && !strings.Contains(err.Error(), "; accepts ") {
			t.Errorf("%q: %v does not say what is accepted", text, err)
		}
	}
}

func FuzzParseReading(f *testing.F) {
	for _, text := range []string{"13:00 temp=58 rh=42 wind=7 from=SW", "2026-11-21 23:59 rh=100", "", "=", "12:00 from="} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, err := habitat.ParseReading(text)
		if err != nil {
			return
		}
		again, err := habitat.ParseReading(r.String())
		if err != nil || again.String() != r.String() {
			t.Errorf("%q prints as %q, which reads as %q, %v", text, r.String(), again.String(), err)
		}
	})
}
