package view

import (
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
)

// OnSiteRow is one thing to have on site, with an empty box.
type OnSiteRow struct {
	Words    string `json:"words"`
	Why      string `json:"why"`
	Standing string `json:"standing"`
}

func onSite(acres quantity.Acres, hours quantity.Hours, people int) []OnSiteRow {
	var rows []OnSiteRow
	for _, item := range preparation.OnSite(acres, hours, people) {
		rows = append(rows, OnSiteRow{item.Words(), item.Why, item.Standing})
	}
	return rows
}

// SheetInput is what a this-season sheet is computed from, beside the season.
type SheetInput struct {
	// Contacts in the order of calling; none gives those of preparation.Contacts.
	Contacts []habitat.Contact
	// Hours says, by unit, how long the fire is expected to need.
	Hours map[string]quantity.Hours
	// People is the crew, the burn boss included; 0 means not known.
	People int
	// Breaks and Near give, by unit, the lines about breaks and sensitive places.
	Breaks, Near map[string][]string
	// Shapes and Places are drawn on the first page, with the units of Plan; none
	// leaves the map out.
	Plan   *Plan
	Shapes map[string]ground.Shape
	Places []ground.Place
}

// Sheet is the landowner's paper of one season: a page a unit.
type Sheet struct {
	Due      *Due              `json:"due"`
	Units    []SheetUnit       `json:"units"`
	Contacts []habitat.Contact `json:"contacts"`
	// ReadingRows counts the blank lines of the weather table.
	ReadingRows int `json:"reading_rows"`
	// Ground is nil where no unit has a shape.
	Ground *Ground `json:"ground,omitempty"`
}

// SheetUnit is one page.
type SheetUnit struct {
	DueUnit
	OnSite []OnSiteRow `json:"on_site"`
	// Breaks says how much break the unit needs, Places where the sensitive places
	// lie; empty where no shape is known.
	Breaks []string `json:"breaks,omitempty"`
	Places []string `json:"sensitive_places,omitempty"`
}

// NewSheet computes the sheet of a season.
func NewSheet(due *Due, in SheetInput) *Sheet {
	s := &Sheet{Due: due, Contacts: in.Contacts, ReadingRows: 6}
	if len(s.Contacts) == 0 {
		s.Contacts = preparation.Contacts()
	}
	for _, u := range due.Open() {
		s.Units = append(s.Units, SheetUnit{u, onSite(u.Left, in.Hours[u.Unit], in.People), in.Breaks[u.Unit], in.Near[u.Unit]})
	}
	if in.Plan != nil {
		s.Ground = newGround(in.Plan.Units, in.Shapes, in.Places, func(unit string) bool {
			return slices.ContainsFunc(s.Units, func(u SheetUnit) bool { return u.Unit == unit })
		})
	}
	return s
}
