package settings

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// Difference is one setting that differs between two properties. Old or New is
// empty where the setting is absent.
type Difference struct{ Setting, Old, New string }

// String gives "years: 5 → 6", "closure nesting: added, 15 Apr to 15 Jul" or
// "cap of acres: removed, was 420".
func (d Difference) String() string {
	switch {
	case d.Old == "":
		return d.Setting + ": added, " + d.New
	case d.New == "":
		return d.Setting + ": removed, was " + d.Old
	}
	return d.Setting + ": " + d.Old + " → " + d.New
}

// Diff gives every setting that differs, in the order of the settings file;
// nothing for equal properties. Both have passed Validate.
func Diff(old, new *habitat.Property) []Difference {
	before, after := describe(old), describe(new)
	var all []Difference
	for _, e := range after.entries {
		if was := before.values[e.setting]; was != e.value {
			all = append(all, Difference{e.setting, was, e.value})
		}
	}
	for _, e := range before.entries {
		if _, ok := after.values[e.setting]; !ok {
			all = append(all, Difference{e.setting, e.value, ""})
		}
	}
	return append(all, reordered(old, new)...)
}

// reordered tells when the same seasons stand in another order: their order is
// that of the program year.
func reordered(old, new *habitat.Property) []Difference {
	names := func(p *habitat.Property) []string {
		var all []string
		for _, s := range p.Seasons {
			all = append(all, s.Name)
		}
		return all
	}
	a, b := names(old), names(new)
	if slices.Equal(a, b) || !slices.Equal(slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b))) {
		return nil
	}
	return []Difference{{"order of seasons", strings.Join(a, ", "), strings.Join(b, ", ")}}
}

// description is every setting in words.
type description struct {
	entries []entry
	values  map[string]string
}

type entry struct{ setting, value string }

// add keeps a setting; one that has its name already gets a number.
func (d *description) add(setting, format string, args ...any) {
	name := setting
	for n := 2; d.values[name] != ""; n++ {
		name = fmt.Sprintf("%s (%d)", setting, n)
	}
	value := fmt.Sprintf(format, args...)
	if value != "" {
		d.entries = append(d.entries, entry{name, value})
		d.values[name] = value
	}
}

func describe(p *habitat.Property) *description {
	d := &description{values: map[string]string{}}
	d.add("name", "%s", p.Name)
	d.add("place", "%s", p.Place)
	d.add("owner", "%s", p.Owner)
	d.add("farm", "%s", p.Land.Farm)
	d.add("tract", "%s", p.Land.Tract)
	d.add("section", "%s", p.Land.Section)
	if p.HasPlace {
		d.add("latitude", "%s", number(p.Latitude))
		d.add("longitude", "%s", number(p.Longitude))
	}
	d.add("hours from UTC", "%s", number(float64(p.UTCOffset)))
	if p.Zone != "" {
		d.add("time zone", "%s", p.Zone)
	}
	d.add("program year starts", "%s", time.Month(p.YearStart))
	d.add("years", "%d", p.Years)
	if p.Lookahead < 0 {
		d.add("lookahead", "longest max interval, at most %d", habitat.MaxLookahead)
	} else {
		d.add("lookahead", "%d", p.Lookahead)
	}
	if p.KeepYears == nil {
		d.add("years to keep", "%d by default", p.Keep())
	} else {
		d.add("years to keep", "%d", p.Keep())
	}
	d.add("share that resets the age", "%s", number(float64(p.ResetShare)))
	for _, k := range p.TreatmentsReset {
		d.add(string(k), "sets the age back")
	}
	if p.AllGrazed {
		d.add("grazed", "every unit")
	}
	d.add("grazed", "%s", strings.Join(p.GrazedUnits, ", "))
	d.add("least chance of a window", "%s", number(float64(p.WindowChance)))
	d.add("dollars a foot of break", "%s", number(p.BreakDollars))
	for _, s := range p.Seasons {
		text := s.Span.Words()
		if s.BurnDays != nil {
			text += ", " + number(*s.BurnDays) + " burn days"
		}
		d.add("season "+s.Name, "%s", text)
	}
	d.add("people", "%s", peopleWords(p.People))
	for _, of := range p.SeasonPeople {
		d.add("people in "+of.Season, "%s", peopleWords(of.People))
	}
	if p.DayHolds > 0 {
		d.add("burn days that a day holds", "%s", number(p.DayHolds))
	}
	d.add("weekends", "%s", worked(p.Crew.Weekends))
	d.add("federal holidays", "%s", worked(!p.Crew.FederalHolidays))
	for _, off := range p.Crew.Off {
		d.add(strings.TrimSpace("days off "+off.Name), "%s", off.Span)
	}
	for i := range p.Crew.Shared {
		days := &p.Crew.Shared[i]
		d.add("days shared with "+days.Partner, "%s", sharedWords(days))
	}
	for _, c := range p.Closures {
		d.add("closure "+c.Name, "%s", closureWords(&c))
	}
	d.caps("cap of ", "", &p.Caps)
	for _, c := range p.CapsIn {
		d.caps("cap of ", fmt.Sprintf(" in %d", c.Year), &c.Caps)
	}
	d.wishes(p)
	for _, o := range p.Templates {
		d.add("template of "+o.Name, "%s, %s", o.Source, o.On)
	}
	return d
}

