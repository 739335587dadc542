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

// Guide is what a bound knows about where good plans lie. The zero value knows
// nothing.
type Guide struct {
	// Burn holds, at (i·T+t)·S+s, the reduced cost of a burn: what the best
	// path of unit i with that burn costs above its best path, at the bound's
	// prices. nil means unknown.
	Burn []float64
}

// Searcher looks for good plans of one model. It is not safe for concurrent
// use; several searchers may share a model.
type Searcher struct {
	*state
	rng      *rand.Rand
	best     model.Plan
	bestCost float64
	started  bool
	hardened bool // nothing within a limit is priced, so total is the cost where nothing is over

	steps, moved int64 // steps are best responses
	cycle        cycle
	settings
	tauUnit, rateUnit float64

	price     []float64 // [row] see adapt
	order     []int32   // units, shuffled anew for each sweep
	units     []int32   // units of the move at hand
	old       []int8    // [position in units*T+year] their paths before it
	logs      []float64
	gumbels   []float64
	placed    int
	undoStack []int32
}

// settings are the knobs of the annealing, in natural units.
type settings struct {
	maxRuin      int
	noise        float64
	kick         float64
	chains       uint64
	hot, cold    float64
	rate0, rate1 float64
	first        int64 // steps a unit of the first cycle
	growth       float64
	longest      int64 // steps
	eta, u0, u1  float64
	etaEnd       float64
	v1, main     float64
	stages       int64 // of a cycle: how often prices move
}

// defaults were tuned on the development problems; see BenchmarkCost.
var defaults = settings{
	maxRuin: 4, noise: 0.3, hot: 70, cold: 6, rate0: 4, rate1: 10,
	first: 100, growth: 2, eta: 0.05, etaEnd: 1, u0: 0.1, u1: 1, v1: 0.04, main: 0.87, stages: 100,
}

// cycle is one cooling: so many steps from hot to cold.
type cycle struct {
	from, steps int64
	stage       int64
}

// New gives a searcher that has looked at nothing yet.
func New(m *model.Model, seed uint64) *Searcher {
	x := &Searcher{
		state: newState(newInstance(m)), rng: rand.New(rand.NewPCG(seed, 0x656d626572)),
		best: m.NewPlan(), bestCost: inf,
		order:    make([]int32, m.N),
		settings: defaults,
	}
	for i := range x.order {
		x.order[i] = int32(i)
	}
	x.old = make([]int8, 16*m.T)
	x.price = make([]float64, len(x.limit))
	x.tables()
	x.scale()
	n := float64(m.N)
	x.longest = int64(3000 * n * max(1, n*n/625))
	return x
}

// scale finds the natural unit of temperatures (what an average unit costs in
// a bad year) and of penalty rates (what a bad acre costs in a year).
func (x *Searcher) scale() {
	w := x.Problem.Weights
	x.rateUnit = max(w.Overdue, w.Mix, w.Evenness, w.Neighbours, w.Keep, w.Season) / 3
	if x.rateUnit == 0 {
		x.rateUnit = 1
	}
	x.tauUnit = x.rateUnit * x.meanAcres / 43
}

// Best returns the best plan seen so far and its cost; ok is false when there
// is none. The plan is a copy.
func (x *Searcher) Best() (plan model.Plan, cost float64, ok bool) {
	if x.bestCost == inf {
		return nil, inf, false
	}
	return append(model.Plan(nil), x.best...), x.bestCost, true
}

// Steps returns the number of steps done so far.
func (x *Searcher) Steps() int64 { return x.steps }

// Offer hands in a plan. A plan that meets every requirement and costs less
// than the best so far becomes the best; Offer reports whether it did.
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
// call before stopped.
func (x *Searcher) Run(ctx context.Context, budget Budget, guide Guide) {
	end := int64(math.MaxInt64)
	if budget.Steps > 0 {
		end = x.steps + budget.Steps
	}
	if x.N == 0 {
		return
	}
	if !x.started {
		x.construct(ctx)
		x.started = true
		x.cycle = cycle{from: x.steps, steps: x.first * int64(x.N), stage: -1}
	}
	for x.steps < end && ctx.Err() == nil {
		if !x.cool(ctx, end) {
			return
		}
		x.settle(ctx)
		x.cycle = cycle{from: x.steps, steps: min(int64(float64(x.cycle.steps)*x.growth), x.longest), stage: -1}
	}
}

