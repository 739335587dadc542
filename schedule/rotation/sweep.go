package rotation

import (
	"math"

	"emberquilt/schedule/rotation/internal/sweep"
)

// targetShares are the parts of the gap that sweeps of one level aim at, one
// after the other: a low target is cheap and already proves something, and the
// best plan is found by the first target above its cost.
var targetShares = []float64{0.4, 0.75, 1}

// sweepTuples bounds the memory of a sweep: a tuple takes about 50 bytes while
// its layer is made.
const sweepTuples = 6_000_000

// roundOptions is how many options of a sweep are one round's work.
const roundOptions = int64(mostWork / 100)

// sweeps are the sweeps of one level: the sweeper at the level's prices, the
// next target share, and the work that is left.
type sweeps struct {
	sweeper *sweep.Sweeper
	next    int
	left    int64
}

// startSweeps makes ready to sweep with the level's blocks and best prices. It
// reports false where the problem is too large for it.
func (s *solver) startSweeps(work int64) bool {
	if work == 0 || s.m.N > sweep.MaxUnits {
		return false
	}
	c, ok := s.engine.Completion()
	if !ok {
		return false
	}
	sweeper, ok := sweep.New(s.m, c)
	if !ok {
		return false
	}
	s.sweeps = &sweeps{sweeper: sweeper, left: work}
	return true
}

// sweepOnce sweeps to the next target. It reports false when the level's
// sweeps are through, or went past their limits.
func (s *solver) sweepOnce() bool {
	w := s.sweeps
	if s.plan == nil {
		return true // the search has not got a plan to aim at; next round
	}
	cost := s.cost
	target := s.bound + targetShares[w.next]*(cost-s.bound)
	if targetShares[w.next] == 1 {
		target = cost
	}
	work := w.left
	if s.set.Rounds > 0 {
		work = min(work, int64(s.set.Rounds-s.stats.Rounds+1)*roundOptions)
	}
	out := w.sweeper.Run(s.ctx, target, sweep.Limit{States: sweepTuples, Work: work, Threads: s.set.Threads})
	s.stats.Swept += out.States
	if !out.Done {
		// How far it came depends on the threads; what it was allowed does not.
		s.stats.Rounds += int(work / roundOptions)
		return false
	}
	w.left -= out.Work
	s.stats.Rounds += int(out.Work / roundOptions) // a long sweep counts as many rounds
	proven := target
	if out.Plan != nil {
		// Nothing below the target was left out, so its cheapest plan is the
		// best of all.
		s.found, proven = out.Plan, out.Cost
	}
	s.claimSweep(proven)
	w.next++
	return out.Plan == nil && w.next < len(targetShares)
}

// sweepMargin is what a sweep's claim gives up for the rounding of its sums of
// a few hundred costs each, many times over: relative to the costs.
const sweepMargin = 1e-8

// claimSweep keeps what a sweep has proven as the bound, with a leaf that says
// so.
func (s *solver) claimSweep(proven float64) {
	_, margin := s.engine.ClaimValue()
	claim := proven - 4*margin - max(sweepMargin*max(1, proven), 2*s.sweepRounding())
	if claim <= s.bound || claim <= 0 {
		return
	}
	s.bound, s.leaf = claim, s.engine.Leaf()
	s.leaf.Sweep = claim
}

// sweepRounding is what a check of a sweep may take off a plan's cost for the rounding of
// acres, which large weights multiply; those of a year's burns are floats of 53 bits.
func (s *solver) sweepRounding() float64 {
	p, acres := s.m.Problem, 0.0
	for _, a := range s.m.Acres {
		acres += a
	}
	ends := 0.0
	for _, end := range []float64{p.EvenLo, p.EvenHi} {
		if !math.IsInf(end, 0) {
			ends += math.Abs(end) + acres
		}
	}
	return float64(s.m.T) * (float64(len(s.m.Classes))*s.m.ClassRounding() + p.Weights.Evenness*ends*0x1p-45)
}

// takeFound hands a plan that a sweep found to the search, where it is better.
func (s *solver) takeFound() {
	if s.found != nil {
		s.searcher.Offer(s.found)
		s.found = nil
	}
}
