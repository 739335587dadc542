package view_test

import (
	"strings"
	"testing"
	"unicode"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

func FuzzPlain(f *testing.F) {
	for _, name := range sample.HostileNames() {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got := view.Plain(text)
		if i := strings.IndexFunc(got, func(r rune) bool {
			return unicode.IsControl(r) || r >= 0x2028 && r <= 0x202E || r >= 0x2066 && r <= 0x2069 || r == unicode.ReplacementChar
		}); i >= 0 {
			t.Fatalf("%q became %q", text, got)
		}
		if again := view.Plain(got); again != got {
			t.Fatalf("%q became %q, and then %q", text, got, again)
		}
		if short := view.Cut(got, 20); len([]rune(short)) > 20 || len([]rune(got)) > 20 != strings.HasSuffix(short, "…") && !strings.HasSuffix(got, "…") {
			t.Fatalf("%q was cut to %q", got, short)
		}
	})
}

func TestNumbersForReaders(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 0.004: "0", 0.25: "0.25", 9.999: "10", 12.34: "12.3", 1234567.89: "1,234,567.9", -3.5: "-3.5", 440: "440", 100: "100"} {
		if got := view.Number(v); got != want {
			t.Errorf("%v prints as %q, want %q", v, got, want)
		}
	}
	for v, want := range map[float64]string{0: "0%", 0.0004: "under 0.1%", 0.034: "3.4%", 0.0996: "10%", 0.5: "50%", 1: "100%"} {
		if got := view.Percent(v); got != want {
			t.Errorf("%v prints as %q, want %q", v, got, want)
		}
	}
	for v, want := range map[float64]string{1: "1 burn day", 0.96: "1 burn day", 2.54: "2.5 burn days", 0: "0 burn days"} {
		if got := view.BurnDays(v); got != want {
			t.Errorf("%v prints as %q, want %q", v, got, want)
		}
	}
}

func TestChangeWords(t *testing.T) {
	for version, want := range map[string]string{"5-b9dd05c4": "change 5 (b9dd05c4)", "0": "0", "": "", "that of each packet": "that of each packet", "x-1": "x-1"} {
		if got := view.ChangeWords(version); got != want {
			t.Errorf("%q: %q, want %q", version, got, want)
		}
	}
}
