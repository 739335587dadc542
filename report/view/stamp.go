package view

import (
	"cmp"
	"fmt"
	"strconv"
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
	// AsOf says that a paper shows the property as it was, and when it was printed;
	// empty where it shows it as it is.
	AsOf string `json:"as_of,omitempty"`
	// Overtaken says, on top of everything, what changed since the plan was made;
	// empty where nothing did, or where no plan is shown.
	Overtaken string `json:"plan_overtaken,omitempty"`
	// Lines says, beside it, which lines of contracts the plan does not keep, a line of
	// text each: stamps are compared as values.
	Lines string `json:"contract_lines_at_risk,omitempty"`
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

// ParseStamp reads the version of the data that a paper names: "change 5 (b9dd05c4)",
// as people copy it, "5-b9dd05c4", or the number alone, which has no seal.
func ParseStamp(text string) (number int, seal string, ok bool) {
	text = strings.ToLower(strings.TrimSpace(text))
	text = strings.TrimSpace(strings.TrimPrefix(text, "change"))
	first, seal, _ := strings.Cut(strings.NewReplacer("(", "-", ")", "", " ", "").Replace(text), "-")
	number, err := strconv.Atoi(first)
	if err != nil || number < 1 || first[0] == '+' || strings.Trim(seal, "0123456789abcdef") != "" || len(seal) > 64 || strings.HasSuffix(text, "-") {
		return 0, "", false
	}
	return number, seal, true
}

// AsOf is a moment whose papers are printed later.
type AsOf struct {
	// On is the day that counted as today, Change the version of the data then, and Now
	// that of the file when the paper was printed.
	On          date.Day
	Change, Now string
	Printed     date.Day
}

// AsOfWords says as of which moment a paper is.
func AsOfWords(a AsOf) string {
	text := fmt.Sprintf("As it was on %s, at %s. Printed on %s", a.On.Words(), a.Change, a.Printed.Words())
	if a.Now == a.Change {
		return text + "; nothing was changed since."
	}
	return text + fmt.Sprintf("; the file is at %s now. Whether attached files are there was looked up on the day of printing.", a.Now)
}

// LineList gives the sentences of Lines.
func (s Stamp) LineList() []string {
	if s.Lines == "" {
		return nil
	}
	return strings.Split(s.Lines, "\n")
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
