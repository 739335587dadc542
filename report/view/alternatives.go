package view

import (
	"fmt"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/whatif"
)

// Alternatives are plans that are nearly as good as one that is kept.
type Alternatives struct {
	// Plan is the number of the plan that they are compared with, Within by what
	// share of its cost they may cost more.
	Plan   int
	Within float64
	Plans  []Alternative
}

// Alternative is one other plan.
type Alternative struct {
	// Plan is its number; 0 where it was not kept.
	Plan  int     `json:"plan,omitempty"`
	Cost  float64 `json:"shortfall_acre_years"`
	Extra float64 `json:"extra_acre_years"`
	// Least and Most bound how much more the best plan of its kind has than the best.
	Least float64 `json:"extra_least"`
	Most  float64 `json:"extra_most"`
	// Differs says, choice by choice, what it does otherwise in the first years.
	Differs []string `json:"differs"`
}

// NewAlternative words one other plan of a problem.
func NewAlternative(p *problem.Problem, other *whatif.Alternative) Alternative {
	v := Alternative{Cost: other.Answer.Cost, Extra: other.Extra.AtHand, Least: other.Extra.Least, Most: other.Extra.Most, Differs: []string{}}
	for _, choice := range other.Differs {
		v.Differs = append(v.Differs, choiceWords(p, choice))
	}
	return v
}

func choiceWords(p *problem.Problem, c whatif.Choice) string {
	if c.Burn {
		return fmt.Sprintf("%d: %s burns in %s", c.Year, p.Units[c.Unit].ID, p.Seasons[c.Season])
	}
	return fmt.Sprintf("%d: %s rests", c.Year, p.Units[c.Unit].ID)
}

// Head says what an alternative costs, as the at-th that was found from 0.
func (v *Alternatives) Head(at int) string {
	one := &v.Plans[at]
	name := fmt.Sprintf("Alternative %d", at+1)
	if one.Plan > 0 {
		name = fmt.Sprintf("Plan %d", one.Plan)
	}
	d := whatif.Range{AtHand: one.Extra, Least: one.Least, Most: one.Most}
	cost := within(one.Cost, d.Most-d.Least, shownDecimals(one.Cost))
	if ApartOf(d) == NotTold {
		return fmt.Sprintf("%s has a shortfall of %s acre-years, not told apart from that of plan %d by these proofs, and differs in the first years:", name, cost, v.Plan)
	}
	return fmt.Sprintf(
		"%s has a shortfall of %s acre-years, %s more than plan %d, and differs in the first years:",
		name,
		cost,
		within(one.Extra, d.Most-d.Least, shownDecimals(one.Extra)),
		v.Plan,
	)
}

// None says that nothing was found.
func (v *Alternatives) None() string {
	return fmt.Sprintf("no other plan was found within %g%% of the shortfall of plan %d", 100*v.Within, v.Plan)
}

// Fixes are single changes that fix an overdue unit or clashing locks.
type Fixes struct {
	Changes []string `json:"changes"`
	// Fixes says what the changes fix.
	Fixes string `json:"fixes"`
	// Nothing says why there is nothing to fix; empty where something is.
	Nothing string `json:"-"`
}

// NewFixes words the single changes that fix something of a problem.
func NewFixes(p *problem.Problem, fixed string, all []whatif.Fix) *Fixes {
	v := &Fixes{Fixes: fixed, Changes: []string{}}
	for _, fix := range all {
		v.Changes = append(v.Changes, fixWords(p, fix.Change))
	}
	return v
}

// Head says what the changes do, or that none was found.
func (v *Fixes) Head() string {
	switch {
	case v.Nothing != "":
		return v.Nothing
	case len(v.Changes) == 0:
		return "no single change was found that fixes " + v.Fixes
	}
	return fmt.Sprintf("Each of these single changes fixes %s:", v.Fixes)
}

func fixWords(p *problem.Problem, c whatif.Change) string {
	switch c.Kind {
	case whatif.DropLock:
		doing := "rest"
		if c.Lock.Burn {
			doing = "burn"
		}
		return fmt.Sprintf("lift the lock: %s of %s in %d", doing, p.Units[c.Lock.Unit].ID, c.Lock.Year)
	case whatif.MoreBurnDays:
		return fmt.Sprintf("%s burn days more in %s %d", Figure(c.Step), p.Seasons[c.Season], c.Year)
	case whatif.OneMoreBurn:
		return fmt.Sprintf("%s burns more in %d", Figure(c.Step), c.Year)
	case whatif.MoreAcres:
		return fmt.Sprintf("%s acres more in %d", Figure(c.Step), c.Year)
	case whatif.MoreMoney:
		return fmt.Sprintf("$%s more in %d", Figure(c.Step), c.Year)
	case whatif.StretchInterval:
		return fmt.Sprintf("a longest interval of %d years for %s", p.Units[c.Unit].MaxInterval+1, p.Units[c.Unit].ID)
	}
	return string(c.Kind)
}
