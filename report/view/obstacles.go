package view

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// Obstacle is a requirement that stands in the way of a choice, everything
// else in the plan staying as it is, or a neighbor's burn that makes it costly.
type Obstacle struct {
	// Requirement is empty for what is not required and only counts.
	Requirement problem.Requirement `json:"requirement,omitempty"`
	Words       string              `json:"words"`
}

// heldBack says what forbids the other choice for a unit and year, then which burns of
// neighbors speak for the choice that was made.
func (l *layout) heldBack(unit, t int) []Obstacle {
	all := l.obstacles(unit, t)
	if l.burns(unit, t) || l.Problem.Weights.Neighbors <= 0 {
		return all
	}
	for _, pair := range l.Problem.Neighbors {
		if other := partner(pair, unit); other >= 0 && l.burns(other, t) {
			counts := l.Problem.Weights.Neighbors * math.Min(l.Problem.Units[unit].Acres, l.Problem.Units[other].Acres)
			all = append(all, Obstacle{Words: fmt.Sprintf("%s, its neighbor, burns in %d: both in one year count for %s acre-years.",
				l.Problem.Units[other].ID, l.year(t), quantity.Group(counts, 1))})
		}
	}
	return all
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
			words := fmt.Sprintf("The burn of %d is locked.", lock.Year)
			if name := l.heldFor(unit, date.ProgramYear(lock.Year)); name != "" {
				words = fmt.Sprintf("The burn of %d is held for %s.", lock.Year, name)
			}
			return []Obstacle{{problem.RequireLock, words}}
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
	if age := l.stands[unit][t]; age < u.MinInterval {
		say(problem.RequireRest, "It would have rested only %s; the minimum is %d.", quantity.Count(age, "year"), u.MinInterval)
	}
	for next := t + 1; next < min(p.T(), t+u.MinInterval); next++ {
		if l.burns(unit, next) {
			say(
				problem.RequireRest,
				"Burning it in %d would put its %d burn only %s later; the minimum is %d.",
				l.year(t),
				l.year(next),
				quantity.Count(next-t, "year"),
				u.MinInterval,
			)
			break
		}
	}
	for _, pair := range p.Apart {
		if other := partner(pair, unit); other >= 0 && l.burns(other, t) {
			say(problem.RequireApart, "%s burns in %d and must be kept apart from it.", p.Units[other].ID, l.year(t))
		}
	}
	used := l.used[t]
	caps := &p.Caps[t]
	if !problem.Meets(used.acres+u.Acres, caps.Acres) {
		say(problem.RequireAcres, "%s acres are planned for %d and it has %s; the limit is %s.", acresWords(used.acres), l.year(t), acresWords(u.Acres), acresWords(caps.Acres))
	}
	if !problem.Meets(used.burns+1, caps.Burns) {
		say(problem.RequireBurns, "%s are planned for %d, as many as the limit allows.", quantity.Count(int(used.burns), "burn"), l.year(t))
	}
	if !problem.Meets(used.cost+u.Cost, caps.Cost) {
		say(problem.RequireCost, "%s are planned for %d and its burn costs %s; the limit is %s.", centsOf(used.cost), l.year(t), centsOf(u.Cost), centsOf(caps.Cost))
	}
	if u.Refuge >= 0 {
		most := p.Refuges[u.Refuge].MaxShare * l.refugeAcres[u.Refuge]
		if !problem.Meets(used.refuge[u.Refuge]+u.Acres, most) {
			say(problem.RequireRefuge, "%s acres of refuge %s burn in %d and it has %s; the group allows %s.",
				acresWords(used.refuge[u.Refuge]), p.Refuges[u.Refuge].Name, l.year(t), acresWords(u.Acres), acresWords(most))
		}
	}
	if l.cheapestSeason(unit, t) < 0 {
		say(problem.RequireSeason, "%s", l.noSeason(unit, t))
	} else if words := l.noBurnDay(unit, used, caps, t); words != "" {
		say(problem.RequireBurnDays, "%s", words)
	}
	return all
}

