package search

import (
	"context"
	"math/rand/v2"

	"emberquilt/schedule/rotation/internal/model"
)

// walk is one plan that is changed step by step, with the prices that it has
// found by itself.
type walk struct {
	*state
	rng   *rand.Rand
	found found // by this walk, since the last generation at least

	settings
	cycle cycle
	steps int64     // best responses so far
	price []float64 // [row] see adapt
	known []float64 // [row] prices to begin the next cycle with, nil for none
	guide []float64 // [unit*T+year] see Guide; nil for none
	plain bool      // nothing within a limit is charged, so total is the cost where nothing is over
	// mark is what the walk's plans of late cost, 0 while there were none: the
	// less the better.
	mark float64
	done bool // the leg at hand is behind it

	tauUnit, rateUnit float64 // see scale

	// recordFrom is the step from which a move may record again: recording sums
	// all rows anew, which must stay a small part of the work.
	recordFrom int64

	order []int32 // units, shuffled anew for each sweep
	units []int32 // units of the move at hand
	old   []int8  // [position in units*T+year] their paths before it
}

// newWalk gives a walk of no units yet. Walks of one seed differ by number.
func newWalk(in *instance, seed, number uint64) *walk {
	x := &walk{
		state:    newState(in),
		rng:      rand.New(rand.NewPCG(seed, 0x656d626572+number)),
		found:    found{in.NewPlan(), inf},
		settings: settingsFor(in.N),
		order:    make([]int32, in.N),
		old:      make([]int8, mostRuin*in.T),
		price:    make([]float64, len(in.limit)),
	}
	for i := range x.order {
		x.order[i] = int32(i)
	}
	x.scale()
	return x
}

// scale finds the natural unit of temperatures (what an average unit costs in
// a bad year) and of penalty rates (what a bad acre costs in a year). Both are
// 1 for an average unit of 43 acres and the default weights, for which the
// settings were tuned.
func (x *walk) scale() {
	w := x.Problem.Weights
	x.rateUnit = max(w.Overdue, w.Mix, w.Evenness, w.Neighbors, w.Keep, w.Season) / 3
	if x.rateUnit == 0 {
		x.rateUnit = 1
	}
	x.tauUnit = x.rateUnit * x.meanAcres / 43
}

// construct makes a first plan: locked burns alone, then everyone's answer.
func (x *walk) construct(ctx context.Context, offered *found) {
	x.setRates(hard * x.rateUnit)
	if !x.start() && offered.cost < inf {
		// The packing of locked burns gave up: take what was offered.
		x.load(offered.plan)
	}
	x.found.cost = offered.cost
	x.plain = true
	x.record()
	x.settle(ctx, 3)
}

// load makes plan the current one.
func (x *walk) load(plan model.Plan) {
	x.clear()
	for i := range x.N {
		x.put(i, plan[i*x.T:][:x.T])
	}
	x.resum()
}

// follow goes to where another walk is, plan, prices and all; chance goes its
// own way from there.
func (x *walk) follow(o *walk) {
	copy(x.price, o.price)
	copy(x.rate, o.rate)
	copy(x.low, o.low)
	x.apartRate, x.plain, x.mark = o.apartRate, o.plain, o.mark
	x.load(model.Plan(o.season))
}

// advance goes on for so many steps or to a part of the cooling, which ends with
// every unit on its best response.
func (x *walk) advance(ctx context.Context, steps int64, until float64) {
	if x.done = x.cool(ctx, x.steps+steps, until); x.done && until == 1 {
		x.settle(ctx, x.sweeps)
	}
}

// record makes the current plan the best if it is one.
func (x *walk) record() {
	if x.violated > 0 || !x.plain || x.total >= x.found.cost-epsilon {
		return
	}
	x.resum() // what rounding has piled up must not pass for a gain
	if x.violated > 0 || x.total >= x.found.cost-epsilon {
		return
	}
	copy(x.found.plan, x.season)
	x.found.cost = x.total
}
