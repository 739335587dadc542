package problem

import (
	"fmt"
	"slices"
	"strconv"
)

// oddities says in plain words what is allowed and yet probably a slip.
func (p *Problem) oddities() []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	groupAcres, allowed := p.RefugeAcres(), p.Allowed()
	for i := range p.Units {
		u := &p.Units[i]
		if u.Refuge >= 0 {
			group := p.Refuges[u.Refuge]
			if limit := group.MaxShare * groupAcres[u.Refuge]; !Meets(u.Acres, limit) {
				say("unit %s can never burn: its %s acres are more than the %s acres that refuge %s lets burn in a year",
					u.ID, amount(u.Acres), amount(limit), group.Name)
			}
		}
		if !slices.ContainsFunc(u.Penalty, func(penalty float64) bool { return penalty >= 0 }) {
			say("unit %s can never burn: no season is allowed", u.ID)
		} else if reason := p.neverFits(i, allowed); reason != "" {
			say("unit %s can never burn: %s", u.ID, reason)
		}
	}
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

// neverFits says why no year has room for a unit, or nothing.
func (p *Problem) neverFits(i int, allowed func(unit, year, season int) bool) string {
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
				return ""
			}
		}
	}
	switch {
	case !room:
		return "it is more than the caps of any year allow"
	case !open:
		return "its seasons are closed in every year that has room for it"
	}
	return "it takes more burn days than its seasons allow in any year that has room for it"
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