// noSeason says why a unit can burn in no season of a year.
func (l *layout) noSeason(unit, t int) string {
	for s := range l.Problem.Seasons {
		if l.Problem.Units[unit].Allows(s) {
			return fmt.Sprintf("Its seasons are closed in %d.", l.year(t))
		}
	}
	return "No season is allowed for it."
}

// noBurnDay says why none of the unit's open seasons of the year has room for it, or
// nothing.
func (l *layout) noBurnDay(unit int, used usage, caps *problem.YearCaps, t int) string {
	u := &l.Problem.Units[unit]
	var full []string
	for s, name := range l.Problem.Seasons {
		if !u.Allows(s) || !l.allowed(unit, int(l.year(t)), s) {
			continue
		}
		if problem.Meets(used.days[s]+u.BurnDays, caps.BurnDays[s]) {
			return ""
		}
		full = append(full, fmt.Sprintf("%s has %s of %s burn days planned", name, short(used.days[s]), short(caps.BurnDays[s])))
	}
	return fmt.Sprintf("In %d %s, and it needs %s.", l.year(t), strings.Join(full, "; "), counted(u.BurnDays, "burn day"))
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

// usedIn sums what a plan takes in one year, in unit order.
func (l *layout) usedIn(t int) usage {
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
// of one year is reversed, in the cheapest allowed season, and nothing else
// moves. It looks only at what that unit changes.
func (l *layout) alone(unit, t int) quantity.AcreYears {
	p, u := l.Problem, &l.Problem.Units[unit]
	season := slices.Clone(l.season[unit])
	if l.burns(unit, t) {
		season[t] = -1
	} else if season[t] = l.cheapestSeason(unit, t); season[t] < 0 {
		return 0
	}
	var change problem.Parts
	age := u.Age
	for year := range p.T() {
		if age++; season[year] >= 0 {
			age = 0
		}
		was := l.age[unit][year]
		change.Overdue += (p.OverdueFactor(age, u.MaxInterval) - p.OverdueFactor(was, u.MaxInterval)) * u.Acres
		if u.Mix >= 0 {
			if from, to := l.class(u.Mix, was), l.class(u.Mix, age); from != to {
				change.Mix += l.moved(u.Mix, year, from, -u.Acres) + l.moved(u.Mix, year, to, u.Acres)
			}
		}
	}
	burn := season[t] >= 0
	if burn {
		change.Season = u.Penalty[season[t]] * u.Acres
	} else {
		change.Season = -u.Penalty[l.season[unit][t]] * u.Acres
	}
	burned := l.used[t].acres
	change.Evenness = l.offEven(burned+sign(burn)*u.Acres) - l.offEven(burned)
	for _, pair := range p.Neighbors {
		if other := partner(pair, unit); other >= 0 && l.burns(other, t) {
			change.Neighbors += sign(burn) * math.Min(u.Acres, p.Units[other].Acres)
		}
	}
	if t < p.KeepYears {
		change.Keep = sign(l.previousIn(t)[unit] != burn) * u.Acres
	}
	amounts, weights := list(change), list(problem.Parts(p.Weights))
	var cost float64
	for k := range amounts {
		cost += weights[k] * amounts[k]
	}
	return quantity.AcreYears(cost)
}

// moved gives by how much a class's miss changes when acres join or leave it.
func (l *layout) moved(mix, year, class int, acres float64) float64 {
	if class < 0 {
		return 0
	}
	held := l.held[year][mix][class]
	return l.offClass(mix, class, held+acres) - l.offClass(mix, class, held)
}

// sign gives 1 for what comes and −1 for what goes.
func sign(comes bool) float64 {
	if comes {
		return 1
	}
	return -1
}

// cheapestSeason gives the season in which a unit may burn in a year with the
// least penalty, −1 for none.
func (l *layout) cheapestSeason(unit, t int) int {
	best, least := -1, math.Inf(1)
	for s, penalty := range l.Problem.Units[unit].Penalty {
		if penalty < least && l.allowed(unit, int(l.year(t)), s) {
			best, least = s, penalty
		}
	}
	return best
}
