package view

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// Obstacle is a requirement that stands in the way of a choice, everything
// else in the plan staying as it is.
type Obstacle struct {
	Requirement problem.Requirement `json:"requirement"`
	Words       string              `json:"words"`
}

// obstacles says what forbids the other choice for a unit and year.
func (l *layout) obstacles(unit, t int) []Obstacle {
	if l.burns(unit, t) {
		return l.againstRest(unit, t)
	}
	return l.againstBurn(unit, t)
}

func (l *layout) againstRest(unit, t int) []Obstacle {
	for _, lock := range l.Problem.Locks {
		if lock.Unit == unit && lock.Year == int(l.year(t)) && lock.Burn {
			return []Obstacle{{problem.RequireLock, fmt.Sprintf("The burn of %d is locked.", lock.Year)}}
		}
	}
	return nil
}

func (l *layout) againstBurn(unit, t int) []Obstacle {
	p, u := l.Problem, &l.Problem.Units[unit]
	var all []Obstacle
	say := func(r problem.Requirement, format string, args ...any) {
		all = append(all, Obstacle{r, fmt.Sprintf(format, args...)})
	}
	for _, lock := range p.Locks {
		if lock.Unit == unit && lock.Year == int(l.year(t)) && !lock.Burn {
			say(problem.RequireLock, "The rest of %d is locked.", lock.Year)
		}
	}
	if age := l.age[unit][t]; age < u.MinInterval {
		say(problem.RequireRest, "It would be only %s old; its shortest interval is %d.", plural(age, "year"), u.MinInterval)
	}
	for next := t + 1; next < min(p.T(), t+u.MinInterval); next++ {
		if l.burns(unit, next) {
			say(problem.RequireRest, "Its burn of %d would follow after %s; its shortest interval is %d.", l.year(next), plural(next-t, "year"), u.MinInterval)
			break
		}
	}
	for _, pair := range p.Apart {
		if other := partner(pair, unit); other >= 0 && l.burns(other, t) {
			say(problem.RequireApart, "%s burns in %d and must be kept apart from it.", p.Units[other].ID, l.year(t))
		}
	}
	used := l.used(t)
	caps := &p.Caps[t]
	if !problem.Meets(used.acres+u.Acres, caps.Acres) {
		say(problem.RequireAcres, "%s acres are planned for %d and it has %s; the limit is %s.", acresWords(used.acres), l.year(t), acresWords(u.Acres), acresWords(caps.Acres))
	}
	if !problem.Meets(used.burns+1, caps.Burns) {
		say(problem.RequireBurns, "%s are planned for %d, as many as the limit allows.", plural(int(used.burns), "burn"), l.year(t))
	}
	if !problem.Meets(used.cost+u.Cost, caps.Cost) {
		say(problem.RequireCost, "%s are planned for %d and its burn costs %s; the limit is %s.", centsOf(used.cost), l.year(t), centsOf(u.Cost), centsOf(caps.Cost))
	}
	if u.Refuge >= 0 {
		most := p.Refuges[u.Refuge].MaxShare * p.RefugeAcres()[u.Refuge]
		if !problem.Meets(used.refuge[u.Refuge]+u.Acres, most) {
			say(problem.RequireRefuge, "%s acres of refuge %s burn in %d and it has %s; the group allows %s.",
				acresWords(used.refuge[u.Refuge]), p.Refuges[u.Refuge].Name, l.year(t), acresWords(u.Acres), acresWords(most))
		}
	}
	if words := l.noBurnDay(u, used, caps, t); words != "" {
		say(problem.RequireBurnDays, "%s", words)
	}
	return all
}

// noBurnDay says why no season of the year has room for the unit, or nothing.
func (l *layout) noBurnDay(u *problem.Unit, used usage, caps *problem.YearCaps, t int) string {
	var full []string
	for s, name := range l.Problem.Seasons {
		if !u.Allows(s) {
			continue
		}
		if problem.Meets(used.days[s]+u.BurnDays, caps.BurnDays[s]) {
			return ""
		}
		full = append(full, fmt.Sprintf("%s has %s of %s burn days planned", name, short(used.days[s]), short(caps.BurnDays[s])))
	}
	if full == nil {
		return "No season is allowed for it."
	}
	return fmt.Sprintf("In %d %s, and it needs %s.", l.year(t), strings.Join(full, "; "), counted(u.BurnDays, "burn days"))
}

func partner(pair [2]int, unit int) int {
	switch unit {
	case pair[0]:
		return pair[1]
	case pair[1]:
		return pair[0]
	}
	return -1
}

func acresWords(acres float64) string { return quantity.Acres(acres).String() }

// usage is what a plan takes in one year.
type usage struct {
	acres, burns, cost float64
	days, refuge       []float64
}

func (l *layout) used(t int) usage {
	p := l.Problem
	out := usage{days: make([]float64, len(p.Seasons)), refuge: make([]float64, len(p.Refuges))}
	for i := range p.Units {
		s := l.season[i][t]
		if s < 0 {
			continue
		}
		u := &p.Units[i]
		out.acres += u.Acres
		out.burns++
		out.cost += u.Cost
		out.days[s] += u.BurnDays
		if u.Refuge >= 0 {
			out.refuge[u.Refuge] += u.Acres
		}
	}
	return out
}

// alone gives by how much the cost of all years changes when one unit's choice
// of one year is reversed, in the cheapest allowed season, and nothing else moves.
func (l *layout) alone(unit, t int) quantity.AcreYears {
	other := *l
	other.season, other.age = slices.Clone(l.season), slices.Clone(l.age)
	other.season[unit], other.age[unit] = slices.Clone(l.season[unit]), slices.Clone(l.age[unit])
	if l.burns(unit, t) {
		other.season[unit][t] = -1
	} else {
		other.season[unit][t] = cheapestSeason(&l.Problem.Units[unit])
	}
	age := l.Problem.Units[unit].Age
	for year := range other.age[unit] {
		if age++; other.season[unit][year] >= 0 {
			age = 0
		}
		other.age[unit][year] = age
	}
	weights := list(problem.Parts(l.Problem.Weights))
	var change float64
	for year := range l.Problem.T() {
		before, after := l.costIn(year), other.costIn(year)
		for k := range weights {
			change += weights[k] * (after[k] - before[k])
		}
	}
	return quantity.AcreYears(change)
}

// cheapestSeason gives the allowed season with the least penalty, −1 for none.
func cheapestSeason(u *problem.Unit) int {
	best, least := -1, math.Inf(1)
	for s, penalty := range u.Penalty {
		if penalty >= 0 && penalty < least {
			best, least = s, penalty
		}
	}
	return best
}
