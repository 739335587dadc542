package rehearsal

import (
	"context"
	"fmt"
	"slices"

	"emberquilt/schedule/certify"
	"emberquilt/schedule/problem"
)

// foresightProblem gives the rotation problem with what the weather of a future
// would have allowed, known in advance.
//
// Its optimum costs no more than any play of that future, whatever the rule,
// because every play is a plan of it. A play burns only what may burn by rest,
// seasons, locked rests, caps, pairs and refuges of the input's problem. On each
// day the crews use no more burn days than the day holds, so the burns of a season
// take no more than the burn days of the days on which some allowed unit was a
// candidate. A unit burns in a season only if its own days hold as many burn days
// as it takes. Locked burns, which a play may miss, are left out, other than
// those on record. Nothing is said of keeping to a plan before, which a play is not
// charged for. Wildfire would break the argument, so with a chance of it there is
// no such problem.
func (g *ground) foresightProblem(f *future, with resources) *problem.Problem {
	q := g.Problem.Clone()
	q.Years, q.Lookahead = g.Years, 0
	q.Caps = q.Caps[:g.Years]
	q.KeepYears, q.Previous = 0, nil
	end := q.FirstYear + g.Years
	q.Locks = slices.DeleteFunc(q.Locks, func(l problem.Lock) bool {
		return l.Year >= end || l.Burn && !(l.Year == q.FirstYear && g.onRecord[l.Unit].ok)
	})
	q.Closed = slices.DeleteFunc(q.Closed, func(c problem.Closed) bool { return c.Year >= end })
	holds := g.dayHolds() * float64(with.crews)
	gives := func(days int) float64 { return float64(days)*holds + float64(min(with.extraDays, days)) }
	for k := range g.Years {
		year := q.FirstYear + k
		for s := range q.Seasons {
			var any DaySet
			recorded := 0.0
			for i := range q.Units {
				u := &q.Units[i]
				if r := g.onRecord[i]; k == 0 && r.ok {
					if r.season == s || r.season < 0 {
						recorded += u.BurnDays
					}
					continue
				}
				if !g.allowed(i, year, s) {
					continue
				}
				open := g.open(f, k, s, i)
				any = any.Or(open)
				if days := open.Count(); days == 0 || !problem.Meets(u.BurnDays, gives(days)) {
					q.Closed = append(q.Closed, problem.Closed{Unit: i, Year: year, Season: s})
				}
			}
			q.Caps[k].BurnDays[s] = min(with.dayCap(q.Caps[k].BurnDays[s]), gives(any.Count())+recorded)
		}
	}
	return q
}

// foresight gives the bound of a future.
func (r *run) foresight(ctx context.Context, f *future, with resources) (bound float64, err error) {
	q := r.g.foresightProblem(f, with)
	check := f.number-r.set.Skip < r.set.Check
	if check { // certificates name the problem by its checksum
		if q, err = problem.Canonical(q); err != nil {
			return 0, fmt.Errorf("foresight of future %d: %w", f.number, err)
		}
	}
	solved, err := r.set.Solve(ctx, q, nil)
	if err != nil {
		return 0, fmt.Errorf("foresight of future %d: %w", f.number, err)
	}
	a := solved.Answer
	if a.Status == problem.Infeasible {
		return 0, fmt.Errorf("foresight of future %d: %w", f.number, problem.ErrInfeasible)
	}
	if check && ctx.Err() == nil {
		report, err := certify.Check(ctx, q, a, solved.Certificate)
		if err != nil {
			return 0, fmt.Errorf("check the foresight of future %d: %w", f.number, err)
		}
		if !report.OK() {
			return 0, fmt.Errorf("the foresight bound of future %d does not hold: %s", f.number, report.Verdict())
		}
	}
	return a.Bound, nil
}
