package view

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// JournalEntry is one change of a property: who made it, when, why, and what it wrote.
type JournalEntry struct {
	Change int `json:"change"`
	// Data is the version of the data that papers printed from then until the next
	// change.
	Data string `json:"data_version"`
	At   string `json:"made_at"`
	// On is the day of At.
	On date.Day `json:"on"`
	// By is who made it, as they said; empty where nobody did.
	By string `json:"by,omitempty"`
	// Reason says what was done and, after a colon, the user's own words.
	Reason  string         `json:"reason"`
	Touched []JournalTouch `json:"touched"`
}

// JournalTouch is a value of which a change wrote a version.
type JournalTouch struct {
	Kind    string         `json:"kind"`
	Name    string         `json:"name,omitempty"`
	Version int            `json:"version"`
	Removed bool           `json:"removed"`
	Units   []string       `json:"units"`
	Fields  []JournalField `json:"fields"`
}

// JournalField is what became of one field; Was is empty where it is new.
type JournalField struct {
	Field string `json:"field"`
	Was   string `json:"was"`
	Is    string `json:"is"`
}

// NewJournalEntry puts a change into words, without what it wrote.
func NewJournalEntry(number int, data string, at time.Time, by, reason string) JournalEntry {
	at = at.UTC()
	return JournalEntry{Change: number, Data: data, At: at.Format(time.DateTime) + " UTC", On: date.DayOf(at), By: by, Reason: reason, Touched: []JournalTouch{}}
}

// Heading says which change it is, when it was made, and by whom.
func (e *JournalEntry) Heading() string {
	by := "by nobody named"
	if e.By != "" {
		by = "by " + e.By
	}
	return fmt.Sprintf("%s, %s, %s: %s", ChangeWords(e.Data), e.At, by, e.Reason)
}

// What says in a line each what was written, most lines of them; 0 means all.
func (e *JournalEntry) What(most int) []string {
	var all []string
	for i := range e.Touched {
		if most > 0 && i == most {
			return append(all, fmt.Sprintf("and %d more", len(e.Touched)-most))
		}
		all = append(all, e.Touched[i].Words(shownFields))
	}
	return all
}

// shownFields is how many fields of a value a line names.
const shownFields = 8

// longestField bounds a value in a line.
const longestField = 80

// storedWords are the words for fields that lie in the file under another name.
var storedWords = map[string]string{"cost_cents": "cost in cents", "first_on": "date", "last_on": "last day", "stated_acres": "acres as stated", "items": "line", "completions": "work", "removed": "gone"}

// Words says what became of the value, with most of its fields.
func (t *JournalTouch) Words(most int) string {
	name := t.Kind
	if t.Name != "" && t.Kind != "unit change" { // which is named after its own change
		name += " " + t.shownName()
	}
	switch {
	case t.Removed && t.Kind == "burn":
		return fmt.Sprintf("%s.%d: withdrawn", name, t.Version)
	case t.Removed:
		return name + ": taken away"
	case t.Kind == "burn":
		name += "." + strconv.Itoa(t.Version)
	case t.Version == 1 && t.Kind != "plan":
		name += ", new"
	}
	var parts []string
	fields := slices.DeleteFunc(slices.Clone(t.Fields), func(f JournalField) bool {
		isName := f.Field == "name" || strings.HasPrefix(f.Field, "items ") && strings.HasSuffix(f.Field, " line") ||
			strings.HasPrefix(f.Field, "files ") && strings.HasSuffix(f.Field, " path") ||
			t.Kind == "unit change" && f.Field == "change"
		return isName || t.Kind == "lock" && f.Field == "burn" || strings.HasPrefix(f.Field, "modifications ") || t.Version == 1 && (f.Is == "0" || f.Is == "false")
	})
	if t.Kind == "lock" {
		parts = append(parts, t.lockWords()...)
	}
	for i, f := range fields {
		if i == most {
			parts = append(parts, "and "+quantity.Count(len(fields)-most, "field")+" more")
			break
		}
		parts = append(parts, f.words())
	}
	if len(parts) == 0 {
		return name
	}
	return name + ": " + strings.Join(parts, "; ")
}

// lockWords says what a lock holds from now on; nothing where that did not change.
func (t *JournalTouch) lockWords() []string {
	at := slices.IndexFunc(t.Fields, func(f JournalField) bool { return f.Field == "burn" })
	if at < 0 {
		return nil
	}
	says := func(value string) string {
		if value == "1" || value == "true" {
			return "burns"
		}
		return "rests"
	}
	if f := &t.Fields[at]; f.Was != "" {
		return []string{says(f.Was) + " → " + says(f.Is)}
	}
	return []string{says(t.Fields[at].Is)}
}

// shownName is the name for people: tasks that were done are told apart by a list.
func (t *JournalTouch) shownName() string {
	if at := strings.LastIndex(t.Name, " and "); t.Kind == "lock" && at >= 0 {
		return t.Name[:at] + " in " + t.Name[at+len(" and "):]
	}
	var parts []any
	if t.Kind != "task done" || json.Unmarshal([]byte(t.Name), &parts) != nil || len(parts) != 3 {
		return t.Name
	}
	return fmt.Sprintf("%v of %v in %v", parts[2], parts[1], parts[0])
}

func (f *JournalField) words() string {
	first, rest, more := strings.Cut(f.Field, " ")
	if word, ok := storedWords[first]; ok {
		first = word
	}
	name := strings.ReplaceAll(first, "_", " ")
	if more {
		name += " " + strings.ReplaceAll(rest, "_", " ")
	}
	was, is := f.Was, f.Is
	if shortWas, shortIs := fewDigits(was), fewDigits(is); shortWas != shortIs {
		was, is = shortWas, shortIs
	}
	was, is = Cut(Plain(was), longestField), Cut(Plain(is), longestField)
	if is == "" && strings.HasPrefix(f.Field, "items ") && strings.HasSuffix(f.Field, " unit") {
		is = "the " + habitat.WholeProperty // of a line of a contract
	}
	switch {
	case f.Was == "":
		return name + " " + is
	case is == "":
		return name + " " + was + " → nothing"
	}
	return fmt.Sprintf("%s %s → %s", name, was, is)
}

// fewDigits rounds a number that was computed to four decimals; one that somebody wrote has
// up to six. The file and its JSON keep all.
func fewDigits(text string) string {
	_, decimals, _ := strings.Cut(text, ".")
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || len(decimals) <= 6 {
		return text
	}
	return strconv.FormatFloat(v, 'f', 4, 64)
}
