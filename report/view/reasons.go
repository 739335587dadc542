package view

import (
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/window"
)

// reasons says why a unit does in a year what the plan says, for a manager, or
// plain, in a landowner's words.
func (l *layout) reasons(unit, t int, plain bool) []string {
	p, u, year := l.Problem, &l.Problem.Units[unit], l.year(t)
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	before := l.beforeYear(unit, t)
	if state, ok := l.stateIn(unit, t); ok && state.PartBurned() {
		say("It burned in part this year: %s. The burn can be finished.", BurnedWords(&state))
	}
	if words := l.missedWords(unit, t); words != "" {
		say("%s", words)
	}
	say("%s", l.originWords(unit, t, plain))
	if words := l.partWords(unit, t, plain); words != "" {
		say("%s", words)
	}
	if plain {
		every := "every " + intervalWords(l.interval(unit))
		if l.interval(unit).Max == 1 {
			every = "every year"
		}
		switch {
		case before == 0:
			say("It is to burn %s.", every)
		case l.assumed(unit, t):
			say("By the end of %d it counts as %s without a burn; it is to burn %s.", year-1, quantity.Count(before, "year"), every)
		default:
			say("By the end of %d it is %s since it burned; it is to burn %s.", year-1, quantity.Count(before, "year"), every)
		}
	} else {
		say("At the end of %d its stand age is %s; its return interval is %s.", year-1, quantity.Count(before, "year"), intervalWords(l.interval(unit)))
	}
	isHeld := false
	for i := range l.Lines {
		line := &l.Lines[i]
		if burn := line.counts(u.ID, year); burn != nil {
			say(
				"It burns for %s: %s%s.",
				line.Name(),
				line.forWords(burn),
				map[bool]string{true: ", which plans hold as a " + string(line.Hold)}[line.Held],
			)
			isHeld = isHeld || line.Held
		}
	}
	isRestLocked := false
	for _, lock := range p.Locks {
		if lock.Unit == unit && lock.Year == int(year) && !(isHeld && lock.Burn) {
			isRestLocked = isRestLocked || !lock.Burn
			say("%s is locked.", map[bool]string{true: "The burn", false: "The rest"}[lock.Burn])
		}
	}
	for _, lock := range l.PastLocks {
		if lock.Unit == u.ID && lock.Year == year {
			say("It was locked to burn in %s, which is over without its burn on record; the lock is not counted.", habitat.SeasonWords(lock.Season, lock.Year))
		}
	}
	switch rested := before + 1; {
	case plain && rested >= u.MaxInterval:
		say("Without a burn in %d it ends that year overdue.", year)
	case rested < u.MinInterval:
		say("It is too young to burn in %d.", year)
	case rested >= u.MaxInterval:
		say("Without a burn in %d it ends that year overdue, at stand age %d.", year, rested)
	case isRestLocked || l.cheapestSeason(unit, t) < 0 || !l.isDayLeft(unit, t):
		say("It becomes overdue if it has not burned by the end of %d.", year+date.ProgramYear(u.MaxInterval-rested))
	default:
		say("It may burn in %d, and becomes overdue if it has not burned by the end of %d.", year, year+date.ProgramYear(u.MaxInterval-rested))
	}
	if words := l.classWords(unit, t); words != "" {
		say("%s", words)
	}
	if s := l.season[unit][t]; s >= 0 && u.Penalty[s] > 0 {
		say("The season %s is allowed and not preferred for it (penalty factor %s).", p.Seasons[s], short(u.Penalty[s]))
	}
	return append(all, l.closedWords(unit, t)...)
}

// closedWords says which seasons that a unit may burn in have no day for it in a year,
// and why; of a burn, those that would suit it as well or better. A season that is over
// is none of them.
func (l *layout) closedWords(unit, t int) (all []string) {
	u, known := &l.Problem.Units[unit], l.known[l.Problem.Units[unit].ID]
	if known == nil || l.Property.YearStart == 0 {
		return nil
	}
	for s, name := range l.Problem.Seasons {
		if planned := l.season[unit][t]; !u.Allows(s) || planned == s || planned >= 0 && u.Penalty[s] > u.Penalty[planned] {
			continue
		}
		span := BurnSpan(&l.Property, name, l.year(t))
		if span.First.Before(l.Stamp.On) {
			span.First = l.Stamp.On
		}
		switch season := habitat.SeasonWords(name, l.year(t)); {
		case span.Days() <= 0:
		case len(window.FromDates(span, l.Property.ClosedIn(u.ID, span), &l.Property.Crew)) == 0:
			why := "closures and the crew's calendar take them all"
			if owned := l.Property.Owned[u.ID]; !owned.Has(span.First) && !owned.Has(span.Last) {
				why = "it is not owned then"
			}
			all = append(all, fmt.Sprintf("The %s has no usable day for it: %s.", season, why))
		case !l.allowed(unit, int(l.year(t)), s):
			all = append(all, fmt.Sprintf("The plan holds the %s closed to it.", season))
		}
	}
	return all
}

