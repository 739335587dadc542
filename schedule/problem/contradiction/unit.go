package contradiction

import (
	"math"

	"emberquilt/schedule/problem"
)

// limits say which requirements hold for a unit by itself; the zero value lets all of
// them hold.
type limits struct{ noClosures, noLocks, noCaps, noRefuge bool }

// unitYears is what one unit may do in each year, and the ages with which it can end
// each year without ever being overdue.
type unitYears struct {
	acres      float64
	longest    int
	start      int
	burn, rest []bool
	shortest   int
	// on[t][g] reports whether some way to burn the unit that is not overdue until then
	// holds age g at the end of year t; there are as many as years that such a way reaches.
	on [][]bool
	// stuck is the first year at whose end it is overdue whatever is done; −1 for none.
	stuck int
}

// finder holds what is asked of a problem again and again.
type finder struct {
	p       *problem.Problem
	allowed func(unit, year, season int) bool
	refuge  []float64 // acres of each refuge group
	locks   map[[2]int][]problem.Lock
	units   []unitYears
}

func newFinder(p *problem.Problem) *finder {
	f := &finder{p: p, allowed: p.Allowed(), refuge: p.RefugeAcres(), locks: map[[2]int][]problem.Lock{}}
	for _, l := range p.Locks {
		key := [2]int{l.Unit, l.Year - p.FirstYear}
		f.locks[key] = append(f.locks[key], l)
	}
	for i := range p.Units {
		f.units = append(f.units, f.unit(i, limits{}))
	}
	return f
}

// unit lays out one unit.
func (f *finder) unit(i int, without limits) unitYears {
	u := &f.p.Units[i]
	y := unitYears{acres: u.Acres, longest: u.MaxInterval, shortest: u.MinInterval, start: u.Age, stuck: -1}
	for t := range f.p.T() {
		y.burn = append(y.burn, f.mayBurn(i, t, without))
		y.rest = append(y.rest, f.mayRest(i, t, without))
	}
	y.walk()
	return y
}

func (f *finder) mayRest(i, t int, without limits) bool {
	for _, l := range f.locks[[2]int{i, t}] {
		if l.Burn && !without.noLocks {
			return false
		}
	}
	return true
}

// mayBurn reports whether a year has room for the unit alone.
func (f *finder) mayBurn(i, t int, without limits) bool {
	p, u := f.p, &f.p.Units[i]
	c := &p.Caps[t]
	if !without.noCaps && !(problem.Meets(u.Acres, c.Acres) && problem.Meets(1, c.Burns) && problem.Meets(u.Cost, c.Cost)) {
		return false
	}
	if u.Refuge >= 0 && !without.noRefuge && !problem.Meets(u.Acres, p.Refuges[u.Refuge].MaxShare*f.refuge[u.Refuge]) {
		return false
	}
	for s := range p.Seasons {
		open := u.Allows(s)
		if !without.noClosures {
			open = f.allowed(i, p.FirstYear+t, s)
		}
		if !open || !without.noCaps && !problem.Meets(u.BurnDays, c.BurnDays[s]) {
			continue
		}
		fits := true
		for _, l := range f.locks[[2]int{i, t}] {
			fits = fits && (without.noLocks || l.Burn && (l.Season < 0 || l.Season == s))
		}
		if fits {
			return true
		}
	}
	return false
}

// walk finds the ages that are reached without being overdue until then.
func (y *unitYears) walk() {
	T := len(y.burn)
	y.on = make([][]bool, T)
	for t := range T {
		y.on[t] = make([]bool, y.longest)
		some := false
		y.each(t, func(from, to int) {
			if t == 0 || y.on[t-1][from] {
				y.on[t][to], some = true, true
			}
		})
		if !some {
			y.stuck, y.on = t, y.on[:t]
			return
		}
	}
}

// each calls do with the ages before and after every step of a year that does not
// leave the unit overdue; before the first year there is one age alone.
func (y *unitYears) each(t int, do func(from, to int)) {
	step := func(from int) {
		if y.burn[t] && from+1 >= y.shortest {
			do(from, 0)
		}
		if y.rest[t] && from+1 < y.longest {
			do(from, from+1)
		}
	}
	if t == 0 {
		step(y.start)
		return
	}
	for g := range y.longest {
		step(g)
	}
}

// fewest gives, for a first year, the least sum of a count over it and the years up
// to each later one, over all ways to burn the unit that are not overdue until then. The
// count of a year is that of its age at the end. Its first entry is that of the first year.
func (y *unitYears) fewest(first int, count func(age int) float64) []float64 {
	T := len(y.burn)
	least := make([]float64, T-first)
	var now []float64
	for t := first; t < T; t++ {
		next := make([]float64, y.longest)
		for g := range next {
			next[g] = math.Inf(1)
		}
		best := math.Inf(1)
		y.each(t, func(from, to int) {
			if !y.on[t][to] || t > 0 && !y.on[t-1][from] {
				return
			}
			sum := count(to)
			if t > first {
				sum += now[from]
			}
			next[to] = math.Min(next[to], sum)
			best = math.Min(best, sum)
		})
		now = next
		least[t-first] = best
	}
	return least
}

// burned counts the burns.
func burned(age int) float64 {
	if age == 0 {
		return 1
	}
	return 0
}
