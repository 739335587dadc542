package search

import (
	"context"
	"math"

	"emberquilt/schedule/guard"
	"emberquilt/schedule/rotation/internal/model"
)

// Searcher looks for good plans of one model. It is not safe for concurrent
// use; several searchers may share a model.
type Searcher struct {
	in      *instance
	seed    uint64
	found   found
	steps   int64 // best responses so far
	planned int64 // about how many there will be, 0 unknown
	generation
}

// found is a best plan: all that meet every requirement and were seen cost no
// less.
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
		found: found{m.NewPlan(), inf},
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

// Steps counts the best responses of single units so far, about a microsecond
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
// on where the call before stopped. It may pass the steps by a few. Two walks at
// a time are at work, side by side where there are two threads; what they find
// does not depend on that.
func (x *Searcher) Run(ctx context.Context, steps int64, threads int) {
	end := int64(math.MaxInt64)
	if steps > 0 {
		end = x.steps + steps
	}
	if x.in.N == 0 || x.in.T == 0 || ctx.Err() != nil {
		return
	}
	if x.walks == nil {
		w := newWalk(x.in, x.seed, 0)
		w.construct(ctx, &x.found)
		x.steps += w.steps
		x.take(w)
		x.walks = []*walk{w}
		x.begin()
	}
	for x.steps < end && ctx.Err() == nil {
		x.advance(ctx, end-x.steps, threads)
	}
}

// advance takes those walks whose turn it is through so many steps, or to the
// end of their leg.
func (x *Searcher) advance(ctx context.Context, steps int64, threads int) {
	var abreast []*walk
	for _, w := range x.walks[x.turn:min(x.turn+lanes, len(x.walks))] {
		if !w.done {
			w.found.cost = x.found.cost
			abreast = append(abreast, w)
			x.steps -= w.steps
		}
	}
	each, leg := (steps+int64(len(abreast))-1)/int64(len(abreast)), x.leg()
	if len(abreast) == 1 || threads < 2 {
		for _, w := range abreast {
			w.advance(ctx, each, leg)
		}
	} else {
		var wait guard.Group
		for _, w := range abreast {
			wait.Go(func() { w.advance(ctx, each, leg) })
		}
		wait.Wait()
	}
	done := true
	for _, w := range abreast {
		x.steps += w.steps
		done = done && w.done
		x.take(w)
	}
	if done {
		x.next()
	}
}

// take keeps what a walk has found, if it is better.
func (x *Searcher) take(w *walk) {
	if w.found.cost < x.found.cost {
		x.found.cost = w.found.cost
		copy(x.found.plan, w.found.plan)
	}
}

// epsilon is the least gain, in acre-years, that counts.
const epsilon = 1e-9
