package problem

import (
	"fmt"
	"slices"
	"strconv"

	"emberquilt/habitat/quantity"
)

// oddities says in plain words what is allowed and yet probably a slip.
func (p *Problem) oddities() []string {
	out := p.idleUnits()
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	groupAcres := p.RefugeAcres()
	for r, group := range p.Refuges {
		if groupAcres[r] == 0 {
			say("refuge %s has no units", group.Name)
		}
	}
	for m, acres := range p.MixAcres() {
		if acres == 0 {
			say("mix %s has no units", p.Mixes[m].Name)
		}
		p.oddShares(m, say)
	}
	return out
}

// reason is why a unit can never burn, in words for one unit and for several.
type reason struct{ one, several string }

// idleUnits says which units can never burn, those of one reason together.
func (p *Problem) idleUnits() []string {
	const mostNames = 12
	type group struct {
		first reason
		units []string
	}
	var groups []*group
	of := map[string]*group{}
	add := func(u *Unit, why reason) {
		g := of[why.several]
		if g == nil {
			g = &group{first: why}
			of[why.several], groups = g, append(groups, g)
		}
		g.units = append(g.units, u.ID)
	}
	groupAcres, allowed := p.RefugeAcres(), p.Allowed()
	for i := range p.Units {
		u := &p.Units[i]
		if u.Refuge >= 0 {
			refuge := &p.Refuges[u.Refuge]
			if limit := refuge.MaxShare * groupAcres[u.Refuge]; !Meets(u.Acres, limit) {
				lets := fmt.Sprintf("more than the %s acres that refuge %s lets burn in a year", amount(limit), refuge.Name)
				add(u, reason{fmt.Sprintf("its %s acres are %s", amount(u.Acres), lets), "each has " + lets})
			}
		}
		if !slices.ContainsFunc(u.Penalty, func(penalty float64) bool { return penalty >= 0 }) {
			add(u, reason{"no season is allowed", "no season is allowed for any of them"})
		} else if why, never := p.neverFits(i, allowed); never {
			add(u, why)
		}
	}
	var out []string
	for _, g := range groups {
		if len(g.units) == 1 {
			out = append(out, fmt.Sprintf("unit %s can never burn: %s", g.units[0], g.first.one))
		} else {
			out = append(out, fmt.Sprintf("units %s can never burn: %s", quantity.ListFirst(g.units, mostNames), g.first.several))
		}
	}
	return out
}

// neverFits says why no year has room for a unit; never is false where one has.
func (p *Problem) neverFits(i int, allowed func(unit, year, season int) bool) (why reason, never bool) {
	u := &p.Units[i]
	room, open := false, false
	for t, c := range p.Caps {
		if !Meets(u.Acres, c.Acres) || !Meets(1, c.Burns) || !Meets(u.Cost, c.Cost) {
			continue
		}
		room = true
		for s, limit := range c.BurnDays {
			if !allowed(i, p.FirstYear+t, s) {
				continue
			}
			open = true
			if Meets(u.BurnDays, limit) {
				return reason{}, false
			}
		}
	}
	switch {
	case !room:
		return reason{"it is more than the caps of any year allow", "each is more than the caps of any year allow"}, true
	case !open:
		return reason{"its seasons are closed in every year that has room for it", "the seasons of each are closed in every year that has room for it"}, true
	}
	return reason{
		"it takes more burn days than its seasons allow in any year that has room for it",
		"each takes more burn days than its seasons allow in any year that has room for it",
	}, true
}

// oddShares warns of a mix whose wanted shares cannot hold together.
func (p *Problem) oddShares(m int, say func(string, ...any)) {
	var low, high float64
	for _, c := range p.Mixes[m].Classes {
		low += c.MinShare
		high += c.MaxShare
	}
	if low > 1+1e-9 {
		say("mix %s: the smallest shares add up to %s, more than 1, so that some class is always short", p.Mixes[m].Name, amount(low))
	}
	if high < 1-1e-9 {
		say("mix %s: the largest shares add up to %s, less than 1, so that some class is always above its share", p.Mixes[m].Name, amount(high))
	}
}

// amount writes a quantity for a sentence: at most four decimals, at least one.
func amount(x float64) string {
	text := strconv.FormatFloat(x, 'f', 4, 64)
	for text[len(text)-1] == '0' && text[len(text)-2] != '.' {
		text = text[:len(text)-1]
	}
	return text
}
