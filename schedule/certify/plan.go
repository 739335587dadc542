package certify

import (
	"fmt"
	"math"

	"emberquilt/schedule/problem"
)

// plan checks every hard requirement and computes the cost. It reports whether
// the burns are a plan at all, one that has a cost.
func (r *Report) plan(p *problem.Problem, burns []problem.Burn) bool {
	pl, ok := r.layOut(p, burns)
	if !ok {
		return false
	}
	before := len(r.Violations)
	pl.own(r)
	for t := range p.T() {
		pl.year(r, t)
	}
	pl.locks(r)
	pl.cost(r)
	return len(r.Violations) == before
}

// laid is a plan as a table: season at [i][t], −1 for a rest.
type laid struct {
	p      *problem.Problem
	season [][]int
}

// layOut makes the table and checks the order of the burns.
func (r *Report) layOut(p *problem.Problem, burns []problem.Burn) (*laid, bool) {
	pl := &laid{p, make([][]int, len(p.Units))}
	for i := range pl.season {
		pl.season[i] = make([]int, p.T())
		for t := range pl.season[i] {
			pl.season[i][t] = -1
		}
	}
	ok := true
	for k, b := range burns {
		where := fmt.Sprintf("burns[%d]", k)
		t := b.Year - p.FirstYear
		switch {
		case b.Unit < 0 || b.Unit >= len(p.Units) || t < 0 || t >= p.T() || b.Season < 0 || b.Season >= len(p.Seasons):
			r.bad(where, "a unit, year or season that the problem does not have")
			ok = false
			continue
		case pl.season[b.Unit][t] >= 0:
			r.bad(where, "%d: %s burns twice", b.Year, p.Units[b.Unit].ID)
			ok = false
			continue
		}
		if k > 0 && (burns[k-1].Year > b.Year || burns[k-1].Year == b.Year && burns[k-1].Unit > b.Unit) {
			r.bad(where, "it is not in order of year, then of the units in the problem file")
		}
		pl.season[b.Unit][t] = b.Season
	}
	return pl, ok
}

// shutSeasons gives the closed seasons, those that are closed as a whole season
// by season.
func shutSeasons(p *problem.Problem) map[problem.Closed]bool {
	shut := make(map[problem.Closed]bool, len(p.Closed))
	for _, c := range p.Closed {
		if c.Season >= 0 {
			shut[c] = true
			continue
		}
		for s := range p.Seasons {
			shut[problem.Closed{Unit: c.Unit, Year: c.Year, Season: s}] = true
		}
	}
	return shut
}

// own checks what concerns one unit alone: rest and seasons.
func (pl *laid) own(r *Report) {
	shut := shutSeasons(pl.p)
	for i := range pl.p.Units {
		u := &pl.p.Units[i]
		age := u.Age
		for t, s := range pl.season[i] {
			age++
			if s < 0 {
				continue
			}
			year := pl.p.FirstYear + t
			if age < u.MinInterval {
				r.bad(u.ID, "%d: it burns %d years after its last burn; its shortest interval is %d", year, age, u.MinInterval)
			}
			switch {
			case !u.Allows(s):
				r.bad(u.ID, "%d: it burns in %s, which it is not allowed", year, pl.p.Seasons[s])
			case shut[problem.Closed{Unit: i, Year: year, Season: s}]:
				r.bad(u.ID, "%d: it burns in %s, which is closed to it in that year", year, pl.p.Seasons[s])
			}
			age = 0
		}
	}
}

// meets reports whether an exact sum meets a limit. A sum that was added in
// floats and meets it by the common rule is accepted too.
func meets(sum *exact, limit float64) bool {
	return math.IsInf(limit, 1) || !sum.above(limit+problem.SlackAllowed(limit)) || problem.Meets(sum.float(), limit)
}

// year checks what concerns one year: caps, refuges and apart pairs.
func (pl *laid) year(r *Report, t int) {
	p := pl.p
	var acres, burns, cost exact
	days, refuge := make([]exact, len(p.Seasons)), make([]exact, len(p.Refuges))
	for i := range p.Units {
		s := pl.season[i][t]
		if s < 0 {
			continue
		}
		u := &p.Units[i]
		acres.add(u.Acres)
		burns.add(1)
		cost.add(u.Cost)
		days[s].add(u.BurnDays)
		if u.Refuge >= 0 {
			refuge[u.Refuge].add(u.Acres)
		}
	}
	year := p.FirstYear + t
	limit := func(what string, sum *exact, limit float64) {
		if !meets(sum, limit) {
			r.bad(what, "%d: the plan takes %s, allowed are %s", year, figure(sum.float()), figure(limit))
		}
	}
	c := &p.Caps[t]
	limit("acres", &acres, c.Acres)
	limit("burns", &burns, c.Burns)
	limit("cost cap", &cost, c.Cost)
	for s := range days {
		limit("burn days of "+p.Seasons[s], &days[s], c.BurnDays[s])
	}
	groups := p.RefugeAcres()
	for g := range refuge {
		limit("refuge "+p.Refuges[g].Name, &refuge[g], p.Refuges[g].MaxShare*groups[g])
	}
	for _, pair := range p.Apart {
		if pl.season[pair[0]][t] >= 0 && pl.season[pair[1]][t] >= 0 {
			r.bad("apart", "%d: %s and %s both burn", year, p.Units[pair[0]].ID, p.Units[pair[1]].ID)
		}
	}
}

