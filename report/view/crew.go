package view

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// Crew is who burns in a season, with whom, and which burns can share a day.
type Crew struct {
	// People counts them; 0 is not known. Names are empty where the settings say a
	// number alone.
	People int      `json:"people"`
	Names  []string `json:"names"`
	// Shared are the days that are shared with partners, and OneDay the burns that can
	// be done on one day.
	Shared []SharedDays `json:"shared_days"`
	OneDay []OneDay     `json:"one_day"`
	// Words say all of it, a sentence each.
	Words []string `json:"words"`
}

// SharedDays are days of a season on which a partner's crew burns here, or the own
// crew burns on the partner's ground.
type SharedDays struct {
	Partner string   `json:"partner"`
	First   date.Day `json:"first"`
	Last    date.Day `json:"last"`
	Away    bool     `json:"away"`
	// People is how many the partner brings; 0 is not known.
	People int    `json:"people"`
	Words  string `json:"words"`
}

// OneDay is burns of a season that together take no more than a day of the crew holds,
// and whose windows have a day in common.
type OneDay struct {
	Season string           `json:"season"`
	Year   date.ProgramYear `json:"program_year"`
	Units  []string         `json:"units"`
	// BurnDays are those that each unit takes, Holds those of one day of the crew.
	BurnDays []float64 `json:"burn_days"`
	Holds    float64   `json:"day_holds"`
	// UsableDays counts the usable days that all of the units have in common; First is
	// the first of them.
	UsableDays int      `json:"usable_days"`
	First      date.Day `json:"first"`
	Words      string   `json:"words"`

	days []date.Day
}

// people gives the crew as the settings name it.
func (c *Crew) people() habitat.People { return habitat.People{Count: c.People, Names: c.Names} }

// templateWords say which county templates settings follow, a sentence each.
func templateWords(p *habitat.Property) []string {
	all := []string{}
	for i := range p.Templates {
		all = append(all, fmt.Sprintf("Seasons, closures and tasks follow the %s: ask whether they hold where you are.", p.Templates[i].Words()))
	}
	return all
}

// noCrew is said where the settings name nobody.
const noCrew = "The settings name no crew for the season ([crew] people or names)."

// crewWords says who burns.
func crewWords(of habitat.People) string {
	switch {
	case len(of.Names) > 0:
		return fmt.Sprintf("Crew of %d: %s.", of.Count, strings.Join(of.Names, ", "))
	case of.Count > 0:
		return fmt.Sprintf("Crew of %d, the burn boss included.", of.Count)
	}
	return noCrew
}

// sharedDays gives the days of a span that are shared with partners.
func sharedDays(p *habitat.Property, span date.Span) []SharedDays {
	all := []SharedDays{}
	for i := range p.Crew.Shared {
		of := &p.Crew.Shared[i]
		for _, days := range of.Within(span) {
			row := SharedDays{Partner: of.Partner, First: days.First, Last: days.Last, Away: of.Away, People: of.People}
			when := days.First.Words()
			if days.Last != days.First {
				when = fmt.Sprintf("%s to %s", ShortDay(days.First), days.Last.Words())
			}
			if row.Words = fmt.Sprintf("%s: %s burns here too", when, of.Partner); of.Away {
				row.Words = fmt.Sprintf("%s: the crew burns on the ground of %s, and nothing burns here", when, of.Partner)
			}
			if of.People > 0 {
				row.Words += fmt.Sprintf(" (%s of theirs)", quantity.Count(of.People, "person", "people"))
			}
			row.Words += "."
			all = append(all, row)
		}
	}
	slices.SortStableFunc(all, func(a, b SharedDays) int { return a.First.Compare(b.First) })
	return all
}

// usableDays are the days of a burn's windows from which the crew can choose.
func (in *Season) usableDays(w *UnitWindows) []date.Day {
	var all []date.Day
	p := &in.Plan.Property
	for _, one := range w.Windows {
		for d := one.First; !d.After(one.Last); d = d.AddDays(1) {
			if p.Crew.IsWorkday(d) && !p.IsClosed(w.Unit, d) && !d.Before(in.Plan.Stamp.On) {
				all = append(all, d)
			}
		}
	}
	return all
}

