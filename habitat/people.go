package habitat

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat/quantity"
)

// People are those who burn, the burn boss included: by name, or how many. The zero
// value is a crew that nobody counted.
type People struct {
	// Count is how many; 0 is not known. With Names it counts them.
	Count int
	Names []string
}

// Named gives a crew of the names.
func Named(names ...string) People { return People{len(names), names} }

// Words gives "4 people", or the names; empty where the crew is not known.
func (p People) Words() string {
	switch {
	case len(p.Names) > 0:
		return strings.Join(p.Names, ", ")
	case p.Count > 0:
		return quantity.Count(p.Count, "person", "people")
	}
	return ""
}

// SeasonPeople are those who burn in one season.
type SeasonPeople struct {
	Season string
	People
}

// PeopleIn gives the crew that the settings name for a season: its own, else that of
// every season.
func (p *Property) PeopleIn(season string) People {
	for _, of := range p.SeasonPeople {
		if of.Season == season {
			return of.People
		}
	}
	return p.People
}

// validatePeople checks who burns and on which days partners do.
func (p *Property) validatePeople() (all []error) {
	add := func(err error) {
		if err != nil {
			all = append(all, err)
		}
	}
	crew := func(field string, of People) {
		if of.Count < 0 || of.Count > MaxPeople {
			add(fieldErrorf(field+".people", fmt.Sprintf("0 to %d", MaxPeople), "%d is not the size of a crew", of.Count))
		}
		if len(of.Names) > 0 && of.Count != len(of.Names) {
			add(fieldErrorf(field+".people", "people or names, or as many names as people", "%d people and %s", of.Count, quantity.Count(len(of.Names), "name")))
		}
		for i, name := range of.Names {
			if add(ValidateName(field+".names", name)); slices.Contains(of.Names[:i], name) {
				add(fieldErrorf(field+".names", "each name once", "%q is named twice", name))
			}
		}
	}
	crew("crew", p.People)
	for i, of := range p.SeasonPeople {
		field := fmt.Sprintf("crew.season[%d]", i)
		if p.SeasonIndex(of.Season) < 0 {
			add(fieldErrorf(field+".season", "one of "+p.seasonNames(), "%q is not a season of this property", of.Season))
		}
		if slices.ContainsFunc(p.SeasonPeople[:i], func(o SeasonPeople) bool { return o.Season == of.Season }) {
			add(fieldErrorf(field+".season", "each season once", "%q is named twice", of.Season))
		}
		if crew(field, of.People); of.Count == 0 {
			add(fieldErrorf(field, "people above 0, or names; without both, no [[crew.season]] for it", "says nobody for %q", of.Season))
		}
	}
	for i, days := range p.Crew.Shared {
		field := fmt.Sprintf("crew.shared[%d]", i)
		add(ValidateName(field+".partner", days.Partner))
		if days.People < 0 || days.People > MaxPeople {
			add(fieldErrorf(field+".people", fmt.Sprintf("0 to %d", MaxPeople), "%d is not the size of a crew", days.People))
		}
	}
	return all
}
