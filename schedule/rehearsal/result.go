package rehearsal

import (
	"emberquilt/schedule/problem"
)

// Future counts what happened in one future under one rule.
type Future struct {
	// Shortfall is the sum of Parts over the rehearsed years, keep left out.
	Shortfall float64
	Parts     problem.Parts
	// Acres burned, acres overdue and units overdue at the end of each year.
	Acres, OverdueAcres []float64
	OverdueUnits        []int
	Burns               int
	// WorstLate is by how many years the latest unit was overdue; 0 where none was.
	WorstLate int
	// Planned counts the burns of the plans for their own year, Done those of
	// them that were done in it, InSeason those done in their season.
	Planned, Done, InSeason int
	// InBands counts for each mix the years that end inside its bands.
	InBands []int
	// Changed counts the choices to burn or rest that plans changed, of Decisions
	// that two plans in a row both show.
	Changed, Decisions int
	// Plans counts the plans that were made, Cut those that time stopped before
	// the gap, Dropped the locked burns that could not stand any more.
	Plans, Cut, Dropped int
}

// Played is a future as it went, for tests and for those who want to look.
type Played struct {
	Rule   string
	Number int
	// Drawn indexes the record's years, one a rehearsed year.
	Drawn  []int
	Years  []PlayedYear
	Future Future
	// Bound is the foresight bound, where HasBound.
	Bound    float64
	HasBound bool
}

// PlayedYear is one year of it.
type PlayedYear struct {
	// Ages are those at the start, Plan the burns of the plan that was made, over
	// its whole horizon, Burned what burned.
	Ages         []int
	Plan, Burned []problem.Burn
}

// Result is what a rehearsal found.
type Result struct {
	// Futures counts those that were played to the end, of Asked.
	Futures, Asked int
	Rules          []RuleResult
	// HasForesight says whether there is a foresight bound.
	HasForesight bool
}

// RuleResult is what one rule came to.
type RuleResult struct {
	Name string
	// Shortfall is over the futures; Parts holds its parts as means.
	Shortfall Summary
	Parts     problem.Parts
	// Difference is the shortfall less that of the first rule, future by future.
	Difference Summary
	// Foresight is the bound for a rule that has the same crews and days, and
	// Above what this rule lies above it.
	Foresight, Above Summary
	// Acres, OverdueAcres and OverdueUnits are by year.
	Acres, OverdueAcres, OverdueUnits []Summary
	Burns                             Summary
	// OnTime and AtMostOneLate are the shares of the futures in which no unit is
	// ever overdue, and in which none is more than one year late.
	OnTime, AtMostOneLate float64
	// Done and InSeason are shares of the planned burns; −1 where none was planned.
	Done, InSeason float64
	// InBands holds for each mix the share of the years that end inside its bands.
	InBands []float64
	// Changed is the share of the choices that plans changed; −1 without any.
	Changed float64
	// Plans, Cut and Dropped are sums over the futures.
	Plans, Cut, Dropped int
	Units               []UnitResult
	// Futures holds what happened in each future that was played.
	Futures []Future
}

// UnitResult is what became of a unit.
type UnitResult struct {
	// Overdue is the chance to end each year overdue, Ever that to do so at all.
	Overdue []float64
	Ever    float64
	// Interval is the mean number of years between its burns, the one before the
	// first year among them; 0 where it never burned.
	Interval float64
}

// result sums up the futures that are done, in their order.
func (r *run) result() *Result {
	out := &Result{Futures: r.count, Asked: r.set.Futures, HasForesight: !r.set.NoForesight}
	pick := func(from func(at int) float64) Summary {
		var x []float64
		for at, done := range r.done {
			if done {
				x = append(x, from(at))
			}
		}
		return Summarize(x)
	}
	for i := range r.rules {
		counts := r.counts[i]
		one := RuleResult{Name: r.rules[i].Name, Units: r.unitResults(&r.units[i])}
		one.Shortfall = pick(func(at int) float64 { return counts[at].Shortfall })
		one.Difference = pick(func(at int) float64 { return counts[at].Shortfall - r.counts[0][at].Shortfall })
		one.Burns = pick(func(at int) float64 { return float64(counts[at].Burns) })
		if out.HasForesight {
			bounds := r.bounds[r.classOf[i]]
			one.Foresight = pick(func(at int) float64 { return bounds[at] })
			one.Above = pick(func(at int) float64 { return counts[at].Shortfall - bounds[at] })
		}
		for k := range r.g.Years {
			one.Acres = append(one.Acres, pick(func(at int) float64 { return counts[at].Acres[k] }))
			one.OverdueAcres = append(one.OverdueAcres, pick(func(at int) float64 { return counts[at].OverdueAcres[k] }))
			one.OverdueUnits = append(one.OverdueUnits, pick(func(at int) float64 { return float64(counts[at].OverdueUnits[k]) }))
		}
		r.sums(&one, counts)
		out.Rules = append(out.Rules, one)
	}
	return out
}

// sums fills what is counted over all futures at once.
func (r *run) sums(one *RuleResult, counts []Future) {
	n := float64(r.count)
	inBands := make([]int, len(r.g.Problem.Mixes))
	var planned, done, inSeason, changed, decisions, onTime, oneLate int
	for at, isDone := range r.done {
		if !isDone {
			continue
		}
		c := &counts[at]
		one.Futures = append(one.Futures, *c)
		one.Parts = sum(one.Parts, c.Parts)
		if c.WorstLate == 0 {
			onTime++
		}
		if c.WorstLate <= 1 {
			oneLate++
		}
		planned, done, inSeason = planned+c.Planned, done+c.Done, inSeason+c.InSeason
		changed, decisions = changed+c.Changed, decisions+c.Decisions
		one.Plans, one.Cut, one.Dropped = one.Plans+c.Plans, one.Cut+c.Cut, one.Dropped+c.Dropped
		for m, years := range c.InBands {
			inBands[m] += years
		}
	}
	one.OnTime, one.AtMostOneLate = float64(onTime)/n, float64(oneLate)/n
	p := &one.Parts
	for _, part := range []*float64{&p.Overdue, &p.Mix, &p.Season, &p.Evenness, &p.Neighbors, &p.Keep} {
		*part /= n
	}
	one.Done, one.InSeason, one.Changed = share(done, planned), share(inSeason, planned), share(changed, decisions)
	for _, years := range inBands {
		one.InBands = append(one.InBands, float64(years)/n/float64(r.g.Years))
	}
}

// share gives a part of a count, −1 of nothing.
func share(part, of int) float64 {
	if of == 0 {
		return -1
	}
	return float64(part) / float64(of)
}

func (r *run) unitResults(u *unitCounts) []UnitResult {
	out := make([]UnitResult, r.g.n)
	for i := range out {
		for k := range r.g.Years {
			out[i].Overdue = append(out[i].Overdue, float64(u.overdue[k*r.g.n+i])/float64(r.count))
		}
		out[i].Ever = float64(u.ever[i]) / float64(r.count)
		if u.burns[i] > 0 {
			out[i].Interval = float64(u.years[i]) / float64(u.burns[i])
		}
	}
	return out
}
