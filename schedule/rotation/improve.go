package rotation

import (
	"math"

	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/tree"
)

// levels are the sizes of joint blocks, in joint states, one after the other;
// 1 keeps every unit by itself.
var levels = []int{1, 300, 3000, 30000}

// Work of one round, in nanoseconds by the estimates of bound.Engine.Work and
// of a search step: fixed numbers, so that rounds do not depend on the machine.
const (
	firstWork  = 0.5e6
	mostWork   = 60e6
	growth     = 1.3
	leastSteps = 8
)

// roundWork is the work of a round: little at first, so that small problems are
// done in no time.
func (s *solver) roundWork() float64 {
	work := min(mostWork, firstWork*math.Pow(growth, float64(s.stats.Rounds)))
	return max(work, leastSteps*s.engine.Work())
}

func (s *solver) searchSteps() int64 {
	states := float64(len(s.m.CanBurn)) / float64(max(1, s.m.N)) * float64(s.m.T)
	work := s.roundWork()
	if s.tree != nil && s.idle > patience {
		work /= 10 // the plan is probably the best; leave the time to the bound
	}
	return int64(work/(400+20*states)) + 1
}

// improveBound does one round's work on the bound.
func (s *solver) improveBound() {
	if s.tree != nil {
		if s.plan != nil && !s.tree.IsDone() && !s.tree.IsFull() {
			s.tree.Round(s.ctx)
		}
		return
	}
	a := s.ascent
	before := a.Best
	steps := int(s.roundWork() / s.engine.Work())
	a.Run(steps, math.Inf(1))
	s.claim()
	s.guide.Burn = s.reducedCosts()
	a.Rate *= math.Pow(0.85, min(1, float64(steps)/50))
	stalled := a.Best-before < 2e-4*math.Abs(a.Best)
	if a.Rate > 1e-3 && !(stalled && a.Rate < 1e-2) {
		return
	}
	s.nextLevel()
}

// nextLevel goes on to larger blocks, or to the tree.
func (s *solver) nextLevel() {
	s.level++
	if s.level == 1 {
		s.stats.UnitBound = s.bound
	}
	small := s.m.N <= 40
	if s.level < len(levels) && !(small && s.level > 1) {
		groups := bound.Cluster(s.m, levels[s.level])
		s.engine.SetBlocks(groups)
		s.ascent.Reset()
		s.ascent.Rate = 0.05
		return
	}
	s.stats.RootBound = s.bound
	s.engine.Evaluate()
	v, _ := s.engine.ClaimValue()
	s.tree = tree.New(s.engine, v, tree.Settings{
		Threads: s.set.Threads, Steps: 30, TrySteps: 6, Try: 6, Batch: 8, Rate: 0.03,
		MostDuals: 400e6 / (8 * (1 + len(s.engine.Active))),
	})
	s.tree.Aim(s.cost, s.set.Gap)
}

// claim turns the ascent's best prices into a bound that holds, and keeps it
// where it is better.
func (s *solver) claim() {
	v, _ := s.engine.ClaimValue()
	if !math.IsInf(v, 0) && v > s.bound {
		s.bound, s.leaf = v, s.engine.Leaf()
	}
}

// reducedCosts gives what a burn costs above the best path, for the search.
func (s *solver) reducedCosts() []float64 {
	if s.ctx.Err() != nil || math.IsInf(s.engine.Value, 0) {
		return s.guide.Burn
	}
	if s.marginals == nil {
		s.marginals = make([]float64, 2*s.m.N*s.m.T)
	}
	half := s.m.N * s.m.T
	burn, rest := s.marginals[:half], s.marginals[half:]
	s.engine.Marginals(burn, rest)
	out := make([]float64, half*s.m.S)
	for at, c := range burn {
		s.engine.SeasonCosts(at, out[at*s.m.S:(at+1)*s.m.S])
		for x := range s.m.S {
			out[at*s.m.S+x] += c - s.engine.Value
		}
	}
	return out
}