func (pl *laid) locks(r *Report) {
	for k, l := range pl.p.Locks {
		where := fmt.Sprintf("locks[%d]", k)
		id, s := pl.p.Units[l.Unit].ID, pl.season[l.Unit][l.Year-pl.p.FirstYear]
		switch {
		case l.Burn && s < 0:
			r.bad(where, "%d: %s is locked to burn and rests", l.Year, id)
		case !l.Burn && s >= 0:
			r.bad(where, "%d: %s is locked to rest and burns", l.Year, id)
		case l.Burn && l.Season >= 0 && s != l.Season:
			r.bad(where, "%d: %s is locked to burn in %s and burns in %s", l.Year, id, pl.p.Seasons[l.Season], pl.p.Seasons[s])
		}
	}
}

// cost computes the six parts, each summed without rounding.
func (pl *laid) cost(r *Report) {
	p, w := pl.p, pl.p.Weights
	var overdue, late, mix, season, evenness, neighbors, keep exact
	previous := map[problem.UnitYear]bool{}
	for _, b := range p.Previous {
		previous[b] = true
	}
	age := make([]int, len(p.Units))
	mixAcres := make([]exact, len(p.Mixes))
	for i := range p.Units {
		age[i] = p.Units[i].Age
		if m := p.Units[i].Mix; m >= 0 {
			mixAcres[m].add(p.Units[i].Acres)
		}
	}
	for t := range p.T() {
		var burned exact
		inside := make([][]exact, len(p.Mixes))
		for m := range inside {
			inside[m] = make([]exact, len(p.Mixes[m].Classes))
		}
		for i := range p.Units {
			u := &p.Units[i]
			age[i]++
			s := pl.season[i][t]
			if s >= 0 {
				age[i] = 0
				burned.add(u.Acres)
				if u.Allows(s) {
					season.addProduct(u.Penalty[s], u.Acres)
				}
			}
			if age[i] >= u.MaxInterval {
				overdue.add(u.Acres)
				late.addProduct(float64(min(age[i]-u.MaxInterval, p.OverdueGrowthYears)), u.Acres)
			}
			if t < p.KeepYears && (s >= 0) != previous[problem.UnitYear{Unit: i, Year: p.FirstYear + t}] {
				keep.add(u.Acres)
			}
			if u.Mix >= 0 {
				for k, c := range p.Mixes[u.Mix].Classes {
					if age[i] >= c.From && age[i] <= c.To {
						inside[u.Mix][k].add(u.Acres)
					}
				}
			}
		}
		outside(&evenness, &burned, exactOf(p.EvenLo), exactOf(p.EvenHi))
		for m := range p.Mixes {
			for k, c := range p.Mixes[m].Classes {
				outside(&mix, &inside[m][k], mixAcres[m].scaled(c.MinShare), mixAcres[m].scaled(c.MaxShare))
			}
		}
		for _, pair := range p.Neighbors {
			if pl.season[pair[0]][t] >= 0 && pl.season[pair[1]][t] >= 0 {
				neighbors.add(min(p.Units[pair[0]].Acres, p.Units[pair[1]].Acres))
			}
		}
	}
	overdue.addExact(late.scaled(p.OverdueGrowth))
	var total exact
	part := func(sum *exact, weight float64) float64 {
		weighted := sum.scaled(weight)
		total.addExact(weighted)
		return weighted.float()
	}
	r.Parts = problem.Parts{Overdue: part(&overdue, w.Overdue), Mix: part(&mix, w.Mix), Season: part(&season, w.Season),
		Evenness: part(&evenness, w.Evenness), Neighbors: part(&neighbors, w.Neighbors), Keep: part(&keep, w.Keep)}
	r.Cost = total.float()
}

// outside adds by how much a sum is below lo or above hi; nil means no end.
func outside(to, sum, lo, hi *exact) {
	if lo != nil {
		to.addPositive(lo, sum)
	}
	if hi != nil {
		to.addPositive(sum, hi)
	}
}