// isDayLeft reports whether the calendar leaves a unit of the property a usable day from
// today on in a season of a year.
func (l *layout) isDayLeft(unit, t int) bool {
	u := &l.Problem.Units[unit]
	if l.known[u.ID] == nil {
		return true
	}
	for s, penalty := range u.Penalty {
		span := BurnSpan(&l.Property, l.Problem.Seasons[s], l.year(t))
		if span.First.Before(l.Stamp.On) {
			span.First = l.Stamp.On
		}
		if penalty >= 0 && span.Days() > 0 && len(window.FromDates(span, l.Property.ClosedIn(u.ID, span), &l.Property.Crew)) > 0 {
			return true
		}
	}
	return false
}

// assumed reports whether a unit's age before a year rests on an assumption.
func (l *layout) assumed(unit, t int) bool {
	known := l.known[l.Problem.Units[unit].ID]
	return known != nil && l.lastPlanned(unit, t) < 0 && l.ageBefore(unit, t).Assumed != habitat.OnRecord
}

// lastPlanned is the last year before t in which the plan burns a unit and may still do
// so, or did without a record that would tell; -1 where the records tell.
func (l *layout) lastPlanned(unit, t int) int {
	known := l.known[l.Problem.Units[unit].ID]
	for year := t - 1; year >= 0; year-- {
		switch {
		case known != nil && l.Property.YearStart != 0 && l.isDone(known, year):
			return -1
		case l.burns(unit, year) && !l.isMissed(unit, year):
			return year
		}
	}
	return -1
}

// ageBefore is the stand age of a unit of the property before t, as the records tell it.
func (l *layout) ageBefore(unit, t int) habitat.StandAge {
	known := l.known[l.Problem.Units[unit].ID]
	return l.Property.AgeAtEnd(known, l.records[known.ID], l.year(t)-1, l.Stamp.On)
}

// missedWords says that the last burn planned before t was missed; empty where it was not.
func (l *layout) missedWords(unit, t int) string {
	for year := t - 1; year >= 0; year-- {
		if l.burns(unit, year) {
			if l.isMissed(unit, year) {
				return fmt.Sprintf("Its burn in the %s was missed.", habitat.SeasonWords(l.Problem.Seasons[l.season[unit][year]], l.year(year)))
			}
			return ""
		}
	}
	return ""
}

// originWords says where the stand age comes from.
func (l *layout) originWords(unit, t int, plain bool) string {
	if year := l.lastPlanned(unit, t); year >= 0 {
		return fmt.Sprintf("The plan burns it in %d.", l.year(year))
	}
	if l.known[l.Problem.Units[unit].ID] == nil {
		return fmt.Sprintf("The problem gives its stand age at the end of %d as %d.", l.Problem.FirstYear-1, l.Problem.Units[unit].Age)
	}
	age := l.ageBefore(unit, t)
	switch {
	case age.Assumed == habitat.AtMaxInterval:
		return "It is " + AssumedAgeWords(&age) + "."
	case age.Assumed == habitat.FromEstimate:
		return "Its age is assumed: " + AssumedAgeWords(&age) + "."
	case age.From.By != "":
		return fmt.Sprintf("Its age was last set back by %s on %s, in program year %d.", age.From.By, age.From.On.Words(), age.From.Year)
	case plain:
		return fmt.Sprintf("It last burned on %s, in burn year %d.", age.From.On.Words(), age.From.Year)
	}
	return fmt.Sprintf("It last burned on %s, in program year %d.", age.From.On.Words(), age.From.Year)
}

// partWords says of a unit which of it burned in the last year before t, and after its
// age was set back, in which some of it did; empty for the years ahead.
func (l *layout) partWords(unit, t int, plain bool) string {
	state, ok := l.stateIn(unit, t)
	if !ok || state.Done || l.lastPlanned(unit, t) >= 0 {
		return ""
	}
	before := slices.DeleteFunc(slices.Clone(state.Partial), func(p habitat.PartialBurn) bool { return p.Year >= state.Year })
	if len(before) == 0 {
		return ""
	}
	last := before[len(before)-1]
	year := "program year"
	if plain {
		year = "burn year"
	}
	return fmt.Sprintf("In %s %d %s acres of it burned, by %s: too little to count as its burn.", year, last.Year, last.Acres, last.On.Words())
}

func intervalWords(i habitat.Interval) string {
	if i.Min == i.Max {
		return quantity.Count(i.Max, "year")
	}
	return fmt.Sprintf("%d to %d years", i.Min, i.Max)
}

// classWords says what the choice does to the unit's mix.
func (l *layout) classWords(unit, t int) string {
	p, u := l.Problem, &l.Problem.Units[unit]
	if u.Mix < 0 {
		return ""
	}
	mix := &p.Mixes[u.Mix]
	held, all := l.holds[t][u.Mix], l.mixAcres[u.Mix]
	for c := range mix.Classes {
		class := &mix.Classes[c]
		if age := l.stands[unit][t]; age < class.From || age > class.To {
			continue
		}
		lo, hi := quantity.Acres(class.MinShare*all), quantity.Acres(class.MaxShare*all)
		words := fmt.Sprintf("That puts it in %s's %q class: %s acres with it, where %s to %s are wanted", mix.Name, class.Name, acresWords(held[c]), lo, hi)
		switch off := offBand(quantity.Acres(held[c]), lo, hi); {
		case off < 0:
			words += fmt.Sprintf(" (%s too few)", -off)
		case off > 0:
			words += fmt.Sprintf(" (%s too many)", off)
		}
		return words + "."
	}
	return ""
}
