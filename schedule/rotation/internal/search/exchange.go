package search

import (
	"context"
	"math"
	"math/rand/v2"

	"emberquilt/schedule/rotation/internal/model"
)

// Exchanger improves plans by cycles, where a place in a year is worth the same to
// all units: one unit moves a burn from year a to year b, another makes room for it
// in b, and so on, until the last takes the place in a, or one that nobody used
// ("cyclic transfers", Thompson and Psaraftis 1993). A trial draws a move of one unit;
// the others of the cycle come from the cheapest way from b back to a over the years,
// on which a step costs what it costs the unit to which it matters least. So one trial
// looks at all cycles of a few units that begin with a move.
//
// Walks cannot do that: under hard limits they wait until an unused place comes by.
// The figures stand in schedule/bench/NOTES.md. An exchanger is not safe for
// concurrent use.
type Exchanger struct {
	x     *state
	rng   *rand.Rand
	found found
	tries int64
	// from is the trial with which the cooling at work began, span its length, and
	// measure what temperatures are parts of.
	from, span int64
	measure    float64

	// nodes are the years and, last, none: a unit that moves a burn from there
	// burns once more, one that moves it there once less.
	nodes int
	// delta holds, at [(from*nodes+to)*N+unit], what it costs a unit to move a burn
	// while all others stay; least, at [from*nodes+to], the least of them, but where
	// it is stale.
	delta []float64
	least []float64
	stale []bool

	// cost holds, at [units after the first][node], what the cheapest way there
	// costs, before the node before it.
	cost   [exchangeUnits + 1][]float64
	before [exchangeUnits + 1][]int32

	// moved are the units that the trial at hand has moved, old their paths.
	moved   []int32
	old     []int8
	path    []int8
	touched []bool
	due     []int32
}

// What was tuned on grids: how many units may follow the first of a cycle; between
// which temperatures an exchange cools, in parts of what the least pair of neighbors
// costs; how many trials the first cooling takes, and how many times as many each next
// one.
const (
	exchangeUnits             = 5
	exchangeHot, exchangeCold = 1.5, 0.2
	exchangeSpan              = 150_000
	exchangeGrowth            = 1.5
)

// mostExchange bounds the moves that an exchanger keeps the costs of.
const mostExchange = 8 << 20

// NewExchanger gives an exchanger, nil where places are not worth the same to all
// units.
func NewExchanger(m *model.Model, seed uint64) *Exchanger {
	nodes := m.T + 1
	if nodes*nodes*m.N > mostExchange || !isUniform(m) {
		return nil
	}
	in := newInstance(m)
	e := &Exchanger{
		x: newState(in), rng: rand.New(rand.NewPCG(seed, 0x65786368)), nodes: nodes,
		found: found{m.NewPlan(), inf}, span: exchangeSpan, measure: inf,
		delta: make([]float64, nodes*nodes*m.N), least: make([]float64, nodes*nodes), stale: make([]bool, nodes*nodes),
		path: make([]int8, m.T), touched: make([]bool, m.N),
	}
	for k := range e.cost {
		e.cost[k], e.before[k] = make([]float64, nodes), make([]int32, nodes)
	}
	for _, p := range m.Neighbors {
		e.measure = min(e.measure, p.Cost)
	}
	return e
}

// isUniform reports whether every burn takes the same of every row, and nothing but
// limits of years and neighbors couples units.
func isUniform(m *model.Model) bool {
	if m.N < 2 || m.S != 1 || len(m.Classes) > 0 || len(m.RefugeLimit) > 0 || len(m.Apart) > 0 || len(m.Neighbors) == 0 ||
		!math.IsInf(m.EvenLo, -1) || !math.IsInf(m.EvenHi, 1) || m.Problem.Weights.Neighbors <= 0 {
		return false
	}
	hasDays, hasCost := false, false
	for _, l := range m.Limit {
		hasDays = hasDays || l.Days[0] < inf
		hasCost = hasCost || l.Cost < inf
	}
	for i := range m.N {
		if m.Acres[i] != m.Acres[0] || hasDays && m.Days[i] != m.Days[0] || hasCost && m.Dollars[i] != m.Dollars[0] {
			return false
		}
	}
	return true
}

// Work estimates what a trial takes, in nanoseconds on a common machine.
func (e *Exchanger) Work() float64 { return 1000 + 45*float64(e.nodes*e.nodes) }

