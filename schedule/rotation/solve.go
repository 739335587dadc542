package rotation

import (
	"context"
	"math"
	"slices"
	"time"

	"emberquilt/schedule/guard"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/problem/clash"
	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/model"
	"emberquilt/schedule/rotation/internal/polish"
	"emberquilt/schedule/rotation/internal/search"
	"emberquilt/schedule/rotation/internal/sweep"
	"emberquilt/schedule/rotation/internal/tree"
)

// Solve finds a plan and a bound. It stops at the gap, at a limit of the
// settings, or when ctx is canceled, each with the best plan and bound so far:
// the answer's status tells finished from stopped early, and no error comes
// with it. A problem without a plan is an answer with status Infeasible.
//
// Where not even a first plan was found in time, the answer is the locked burns
// alone, which always stand. An error means that there is no answer: the problem
// is too large to hold.
func Solve(ctx context.Context, p *problem.Problem, set Settings) (Result, error) {
	if flat := withoutGrowth(p); flat != nil {
		return solveGrown(ctx, p, flat, set)
	}
	return solve(ctx, p, set)
}

func solve(ctx context.Context, p *problem.Problem, set Settings) (Result, error) {
	started := now()
	m, err := model.New(p)
	if err != nil {
		return Result{}, err
	}
	locked, clashes := clash.Arrange(p)
	if len(clashes) > 0 {
		return Result{Answer: &problem.Answer{
			Status: problem.Infeasible, Clashes: clashes, Warnings: p.Warnings, Seconds: now().Sub(started).Seconds(),
		}}, nil
	}
	set = set.filled()
	c := newClock(ctx, set.TimeLimit, started)
	defer c.stop()
	s := newSolver(c.rounds, m, set, started)
	s.locked, s.clock = locked, c
	s.warm()
	s.run()
	s.finish()
	return s.result()
}

func (s Settings) filled() Settings {
	if s.TimeLimit == 0 {
		s.TimeLimit = DefaultTimeLimit
	}
	if s.planned == 0 {
		s.planned = s.TimeLimit
	}
	s.Gap = max(s.Gap, problem.OptimalGap/2)
	s.Threads = max(1, s.Threads)
	return s
}

// solver is the state of one solve.
type solver struct {
	ctx     context.Context
	m       *model.Model
	set     Settings
	started time.Time
	clock   *clock
	stats   Stats

	searcher *search.Searcher
	// stepTime is what a step of the search took of late, in nanoseconds, and
	// stepPace what it took together with the wait for the bound since searchEnd.
	stepTime, stepPace float64
	searchEnd          time.Time
	// paceTime, paceSteps and paceSearches are running sums over the searches of
	// late; isPaceAlone says that they are of when the root bound was done, and
	// isAlone that it was when the round began.
	paceTime, paceSteps, paceSearches float64
	isPaceAlone, isAlone              bool
	// expected is how many steps the search is to plan for from this round on, 0 for
	// what it has planned.
	expected int64
	// balance is how many times the steps of a round the search takes, so that neither
	// search nor bound waits long for the other; 0 means once.
	balance float64

	polisher *polish.Polisher
	// exchanger is nil where places in a year are not worth the same to all units.
	exchanger *search.Exchanger
	// yearPairs is nil where more than acres couples units, or sweeps close the gap.
	yearPairs *polish.YearPairs
	// isRootDone says that the blocks are as large as is worth the while: the
	// search has all the threads then.
	isRootDone bool
	plan       model.Plan
	cost       float64
	// locked is the plan of the locked burns alone, which always stands.
	locked []problem.Burn
	// idle counts rounds in which the search found nothing better.
	idle int

	engine *bound.Engine
	ascent *bound.Ascent
	// proximal goes on from the ascent over year blocks, nil before; passesDone counts its
	// passes, passMark those up to which the bound was passStart.
	proximal             *bound.Proximal
	passesDone, passMark int
	passStart            float64
	level                int
	now                  level
	// yearRate is the index of the step length that year blocks try, −1 once one
	// has been found; yearDone counts its steps, yearStart is what they began with.
	yearRate, yearDone int
	yearStart          float64
	doYearsPay         bool
	// aim holds row prices for the search to begin with, nil for none that are new.
	aim []float64
	// refined counts the passes that refine the bound of units by themselves;
	// gapBefore is the gap before the last one.
	refined   int
	gapBefore float64
	// bound is the best root bound claimed, proved by leaf, or, while the engine
	// has the blocks, by dual.
	bound float64
	leaf  *problem.Leaf
	dual  *bound.Dual
	tree  *tree.Tree
	// sweeps are those of the level, nil while it climbs; found is a plan that
	// one has found.
	sweeps *sweeps
	found  model.Plan
}

func newSolver(ctx context.Context, m *model.Model, set Settings, started time.Time) *solver {
	s := &solver{ctx: ctx, m: m, set: set, started: started, cost: math.Inf(1), bound: math.Inf(-1)}
	s.polisher = polish.New(m, set.Seed)
	s.engine = bound.New(m, max(1, set.Threads-1)) // one is left to the search
	s.engine.Stop = ctx.Done()
	s.ascent = bound.NewAscent(s.engine)
	s.searcher = search.New(m, set.Seed, s.plannedSteps())
	s.exchanger = search.NewExchanger(m, set.Seed)
	if !s.isSmall() {
		s.yearPairs = polish.NewYearPairs(m)
	}
	s.now = s.firstLevel()
	s.ascent.Rate = s.now.first
	return s
}

