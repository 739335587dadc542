package search

import (
	"context"
	"math"
	"math/rand/v2"

	"emberquilt/schedule/rotation/internal/model"
)

// Budget says how much work a call of Run may do.
type Budget struct {
	// Steps counts best responses of single units, a microsecond or two each.
	// 0 means no limit: only the context ends the call.
	Steps int64
}

// Guide is what a bound knows. The zero value knows nothing.
type Guide struct {
	// Price holds the prices of the model's rows. Cycles that begin in the call
	// start from the prices of caps and refuges instead of finding their own
	// from afar. nil means unknown; otherwise it has model.Rows.Many entries.
	Price []float64
}

// Searcher looks for good plans of one model. It is not safe for concurrent
// use; several searchers may share a model.
type Searcher struct {
	*state
	rng      *rand.Rand
	best     model.Plan
	bestCost float64
	started  bool

	settings
	cycle cycle
	steps int64     // best responses so far
	price []float64 // [row] see adapt
	plain bool      // nothing within a limit is charged, so total is the cost where nothing is over

	tauUnit, rateUnit float64 // see scale
	noise             noise

	// recordFrom is the step from which a move may record again: recording sums
	// all rows anew, which must stay a small part of the work.
	recordFrom int64

	order []int32 // units, shuffled anew for each sweep
	units []int32 // units of the move at hand
	old   []int8  // [position in units*T+year] their paths before it
}

// New gives a searcher that has looked at nothing yet.
func New(m *model.Model, seed uint64) *Searcher {
	x := &Searcher{
		state:    newState(newInstance(m)),
		rng:      rand.New(rand.NewPCG(seed, 0x656d626572)),
		best:     m.NewPlan(),
		bestCost: inf,
		settings: settingsFor(m.N),
		order:    make([]int32, m.N),
		noise:    newNoise(),
	}
	for i := range x.order {
		x.order[i] = int32(i)
	}
	x.old = make([]int8, mostRuin*m.T)
	x.price = make([]float64, len(x.limit))
	x.scale()
	return x
}

// scale finds the natural unit of temperatures (what an average unit costs in
// a bad year) and of penalty rates (what a bad acre costs in a year). Both are
// 1 for an average unit of 43 acres and the default weights, for which the
// settings were tuned.
func (x *Searcher) scale() {
	w := x.Problem.Weights
	x.rateUnit = max(w.Overdue, w.Mix, w.Evenness, w.Neighbours, w.Keep, w.Season) / 3
	if x.rateUnit == 0 {
		x.rateUnit = 1
	}
	x.tauUnit = x.rateUnit * x.meanAcres / 43
}

// Best returns the best plan so far and its cost; ok is false when there is
// none. The plan is a copy.
func (x *Searcher) Best() (plan model.Plan, cost float64, ok bool) {
	if x.bestCost == inf {
		return nil, inf, false
	}
	return append(model.Plan(nil), x.best...), x.bestCost, true
}

// Steps counts the best responses so far.
func (x *Searcher) Steps() int64 { return x.steps }

// Offer hands in a plan, which is copied. Offer reports whether it meets every
// requirement and costs less than the best so far; then it becomes the best.
func (x *Searcher) Offer(plan model.Plan) bool {
	e := x.Evaluate(plan)
	if !e.Feasible || e.Cost >= x.bestCost-epsilon {
		return false
	}
	copy(x.best, plan)
	x.bestCost = e.Cost
	return true
}

// Run searches until the budget is spent or ctx is done, going on where the
// call before stopped. It may pass the budget by a few steps.
func (x *Searcher) Run(ctx context.Context, budget Budget, guide Guide) {
	end := int64(math.MaxInt64)
	if budget.Steps > 0 {
		end = x.steps + budget.Steps
	}
	if x.N == 0 || x.T == 0 || ctx.Err() != nil {
		return
	}
	if !x.started {
		x.started = true
		x.construct(ctx)
		x.cycle = cycle{from: x.steps, steps: x.first}
	}
	for x.steps < end && ctx.Err() == nil {
		if !x.cool(ctx, end, guide) {
			return
		}
		x.settle(ctx, x.sweeps)
		next := min(int64(float64(x.cycle.steps)*growth), x.longest)
		x.cycle = cycle{from: x.steps, steps: next}
	}
}

// construct makes a first plan: locked burns alone, then everyone's answer.
func (x *Searcher) construct(ctx context.Context) {
	x.setRates(hard * x.rateUnit)
	if !x.start() && x.bestCost < inf {
		// The packing of locked burns gave up: take what was offered.
		x.load(x.best)
	}
	x.plain = true
	x.record()
	x.settle(ctx, 3)
}

// load makes plan the current one.
func (x *Searcher) load(plan model.Plan) {
	x.clear()
	for i := range x.N {
		x.put(i, plan[i*x.T:][:x.T])
	}
	x.resum()
}

// record makes the current plan the best if it is one.
func (x *Searcher) record() {
	if x.violated > 0 || !x.plain || x.total >= x.bestCost-epsilon {
		return
	}
	x.resum() // what rounding has piled up must not pass for a gain
	if x.violated > 0 || x.total >= x.bestCost-epsilon {
		return
	}
	copy(x.best, x.season)
	x.bestCost = x.total
}

// epsilon is the least gain, in acre-years, that counts.
const epsilon = 1e-9
