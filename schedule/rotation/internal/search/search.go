package search

import (
	"context"
	"math"

	"emberquilt/schedule/rotation/internal/model"
)

// Searcher looks for good plans of one model. It is not safe for concurrent
// use; several searchers may share a model.
type Searcher struct {
	in      *instance
	seed    uint64
	found   *found
	steps   int64 // best responses so far
	planned int64 // about how many there will be, 0 unknown
	generation
}

// found is the best plan of all walks.
type found struct {
	plan model.Plan
	cost float64
}

// New gives a searcher that has looked at nothing yet. planned is about how many
// steps it will be given in all, 0 when nobody knows: the last cooling is made
// to end there.
func New(m *model.Model, seed uint64, planned int64) *Searcher {
	return &Searcher{
		in: newInstance(m), seed: seed, planned: planned,
		found: &found{m.NewPlan(), inf},
	}
}

// Best returns the best plan so far and its cost; ok is false when there is
// none. The plan is a copy.
func (x *Searcher) Best() (plan model.Plan, cost float64, ok bool) {
	if x.found.cost == inf {
		return nil, inf, false
	}
	return append(model.Plan(nil), x.found.plan...), x.found.cost, true
}

// Steps counts the best responses of single units so far, a microsecond or two
// each.
func (x *Searcher) Steps() int64 { return x.steps }

// Offer hands in a plan, which is copied. Offer reports whether it meets every
// requirement and costs less than the best so far; then it becomes the best.
func (x *Searcher) Offer(plan model.Plan) bool {
	e := x.in.Evaluate(plan)
	if !e.Feasible || e.Cost >= x.found.cost-epsilon {
		return false
	}
	copy(x.found.plan, plan)
	x.found.cost = e.Cost
	return true
}

// Run searches for so many steps, 0 without limit, or until ctx is done, going
// on where the call before stopped. It may pass the steps by a few.
func (x *Searcher) Run(ctx context.Context, steps int64) {
	end := int64(math.MaxInt64)
	if steps > 0 {
		end = x.steps + steps
	}
	if x.in.N == 0 || x.in.T == 0 || ctx.Err() != nil {
		return
	}
	if x.walks == nil {
		w := newWalk(x.in, x.found, x.seed, 0)
		w.construct(ctx)
		x.steps += w.steps
		x.walks = []*walk{w}
		x.begin()
	}
	for x.steps < end && ctx.Err() == nil {
		w := x.walks[x.turn]
		before := w.steps
		done := w.cool(ctx, w.steps+end-x.steps, x.leg())
		if done && x.isLastLeg() {
			w.settle(ctx, w.sweeps)
		}
		x.steps += w.steps - before
		if !done {
			return
		}
		x.next()
	}
}

// epsilon is the least gain, in acre-years, that counts.
const epsilon = 1e-9
