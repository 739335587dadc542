package rotation

import (
	"math"
	"slices"

	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/tree"
)

// level is one stage of the root bound: layers of blocks of up to so many joint
// states, how many steps take the step length from first to last, and the work
// of the sweeps that follow (0: none), which need a single layer.
type level struct {
	states, layers int
	steps          int
	first, last    float64
	sweep          int64
}

// levels follow one another. The first keeps every unit by itself.
var levels = []level{
	{1, 0, 2000, 0.5, 1e-3, 0},
	{300, 2, 800, 0.2, 1e-3, 0},
	{1000, 2, 800, 0.1, 1e-3, 0},
	{10000, 2, 600, 0.05, 1e-3, 0},
	{60000, 2, 600, 0.03, 1e-3, 0},
}

// smallLevels are for problems that sweeps or a tree will close. Sweeps come
// with larger blocks and more work each time; few problems need the tree.
var smallLevels = []level{
	{1, 0, 300, 0.5, 1e-3, 300_000},
	{300, 1, 300, 0.2, 1e-3, 3_000_000},
	{3000, 1, 300, 0.1, 1e-3, 100_000_000},
	{30000, 1, 200, 0.05, 1e-3, 3_000_000_000},
	{300, 2, 400, 0.2, 1e-3, 0},
}

// smallUnits is up to how many units a tree is worth the while.
const smallUnits = 40

func (s *solver) levels() []level {
	if s.m.N <= smallUnits {
		return smallLevels
	}
	return levels
}

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
	if s.sweeps != nil {
		if !s.sweepOnce() {
			s.sweeps = nil
			s.nextLevel()
		}
		return
	}
	a, l := s.ascent, s.levels()[s.level]
	before := a.Best
	steps := min(int(s.roundWork()/s.engine.Work()), l.steps)
	a.Decay = math.Pow(l.last/l.first, 1/float64(l.steps))
	a.Run(steps, math.Inf(1))
	price, shift := slices.Clone(s.engine.Price), s.engine.Shift()
	a.Return()
	s.claim()
	s.guide.Burn = s.reducedCosts()
	copy(s.engine.Price, price) // go on where the steps were, not at the best
	s.engine.SetShift(shift)
	stalled := a.Best-before < 2e-4*math.Abs(a.Best)
	if a.Rate > l.last && !(stalled && a.Rate < 5*l.last) {
		return
	}
	a.Return()
	if !s.startSweeps(l.sweep) {
		s.nextLevel()
	}
}

// nextLevel goes on to larger blocks, or to the tree.
func (s *solver) nextLevel() {
	s.level++
	if s.level == 1 {
		s.stats.UnitBound = s.bound
	}
	if l := s.levels(); s.level < len(l) {
		s.engine.SetBlocks(bound.Layers(s.m, l[s.level].states, l[s.level].layers))
		s.ascent.Reset()
		s.ascent.Rate = l[s.level].first
		return
	}
	s.stats.RootBound = s.bound
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
