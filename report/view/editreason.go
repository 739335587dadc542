package view

import (
	"fmt"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/schedule/problem"
)

// mostOthers is how many units a reason names of those that stand in the way.
const mostOthers = 6

// CellFault is why a unit's year cannot be edited at all.
type CellFault int

// The reasons.
const (
	CellOfNoUnit CellFault = iota + 1
	CellOver
	CellBeyondPlan
	CellOnRecord
	CellOfNoSeason
)

// Words says why; plan is the number of the plan that is edited.
func (f CellFault) Words(e *habitat.CellEdit, plan int) string {
	switch f {
	case CellOfNoUnit:
		return fmt.Sprintf("%s is not a unit of this property any more", e.Unit)
	case CellOver:
		return fmt.Sprintf("%d is over, or has burned as it is on record", e.Year)
	case CellBeyondPlan:
		return fmt.Sprintf("%d is not a year of plan %d", e.Year, plan)
	case CellOnRecord:
		return fmt.Sprintf("%s has burned in %d: that is on record", e.Unit, e.Year)
	case CellOfNoSeason:
		return fmt.Sprintf("%s is not a season of this property", source.Quote(e.Season))
	}
	return ""
}

// EditClash is a hard requirement that an edit would break.
type EditClash struct {
	Problem *problem.Problem
	Clash   *problem.Clash
	// Mine is the lock that the edit would make, one of those of the clash.
	Mine problem.Lock
	// By says who fixes a unit's year.
	By func(unit, year int) FixedBy
	// IsOver reports whether a season of a program year is over.
	IsOver func(season string, year date.ProgramYear) bool
}

// Words says it to whoever is about to make the edit.
func (e *EditClash) Words() string {
	p, c, u := e.Problem, e.Clash, &e.Problem.Units[e.Mine.Unit]
	var others []string
	for _, l := range c.Locks {
		if l != e.Mine {
			others = append(others, p.Units[l.Unit].ID+e.heldBy(l))
		}
	}
	with := ""
	if len(others) > 0 {
		with = "with " + quantity.ListFirst(others, mostOthers) + " "
	}
	switch c.Requirement {
	case problem.RequireSeason:
		return e.season()
	case problem.RequireRest:
		return e.rest()
	case problem.RequireAcres:
		return fmt.Sprintf("%s%s takes %s acres in %d, which allows %s", with, u.ID, short(c.Needed), c.Year, short(c.Allowed))
	case problem.RequireBurns:
		return fmt.Sprintf("%s%s makes %s in %d, which allows %s", with, u.ID, counted(c.Needed, "burn"), c.Year, short(c.Allowed))
	case problem.RequireCost:
		return fmt.Sprintf("%s%s costs $%s in %d, which allows $%s", with, u.ID, short(c.Needed), c.Year, short(c.Allowed))
	case problem.RequireBurnDays:
		of, allow := fmt.Sprintf("the seasons of %d", c.Year), "allow"
		if c.Season >= 0 {
			of, allow = habitat.SeasonWords(p.Seasons[c.Season], date.ProgramYear(c.Year)), "allows"
		}
		words := fmt.Sprintf("%s%s takes %s of %s", with, u.ID, counted(c.Needed, "burn day"), of)
		if problem.Meets(c.Needed, c.Allowed) {
			return words + "; the days that are left lie in no one season"
		}
		return fmt.Sprintf("%s, which %s %s", words, allow, short(c.Allowed))
	case problem.RequireRefuge:
		return fmt.Sprintf("%s%s takes %s acres of refuge %s in %d, which allows %s",
			with, u.ID, short(c.Needed), p.Refuges[c.Refuge].Name, c.Year, short(c.Allowed))
	case problem.RequireApart:
		return fmt.Sprintf("%s must not burn in one year %s", u.ID, strings.TrimSpace(with))
	}
	return c.Text
}

// rest says that a burn comes too soon before or after another of the unit.
func (e *EditClash) rest() string {
	c, u := e.Clash, &e.Problem.Units[e.Mine.Unit]
	if len(c.Locks) == 1 {
		return fmt.Sprintf("%s last burned %s before %d; the minimum is %d", u.ID, counted(c.Allowed, "year"), c.Year, u.MinInterval)
	}
	other := c.Locks[0]
	if other == e.Mine {
		other = c.Locks[1]
	}
	order := "later"
	if other.Year < e.Mine.Year {
		order = "earlier"
	}
	return fmt.Sprintf("its burn of %d%s is only %s %s; the minimum is %d", other.Year, e.heldBy(other), counted(c.Allowed, "year"), order, u.MinInterval)
}

// season says why a burn cannot be in its season.
func (e *EditClash) season() string {
	u := &e.Problem.Units[e.Mine.Unit]
	if e.Mine.Season < 0 {
		return fmt.Sprintf("no season of %d is open to %s", e.Mine.Year, u.ID)
	}
	name, year := e.Problem.Seasons[e.Mine.Season], date.ProgramYear(e.Mine.Year)
	switch words := habitat.SeasonWords(name, year); {
	case !u.Allows(e.Mine.Season):
		return fmt.Sprintf("%s is not a season of %s", name, u.ID)
	case e.IsOver(name, year):
		return words + " is over"
	default:
		return words + " is closed to " + u.ID
	}
}

// heldBy says in brackets what fixes a burn.
func (e *EditClash) heldBy(l problem.Lock) string {
	switch e.By(l.Unit, l.Year) {
	case ByRecord:
		return " (on record)"
	case ByEdit:
		return " (your edit)"
	}
	return " (locked)"
}
