package search

import (
	"context"
	"math"
)

// settings fit the work to the size of a problem.
type settings struct {
	first  int64 // steps of the first cycle
	sweeps int   // that end a cycle
}

// settingsFor starts with cycles that are done in a tenth of a second even for
// thousands of units.
func settingsFor(units int) settings {
	n := float64(units)
	return settings{
		first:  int64(n * min(max(60_000/max(n, 1), 20), 100)),
		sweeps: min(max(15_000/max(units, 1), 4), mostSweeps),
	}
}

// What was tuned on the development problems, temperatures and rates in the
// natural units of scale.
const (
	startPrice = 4.0
	leastPrice = 0.05
	hardenFrom = 10.0
	hardenTo   = 3e4
	mostStages = 100  // of a cycle: how often prices move
	spread     = 0.1  // of the price at first: within a limit 0.9, beyond 1.1
	falling    = 1.0  // of prices: what unused capacity, as a share, takes off the logarithm
	idle       = 3.0  // how many average units may be missing before that
	overAtEnd  = 0.04 // how often a row is over its limit when cooling ends
	mostSweeps = 30

	// hard is a penalty rate that no gain outweighs.
	hard = 1e6
)

// cycle is one cooling.
type cycle struct {
	from, steps int64
	stage       int64 // the one at work, counted from 1
	heat
}

// heat is how a cycle cools.
type heat struct {
	hot, cold float64 // temperatures
	pace      float64 // of prices: what the logarithm can move over a cycle
	part      float64 // of the cycle, until it is cold; the rest hardens and quenches
	quench    float64 // how far temperature falls in the rest
	seeks     bool    // moves mostly begin with units that burn beside neighbors
}

// crowdUnits is above how many units prices move faster: what single units do by chance
// moves their rows little, and with the usual pace those of years that do not bind are
// down only when all is cold. Plans of 711 units after 2 million steps (paper-size seed 2)
// with two seeds: 44,737 and 45,229 with 5, 43,525 and 43,758 with 8, 43,803 and 43,905
// with 14.
const crowdUnits = 500

// The coolings there are: as usual; of a crowd; from a plan that is good already; and at prices
// that are known to be right (Searcher.Aim), where what is left to decide costs far
// less than what the prices have decided.
var (
	usual  = heat{hot: 70, cold: 6, pace: 5, part: 0.87, quench: 0.1}
	crowd  = heat{hot: 70, cold: 6, pace: 8, part: 0.87, quench: 0.1}
	gentle = heat{hot: 12, cold: 6, pace: 5, part: 0.87, quench: 0.1}
	aimed  = heat{hot: 10, cold: 6, pace: 0.5, part: 0.3, quench: 0.05, seeks: true}
)

// left is how many steps the cycle still has.
func (x *walk) left() int64 { return max(0, x.cycle.from+x.cycle.steps-x.steps) }

// stretch makes what is left of the cycle longer or shorter by a factor.
func (x *walk) stretch(factor float64) {
	c := &x.cycle
	if x.left() == 0 {
		return
	}
	part := float64(x.steps-c.from) / float64(c.steps)
	c.steps = max(1, int64(factor*float64(c.steps)))
	c.from = x.steps - int64(part*float64(c.steps))
}

// stages of the cycle: a price move sums all rows anew, so short cycles have
// fewer.
func (c *cycle) stages(units int) int64 {
	return min(max(c.steps/int64(units), 10), mostStages)
}

// cool goes on with the current cycle and reports whether it came to a part of
// it, 1 being its end.
//
// In the first part the temperature falls from hot to cold while rows are
// priced, see adapt; in the second it falls further while limits harden.
func (x *walk) cool(ctx context.Context, end int64, until float64) bool {
	c := &x.cycle
	stages := c.stages(x.N)
	tau := 0.0
	for k := 0; ; k++ {
		if k&31 == 0 {
			f := x.steps - c.from
			part := float64(f) / float64(c.steps)
			if part >= until {
				return true
			}
			if x.steps >= end || ctx.Err() != nil {
				return false
			}
			cooling := part < c.part
			if cooling {
				part /= c.part
				tau = c.hot * math.Pow(c.cold/c.hot, part)
			} else {
				part = (part - c.part) / (1 - c.part)
				tau = c.cold * math.Pow(c.quench, part)
			}
			tau *= x.tauUnit
			if stage := f*stages/c.steps + 1; stage != c.stage {
				if c.stage == 0 {
					x.startPrices()
				}
				c.stage = stage
				if cooling {
					x.look()
					x.adapt(c.pace/float64(stages), spread+(1-spread)*part, 0.5+(overAtEnd-0.5)*part)
				} else {
					x.harden(hardenFrom * math.Pow(hardenTo/hardenFrom, part))
				}
			}
		}
		x.move(tau)
	}
}