// Run makes so many trials, fewer where ctx is done, from a plan that meets every
// requirement or, where that is no better, from where it stopped. It gives a plan that
// costs less, or nil.
func (e *Exchanger) Run(ctx context.Context, plan model.Plan, cost float64, trials int64) model.Plan {
	if cost < e.found.cost-epsilon {
		copy(e.found.plan, plan)
		e.found.cost = cost
		e.begin()
	}
	before := e.found.cost
	for k := range trials {
		if k&255 == 0 && ctx.Err() != nil {
			break
		}
		part := float64(e.tries-e.from) / float64(e.span)
		if part >= 1 {
			e.span = int64(exchangeGrowth * float64(e.span))
			e.begin()
			part = 0
		}
		e.tries++
		e.try(e.measure * exchangeHot * math.Pow(exchangeCold/exchangeHot, part))
	}
	if e.found.cost >= before-epsilon {
		return nil
	}
	return append(model.Plan(nil), e.found.plan...)
}

// begin begins a cooling with the best plan.
func (e *Exchanger) begin() {
	e.from = e.tries
	x := e.x
	x.clear()
	for i := range x.N {
		x.put(i, e.found.plan[i*x.T:][:x.T])
	}
	x.resum()
	for k := range e.stale {
		e.stale[k] = true
	}
	for i := range x.N {
		e.rate(i)
	}
}

// alone is what a path costs unit i beside all others, limits of years left out.
func (e *Exchanger) alone(i int, path []int8) float64 {
	x := e.x
	T := x.T
	age, last, late := x.age0[i], x.lastAge[i], x.lateCosts(i)
	can := x.CanBurn[x.StateBase[i]:]
	near, burn, rests := x.near[i*T:][:T], x.BurnOwn[i*T:][:T], x.RestOwn[i*T:][:T]
	sum := 0.0
	for t, q := range path {
		if q < 0 {
			sum += rests[t]
			if age < last {
				age++
			}
		} else {
			if !can[min(age, x.K[i]-1)] {
				return inf
			}
			sum += burn[t] + near[t]
			age = 0
		}
		sum += late[min(age, x.K[i]-1)]
	}
	return sum
}

// rate finds what all moves of unit i cost.
func (e *Exchanger) rate(i int) {
	T := e.x.T
	copy(e.path, e.x.pathOf(i))
	now := e.alone(i, e.path)
	for a := range e.nodes {
		can := a == T || e.path[a] >= 0
		for b := range e.nodes {
			d := inf
			if can && a != b && (b == T || e.path[b] < 0) {
				e.shift(a, b)
				d = e.alone(i, e.path) - now
				e.shift(b, a)
			}
			e.set(a*e.nodes+b, i, d)
		}
	}
}

// set notes what a move costs a unit.
func (e *Exchanger) set(k, i int, d float64) {
	at := &e.delta[k*e.x.N+i]
	old := *at
	*at = d
	switch {
	case e.stale[k]:
	case d < e.least[k]:
		e.least[k] = d
	case old <= e.least[k] && d > old:
		e.stale[k] = true
	}
}

// step is what a step from one node to another costs at least. To and from none there
// need not be a unit: where the year before has a place left, and where a place is
// left to nobody.
func (e *Exchanger) step(a, b int) float64 {
	least := e.leastOf(a*e.nodes + b)
	if none := e.nodes - 1; a == none || b == none && e.isFree(a) {
		return min(0, least)
	}
	return least
}

// isFree reports whether one more burn fits into a year.
func (e *Exchanger) isFree(t int) bool {
	x := e.x
	T := x.T
	return x.used[t]+x.Acres[0] <= x.limit[t] && (x.limit[rowDays*T+t] == inf || x.used[rowDays*T+t]+x.Days[0] <= x.limit[rowDays*T+t]) &&
		(!x.hasBurns || x.used[rowBurns*T+t]+1 <= x.limit[rowBurns*T+t]) &&
		(!x.hasCost || x.used[rowCost*T+t]+x.Dollars[0] <= x.limit[rowCost*T+t])
}

func (e *Exchanger) leastOf(k int) float64 {
	if e.stale[k] {
		least := inf
		for _, d := range e.delta[k*e.x.N:][:e.x.N] {
			least = min(least, d)
		}
		e.least[k], e.stale[k] = least, false
	}
	return e.least[k]
}

// try makes one trial at a temperature.
func (e *Exchanger) try(tau float64) {
	x := e.x
	i := e.opener()
	a, b := e.draw(i)
	first := e.delta[(a*e.nodes+b)*x.N+i]
	limit := tau * x.noise.exponential(e.rng.Uint64())
	if first == inf {
		return
	}
	cost, units := e.way(first, a, b)
	if cost > limit {
		return
	}
	before := x.total
	e.moved, e.old = e.moved[:0], e.old[:0]
	ok := e.move(i, a, b)
	for v := a; ok && units > 0; units-- {
		u := int(e.before[units][v])
		ok = e.follow(u, v)
		v = u
	}
	if !ok || x.violated > 0 || x.total > before+limit {
		for k, u := range e.moved {
			x.take(int(u))
			x.put(int(u), e.old[k*x.T:][:x.T])
		}
		x.total = before
		return
	}
	e.renew()
	if x.total < e.found.cost-epsilon {
		copy(e.found.plan, x.season)
		e.found.cost = x.total
	}
}

