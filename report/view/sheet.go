package view

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
)

// SheetInput is what a season sheet is computed from, beside the season.
type SheetInput struct {
	// Contacts in the order of calling; none gives those of preparation.Contacts.
	Contacts []habitat.Contact
	// Facts are what is known of the units, by name.
	Facts map[string]SheetFacts
	// Notes say for which day or wind the sheet is made, where not for today and every
	// wind.
	Notes []string
	// Shapes, Places and Standing are drawn on the first page, with the units of Plan;
	// no shape leaves the map out. Standing are roads and water that hold a fire.
	Plan             *Plan
	Shapes           map[string]ground.Shape
	Places, Standing []ground.Place
}

// SheetFacts are what is known of one unit in the season.
type SheetFacts struct {
	// Hours is how long the fire is expected to need; 0 means not known.
	Hours quantity.Hours
	// Breaks and Near are the lines about breaks and sensitive places.
	Breaks, Near []string
	// Rose shows the winds that suit, nil where no depth is known; Limits are those of
	// the prescription, nil where none is loaded.
	Rose   *Rose
	Limits *prescription.Prescription
	// Wind is the wind that the sheet is made for; nil for every wind that suits.
	Wind *DayWind
}

// Sheet is the landowner's paper of one season: what burns, a page a unit, and a page
// for the day.
type Sheet struct {
	Due *Due `json:"due"`
	// Notes say for which day or wind the sheet is made.
	Notes []string `json:"notes,omitempty"`
	// Units are in the order of their first windows, those without one last.
	Units    []SheetUnit       `json:"units"`
	Contacts []habitat.Contact `json:"contacts"`
	// OnSite has a row for each thing with its number for each of Units; After are the
	// tasks that follow a burn, those of any unit.
	OnSite []OnSiteLine `json:"on_site"`
	After  []TaskRow    `json:"tasks_after"`
	// Basis says what the windows rest on, and BreakNotes what the widths of breaks do,
	// each once for all units.
	Basis, BreakNotes []string `json:"-"`
	// ReadingRows counts the blank lines of the weather table.
	ReadingRows int `json:"reading_rows"`
	// Ground is nil where no unit has a shape.
	Ground *Ground `json:"ground,omitempty"`
}

// SheetUnit is one page.
type SheetUnit struct {
	DueUnit
	// Number is that of the unit on the map and in the tables, from 1.
	Number int         `json:"number"`
	OnSite []OnSiteRow `json:"on_site"`
	// Breaks says how much break the unit needs, Places where the sensitive places
	// lie; empty where no shape is known.
	Breaks []string `json:"breaks,omitempty"`
	Places []string `json:"sensitive_places,omitempty"`
	// Rose shows the winds that suit; nil where no depth is known. Limits are those of
	// the prescription, one a row; none where it is not loaded.
	Rose   *Rose             `json:"rose,omitempty"`
	Limits []PrescribedLimit `json:"limits"`
	// Wind is the wind that the sheet is made for, where it is one.
	Wind *DayWind `json:"wind,omitempty"`
}

// OnSiteLine is one thing to have on site, with its number for each unit.
type OnSiteLine struct {
	Name string `json:"item"`
	// Unit is what Counts count; Counts hold a blank to write on where nobody counted,
	// and are empty where nothing is counted.
	Unit   string   `json:"unit,omitempty"`
	Counts []string `json:"counts"`
	// Words say it in one line, each number with the number of its unit where they
	// differ.
	Words string `json:"words"`
}

// say puts a line into words; one are those for the first unit alone.
func (l *OnSiteLine) say(one string) {
	l.Words = one
	if !slices.ContainsFunc(l.Counts, func(count string) bool { return count != l.Counts[0] }) {
		return
	}
	each := make([]string, len(l.Counts))
	for i, count := range l.Counts {
		each[i] = fmt.Sprintf("%s (%d)", count, i+1)
	}
	l.Words = l.Name + ", " + l.Unit + ": " + strings.Join(each, ", ")
}

// NewSheet computes the sheet of a season.
func NewSheet(due *Due, in SheetInput) *Sheet {
	s := &Sheet{Due: due, Notes: in.Notes, Contacts: in.Contacts, ReadingRows: 5}
	if len(s.Contacts) == 0 {
		s.Contacts = preparation.Contacts()
	}
	open := due.Open()
	slices.SortStableFunc(open, func(a, b DueUnit) int { return firstWindow(&a).Compare(firstWindow(&b)) })
	for i, u := range open {
		of := in.Facts[u.Unit]
		unit := SheetUnit{
			DueUnit: u,
			Number:  i + 1,
			OnSite:  onSite(u.Left, of.Hours, due.Crew.people()),
			Breaks:  of.Breaks,
			Places:  of.Near,
			Limits:  PrescribedLimits(of.Limits),
			Rose:    of.Rose,
			Wind:    of.Wind,
		}
		if of.Limits != nil {
			unit.Limits = append(unit.Limits, PrescribedLimit{"In a row", inARow(&u.Terms, of.Limits)})
		}
		if last := len(of.Breaks) - 1; last > 0 { // what the widths rest on is the same for all
			unit.Breaks = of.Breaks[:last]
			s.BreakNotes = addNew(s.BreakNotes, of.Breaks[last])
		}
		for _, w := range u.Windows {
			s.Basis = addNew(s.Basis, w.Basis)
		}
		s.Units = append(s.Units, unit)
		for _, task := range u.After {
			if !slices.ContainsFunc(s.After, func(t TaskRow) bool { return t.Name == task.Name }) {
				s.After = append(s.After, task)
			}
		}
		for k, item := range preparation.OnSite(u.Left, of.Hours, due.Crew.people()) {
			if i == 0 {
				s.OnSite = append(s.OnSite, OnSiteLine{Name: item.Name, Unit: item.CountedIn()})
			}
			s.OnSite[k].Counts = append(s.OnSite[k].Counts, item.Number())
		}
	}
	for k := range s.OnSite {
		s.OnSite[k].say(s.Units[0].OnSite[k].Words)
	}
	if in.Plan != nil {
		s.Ground = newGround(in.Plan.Units, in.Shapes, in.Places, func(unit string) bool {
			return slices.ContainsFunc(s.Units, func(u SheetUnit) bool { return u.Unit == unit })
		})
		if s.Ground != nil {
			s.Ground.Standing = standingLines(in.Standing)
			for i := range s.Ground.Units {
				for k := range s.Units {
					if s.Units[k].Unit == s.Ground.Units[i].Unit {
						s.Ground.Units[i].Number = s.Units[k].Number
					}
				}
			}
		}
	}
	return s
}

// addNew adds the words that a list does not hold yet.
func addNew(list []string, words ...string) []string {
	for _, one := range words {
		if !slices.Contains(list, one) {
			list = append(list, one)
		}
	}
	return list
}

// inARow says how many hours a burn needs, which may be more than the prescription
// asks for.
func inARow(t *Terms, p *prescription.Prescription) string {
	if t.Hours != nil {
		return quantity.Count(*t.Hours, "hour")
	}
	return quantity.Count(p.MinHours, "hour") + " at least"
}

// firstWindow gives the first day of a unit's first window; a day after all others
// where it has none.
func firstWindow(u *DueUnit) date.Day {
	if len(u.Windows) == 0 {
		return date.MustDay(9999, 12, 31)
	}
	return u.Windows[0].First
}
