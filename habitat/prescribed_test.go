package habitat

import (
	"slices"
	"strings"
	"testing"
)

func TestPrescriptionIn(t *testing.T) {
	for _, c := range []struct {
		text, season, want string
	}{
		{"grass, dormant season", "dormant", "grass, dormant season"},
		{"grass, dormant season", "", "grass, dormant season"},
		{"grass; early-growing: woody plants", "early-growing", "woody plants"},
		{"grass; early-growing: woody plants", "dormant", "grass"},
		{"early-growing:woody plants", "dormant", ""},
		{" dormant : a ; early-growing : b ", "early-growing", "b"},
		{"", "dormant", ""},
		{";;", "dormant", ""},
	} {
		if got := (&Unit{Prescription: c.text}).PrescriptionIn(c.season); got != c.want {
			t.Errorf("%q in %q: %q, want %q", c.text, c.season, got, c.want)
		}
	}
	u := Unit{Prescription: "grass; early-growing: woody plants; dormant: grass"}
	if got := u.Prescriptions(); !slices.Equal(got, []string{"grass", "woody plants"}) {
		t.Errorf("%q", got)
	}
}

func TestPrescriptionsAreChecked(t *testing.T) {
	p := NewProperty("Tamsel Bend")
	p.Seasons = []Season{{Name: "dormant"}, {Name: "early-growing"}}
	for text, says := range map[string]string{
		"grass":                             "",
		"grass; early-growing: woody":       "",
		"grass; summer: woody":              `"summer" is not a season of this property`,
		"grass; other":                      "second prescription without a season",
		"dormant: grass; dormant: other":    "named twice",
		"grass; dormant:":                   "names no prescription",
		"pine: winter":                      `"pine" is not a season`,
		"dormant: grass; early-growing: b;": "",
	} {
		u := Unit{ID: "one", Acres: 1, Interval: Interval{1, 2}, Prescription: text}
		err := u.Validate(&p)
		if (says == "") != (err == nil) || err != nil && !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want %q", text, err, says)
		}
	}
	if ValidatePrescriptionName("grass, dormant") != nil || ValidatePrescriptionName("a: b") == nil || ValidatePrescriptionName("a;b") == nil || ValidatePrescriptionName("") == nil {
		t.Error("names of prescriptions")
	}
}
