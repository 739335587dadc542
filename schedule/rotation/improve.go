package rotation

import (
	"math"
	"slices"
	"time"

	"emberquilt/schedule/problem"
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
	// years says that the level adds year blocks to the blocks that are there.
	years bool
	// passes is how many passes over the blocks, one after another, come after the steps.
	passes int
	// isWhole says that all steps are taken, however little some rounds of them give.
	isWhole bool
	// isBrief says that larger blocks follow soon.
	isBrief bool
}

// unitLevel keeps every unit by itself. Its prices are where the blocks begin,
// which soon move them: more steps were not worth their time. Shorter first steps
// left the prices of some problems on their way (medium-104 from 0.5: 3,767 of 3,845).
var unitLevel = level{states: 1, steps: 1000, first: 1, last: 1e-3}

// unitRate makes the first step length of units by themselves from what an acre can
// cost in a year: the prices must come as far as that, where capacity is short for
// years. On 61 units × 15 years with overdue that grows to 12 an acre steps from 0.5
// came to 35,915, from 1 or 2 to 43,095 (43,105.8 by the linear program).
const unitRate = 1.0 / 6

// dearest is the most that an acre costs in one year by overdue.
func (s *solver) dearest() float64 {
	dearest := 0.0
	for i := range s.m.N {
		for _, cost := range s.m.OverdueCost[s.m.StateBase[i]:s.m.StateBase[i+1]] {
			dearest = max(dearest, cost/s.m.Acres[i])
		}
	}
	return dearest
}

// blockSizes are the joint states of the blocks of larger problems. Beside year
// blocks larger ones gave nothing.
var blockSizes = []int{300, 1000, 3000}

// wholeMix is up to how many joint states a mix is held whole by one block beside the
// largest others, where so many steps are left: such a block sees bands, whole acres
// and ages of all years at once.
const (
	wholeMix   = 300_000
	wholeSteps = 1500
)

// yearRates are the step lengths with which year blocks begin. Where the first
// finds nothing better within yearTrial steps, the next is taken: it suits problems
// whose mixes make most of the gap, and drives others from where they are. On large problems without
// sums the last is taken at once.
var yearRates = [...]float64{0.1, 0.03, 0.01}

const yearTrial = 60

// yearKinds says which year blocks are used: mixes of many units are nearly even,
// and so are caps that hold many burns.
var yearKinds = bound.YearKinds{Graph: true, MixUnits: 64, CapBurns: 12, Cells: 1000}

// mostYearSteps is how many steps year blocks get where they fit into yearPart of the
// work that is left: estimates are low, and the shortest steps, which come last and pay,
// must be reached. Fewer than leastYearSteps are not worth laying the blocks out, nor are
// they for more than mostYearUnits units.
const (
	mostYearSteps  = 2500
	yearPart       = 0.65
	leastYearSteps = 120
	mostYearUnits  = 4000
)

// smallLevels are for problems that sweeps or a tree will close. Sweeps come
// with larger blocks and more work each time; few problems need the tree.
var smallLevels = []level{
	{states: 1, steps: 300, first: 0.5, last: 1e-3, sweep: 300_000},
	{states: 300, layers: 1, steps: 300, first: 0.2, last: 1e-3, sweep: 3_000_000},
	{states: 3000, layers: 1, steps: 300, first: 0.1, last: 1e-3, sweep: 100_000_000},
	{states: 3000, steps: 200, first: yearRates[0], last: 1e-3, sweep: 300_000_000, years: true},
	{states: 30000, layers: 1, steps: 200, first: 0.05, last: 1e-3, sweep: 3_000_000_000},
	{states: 1000, layers: 3, steps: 400, first: 0.2, last: 1e-3},
	{states: 1000, steps: 500, first: yearRates[0], last: 1e-3, years: true},
}

// yearsPay is which part of the gap year blocks must close for sweeps to use them.
// They lift the bound of where plans begin and do little for tuples far from it:
// with blocks of 3,000 states small-107, 2,588 to 2,750 of 3,025, is swept in 80
// million options and not in 100 million without, but with larger blocks and no
// year blocks sooner than either; small-101, 1,113 to 1,173 of 1,803, in 0.20
// million and 0.12 million without.
const yearsPay = 0.4

// smallUnits is up to how many units sweeps and a tree are worth the while.
const smallUnits = problem.MaxSweepUnits