// memory is how much of a mark each look keeps.
const memory = 0.8

// look takes the current plan into the walk's mark: its cost, and at their price
// what its rows are over their limits.
func (x *walk) look() {
	sum := x.cost()
	for row, price := range x.price {
		sum += price * max(0, x.used[row]-x.limit[row])
	}
	if x.mark == 0 {
		x.mark = sum
	}
	x.mark += (1 - memory) * (sum - x.mark)
}

// startPrices sets the prices at the start of a cycle.
func (x *walk) startPrices() {
	for row := range x.price {
		unit := x.rateUnit * x.natural(row)
		x.price[row] = startPrice * unit
		if x.known != nil {
			x.price[row] = max(x.known[row], leastPrice*unit)
		}
	}
	x.known = nil
}

// adapt moves the price of each row up where the row is over its limit and
// down where it is not, so that it is over for the share v of the time, and
// then charges (1−u) of the price within the limit and (1+u) of it beyond.
//
// The rows of caps that are far from full fall faster: what binds in the end is
// not known at the start, and prices of rows that do not bind would keep units
// from burning while those that do find their level. Rows of refuge groups are
// left out, as the few units of a group fill them by fits and starts.
//
// While u is small, a unit that leaves a full slot gets back what the slot is
// worth, and one that squeezes in pays for it and no more: units trade places
// without a barrier. As u grows to 1, what is left unused costs nothing any
// more and what is over costs double.
func (x *walk) adapt(eta, u, v float64) {
	x.plain = false
	up, down := math.Exp(2*eta*(1-v)), math.Exp(-2*eta*v)
	for row, price := range x.price {
		if x.limit[row] == inf {
			x.rate[row], x.low[row] = 0, 0
			continue
		}
		if x.used[row] > x.limit[row] {
			price *= up
		} else {
			price *= down
			if unused := 1 - (x.used[row]+idle*x.meanAcres/x.natural(row))/x.limit[row]; row < x.refugeRows() && unused > 0 {
				price *= math.Exp(-falling * unused)
			}
		}
		unit := x.natural(row) * x.rateUnit
		price = min(max(price, unit*leastPrice), unit*100)
		x.price[row] = price
		x.low[row], x.rate[row] = price*(1-u), price*2*u
	}
	x.apartRate = x.rateUnit * startPrice * (1 + 5*u)
	x.resum()
}

// harden ends the charge for what is within a limit and raises that for what
// is beyond.
func (x *walk) harden(rate float64) {
	x.plain = true
	for row, price := range x.price {
		x.low[row] = 0
		if x.limit[row] < inf {
			x.rate[row] = max(2*price, x.natural(row)*x.rateUnit*rate)
		}
	}
	x.apartRate = max(x.apartRate, rate*x.rateUnit)
	x.resum()
}

// settle makes the current plan meet every requirement and lets the units
// answer each other, for so many sweeps or until none gains; sweeps beyond
// those only while a limit is passed.
func (x *walk) settle(ctx context.Context, sweeps int) {
	x.plain = true
	x.setRates(hard * x.rateUnit)
	for k := 0; k < sweeps || x.violated > 0 && k < mostSweeps; k++ {
		x.rng.Shuffle(len(x.order), func(i, j int) { x.order[i], x.order[j] = x.order[j], x.order[i] })
		if !x.sweep(ctx) {
			break
		}
	}
	x.record()
}

// sweep lets every unit answer the others once and reports whether any changed
// and ctx is not done.
func (x *walk) sweep(ctx context.Context) bool {
	changed := false
	for k, u := range x.order {
		if k&63 == 63 && ctx.Err() != nil {
			return false
		}
		i := int(u)
		old := x.pathOf(i)
		x.take(i)
		x.prepare(i)
		x.steps++
		before := x.pathCost(i, old)
		if after := x.respond(i, x.burnAt); after < before-epsilon {
			x.put(i, x.path)
			x.total += after - before
			changed = true
		} else {
			x.put(i, old)
		}
	}
	return changed
}
