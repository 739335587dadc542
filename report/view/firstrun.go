package view

import (
	"fmt"
	"math"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// FirstPlace is where the ground of a first run lies, and how that is known.
type FirstPlace struct {
	Latitude, Longitude float64
	// County is the county that was named; empty for a point.
	County string
	// File holds the shapes of which the point was taken.
	File string
	// Nearest is the county whose center lies nearest to a point, so many miles off;
	// empty where none is near.
	Nearest string
	Miles   float64
}

// Words says it.
func (p *FirstPlace) Words() string {
	point := fmt.Sprintf("%.4f, %.4f", p.Latitude, p.Longitude)
	switch {
	case p.File != "":
		return fmt.Sprintf("%s; %s by the shapes of %s", p.County, point, p.File)
	case p.County != "":
		return fmt.Sprintf("%s: the county's center, %.2f, %.2f; latitude and longitude in the settings make it exact", p.County, p.Latitude, p.Longitude)
	case p.Nearest != "":
		return fmt.Sprintf("%s; the nearest county center is that of %s, %.0f miles off", point, p.Nearest, p.Miles)
	}
	return point
}

// FirstClock is the time zone of a first run, with the county that it was taken from;
// IsSplit says that the county has another one too. Without a zone it says nothing.
type FirstClock struct {
	Zone, County string
	IsSplit      bool
}

// Words says it.
func (c *FirstClock) Words() string {
	if c.Zone == "" {
		return ""
	}
	words := "clock of " + c.Zone
	if c.County != "" {
		words += ", as in " + c.County
	}
	if c.IsSplit {
		words += "; a part of that county keeps another clock: change time_zone where that is yours"
	}
	return words
}

// FirstPatch is a patch of a first run.
type FirstPatch struct {
	Unit       *habitat.Unit
	LastBurned date.Day // zero where no burn is on record
	HasShape   bool
}

// words says it.
func (p *FirstPatch) words() string {
	u := p.Unit
	last := ", last burned " + p.LastBurned.Words()
	switch {
	case p.LastBurned.IsZero() && u.EstimatedAge != nil:
		last = fmt.Sprintf(", last burned about burn year %d", int(u.EstimatedIn)-*u.EstimatedAge)
	case p.LastBurned.IsZero():
		last = ", no burn known: assumed due"
	}
	shape := ""
	if !p.HasShape {
		shape = "; no shape, so no winds, smoke or hours"
	}
	return fmt.Sprintf("patch %s: %s acres, %s%s%s", u.ID, u.Acres, everyWords(u.Interval), last, shape)
}

// everyWords gives "every year", "every 3 years" or "every 2 to 3 years".
func everyWords(i habitat.Interval) string {
	switch {
	case i.Max == 1:
		return "every year"
	case i.Min == i.Max:
		return fmt.Sprintf("every %d years", i.Min)
	}
	return fmt.Sprintf("every %d to %d years", i.Min, i.Max)
}

// Drawn is a file with shapes, and what was taken of it.
type Drawn struct{ File, Told string }

// FirstDraft is what a first run would make.
type FirstDraft struct {
	Property habitat.Property
	Place    FirstPlace
	Clock    FirstClock
	Template string // empty for none
	// BurnDays limits those of each season; nil for no limit.
	BurnDays *float64
	Drawn    []Drawn
	Patches  []FirstPatch
	// Unburned is the share that was wanted. Largest is the unit that keeps it from
	// being held, since it is a larger share of the ground; empty for none.
	Unburned     quantity.Share
	Largest      string
	LargestShare quantity.Share
	// Places and Contacts count them.
	Places, Contacts int
	Prescription     string
	HasWeather       bool
	Notes            []string // of what was read
}

// Lines says what is taken and what will be done, a line each.
func (d *FirstDraft) Lines() (all []string) {
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	p := &d.Property
	say("%s: %s", p.Name, d.Place.Words())
	say("%s", d.Clock.Words())
	if d.Template != "" {
		say("what the %s holds goes before the answers: its seasons, closures, tasks and limits are those of its county; ask whether they hold where you are", d.Template)
	}
	days := "no limit of burn days"
	if d.BurnDays != nil {
		days = "at most " + quantity.Count(int(math.Round(*d.BurnDays)), "burn day")
	}
	for _, s := range p.Seasons {
		say("%s: %s, %s; ask whether that is lawful where you are", s.Name, s.Span.Words(), days)
	}
	if p.Caps.Acres != nil {
		say("at most %s acres burn in a year", p.Caps.Acres)
	}
	for _, l := range d.Drawn {
		say("%s: %s", l.File, l.Told)
	}
	d.ground(say)
	if d.Places > 0 {
		say("%s that smoke may reach: each wind is held against them, for patches with a shape", quantity.Count(d.Places, "place"))
	} else {
		say("no places that smoke may reach: winds are not held against smoke")
	}
	if d.Contacts > 0 {
		say("%s to call before the burn, in your order", quantity.Count(d.Contacts, "person", "people"))
	} else {
		say("whom to call: the usual roles, with blanks")
	}
	switch {
	case len(p.People.Names) > 0:
		say("a crew of %d: %s", p.People.Count, strings.Join(p.People.Names, ", "))
	case p.People.Count > 0:
		say("a crew of %d, yourself included", p.People.Count)
	default:
		say("the size of the crew is not known: lists of what to have on site have blanks")
	}
	say("prescription %s for patches that name none: a starting point, to be replaced by your own written burn plan", source.Quote(d.Prescription))
	if !d.HasWeather {
		say("no past weather: windows follow from dates alone until a record of a station is loaded")
	}
	for _, note := range d.Notes {
		say("note: %s", note)
	}
	return all
}

// ground says what the patches are, and how much of them may burn in a year.
func (d *FirstDraft) ground(say func(string, ...any)) {
	total := quantity.Acres(0)
	for i := range d.Patches {
		total += d.Patches[i].Unit.Acres
		say("%s", d.Patches[i].words())
	}
	say("%s, %s acres", quantity.Count(len(d.Patches), "patch", "patches"), total)
	switch wanted := Percent(float64(d.Unburned)); {
	case len(d.Property.Refuges) == 0:
		say("a plan may burn all of it in one year: no share is left unburned")
	case d.Largest != "":
		say(
			"%s alone is %s of the ground: so much may burn in one year, or it never could; the wanted %s left unburned cannot be kept",
			d.Largest,
			Percent(float64(d.LargestShare)),
			wanted,
		)
	default:
		say("at least %s of the ground is left unburned each year; max_share of the refuge in the settings changes it", wanted)
	}
}