// isSmall reports whether a tree or sweeps are to close the gap.
func (s *solver) isSmall() bool { return s.m.N <= smallUnits }

// firstLevel gives the level to begin with. On large problems and short limits
// the steps are fewer.
func (s *solver) firstLevel() level {
	if s.isSmall() {
		l := smallLevels[0]
		l.first = max(l.first, unitRate*s.dearest())
		return l
	}
	l := unitLevel
	l.first = max(l.first, unitRate*s.dearest())
	l.steps = s.fitting(l.steps, s.engine.Work(), 0.05)
	return l
}

// fitting gives as many steps as wanted, but no more than fit into a part of
// the work that the time limit leaves.
func (s *solver) fitting(want int, work, part float64) int {
	return max(leastSteps, int(min(float64(want), part*s.workLeft()/work)))
}

// workLeft estimates how much work the bound may still do. It goes by the work
// done, not by the clock, so that it does not depend on the machine.
func (s *solver) workLeft() float64 {
	if s.set.planned < 0 {
		return math.Inf(1)
	}
	return max(0, float64(s.set.planned.Nanoseconds())*workShare-s.stats.work)
}

// workShare is the part of the time limit that the bound's work is planned for:
// estimates are rough, and a step too many is lost.
const workShare = 0.85

// blockLevel chooses the next larger blocks for which enough steps fit into the
// work that is left; ok is false where there are none. Blocks that take more
// than a small part of it are left out where larger ones fit as well.
func (s *solver) blockLevel() (l level, groups [][]int32, ok bool) {
	const enough, small = 300, 0.05
	least, most, part := 150.0, 300.0, 0.2 // the rest is for year blocks
	if s.m.N > crowdUnits {
		least, most, part = enough, 500, 0.4
	}
	for _, states := range blockSizes {
		if states <= s.now.states {
			continue
		}
		g := bound.Cover(s.m, states, 3*states)
		if states == blockSizes[len(blockSizes)-1] {
			if whole := bound.Cover(s.m, states, wholeMix); s.workLeft() > wholeSteps*s.engine.LayersWork(whole) {
				g = whole
			}
		}
		if len(g) == 0 {
			continue
		}
		fit := s.workLeft() / s.engine.LayersWork(g)
		if fit < enough && (ok || fit < enough/4) {
			break
		}
		l = level{states: states, layers: 3, steps: int(min(most, max(part*fit, min(least, fit)))), first: 0.2, last: 1e-3}
		groups, ok = g, true
		if enough < small*fit {
			l.steps, l.isBrief = enough, true
			break
		}
	}
	return l, groups, ok
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

// searchSteps is how many steps of the search go with a round's work on the
// bound, which takes a little longer than is estimated, and on how many threads:
// once the bound is done, twice as many on all of them.
func (s *solver) searchSteps() (steps int64, threads int) {
	work := 1.25 * s.roundWork()
	if s.tree != nil && s.idle > patience {
		work /= 10 // the plan is probably the best; leave the time to the bound
	}
	if s.balance > 0 && !s.isRootDone && s.isPaced() {
		work *= s.balance
	}
	steps = int64(work/s.stepWork()) + 1
	if s.isRootDone {
		return 2 * steps, s.set.Threads
	}
	return steps, 1
}

// plannedSteps is about how many steps the search takes within the time limit,
// on two lanes for most of it where there are walks for two; 0 where no cooling is
// to go by it. On small problems none is: sweeps and the tree take most of the time
// at some point, so that a cooling that was to end with the limit would not end at
// all, and each limit would lead to other plans.
func (s *solver) plannedSteps() int64 {
	if s.set.planned < 0 || s.isSmall() {
		return 0
	}
	steps := float64(s.set.planned.Nanoseconds()) / s.stepWork()
	if s.m.N <= crowdUnits {
		steps *= 1.7
	}
	return int64(max(1, steps))
}

// crowdUnits is up to how many units the last cooling is one of many walks.
const crowdUnits = 500

// stepWork is about what a search step takes, in nanoseconds, while the bound
// works on the same core's other thread.
func (s *solver) stepWork() float64 {
	states := float64(len(s.m.CanBurn)) / float64(max(1, s.m.N)) * float64(s.m.T)
	return 300 + 9*states
}

// search lets the searcher do some steps. Where a long cooling would not end with
// the rounds, and a proof is far, it is made to.
func (s *solver) search(steps int64, threads int) {
	began := now()
	if s.expected > 0 {
		s.searcher.Expect(s.expected)
	}
	before := s.searcher.Steps()
	s.searcher.Run(s.ctx, steps, threads)
	if done := s.searcher.Steps() - before; done > 0 {
		end := now()
		s.stepTime = float64(end.Sub(began)) / float64(done)
		if !s.searchEnd.IsZero() {
			s.notePace(float64(end.Sub(s.searchEnd)), float64(done))
		}
		s.searchEnd = end
	}
}

// fitAfter is the part of the limit after which the last cooling is fitted to the pace
// that was seen, pairsFitAfter the same where years in pairs take rounds of their own (see
// the notes on Konza), paceMemory how much of the pace each search keeps.
const (
	fitAfter      = 0.1
	pairsFitAfter = 0.7
	paceMemory    = 0.9
)

// isPaced reports whether the work goes by the pace of the machine, so that the limit is
// made the most of; it does not where a proof is near.
func (s *solver) isPaced() bool {
	after := fitAfter
	if s.yearPairs != nil {
		after = pairsFitAfter
	}
	return s.clock.isAfter(after) && s.isFar()
}

// balancePace is how far the balance moves in a round, mostBalance how far in all.
const (
	balancePace = 1.1
	mostBalance = 4
)

// noteBalance takes in how long bound and plan took in a round that they began together.
func (s *solver) noteBalance(bound, plan time.Duration) {
	if s.balance == 0 {
		s.balance = 1
	}
	if bound > plan {
		s.balance = min(s.balance*balancePace, mostBalance)
	} else {
		s.balance = max(s.balance/balancePace, 1.0/mostBalance)
	}
}

// notePace takes in how long so many steps took, the wait for the bound included.
func (s *solver) notePace(took, steps float64) {
	if s.isAlone != s.isPaceAlone {
		s.isPaceAlone = s.isAlone
		s.paceTime, s.paceSteps, s.paceSearches = 0, 0, 0
	}
	s.paceTime = paceMemory*s.paceTime + took
	s.paceSteps = paceMemory*s.paceSteps + steps
	s.paceSearches = paceMemory*s.paceSearches + 1
	s.stepPace = s.paceTime / s.paceSteps
}

// stepsToCome estimates how many steps the search will have until coolings are to end: at
// the pace of late while the bound is at work, then on all lanes.
func (s *solver) stepsToCome() int64 {
	part, _ := s.lastParts()
	left := s.clock.coolingLeft(part)
	if s.isRootDone {
		return int64(left / s.stepPace)
	}
	beside := min(left, s.boundRounds()*s.paceTime/s.paceSearches)
	alone := s.stepTime / float64(min(s.set.Threads, s.searcher.Lanes()))
	return int64(beside/s.stepPace + (left-beside)/alone)
}

// boundRounds estimates how many rounds the bound will still be at work.
func (s *solver) boundRounds() float64 {
	work := s.engine.Work()
	if s.now.years {
		return float64(s.now.steps-s.yearDone) * work / s.roundWork()
	}
	return min(s.workLeft(), 2*mostYearSteps*work) / s.roundWork()
}

// isFar reports whether no proof is near: the answer will not be one that is to be
// the same on every machine.
func (s *solver) isFar() bool {
	return !s.isSmall() && problem.GapOf(s.cost, s.lower()) > math.Max(mostTreeGap, 2*s.set.Gap)
}

// coupledPart is which part of the units must stand in refuge groups or apart pairs for the
// averages of the bound to guide the search: blocks then say who takes turns in which
// years. Of units by themselves, whose choices leap from year to year, averages mislead.
const coupledPart = 0.4

// isCoupled reports whether that many do.
func (s *solver) isCoupled() bool {
	count := 0
	for i := range s.m.N {
		if s.m.RefugeOf[i] >= 0 || s.m.ApartOf.Start[i+1] > s.m.ApartOf.Start[i] {
			count++
		}
	}
	return float64(count) >= coupledPart*float64(s.m.N)
}

// shortPart is below which part of the first step length the steps of unit blocks are short
// enough for their averages to guide the search.
const shortPart = 0.25

// isGuiding reports whether the averages of the bound guide the search now: those of year
// blocks, once the first steps are behind them, and on many hundred units, which may get
// none, those of the largest unit blocks before. On fewer units this was not tried. Smaller
// unit blocks mislead: with those of 300 states too, paper-size seed 2 ended at 41,570, with
// the largest alone at 40,611 to 40,770 (three seeds), unguided at 41,526.
func (s *solver) isGuiding() bool {
	if s.isRootDone || !s.isFar() || !s.isCoupled() {
		return false
	}
	if s.now.years {
		return s.yearDone >= yearTrial
	}
	return s.m.N > crowdUnits && s.now.states > 1 && !s.now.isBrief && s.ascent.Rate < shortPart*s.now.first
}

// improveBound does one round's work on the bound.
func (s *solver) improveBound() {
	if s.isRootDone {
		return
	}
	if s.tree != nil {
		if s.plan != nil && !s.tree.IsDone() && !s.tree.IsFull() {
			s.tree.Round(s.ctx)
		}
		return
	}
	if s.proximal != nil {
		s.pass()
		return
	}
	if s.sweeps != nil {
		if !s.sweepOnce() {
			s.sweeps = nil
			s.nextLevel()
		}
		return
	}
	a, l := s.ascent, s.now
	before := a.Best
	work := s.engine.Work()
	steps := max(1, min(int(s.roundWork()/work), l.steps))
	s.stats.work += float64(steps+2) * work
	a.Decay = math.Pow(l.last/l.first, 1/float64(l.steps))
	if l.years {
		steps = s.yearSteps(steps)
	}
	a.Run(steps, math.Inf(1))
	here := s.engine.Save()
	a.Return()
	s.claim()
	s.engine.Load(here) // go on where the steps were, not at the best
	stalled := a.Best-before < 2e-4*math.Abs(a.Best)
	if a.Rate > l.last && (l.isWhole || !(stalled && a.Rate < 5*l.last)) {
		return
	}
	a.Return()
	if l.passes > 0 {
		s.proximal, s.passesDone = bound.NewProximal(a), 0
		return
	}
	if l.years {
		s.doYearsPay = a.Best-s.yearStart >= yearsPay*(s.cost-s.yearStart)
		if !s.doYearsPay {
			l.sweep = 0
		}
	}
	// On a few units a sweep takes less time than a pass that refines prices.
	if s.m.N <= fewUnits && s.startSweeps(l.sweep) {
		return
	}
	if !s.refine() && !s.startSweeps(l.sweep) {
		s.nextLevel()
	}
}

// fewUnits is up to how many units sweeps come first: 3 units × 24 years that must burn every
// 2, 3 and 6 years and cannot are proven in 50 ms after a pass, in a few without.
const fewUnits = 8

// passPart is the part of the steps of year blocks that is left to passes, which begin
// where the step length is passRate: they find in a fifth of the steps what steps that
// go on becoming shorter find in half of them. They end where passWindow of them lift
// the bound by less than passPays of it.
const (
	passPart   = 0.2
	passRate   = 0.003
	passWindow = 60
	passPays   = 1e-5
)

// pass does one round's work on the bound by passes over its blocks.
func (s *solver) pass() {
	a := s.ascent
	work := s.engine.Work()
	passes := min(max(1, int(s.roundWork()/work)), s.now.passes-s.passesDone)
	s.stats.work += float64(passes+2) * work
	if s.passesDone == 0 {
		s.passStart, s.passMark = a.Best, 0
	}
	s.proximal.Run(passes)
	s.passesDone += passes
	s.yearDone += passes
	here := s.engine.Save()
	a.Return()
	s.claim()
	s.engine.Load(here)
	isStalled := false
	if s.passesDone >= s.passMark+passWindow {
		isStalled = a.Best-s.passStart < passPays*math.Abs(a.Best)
		s.passStart, s.passMark = a.Best, s.passesDone
	}
	if s.passesDone < s.now.passes && !isStalled {
		return
	}
	a.Return()
	s.proximal = nil
	s.nextLevel()
}

// Where the relaxation of units by themselves is nearly whole, as with caps and
// pairs alone, its value is the proof, and blocks add nothing: passes of many steps
// bring the prices there, each with more and longer ones than the one before. So it is
// where nothing but the sums of years couples units.
var refinements = []level{
	{states: 1, steps: 4000, first: 0.05, last: 1e-5},
	{states: 1, steps: 8000, first: 0.2, last: 1e-5},
	{states: 1, steps: 16_000, first: 0.5, last: 1e-5},
	{states: 1, steps: 32_000, first: 0.5, last: 1e-5},
}

// refineGap is the gap below which passes begin, farGap that above which they begin
// with the second, refinePays the part of it that one
// must close for the next, refinePart the part of the work left that one may take,
// and wholeGap the gap below which only the plan is missing. Below aimGap the prices
// are where the search begins.
const (
	refineGap  = 0.1
	farGap     = 0.02
	refinePays = 0.1
	refinePart = 0.5
	wholeGap   = 0.004
	aimGap     = 0.02
)

// refine begins a pass that refines the prices of units by themselves, where costs
// are multiples of a step, so that such a bound can prove a plan. It reports false
// where that is not worth the while any more.
func (s *solver) refine() bool {
	if s.now.states != 1 || s.now.years || s.plan == nil || s.m.EnoughBelow() == 0 && !s.m.IsLoose() || s.refined == len(refinements) {
		return false
	}
	gap := problem.GapOf(s.cost, s.bound)
	if s.refined > 0 && gap < aimGap { // a pass has ended
		s.ascent.Return()
		s.aim = slices.Clone(s.engine.Price)
	}
	// Where blocks add nothing, a wide gap may be one of plans that are still poor.
	isWide := gap > refineGap && !(s.refined == 0 && s.m.IsLoose())
	if isWide || s.refined > 0 && gap > (1-refinePays)*s.gapBefore {
		return false
	}
	if s.refined == 0 && gap > farGap {
		s.refined++ // short steps would not come far
	}
	sweep := s.now.sweep
	s.now = refinements[s.refined]
	s.now.steps, s.now.sweep = s.fitting(s.now.steps, s.engine.Work(), refinePart), sweep
	s.gapBefore = gap
	s.refined++
	s.ascent.Rate = s.now.first
	return true
}

// isNearlyWhole reports whether passes on units by themselves have left next to
// nothing open.
func (s *solver) isNearlyWhole() bool {
	return s.refined > 0 && problem.GapOf(s.cost, s.bound) < wholeGap
}

// nextLevel goes on to larger blocks, or to the tree.
func (s *solver) nextLevel() {
	if s.isLate() {
		return // new blocks cost more than the time that is left
	}
	s.prove()
	if s.stats.UnitBound == 0 {
		s.stats.UnitBound = s.bound
	}
	s.level++
	var groups [][]int32
	ok := false
	if s.isSmall() && !s.isHopeless() {
		if ok = s.level < len(smallLevels); ok && smallLevels[s.level].years {
			l := smallLevels[s.level]
			l.steps = s.fitting(l.steps, 2*s.engine.Work(), 0.5)
			if s.addYears(l) {
				return
			}
			ok = false
		} else if ok {
			s.now = smallLevels[s.level]
			groups = bound.Layers(s.m, s.now.states, s.now.layers)
			if s.now.layers > 1 {
				groups = bound.Cover(s.m, s.now.states, 3*s.now.states)
			}
		}
	} else if s.isNearlyWhole() {
		s.stats.RootBound = s.bound
		s.isRootDone = true // what is missing is the plan
		return
	} else {
		var l level
		if l, groups, ok = s.blockLevel(); ok {
			s.now = l
		} else if !s.now.years && s.addYears(level{states: s.now.states, layers: s.now.layers, first: yearRates[0], last: 3e-4, years: true, isWhole: true}) {
			return
		}
	}
	if !ok && s.goOn() {
		return
	}
	if ok {
		s.engine.SetBlocks(groups)
		if s.doYearsPay && s.now.sweep > 0 {
			s.engine.SetYears(yearKinds)
		}
		s.ascent.Reset()
		s.ascent.Rate = s.now.first
		return
	}
	s.stats.RootBound = s.bound
	most := mostTreeGap
	if s.m.IsLoose() {
		most = wholeGap // above that the plan is what is missing
	}
	if gap := problem.GapOf(s.cost, s.bound); gap > mostSmallGap || !s.isSmall() && gap > most {
		s.isRootDone = true
		return
	}
	v, _ := s.engine.ClaimValue()
	s.tree = tree.New(s.engine, v, tree.Settings{
		Threads: s.set.Threads, Steps: 30, TrySteps: 6, Try: 6, Batch: 8, Rate: 0.03,
		MostDuals: treeMemory / (8 * (1 + s.engine.DualSize())),
	})
	s.tree.Aim(s.cost, s.treeGap())
}

// What is left of the work once the blocks of many hundred units are the last ones, and too
// little for year blocks, goes to steps from a few times the length with which they ended.
// On 3,000 units × 20 years they brought 324,059 to 325,752, without ties to 324,272.
const (
	moreFirst = 0.02
	moreLast  = 3e-4
	leastMore = 30
)

// goOn takes such steps, with copies of units tied by ages and parts of pairs; it reports
// false where there are none to take.
func (s *solver) goOn() bool {
	if s.m.N <= crowdUnits || s.now.years || s.now.isWhole || s.now.states == 1 {
		return false
	}
	if s.workLeft() < leastMore*s.engine.Work() {
		return false
	}
	s.engine.UseTies()
	s.now.steps = s.fitting(mostYearSteps, s.engine.Work(), 1)
	s.now.first, s.now.last, s.now.isWhole = moreFirst, moreLast, true
	s.ascent.Extend()
	s.ascent.Rate = moreFirst
	return true
}

// addYears adds year blocks, and goes on with the given level; it reports whether
// there are any.
func (s *solver) addYears(l level) bool {
	if s.m.N > mostYearUnits {
		return false
	}
	before := s.engine.Save()
	s.engine.SetYears(yearKinds)
	if !s.engine.HasYears() {
		return false
	}
	if s.workLeft() < leastYearSteps*s.engine.Work() {
		s.engine.Load(before)
		return false
	}
	if !s.isSmall() || s.isHopeless() {
		s.engine.UseTies()
	}
	if l.steps == 0 {
		l.steps = s.fitting(mostYearSteps, s.engine.Work(), yearPart)
	}
	if l.isWhole {
		l.passes = int(passPart * float64(l.steps))
		l.steps -= l.passes
		l.last = passRate
	}
	s.now, s.yearRate, s.yearDone = l, 0, 0
	if !s.isSmall() && !s.engine.HasYearSums() {
		s.yearRate = len(yearRates) - 1
		s.now.first = min(l.first, yearRates[s.yearRate])
	}
	s.ascent.Extend()
	s.ascent.Rate = s.now.first
	return true
}

// yearSteps goes back to where the year blocks began, with a shorter step, where
// the first steps were too long. It gives how many steps to take now.
func (s *solver) yearSteps(steps int) int {
	a := s.ascent
	if s.yearDone == 0 {
		a.Run(1, math.Inf(1))
		s.yearStart = a.Best
	}
	if s.yearDone += steps; s.yearDone < yearTrial || s.yearRate+1 >= len(yearRates) || s.yearRate < 0 {
		return steps
	}
	if a.Best > s.yearStart+2e-4*math.Abs(s.yearStart) {
		s.yearRate = -1 // it does
		return steps
	}
	s.yearRate++
	s.yearDone = 1
	a.Return()
	a.Extend()
	s.now.first = yearRates[s.yearRate]
	a.Rate = s.now.first
	return steps
}

// isLate reports whether the last tenth of the time limit has begun.
func (s *solver) isLate() bool {
	return s.set.TimeLimit > 0 && now().Sub(s.started) > s.set.TimeLimit*9/10
}

// mostSmallGap is up to which gap a tree is worth the while on small problems: growth's
// 30 units, at 31%, gained less than a thousandth of their bound in 30 s.
const mostSmallGap = 0.15

// isHopeless reports whether a small problem goes on as large ones do, because its gap
// is too wide for sweeps and trees even with all of its levels behind it.
func (s *solver) isHopeless() bool {
	return s.level >= len(smallLevels) && problem.GapOf(s.cost, s.bound) > mostSmallGap
}

// mostTreeGap is up to which gap a tree is worth the while on larger problems.
const mostTreeGap = 0.02

// treeGap is the gap at which a node need not be looked at again.
func (s *solver) treeGap() float64 {
	return math.Max(s.set.Gap, s.m.EnoughBelow()/math.Max(1, s.cost))
}

// treeMemory is how many bytes of prices a tree may keep.
const treeMemory = 400e6

// claim turns the ascent's best prices into a bound that holds, and keeps it
// where it is better.
func (s *solver) claim() {
	if s.ascent.Best <= s.bound {
		return
	}
	v, _ := s.engine.ClaimValue()
	if !math.IsInf(v, 0) && v > s.bound {
		s.bound, s.dual, s.leaf = v, s.engine.Save(), nil
	}
}

// prove makes the leaf that proves the bound, while the engine has its blocks.
func (s *solver) prove() {
	if s.leaf == nil && s.dual != nil {
		s.leaf = s.engine.LeafOf(s.dual)
	}
}