// oneDay lays the burns of a season that are still to come together: each joins the
// first that leave it room on a day of the crew and have a day in common with it.
func (l *layout) oneDay(in *Season, season string, year date.ProgramYear) []OneDay {
	holds := in.Plan.Property.BurnDaysADay()
	var groups []OneDay
	for i := range in.Windows {
		w := &in.Windows[i]
		u := l.known[w.Unit]
		if u == nil || w.Season != season || w.Year != year || u.BurnDays <= 0 || u.BurnDays >= holds {
			continue
		}
		if state := in.Plan.state(u, l.records[u.ID], year); state.Done {
			continue
		}
		days := in.usableDays(w)
		at := slices.IndexFunc(groups, func(g OneDay) bool {
			return sum(g.BurnDays)+u.BurnDays <= holds*(1+1e-9) && len(common(g.days, days)) > 0
		})
		if at < 0 {
			at, groups = len(groups), append(groups, OneDay{Season: season, Year: year, Holds: holds, days: days})
		}
		g := &groups[at]
		g.Units, g.BurnDays, g.days = append(g.Units, u.ID), append(g.BurnDays, u.BurnDays), common(g.days, days)
	}
	groups = slices.DeleteFunc(groups, func(g OneDay) bool { return len(g.Units) < 2 })
	for i := range groups {
		groups[i].settle()
	}
	return groups
}

// common gives the days that two lists in order of time have in common.
func common(a, b []date.Day) (both []date.Day) {
	for len(a) > 0 && len(b) > 0 {
		switch order := a[0].Compare(b[0]); {
		case order < 0:
			a = a[1:]
		case order > 0:
			b = b[1:]
		default:
			both, a, b = append(both, a[0]), a[1:], b[1:]
		}
	}
	return both
}

func sum(all []float64) (total float64) {
	for _, v := range all {
		total += v
	}
	return total
}

// settle says the group in words once its days are known.
func (g *OneDay) settle() {
	g.UsableDays, g.First = len(g.days), g.days[0]
	g.Words = fmt.Sprintf("%s can burn on one day (%s of the %s that a day holds): %s in common, the first %s.",
		quantity.List(g.Units), g.shares(), BurnDays(g.Holds), quantity.Count(g.UsableDays, "usable day"), g.First.Words())
}

// shares gives "0.5 + 0.5".
func (g *OneDay) shares() string {
	each := make([]string, len(g.BurnDays))
	for i, days := range g.BurnDays {
		each[i] = Number(days)
	}
	return strings.Join(each, " + ")
}

// with says of a unit with which others it can burn on one day; empty where it is none
// of them.
func (g *OneDay) with(unit string) string {
	if !slices.Contains(g.Units, unit) {
		return ""
	}
	others := slices.DeleteFunc(slices.Clone(g.Units), func(u string) bool { return u == unit })
	return fmt.Sprintf("Can burn on one day with %s (%s of the %s that a day holds).", quantity.List(others), g.shares(), BurnDays(g.Holds))
}

// crew says who burns in a season and how days are shared.
func (l *layout) crew(in *Season, season string, year date.ProgramYear) Crew {
	p := &in.Plan.Property
	of := p.PeopleIn(season)
	c := Crew{
		People: of.Count,
		Names:  append([]string{}, of.Names...),
		Shared: []SharedDays{},
		OneDay: append([]OneDay{}, l.oneDay(in, season, year)...),
		Words:  []string{crewWords(of)},
	}
	if s := p.SeasonIndex(season); s >= 0 {
		span := p.SeasonSpan(s, year)
		if span.First.Before(in.Plan.Stamp.On) {
			span.First = in.Plan.Stamp.On
		}
		c.Shared = sharedDays(p, span)
	}
	for _, days := range c.Shared {
		c.Words = append(c.Words, days.Words)
	}
	for _, day := range c.OneDay {
		c.Words = append(c.Words, day.Words)
	}
	return c
}
