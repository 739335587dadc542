package certify

import (
	"math"

	"emberquilt/schedule/problem"
)

// frame is a problem laid out for checking: what does not depend on prices.
// Years t count from 0.
type frame struct {
	p       *problem.Problem
	N, T, S int
	units   []unit
	// allow at (i·T+t)·S+s says that unit, year and season go together: the
	// season is allowed and not closed, all limits of the year are enough for the unit alone, and
	// no lock is against it. rest at i·T+t says that no
	// lock is against a rest. alone at i·T+t says that the unit by itself meets
	// acres, burns, cost and refuge.
	allow       []bool
	rest, alone []bool
	// limits and refuge are the largest sums that meet a limit, +Inf for none.
	limits []limits
	// reach and reachRefuge are the largest sums that a plan can come to within
	// limits and refuge.
	reach       []limits
	reachRefuge []float64
	refuge      []float64
	// apart and neighbors find pairs.
	apart, neighbors map[[2]int]int
	apartOf          [][]int
	mixAcres         []exact
	rows             rowIndex
}

type limits struct {
	acres, burns, cost float64
	days               []float64
}

// unit is one burn unit.
type unit struct {
	*problem.Unit
	// top is the age from which nothing changes any more. young is the largest
	// age since a burn that is told apart within the years.
	top, young int
	// class at an age 0 … top is the age class of the unit's mix; nil without mix.
	class []int
	// overdue is w·a, and grows by growth = w·growth·a in each of the years steps;
	// season holds w·p·a; keepBurn and keepRest say whether a
	// burn or a rest in year t differs from the previous plan, and cost keep = w·a.
	overdue, growth, keep sum
	steps                 int
	season                []sum
	keepBurn              []bool
}

// most gives the largest sum that meets a limit.
func most(limit float64) float64 {
	if math.IsInf(limit, 1) {
		return limit
	}
	return limit + problem.SlackAllowed(limit)
}

// passes reports whether a sum of a few dozen numbers is above the largest sum
// that meets a limit, whatever rounding did to it.
func passes(sum, most float64) bool {
	return sum > most+math.Max(1, math.Abs(most))*0x1p-41
}

func newFrame(p *problem.Problem) *frame {
	f := &frame{p: p, N: len(p.Units), T: p.T(), S: len(p.Seasons)}
	f.setLimits()
	f.units = make([]unit, f.N)
	previous := map[problem.UnitYear]bool{}
	for _, b := range p.Previous {
		previous[b] = true
	}
	for i := range f.units {
		f.setUnit(i, previous)
	}
	f.setReach()
	f.setFreedom()
	f.apart, f.apartOf = map[[2]int]int{}, make([][]int, f.N)
	for k, pair := range p.Apart {
		f.apart[pair] = k
		f.apartOf[pair[0]] = append(f.apartOf[pair[0]], pair[1])
		f.apartOf[pair[1]] = append(f.apartOf[pair[1]], pair[0])
	}
	f.neighbors = map[[2]int]int{}
	for k, pair := range p.Neighbors {
		f.neighbors[pair] = k
	}
	f.mixAcres = make([]exact, len(p.Mixes))
	for i := range p.Units {
		if m := p.Units[i].Mix; m >= 0 {
			f.mixAcres[m].add(p.Units[i].Acres)
		}
	}
	f.rows = newRowIndex(f)
	return f
}

func (f *frame) setLimits() {
	for t := range f.p.Caps {
		c := &f.p.Caps[t]
		l := limits{most(c.Acres), most(c.Burns), most(c.Cost), nil}
		for _, days := range c.BurnDays {
			l.days = append(l.days, most(days))
		}
		f.limits = append(f.limits, l)
	}
	acres := f.p.RefugeAcres()
	for r, group := range f.p.Refuges {
		f.refuge = append(f.refuge, most(group.MaxShare*acres[r]))
	}
}

func (f *frame) setUnit(i int, previous map[problem.UnitYear]bool) {
	p := f.p
	u := &f.units[i]
	u.Unit = &p.Units[i]
	if p.OverdueGrowth > 0 {
		// Growth beyond what the years can reach is of no account.
		u.steps = min(p.OverdueGrowthYears, max(0, u.Age+f.T-u.MaxInterval))
	}
	u.top = max(u.MaxInterval+u.steps, u.MinInterval-1)
	if u.Mix >= 0 {
		for _, c := range p.Mixes[u.Mix].Classes {
			u.top = max(u.top, c.From)
		}
		u.class = make([]int, u.top+1)
		for k, c := range p.Mixes[u.Mix].Classes {
			for g := c.From; g <= min(c.To, u.top); g++ {
				u.class[g] = k
			}
		}
	}
	u.young = min(u.top, f.T-1)
	u.overdue = product(p.Weights.Overdue, u.Acres)
	u.growth = product(p.Weights.Overdue, p.OverdueGrowth).times(u.Acres)
	u.keep = product(p.Weights.Keep, u.Acres)
	u.season = make([]sum, f.S)
	for s, penalty := range u.Penalty {
		if penalty >= 0 {
			u.season[s] = product(p.Weights.Season, penalty).times(u.Acres)
		}
	}
	u.keepBurn = make([]bool, f.T)
	for t := range min(p.KeepYears, f.T) {
		u.keepBurn[t] = !previous[problem.UnitYear{Unit: i, Year: p.FirstYear + t}]
	}
}

// lateCost is the cost of a year that ends overdue after k others.
func (u *unit) lateCost(k int) sum {
	if k == 0 {
		return u.overdue
	}
	return u.overdue.plus(u.growth.times(float64(k)))
}

// keepRest reports whether a rest in year t differs from the previous plan.
func (f *frame) keepRest(i, t int) bool { return t < f.p.KeepYears && !f.units[i].keepBurn[t] }

func (f *frame) setFreedom() {
	f.allow = make([]bool, f.N*f.T*f.S)
	f.rest = make([]bool, f.N*f.T)
	f.alone = make([]bool, f.N*f.T)
	for i := range f.units {
		u := &f.units[i]
		for t := range f.T {
			x := i*f.T + t
			f.rest[x] = true
			l := &f.limits[t]
			f.alone[x] = !passes(u.Acres, l.acres) && !passes(1, l.burns) && !passes(u.Cost, l.cost) &&
				(u.Refuge < 0 || !passes(u.Acres, f.refuge[u.Refuge]))
			for s := range f.S {
				f.allow[x*f.S+s] = f.alone[x] && u.Allows(s) && !passes(u.BurnDays, l.days[s])
			}
		}
	}
	for c := range shutSeasons(f.p) {
		f.allow[(c.Unit*f.T+c.Year-f.p.FirstYear)*f.S+c.Season] = false
	}
	for _, l := range f.p.Locks {
		x := l.Unit*f.T + l.Year - f.p.FirstYear
		f.decide(decision{l.Unit, l.Year - f.p.FirstYear, l.Season, l.Burn}, f.allow[x*f.S:(x+1)*f.S], &f.rest[x])
	}
}

// decision is a burn or a rest on the way to a leaf. Season −1 speaks of any
// season; a decision against a burn in one season leaves the others and a rest.
type decision struct {
	unit, year, season int
	burn               bool
}

// decide takes away the seasons and the rest that a decision is against.
func (f *frame) decide(d decision, allow []bool, rest *bool) {
	for s := range allow {
		if d.burn == (d.season >= 0 && s != d.season) {
			allow[s] = false
		}
	}
	if d.burn {
		*rest = false
	}
}
