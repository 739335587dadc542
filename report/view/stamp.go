package view

import (
	"cmp"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

// Stamp says what a paper was made from and when. Two runs with one stamp and
// the same values give the same paper.
type Stamp struct {
	// On is the date of the paper, handed in by the caller.
	On date.Day `json:"on"`
	// Data names the version of the stored data, Program that of this program.
	Data    string `json:"data_version"`
	Program string `json:"program_version"`
	// ID tells the property from every other, also from one of its name; empty where
	// a paper is of none, or of many.
	ID string `json:"property_id,omitempty"`
	// Property, Place and Owner are copied from the property.
	Property string `json:"property"`
	Place    string `json:"place,omitempty"`
	Owner    string `json:"owner,omitempty"`
	// Overtaken says, on top of everything, what changed since the plan was made;
	// empty where nothing did, or where no plan is shown.
	Overtaken string `json:"plan_overtaken,omitempty"`
}

// Change says in words which version of the data a paper was made from:
// "change 5 (b9dd05c4)" for the version 5-b9dd05c4, any other text as it is.
func (s Stamp) Change() string { return ChangeWords(s.Data) }

// ChangeWords puts a data version into words, as Stamp.Change does.
func ChangeWords(version string) string {
	number, seal, ok := strings.Cut(version, "-")
	if !ok || seal == "" || strings.Trim(number, "0123456789") != "" {
		return version
	}
	return "change " + number + " (" + seal + ")"
}

// Identity is what events of the property are known by: its id, or its name where it
// has none.
func (s Stamp) Identity() string { return cmp.Or(s.ID, s.Property) }

// of gives the stamp with the property's own names.
func (s Stamp) of(p *habitat.Property) Stamp {
	s.Property, s.Place, s.Owner = p.Name, p.Place, p.Owner
	return s
}

// Cautions stand wherever a window, a date or a prescription is shown.
func Cautions() []string {
	return []string{
		"This is a planning aid. It is not a permit and not a decision to burn.",
		"Local law, permits, burn bans and fire weather warnings come before anything printed here.",
		"A qualified burn boss decides on the day, on the ground, from the weather that is there.",
	}
}

// CautionLine is the short form of the cautions, for the foot of a page.
const CautionLine = "Planning aid, not a permit nor a go decision; local law, fire weather warnings and a qualified burn boss decide."
