package rehearsal

import (
	"math"

	"emberquilt/schedule/problem"
)

// ground is what all futures share: the input's problem, looked up.
type ground struct {
	*Input
	n int
	// allowed reports whether a unit may burn in a season of a program year.
	allowed     func(unit, year, season int) bool
	apart       [][]int
	refugeAcres []float64
	// restLock and burnLock hold the locks of each rehearsed year at year·n+unit;
	// lockSeason is the season of a burn lock, −1 for any.
	restLock, burnLock []bool
	lockSeason         []int
	// burnedBefore is the season of a burn of the first year that is on record,
	// by unit; ok is false where there is none.
	onRecord []recordedBurn
}

type recordedBurn struct {
	season int
	ok     bool
}

func newGround(in *Input) *ground {
	p := in.Problem
	g := &ground{Input: in, n: len(p.Units), allowed: p.Allowed(), refugeAcres: p.RefugeAcres()}
	g.apart = make([][]int, g.n)
	for _, pair := range p.Apart {
		g.apart[pair[0]] = append(g.apart[pair[0]], pair[1])
		g.apart[pair[1]] = append(g.apart[pair[1]], pair[0])
	}
	all := in.Years * g.n
	g.restLock, g.burnLock, g.lockSeason = make([]bool, all), make([]bool, all), make([]int, all)
	for _, l := range p.Locks {
		k := l.Year - p.FirstYear
		if k >= in.Years {
			continue
		}
		at := k*g.n + l.Unit
		if l.Burn {
			g.burnLock[at], g.lockSeason[at] = true, l.Season
		} else {
			g.restLock[at] = true
		}
	}
	g.onRecord = make([]recordedBurn, g.n)
	for _, b := range in.Recorded {
		g.onRecord[b.Unit] = recordedBurn{b.Season, true}
	}
	return g
}

// dayHolds is how many burn days one crew's day holds.
func (g *ground) dayHolds() float64 {
	if g.DayHolds == 0 {
		return 1
	}
	return g.DayHolds
}

// resources are what a rule has to burn with.
type resources struct{ crews, extraDays int }

func (r *Rule) resources() resources { return resources{r.crews(), r.ExtraDays} }

// dayCap gives the burn days that the crews themselves cap a season at.
func (r resources) dayCap(own float64) float64 {
	if math.IsInf(own, 1) {
		return own
	}
	return own*float64(r.crews) + float64(r.extraDays)
}

// limits are a year's hard requirements with what they hold already: the units
// that have burned and those that are still to come.
type limits struct {
	g    *ground
	k    int
	with resources
	held []bool
	// acres, burns, cost, days and refuge are the sums over what is held; days
	// holds those that were spent on nothing, too.
	acres, burns, cost float64
	days, refuge       []float64
}

func (g *ground) newLimits(k int, with resources) *limits {
	return &limits{g: g, k: k, with: with, held: make([]bool, g.n),
		days: make([]float64, len(g.Problem.Seasons)), refuge: make([]float64, len(g.Problem.Refuges))}
}

// admit holds a unit for a season where every requirement lets it.
func (l *limits) admit(i, s int) bool {
	p := l.g.Problem
	u, c := &p.Units[i], &p.Caps[l.k]
	if l.held[i] || !problem.Meets(l.acres+u.Acres, c.Acres) || !problem.Meets(l.burns+1, c.Burns) ||
		!problem.Meets(l.cost+u.Cost, c.Cost) || !problem.Meets(l.days[s]+u.BurnDays, l.with.dayCap(c.BurnDays[s])) {
		return false
	}
	if r := u.Refuge; r >= 0 && !problem.Meets(l.refuge[r]+u.Acres, p.Refuges[r].MaxShare*l.g.refugeAcres[r]) {
		return false
	}
	for _, j := range l.g.apart[i] {
		if l.held[j] {
			return false
		}
	}
	l.hold(i, s, 1)
	return true
}

// hold puts a unit among those held, or takes it away where sign is −1.
func (l *limits) hold(i, s int, sign float64) {
	u := &l.g.Problem.Units[i]
	l.held[i] = sign > 0
	l.acres += sign * u.Acres
	l.burns += sign
	l.cost += sign * u.Cost
	if s >= 0 {
		l.days[s] += sign * u.BurnDays
	}
	if u.Refuge >= 0 {
		l.refuge[u.Refuge] += sign * u.Acres
	}
}

// release lets go of a unit that did not burn; the days that it took are spent.
func (l *limits) release(i, s int, spent float64) {
	l.hold(i, s, -1)
	l.days[s] += spent
}