// draw draws a move for a unit, mostly of one of its burns.
func (e *Exchanger) draw(i int) (a, b int) {
	T := e.x.T
	a, b = e.rng.IntN(e.nodes), e.rng.IntN(e.nodes)
	if e.rng.Uint64()&7 == 0 {
		return a, b
	}
	path := e.x.pathOf(i)
	t := e.rng.IntN(T)
	for range T {
		if path[t] >= 0 {
			return t, b
		}
		if t++; t == T {
			t = 0
		}
	}
	return a, b
}

// way finds the cheapest way from node b back to a, after a first move from a to b.
func (e *Exchanger) way(first float64, a, b int) (cost float64, units int) {
	none := e.nodes - 1
	cost = inf
	if b == none || a == none && e.isFree(b) {
		cost = first // it needs nobody
	}
	for v := range e.nodes {
		e.cost[0][v] = inf
	}
	e.cost[0][b] = first
	for k := 1; k <= exchangeUnits; k++ {
		to, from := e.cost[k], e.cost[k-1]
		for v := range to {
			to[v] = inf
		}
		for u, c := range from {
			if c == inf || u == a {
				continue
			}
			for v := range to {
				if v == u {
					continue
				}
				if s := c + e.step(u, v); s < to[v] {
					to[v], e.before[k][v] = s, int32(u)
				}
			}
		}
		if to[a] < cost-epsilon {
			cost, units = to[a], k
		}
	}
	return cost, units
}

// move moves a burn of a unit, and reports whether that is allowed to it.
func (e *Exchanger) move(i, a, b int) bool {
	x := e.x
	e.old, e.moved = append(e.old, x.pathOf(i)...), append(e.moved, int32(i))
	copy(e.path, x.pathOf(i))
	before := e.alone(i, e.path)
	e.shift(a, b)
	after := e.alone(i, e.path)
	if after == inf {
		return false
	}
	x.take(i)
	x.put(i, e.path)
	x.total += after - before
	return true
}

// shift moves a burn of the path at hand.
func (e *Exchanger) shift(a, b int) {
	if a < e.x.T {
		e.path[a] = rest
	}
	if b < e.x.T {
		e.path[b] = 0
	}
}

// follow lets a unit to which it matters least move a burn from u to v, and reports
// whether there is one that has nothing to do with those that have moved.
func (e *Exchanger) follow(u, v int) bool {
	x := e.x
	most := e.step(u, v) + epsilon
	if e.leastOf(u*e.nodes+v) > most {
		return true // it needs nobody
	}
	units := e.delta[(u*e.nodes+v)*x.N:][:x.N]
	j := e.rng.IntN(x.N)
	for range x.N {
		if units[j] <= most && e.isApartFromMoved(j) {
			return e.move(j, u, v)
		}
		if j++; j == x.N {
			j = 0
		}
	}
	return false
}

// isApartFromMoved reports whether neither a unit nor a neighbor of it has moved.
func (e *Exchanger) isApartFromMoved(j int) bool {
	for _, i := range e.moved {
		if int(i) == j {
			return false
		}
		for _, o := range e.x.neighbors[j] {
			if o.unit == i {
				return false
			}
		}
	}
	return true
}

// renew rates the units that moved, and their neighbors, anew.
func (e *Exchanger) renew() {
	e.due = e.due[:0]
	add := func(i int32) {
		if !e.touched[i] {
			e.touched[i] = true
			e.due = append(e.due, i)
		}
	}
	for _, i := range e.moved {
		add(i)
		for _, o := range e.x.neighbors[i] {
			add(o.unit)
		}
	}
	for _, i := range e.due {
		e.touched[i] = false
		e.rate(int(i))
	}
}

// opener draws the unit that a cycle begins with, often one that burns beside a
// neighbor.
func (e *Exchanger) opener() int {
	x := e.x
	i := e.rng.IntN(x.N)
	if e.rng.Uint64()&1 == 0 {
		return i
	}
	for range 4 * lookouts {
		near := x.near[i*x.T:][:x.T]
		for t, q := range x.pathOf(i) {
			if q >= 0 && near[t] > 0 {
				return i
			}
		}
		i = e.rng.IntN(x.N)
	}
	return i
}
