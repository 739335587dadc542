package app

import (
	"slices"
	"strings"
	"unicode"

	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
	"emberquilt/report/view"
)

// FirstForm is what a form holds of a first run: answers as they were typed, and the
// rows of questions whose answers have columns. It may be empty, or half filled in.
type FirstForm struct {
	// Answers are texts under the keys of their questions.
	Answers  map[string][]string `json:"answers"`
	Patches  []FirstPatch        `json:"patches"`
	Places   []FirstPlace        `json:"places"`
	Contacts []FirstContact      `json:"contacts"`
}

// FirstPatch is a patch as it was typed.
type FirstPatch struct {
	Name  string `json:"name"`
	Acres string `json:"acres"`
	// Every is how often it burns, LastBurned a day or a year; both may be empty.
	Every      string `json:"every"`
	LastBurned string `json:"last_burned"`
}

func (p FirstPatch) isEmpty() bool { return blank(p.Name, p.Acres, p.Every, p.LastBurned) }

// FirstPlace is a place that smoke may reach, as it was typed: At is latitude and
// longitude, of one point or of several.
type FirstPlace struct {
	Name  string `json:"name"`
	At    string `json:"at"`
	IsOwn bool   `json:"own"`
}

func (p FirstPlace) isEmpty() bool { return blank(p.Name, p.At) }

// FirstContact is someone to call before a burn, as it was typed.
type FirstContact struct {
	Role  string `json:"role"`
	Name  string `json:"name"`
	Phone string `json:"phone"`
}

func (c FirstContact) isEmpty() bool { return blank(c.Role, c.Name, c.Phone) }

func blank(all ...string) bool { return strings.TrimSpace(strings.Join(all, "")) == "" }

// FirstFault is what is wrong with an answer of a form.
type FirstFault struct {
	// Key is the question; Row counts the rows of the form from 0, −1 where it is
	// none of them.
	Key    string        `json:"key"`
	Row    int           `json:"row"`
	Errors []source.Line `json:"errors"`
}

// Take takes the answers of a form, in the order of the questions. Those that cannot
// be used are left out and come back with what is wrong. Rows without any text are
// none, and an empty answer is none.
func (f *FirstRun) Take(form *FirstForm) []FirstFault {
	faults := []FirstFault{}
	note := func(key string, row int, err error) {
		if err != nil {
			faults = append(faults, FirstFault{key, row, answerLines(key, err)})
		}
	}
	known := map[string]bool{}
	for _, q := range questions() {
		known[q.Key] = true
		for _, answer := range form.Answers[q.Key] {
			if !blank(answer) {
				note(q.Key, -1, f.Answer(q.Key, answer))
			}
		}
		switch q.Key {
		case askPatch:
			for i, p := range form.Patches {
				if !p.isEmpty() {
					note(q.Key, i, f.row(q.Key, func() error { return f.addPatch(p) }))
				}
			}
		case askPlace:
			for i, p := range form.Places {
				if !p.isEmpty() {
					note(q.Key, i, f.row(q.Key, func() error { return f.addPlace(p) }))
				}
			}
		case askContact:
			for i, c := range form.Contacts {
				if !c.isEmpty() {
					note(q.Key, i, f.row(q.Key, func() error { return f.addContact(c.Role, c.Name, c.Phone, usualCall) }))
				}
			}
		}
	}
	for key := range form.Answers {
		if !known[key] {
			note(key, -1, f.Answer(key, ""))
		}
	}
	return faults
}

// row takes one row; what is refused changes nothing.
func (f *FirstRun) row(key string, take func() error) error {
	before := *f
	if err := take(); err != nil {
		*f = before
		return err
	}
	f.answered[key] = true
	return nil
}

// answerLines puts what is wrong with an answer into lines without the question,
// beside which they stand.
func answerLines(key string, err error) []source.Line {
	var faults source.List
	addAnswerFaults(&faults, source.Position{}, key, err)
	lines := make([]source.Line, len(faults.Errors))
	for i, e := range faults.Errors {
		if lines[i] = e.Listed(); lines[i].Field == key {
			lines[i].Field = ""
		}
	}
	return lines
}

// Missing gives the questions that still need an answer.
func (f *FirstRun) Missing() []string {
	missing := []string{}
	for _, q := range f.Questions() {
		if q.IsNeeded && q.Usual == "" && !f.answered[q.Key] {
			missing = append(missing, q.Key)
		}
	}
	return missing
}

// Place gives where the ground lies; false while nobody has said.
func (f *FirstRun) Place() (weather.Place, bool) {
	return weather.Place{Latitude: f.property.Latitude, Longitude: f.property.Longitude}, f.property.HasPlace
}

// FirstFile is the usual name of the property file of a name, without its ending.
func FirstFile(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) })
	file := strings.Join(words, "-")
	for runes := []rune(file); len(file) > 60; file = string(runes) {
		runes = runes[:len(runes)-1]
	}
	if file == "" || slices.Contains(namesOfDevices, file) {
		file = strings.Trim(file+"-property", "-")
	}
	return file
}

// namesOfDevices cannot name files on Windows, whatever follows behind a point.
var namesOfDevices = []string{"con", "prn", "aux", "nul",
	"com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8", "com9", "lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9"}

// Ground gives the shapes of the patches and the places, for a drawing.
func (d *FirstDraft) Ground() view.Map {
	m := view.Map{Title: d.Property.Name}
	for _, c := range d.plan.Changes {
		if c.Shape != nil && c.Unit != nil {
			m.Units = append(m.Units, view.MapUnit{Unit: c.Unit.ID, Shape: *c.Shape})
		}
		if c.Place != nil {
			m.Places = append(m.Places, *c.Place)
		}
	}
	return m
}