// run works in rounds until the gap is closed or a limit is met.
func (s *solver) run() {
	for !s.isDone() {
		s.stats.Rounds++
		s.round()
		s.report()
	}
}

func (s *solver) isDone() bool {
	switch {
	case s.ctx.Err() != nil:
		return true
	case s.set.Rounds > 0 && s.stats.Rounds >= s.set.Rounds:
		return true
	case s.plan != nil && problem.GapOf(s.cost, s.lower()) <= s.set.Gap:
		return true
	}
	return s.tree != nil && (s.tree.IsDone() || s.tree.IsFull()) && s.plan != nil && s.idle > patience
}

// patience is after how many rounds without a better plan the search is taken
// as finished, once the bound can do no more either.
const patience = 20

func (s *solver) lower() float64 {
	if s.tree != nil {
		return s.m.RaiseBound(math.Max(s.bound, s.tree.Bound()))
	}
	return s.m.RaiseBound(s.bound)
}

// round lets bound and search work side by side, then exchanges what they
// found.
func (s *solver) round() {
	steps, threads := s.searchSteps()
	before := s.cost
	isExchange := s.exchanger != nil && s.stats.Rounds%exchangeRounds != 0 && problem.GapOf(s.cost, s.lower()) < exchangeGap
	price := slices.Clone(s.engine.Price)
	// Whatever both read is settled before either is at work.
	isPaced := s.isPaced()
	s.expected, s.isAlone = 0, s.isRootDone
	if isPaced && s.stepPace > 0 {
		s.expected = s.stepsToCome()
	}
	if s.isGuiding() {
		s.searcher.Guide(s.ascent.Average)
	}
	began := now()
	var planTime, boundTime time.Duration
	improve := func() {
		s.improvePlan(steps, threads, price, isExchange)
		planTime = now().Sub(began)
	}
	if s.set.Threads == 1 {
		improve()
		s.improveBound()
		boundTime = now().Sub(began) - planTime
	} else {
		var beside guard.Group
		beside.Go(improve)
		s.improveBound()
		boundTime = now().Sub(began)
		beside.Wait()
	}
	if isPaced && !s.isAlone {
		s.noteBalance(boundTime, planTime)
	}
	s.takeFound()
	if s.aim != nil {
		s.searcher.Aim(s.aim)
		s.aim = nil
	}
	if s.tree != nil {
		for _, plan := range s.tree.Plans() {
			s.searcher.Offer(plan)
		}
	}
	s.takeBest()
	if s.cost < before {
		s.idle = 0
	} else {
		s.idle++
	}
}

// takeBest takes the search's best plan where it is better.
func (s *solver) takeBest() {
	plan, cost, ok := s.searcher.Best()
	if !ok || cost >= s.cost {
		return
	}
	if s.plan == nil {
		s.stats.FirstPlan = now().Sub(s.started)
		s.clock.measure(func() { thin(s.m, plan) })
	}
	s.plan, s.cost = plan, cost
	if s.tree != nil {
		s.tree.Aim(s.cost, s.treeGap())
	}
}

// polishAfter is after how many rounds without a better plan every second round
// goes to large neighborhoods, polishRounds how many of them may find nothing
// until there is another plan, polishSteps how many neighborhoods a round takes,
// and polishWork the options that each may look at.
const (
	polishAfter  = 15
	polishRounds = 30
	polishSteps  = 2
	polishWork   = 300_000
)

// exchangeRounds says that all rounds but one of so many are an exchanger's, where there
// is one, once the gap is below exchangeGap.
const (
	exchangeRounds = 4
	exchangeGap    = 0.05
)

// pairRounds says that one round of so many is one of years in pairs, where there are.
const pairRounds = 5

// improvePlan does one round's work on the plan, with the row prices as they
// were when the round began; isExchange says that it is the exchanger's.
func (s *solver) improvePlan(steps int64, threads int, price []float64, isExchange bool) {
	if isExchange {
		trials := int64(float64(steps)*s.stepWork()/s.exchanger.Work()) + 1
		if better := s.exchanger.Run(s.ctx, s.plan, s.cost, trials); better != nil {
			s.searcher.Offer(better)
		}
		return
	}
	if s.yearPairs != nil && s.plan != nil && s.stats.Rounds%pairRounds == 0 && !s.yearPairs.IsDone(s.cost) {
		tries := int(float64(steps)*s.stepWork()/s.yearPairs.Work()) + 1
		if better := s.yearPairs.Run(s.plan, s.cost, tries); better != nil {
			s.searcher.Offer(better)
		}
		return
	}
	due := s.plan != nil && s.m.N > sweep.MaxUnits && s.idle >= polishAfter && s.idle < polishAfter+2*polishRounds
	if !due || s.stats.Rounds%2 == 0 {
		s.search(steps, threads)
		return
	}
	plan, cost := s.plan, s.cost
	for range polishSteps {
		if better, c := s.polisher.Step(s.ctx, plan, cost, price, polishWork); better != nil {
			plan, cost = better, c
			s.searcher.Offer(better)
		}
	}
}

func (s *solver) report() {
	if s.set.Progress == nil {
		return
	}
	p := Progress{Elapsed: now().Sub(s.started), Cost: s.cost, Bound: s.lower(), Nodes: s.stats.Nodes}
	if s.tree != nil {
		p.Nodes = s.tree.Nodes
	}
	p.Gap = problem.GapOf(p.Cost, p.Bound)
	p.Answer = s.sofar
	s.set.Progress(p)
}
