package whatif

import (
	"context"
	"fmt"
	"math"

	"emberquilt/schedule/problem"
)

// ChangeKind names a single change that a manager can make.
type ChangeKind string

// The changes that are tried, the smallest first.
const (
	DropLock        ChangeKind = "drop a lock"
	MoreBurnDays    ChangeKind = "a burn day more"
	OneMoreBurn     ChangeKind = "a burn more"
	MoreAcres       ChangeKind = "more acres"
	MoreMoney       ChangeKind = "more money"
	StretchInterval ChangeKind = "an interval a year longer"
)

// Change is one single change of a problem.
type Change struct {
	Kind ChangeKind
	// Lock is the lock that is dropped.
	Lock problem.Lock
	// Season and Year are those of a cap that is raised; Season is −1 for caps
	// without one.
	Season, Year int
	// Unit is the unit whose max interval is stretched.
	Unit int
	// Step is by how much a cap is raised, in its own quantity.
	Step float64
}

// Fix is a single change that fixes what was asked about, with the plan that
// follows.
type Fix struct {
	Change Change
	Answer *problem.Answer
	// Saves is by how much the plan gets cheaper; it means nothing for a clash,
	// which had no plan.
	Saves Range
}

// OverdueYears lists the plan years, lookahead left out, that end with a unit
// at or over its max interval.
func OverdueYears(p *problem.Problem, a *problem.Answer, unit int) []int {
	var years []int
	age := p.Units[unit].Age
	for t := range p.Years {
		age++
		if _, burns := Burns(a, unit, p.FirstYear+t); burns {
			age = 0
		}
		if age >= p.Units[unit].MaxInterval {
			years = append(years, p.FirstYear+t)
		}
	}
	return years
}

// FixOverdue looks for single changes after which the best plan leaves the unit
// overdue in no plan year. It tries, in this order: each lock that holds the
// unit or takes what it needs in a year up to the first overdue one, a burn day,
// a burn, acres or money more in one of those years, and the unit's interval a
// year longer; it stops after want fixes (at least 1). The changes it returns
// were all solved.
func FixOverdue(ctx context.Context, solve Solve, p *problem.Problem, a *problem.Answer, unit, want int) ([]Fix, error) {
	overdue := OverdueYears(p, a, unit)
	if len(overdue) == 0 {
		return nil, nil
	}
	var fixes []Fix
	for _, change := range overdueChanges(p, unit, overdue[0]) {
		second, err := solve(ctx, apply(p, change))
		if err != nil {
			return fixes, fmt.Errorf("try %s for %s: %w", change.Kind, p.Units[unit].ID, err)
		}
		q := apply(p, change)
		if second.Status == problem.Infeasible || len(OverdueYears(q, second, unit)) > 0 {
			continue
		}
		d := difference(a, second)
		fixes = append(fixes, Fix{Change: change, Answer: second, Saves: Range{AtHand: -d.AtHand, Least: -d.Most, Most: -d.Least}})
		if len(fixes) >= max(1, want) {
			break
		}
	}
	return fixes, nil
}

// overdueChanges lists the changes worth trying, in the order in which they are.
func overdueChanges(p *problem.Problem, unit, through int) []Change {
	var all []Change
	for _, l := range p.Locks {
		if l.Year <= through && (l.Unit == unit && !l.Burn || l.Unit != unit && l.Burn) {
			all = append(all, Change{Kind: DropLock, Lock: l, Season: -1, Unit: -1})
		}
	}
	u, allowed := &p.Units[unit], p.Allowed()
	for year := p.FirstYear; year <= through; year++ {
		caps := &p.Caps[year-p.FirstYear]
		for s := range p.Seasons {
			if allowed(unit, year, s) && !math.IsInf(caps.BurnDays[s], 1) {
				all = append(all, Change{Kind: MoreBurnDays, Season: s, Year: year, Unit: -1, Step: max(1, math.Ceil(u.BurnDays))})
			}
		}
		for _, c := range []struct {
			kind  ChangeKind
			limit float64
			step  float64
		}{{OneMoreBurn, caps.Burns, 1}, {MoreAcres, caps.Acres, math.Ceil(u.Acres)}, {MoreMoney, caps.Cost, math.Ceil(u.Cost)}} {
			if !math.IsInf(c.limit, 1) && c.step > 0 {
				all = append(all, Change{Kind: c.kind, Season: -1, Year: year, Unit: -1, Step: c.step})
			}
		}
	}
	return append(all, Change{Kind: StretchInterval, Season: -1, Unit: unit, Step: 1})
}

// apply gives the problem with one change made.
func apply(p *problem.Problem, c Change) *problem.Problem {
	q := p.Clone()
	switch c.Kind {
	case DropLock:
		q.Locks = q.Locks[:0:0]
		for _, l := range p.Locks {
			if l != c.Lock {
				q.Locks = append(q.Locks, l)
			}
		}
	case MoreBurnDays:
		q.Caps[c.Year-p.FirstYear].BurnDays[c.Season] += c.Step
	case OneMoreBurn:
		q.Caps[c.Year-p.FirstYear].Burns += c.Step
	case MoreAcres:
		q.Caps[c.Year-p.FirstYear].Acres += c.Step
	case MoreMoney:
		q.Caps[c.Year-p.FirstYear].Cost += c.Step
	case StretchInterval:
		q.Units[c.Unit].MaxInterval++
	}
	return q
}

// FixClashes looks, for an infeasible answer, for single changes after which a
// plan exists. With several independent clashes no single change can do it, and
// it returns none; the clashes name what each needs.
func FixClashes(ctx context.Context, solve Solve, p *problem.Problem, a *problem.Answer, want int) ([]Fix, error) {
	var fixes []Fix
	for _, change := range clashChanges(p, a) {
		second, err := solve(ctx, apply(p, change))
		if err != nil {
			return fixes, fmt.Errorf("try %s against a clash: %w", change.Kind, err)
		}
		if second.Status == problem.Infeasible {
			continue
		}
		fixes = append(fixes, Fix{Change: change, Answer: second})
		if len(fixes) >= max(1, want) {
			break
		}
	}
	return fixes, nil
}

func clashChanges(p *problem.Problem, a *problem.Answer) []Change {
	var all []Change
	for _, c := range a.Clashes {
		for _, l := range c.Locks {
			all = append(all, Change{Kind: DropLock, Lock: l, Season: -1, Unit: -1})
		}
		raise := Change{Season: -1, Year: c.Year, Unit: -1, Step: math.Ceil(c.Needed - c.Allowed)}
		switch c.Requirement {
		case problem.RequireAcres:
			raise.Kind = MoreAcres
		case problem.RequireBurns:
			raise.Kind = OneMoreBurn
		case problem.RequireCost:
			raise.Kind = MoreMoney
		case problem.RequireBurnDays:
			if c.Season < 0 {
				for s := range p.Seasons {
					all = append(all, Change{Kind: MoreBurnDays, Season: s, Year: c.Year, Unit: -1, Step: max(1, raise.Step)})
				}
				continue
			}
			raise.Kind, raise.Season = MoreBurnDays, c.Season
		default:
			continue
		}
		all = append(all, raise)
	}
	return all
}
