package bound

import (
	"math"
	"slices"

	"emberquilt/schedule/problem"
)

// Copies of a unit in several blocks that agree in which years it burns need not agree
// in what it does in between: half a path that burns every second year and half one that
// burns every fourth make the same shares as two that burn twice and wait. A price of each age
// at the end of each year, which sums to 0 over the copies, ties them together as far
// as single units go: from one burn to the next a path is known by its ages.

// UseTies ties the copies of units in several blocks by prices of ages and the blocks of
// neighbor pairs by parts of what these cost, all 0 at first. SetBlocks takes them away.
func (e *Engine) UseTies() {
	e.useAges()
	e.useParts()
}

// useAges gives prices to the ages of units with several copies.
func (e *Engine) useAges() {
	if len(e.shared) == 0 {
		return
	}
	e.ageAt = make([]int, len(e.copyUnit))
	many := 0
	for _, i := range e.shared {
		for _, c := range e.copies[i] {
			e.ageAt[c] = many
			many += e.M.T * int(e.M.K[i])
		}
	}
	e.age = make([]float64, many)
}

// roundAges brings the prices to multiples of their grain that sum to exactly 0.
func (e *Engine) roundAges() {
	if e.age == nil {
		return
	}
	coarse := e.splitGrain()
	for _, i := range e.shared {
		copies := e.copies[i]
		last := copies[len(copies)-1]
		for x := range e.M.T * int(e.M.K[i]) {
			left := 0.0
			for _, c := range copies[:len(copies)-1] {
				p := &e.age[e.ageAt[c]+x]
				*p = math.Round(*p/coarse) * coarse
				left -= *p
			}
			e.age[e.ageAt[last]+x] = left
		}
	}
}

// ageSize is at least the sum of what all copies can pay for their ages.
func (e *Engine) ageSize() float64 {
	size := 0.0
	for _, p := range e.age {
		size += math.Abs(p)
	}
	return size
}

// isShiftAnAge reports whether a certificate holds the shifts of a unit as prices of age 0,
// in which a unit ends the years that it burns in: that is shorter than both.
func (e *Engine) isShiftAnAge(i int32) bool {
	return e.age != nil && len(e.copies[i]) > 1 && e.M.K[i] > 1
}

// leafAges adds the prices of a copy's ages as a certificate holds them, which knows
// ages and not states.
func (e *Engine) leafAges(i int32, c int, to []problem.AgePrices) []problem.AgePrices {
	if e.age == nil || len(e.copies[i]) < 2 {
		return to
	}
	m := e.M
	k, skip := int(m.K[i]), m.SkippedAges(int(i))
	for t := range m.T {
		state := slices.Clone(e.age[e.ageAt[c]+t*k:][:k])
		if e.isShiftAnAge(i) {
			state[0] += e.shift[c*m.T+t]
		}
		if !slices.ContainsFunc(state, func(p float64) bool { return p != 0 }) {
			continue
		}
		a := problem.AgePrices{Unit: int(i), Year: m.Problem.FirstYear + t}
		for s, p := range state {
			for n := 0; n < skip && s == m.T && s < k-1; n++ {
				a.Price = append(a.Price, p) // ages that do not occur
			}
			a.Price = append(a.Price, p)
		}
		for n := len(a.Price) - 1; n > 0 && a.Price[n] == a.Price[n-1]; n-- {
			a.Price = a.Price[:n] // the last one holds for all greater ages
		}
		to = append(to, a)
	}
	return to
}

// resetAges forgets the running means.
func (a *Ascent) resetAges() {
	n := len(a.e.age)
	a.bestAge, a.ageMean, a.ageVary = make([]float64, n), make([]float64, n), make([]float64, n)
}

// stepAges is stepShifts for each age: a copy that ends a year in a state more often
// than the mean of the copies is charged more for it. The shifts stay as they are.
func (a *Ascent) stepAges(warm float64) {
	e, t := a.e, a.e.M.T
	for _, i := range e.shared {
		copies := e.copies[i]
		k := int(e.M.K[i])
		if len(a.count) < k {
			a.count = make([]float64, k)
		}
		for y := range t {
			for _, c := range copies {
				a.count[e.State[int(c)*t+y]]++
			}
			for s, count := range a.count[:k] {
				a.count[s] = 0
				a.stepAge(i, y*k+s, y, s, count/float64(len(copies)), warm)
			}
		}
	}
}

// stepAge moves the prices of one state of a unit at the end of a year, at being its
// place, and mean the part of the copies that are in it.
func (a *Ascent) stepAge(i int32, at, y, s int, mean, warm float64) {
	e, t := a.e, a.e.M.T
	copies, scale := e.copies[i], e.M.Acres[i]
	square := scale * scale * float64(len(copies)) * mean * (1 - mean)
	// One step length for all copies keeps the sum at 0.
	vary := &a.ageVary[e.ageAt[copies[0]]+at]
	*vary = varyDecay**vary + (1-varyDecay)*square
	if *vary == 0 {
		return // the copies have always agreed
	}
	length := warm * scale / (math.Sqrt(*vary) + tiny)
	for _, c := range copies {
		g := -mean
		if int(e.State[int(c)*t+y]) == s {
			g++
		}
		x := e.ageAt[c] + at
		a.ageMean[x] = meanDecay*a.ageMean[x] + (1-meanDecay)*g*scale
		e.age[x] += length * a.ageMean[x]
	}
}