// peopleWords says who burns: a number, or names.
func peopleWords(of habitat.People) string {
	if len(of.Names) == 0 && of.Count > 0 {
		return fmt.Sprint(of.Count)
	}
	return of.Words()
}

func sharedWords(days *date.SharedDays) string {
	words := ", here"
	if days.Away {
		words = ", away"
	}
	if days.People > 0 {
		words += ", with " + quantity.Count(days.People, "person", "people")
	}
	if days.Yearly != nil {
		return days.Yearly.Words() + words
	}
	if days.Once.First == days.Once.Last {
		return days.Once.First.String() + words
	}
	return days.Once.String() + words
}

func worked(yes bool) string {
	if yes {
		return "worked"
	}
	return "off"
}

func closureWords(c *habitat.Closure) string {
	var text string
	if c.Yearly != nil {
		text = c.Yearly.Words()
	} else {
		text = c.Once.String()
	}
	if len(c.Units) > 0 {
		text += " for " + strings.Join(c.Units, ", ")
	}
	return text
}

func (d *description) caps(before, after string, c *habitat.Caps) {
	if c.Acres != nil {
		d.add(before+"acres"+after, "%s", number(float64(*c.Acres)))
	}
	if c.Burns != nil {
		d.add(before+"burns"+after, "%d", *c.Burns)
	}
	if c.Cost != nil {
		d.add(before+"cost"+after, "%s", *c.Cost)
	}
	for _, season := range slices.Sorted(maps.Keys(c.BurnDays)) {
		d.add(before+"burn days in "+season+after, "%s", number(c.BurnDays[season]))
	}
}

func (d *description) wishes(p *habitat.Property) {
	for _, side := range []struct {
		name  string
		acres *quantity.Acres
	}{{"least acres wanted a year", p.EvenLo}, {"most acres wanted a year", p.EvenHi}} {
		if side.acres != nil {
			d.add(side.name, "%s", number(float64(*side.acres)))
		}
	}
	for _, m := range p.Mixes {
		classes := make([]string, len(m.Classes))
		for i, c := range m.Classes {
			classes[i] = fmt.Sprintf("%s (age %s) %s to %s", c.Name, c.Ages(), number(float64(c.MinShare)), number(float64(c.MaxShare)))
		}
		d.add("mix "+m.Name, "%s", strings.Join(classes, ", "))
	}
	for _, r := range p.Refuges {
		d.add("refuge "+r.Name, "at most %s of the acres a year", number(float64(r.MaxShare)))
	}
	w := p.Weights
	for i, v := range []float64{w.Overdue, w.Mix, w.Season, w.Evenness, w.Neighbors, w.Keep} {
		d.add("weight of "+[]string{"overdue", "mix", "season", "evenness", "neighbors", "keep"}[i], "%s", number(v))
	}
	d.add("growth of overdue a year", "%s", number(w.OverdueGrowth))
	d.add("years in which overdue grows", "%d", w.OverdueGrowthYears)
}