// construct makes a first plan: locked burns alone, then everyone's answer.
func (x *Searcher) construct(ctx context.Context) {
	x.setRates(hard * x.rateUnit)
	if !x.start() {
		// Packing of locked burns gave up: take what was offered.
		if x.bestCost == inf {
			return
		}
		x.load(x.best)
	}
	if x.violated == 0 && x.total < x.bestCost {
		x.record()
	}
	x.settle(ctx)
}

// load makes plan the current one.
func (x *Searcher) load(plan model.Plan) {
	x.clear()
	for i := range x.N {
		x.put(i, plan[i*x.T:][:x.T])
	}
	x.resum()
}

// cool goes on with the current cycle and reports whether it came to its end.
func (x *Searcher) cool(ctx context.Context, end int64) bool {
	c := &x.cycle
	tau := x.hot
	for k := 0; ; k++ {
		if k&31 == 0 {
			if ctx.Err() != nil {
				return false
			}
			f := x.steps - c.from
			if f >= c.steps {
				return true
			}
			if x.steps >= end {
				return false
			}
			part := float64(f) / float64(c.steps)
			cooling := part < x.main
			if cooling {
				part /= x.main
				tau = x.tauUnit * x.hot * math.Pow(x.cold/x.hot, part)
			} else {
				part = (part - x.main) / (1 - x.main)
				tau = x.tauUnit * x.cold * math.Pow(0.1, part)
			}
			if g := f * x.stages / c.steps; g != c.stage {
				if c.stage < 0 {
					x.setRates(x.rateUnit * x.rate0)
					copy(x.price, x.rate)
				}
				c.stage = g
				if cooling {
					x.adapt(x.eta*math.Pow(x.etaEnd, part), x.u0+(x.u1-x.u0)*part, 0.5+(x.v1-0.5)*part)
				} else {
					x.harden(x.rate1 * math.Pow(300/x.rate1, part))
				}
			}
		}
		if x.rng.Uint64()&1023 < x.chains {
			x.chain(tau)
		} else {
			x.move(tau)
		}
	}
}

// settle makes the current plan meet every requirement and lets the units
// answer each other until none gains.
func (x *Searcher) settle(ctx context.Context) {
	x.hardened = true
	x.setRates(hard * x.rateUnit)
	for range 30 {
		x.rng.Shuffle(len(x.order), func(i, j int) { x.order[i], x.order[j] = x.order[j], x.order[i] })
		if !x.sweep(ctx, x.order) {
			break
		}
	}
	if x.violated == 0 && x.total < x.bestCost-epsilon {
		x.record()
	}
}

// hard is a penalty rate, in acre-years per acre, that no gain outweighs.
const hard = 1e6

// adapt moves the price of each row up where the row is over its limit and down
// where it is not. A unit of the row then costs (1−u) of the price within the
// limit and (1+u) of it beyond.
func (x *Searcher) adapt(eta, u, v float64) {
	x.hardened = false
	up, down := math.Exp(2*eta*(1-v)), math.Exp(-2*eta*v)
	for row, price := range x.price {
		if x.limit[row] == inf {
			x.rate[row] = 0
			continue
		}
		n := x.natural(row) * x.rateUnit
		if x.used[row] > x.limit[row] {
			price *= up
		} else {
			price *= down
		}
		price = min(max(price, n*0.05), n*100)
		x.price[row] = price
		x.low[row], x.rate[row] = price*max(0, 1-u), price*(min(1, u)+u)
	}
	x.apartRate = x.rateUnit * x.rate0 * (1 + 5*u)
	x.resum()
}

// harden ends the pricing of what is within its limit.
func (x *Searcher) harden(rate float64) {
	x.hardened = true
	for row, p := range x.price {
		x.low[row] = 0
		if x.limit[row] < inf {
			x.rate[row] = max(2*p, x.natural(row)*x.rateUnit*rate)
		}
	}
	x.apartRate = max(x.apartRate, rate*x.rateUnit)
	x.resum()
}
