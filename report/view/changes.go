package view

import (
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// Change is one decision that differs from the plan before.
type Change struct {
	Unit string           `json:"unit"`
	Year date.ProgramYear `json:"year"`
	// Burn says what the new plan does.
	Burn  bool   `json:"burn"`
	Words string `json:"words"`

	unit, year int
}

// changes compares with the plan before, in order of unit and year: the one
// handed in, else what the problem says of it. The count is nil where there is none.
// What counts as a change is what Compare counts: a burn or a rest that is the other
// one, or a burn in another season, of units and years that both plans have.
func (l *layout) changes() ([]Change, *int) {
	p := l.Problem
	var was func(unit, t int) (season string, burn bool)
	from, years := 0, p.Years
	switch {
	case l.Before != nil:
		burned := map[habitat.PlannedBurn]string{}
		for _, b := range l.Before.Burns {
			burned[habitat.PlannedBurn{Unit: b.Unit, Year: b.Year}] = b.Season
		}
		was = func(unit, t int) (string, bool) {
			season, ok := burned[habitat.PlannedBurn{Unit: p.Units[unit].ID, Year: l.year(t)}]
			return season, ok
		}
		from = max(0, int(l.Before.First)-p.FirstYear)
		years = min(years, int(l.Before.Last)-p.FirstYear+1)
	case p.KeepYears > 0:
		planned := map[[2]int]bool{}
		for _, b := range p.Previous {
			planned[[2]int{b.Unit, b.Year - p.FirstYear}] = true
		}
		was = func(unit, t int) (string, bool) { // the problem names no season
			if !planned[[2]int{unit, t}] {
				return "", false
			}
			return l.seasonName(unit, t), true
		}
		years = min(years, p.KeepYears)
	default:
		return nil, nil
	}
	var all []Change
	for i := range p.Units {
		if l.Before != nil && l.Before.Units != nil && !slices.Contains(l.Before.Units, p.Units[i].ID) {
			continue // it came since
		}
		for t := from; t < years; t++ {
			season, burned := was(i, t)
			burn := l.burns(i, t)
			if burn == burned && season == l.seasonName(i, t) {
				continue
			}
			words := l.changeWords(i, t)
			if burn && burned {
				words = fmt.Sprintf("%s burns in %s in %d; before, in %s", p.Units[i].ID, l.seasonName(i, t), l.year(t), season) + l.cause(i, t)
			}
			all = append(all, Change{Unit: p.Units[i].ID, Year: l.year(t), Burn: burn, Words: words, unit: i, year: t})
		}
	}
	count := len(all)
	return all, &count
}

// changeWords says what changed and, where the records tell, why.
func (l *layout) changeWords(unit, t int) string {
	p, id, year := l.Problem, l.Problem.Units[unit].ID, l.year(t)
	if l.burns(unit, t) {
		words := fmt.Sprintf("%s burns in %d; before, it rested", id, year)
		if cause := l.cause(unit, t); cause != "" {
			return words + cause
		}
		if last := l.lastBurn(unit, t); last != 0 {
			words += fmt.Sprintf(" (its burn before that is in %d)", last)
		} else if missed := l.missed(unit); missed != nil {
			words += fmt.Sprintf(" (missed in %s %d", missed.Season, missed.Year)
			if p.Units[unit].Age >= p.Units[unit].MaxInterval {
				words += ", now overdue"
			}
			words += ")"
		}
		return words
	}
	words := fmt.Sprintf("%s rests in %d; before, it burned", id, year)
	if cause := l.cause(unit, t); cause != "" {
		return words + cause
	}
	switch age := l.stands[unit][t]; {
	case t == 0 && l.treated[unit] != "":
		words += fmt.Sprintf(" (%s set its stand age back)", l.treated[unit])
	case age < p.Units[unit].MinInterval:
		words += fmt.Sprintf(" (it would be only %s old, its shortest interval is %d)", quantity.Count(age, "year"), p.Units[unit].MinInterval)
	case l.nextBurn(unit, t) != 0:
		words += fmt.Sprintf(" (its next burn is now in %d)", l.nextBurn(unit, t))
	}
	return words
}

// cause says what outside the plan decides a unit's year: a record, a lock or a
// closure; empty where none does.
func (l *layout) cause(unit, t int) string {
	if state, ok := l.stateIn(unit, t); ok && state.Done {
		return fmt.Sprintf(" (%s: it is on record)", BurnedWords(&state))
	}
	for _, lock := range l.Problem.Locks {
		if lock.Unit == unit && lock.Year == int(l.year(t)) {
			if name := l.heldFor(unit, l.year(t)); name != "" {
				return " (" + name + " wants it)"
			}
			return " (it is locked)"
		}
	}
	if l.burns(unit, t) {
		return ""
	}
	for s := range l.Problem.Seasons {
		if l.Problem.Units[unit].Allows(s) && l.allowed(unit, int(l.year(t)), s) {
			return ""
		}
	}
	return fmt.Sprintf(" (its seasons are closed in %d)", l.year(t))
}

// lastBurn gives the year of the last planned burn before year t, or 0.
func (l *layout) lastBurn(unit, t int) date.ProgramYear {
	for last := t - 1; last >= 0; last-- {
		if l.burns(unit, last) {
			return l.year(last)
		}
	}
	return 0
}

// ChangesWords counts the decisions that changed, in words.
func ChangesWords(changes []Change) string {
	units := map[string]bool{}
	for _, c := range changes {
		units[c.Unit] = true
	}
	switch {
	case len(changes) == 0:
		return "None."
	case len(changes) == 1:
		return "1 decision changed, on 1 unit."
	}
	return fmt.Sprintf("%d decisions changed, on %s.", len(changes), quantity.Count(len(units), "unit"))
}

// missed gives the last burn that was planned for a year before the plan and
// is not on record, or nil.
func (l *layout) missed(unit int) *habitat.PlannedBurn {
	known := l.known[l.Problem.Units[unit].ID]
	if known == nil {
		return nil
	}
	var found *habitat.PlannedBurn
	for i, b := range l.Planned {
		if b.Unit != known.ID || int(b.Year) >= l.Problem.FirstYear || found != nil && found.Year >= b.Year {
			continue
		}
		reset, ok := l.Property.LastReset(known, l.records[known.ID], date.ProgramYear(l.Problem.FirstYear-1), l.Stamp.On)
		if !ok || reset.Year < b.Year {
			found = &l.Planned[i]
		}
	}
	return found
}

// KeepWords says what the settings have to say on keeping to the adopted plan; nothing
// where they keep to it as usual.
func KeepWords(p *habitat.Property, plan int) []string {
	switch {
	case p.KeepUnasked:
		return []string{
			fmt.Sprintf(
				"the settings bear keep_years = 0, which an older program wrote unasked: the first %s follow plan %d, as by default; keep_years = 0, loaded anew, keeps to none",
				quantity.Count(p.Keep(), "year"),
				plan,
			),
		}
	case p.Keep() == 0:
		return []string{fmt.Sprintf("the settings keep to no year of plan %d (keep_years = 0): any choice may change", plan)}
	}
	return nil
}
