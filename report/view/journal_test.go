package view

import "testing"

func TestJournalNumbersAreShort(t *testing.T) {
	for _, c := range []struct {
		was, is, want string
	}{
		{"", "339.0935205519834", "mean 339.0935"},
		{"54.0582", "54.06", "mean 54.0582 → 54.06"},
		{"", "-96.589312", "mean -96.589312"},
		{"1.00000001", "1.00000002", "mean 1.00000001 → 1.00000002"}, // rounded, nothing would have changed
		{"", "2026-11-25", "mean 2026-11-25"},
		{"", "1.2.345678901", "mean 1.2.345678901"},
	} {
		f := JournalField{Field: "mean", Was: c.was, Is: c.is}
		if got := f.words(); got != c.want {
			t.Errorf("%q to %q: %q, want %q", c.was, c.is, got, c.want)
		}
	}
}
