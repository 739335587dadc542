package rotation

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"emberquilt/schedule/bench/family"
	"emberquilt/schedule/certify"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/model"
)

// check holds an answer and its certificate against the checker.
func check(t *testing.T, p *problem.Problem, r Result) {
	t.Helper()
	report, err := certify.Check(context.Background(), p, r.Answer, r.Certificate)
	if err != nil || !report.OK() {
		t.Fatalf("%v %+v", err, report)
	}
}

// Limited by rounds, the answer is the same for any number of threads.
func TestThreadsDoNotMatter(t *testing.T) {
	all, most := []int{1, 2, 8}, 10
	if testing.Short() { // under the race detector, which takes five times as long
		all, most = []int{1, 8}, 4
	}
	for _, name := range []string{"tiny-118", "small-103", "medium-103", "grid"} {
		p, rounds := family.Grid(1, 10, 10, 15), 25 // which units in cycles have begun to plan
		if name != "grid" {
			p, rounds = read(t, name), most
		}
		var want Result
		for _, threads := range all {
			r, err := Solve(context.Background(), p, Settings{TimeLimit: -1, Rounds: rounds, Threads: threads, Seed: 3})
			if err != nil {
				t.Fatal(err)
			}
			check(t, p, r)
			if threads == 1 {
				want = r
				continue
			}
			if r.Answer.Cost != want.Answer.Cost || r.Answer.Bound != want.Answer.Bound || !slices.Equal(r.Answer.Burns, want.Answer.Burns) {
				t.Errorf("%s: cost %v and bound %v with %d threads, %v and %v with one", name, r.Answer.Cost, r.Answer.Bound, threads, want.Answer.Cost, want.Answer.Bound)
			}
		}
	}
}

// The seed matters: else the test above would prove nothing of the search.
func TestSeedsMatter(t *testing.T) {
	p := read(t, "medium-103")
	var costs []float64
	for seed := range uint64(3) {
		r, err := Solve(context.Background(), p, Settings{TimeLimit: -1, Rounds: 6, Seed: seed})
		if err != nil {
			t.Fatal(err)
		}
		costs = append(costs, r.Answer.Cost)
	}
	if costs[0] == costs[1] && costs[1] == costs[2] {
		t.Errorf("three seeds gave plans of cost %v", costs)
	}
}

func TestCancelGivesPlanAndBound(t *testing.T) {
	p := read(t, "medium-101")
	ctx, stop := context.WithCancel(context.Background())
	seen := 0
	r, err := Solve(ctx, p, Settings{TimeLimit: -1, Threads: 2, Progress: func(Progress) {
		if seen++; seen == 8 {
			stop()
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	check(t, p, r)
	if r.Answer.Status != problem.Feasible || r.Answer.Bound <= 0 || len(r.Answer.Burns) == 0 {
		t.Errorf("status %v, bound %v, %d burns", r.Answer.Status, r.Answer.Bound, len(r.Answer.Burns))
	}
	// Canceled before it begins: the locked burns alone, and a bound that holds.
	r, err = Solve(ctx, p, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	check(t, p, r)
}

// A time limit is kept, on a problem that takes far longer.
func TestTimeLimit(t *testing.T) {
	p := read(t, "large-101")
	start := time.Now()
	r, err := Solve(context.Background(), p, Settings{TimeLimit: 3 * time.Second, Threads: 2})
	if err != nil {
		t.Fatal(err)
	}
	took := time.Since(start)
	t.Logf("%v for a limit of 3 s; cost %.0f bound %.0f", took, r.Answer.Cost, r.Answer.Bound)
	if took > 6*time.Second { // a machine with other work may be late, but not this late
		t.Errorf("it came back after %v", took)
	}
	check(t, p, r)
}

// Problems of extreme numbers: acres from 0.1 to 20,000 side by side, intervals
// of 30 years, weights of 0, caps of 0, hundreds of locks, one season.
func TestIllScaled(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(r *rand.Rand, p *problem.Problem)
	}{
		{"acres", func(r *rand.Rand, p *problem.Problem) {
			for i := range p.Units {
				p.Units[i].Acres = []float64{0.1, 3, 250, 20_000}[r.IntN(4)]
			}
		}},
		{"intervals", func(r *rand.Rand, p *problem.Problem) {
			for i := range p.Units {
				p.Units[i].MinInterval, p.Units[i].MaxInterval, p.Units[i].Age = 1+r.IntN(30), 30, r.IntN(40)
			}
		}},
		{"no weights", func(_ *rand.Rand, p *problem.Problem) { p.Weights = problem.Weights{} }},
		{"huge weights", func(_ *rand.Rand, p *problem.Problem) {
			p.Weights.Overdue, p.Weights.Mix, p.Weights.Neighbors = 1e6, 1e-6, 1e3
		}},
		{"caps of 0", func(r *rand.Rand, p *problem.Problem) {
			for y := range p.Caps {
				switch r.IntN(5) {
				case 0:
					p.Caps[y].Acres = 0
				case 1:
					p.Caps[y].Burns = 0
				case 2:
					p.Caps[y].Cost = 0
				case 3:
					clear(p.Caps[y].BurnDays)
				}
			}
		}},
		{"locked throughout", func(r *rand.Rand, p *problem.Problem) {
			p.Locks = nil
			for i := range p.Units {
				for y := range p.T() {
					if r.IntN(2) == 0 {
						p.Locks = append(p.Locks, problem.Lock{Unit: i, Year: p.FirstYear + y, Season: -1})
					}
				}
			}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			proven := 0
			for seed := range uint64(25) {
				r := rand.New(rand.NewPCG(seed, 21))
				p := reference.Random(r, reference.Size{MinUnits: 2, MaxUnits: 5, MinYears: 2, MaxYears: 5})
				c.change(r, p)
				p, err := problem.Canonical(p)
				if err != nil {
					t.Fatalf("seed %d: %v", seed, err)
				}
				result, err := Solve(context.Background(), p, Settings{TimeLimit: 2 * time.Second, Threads: 2})
				if err != nil {
					t.Fatalf("seed %d: %v", seed, err)
				}
				a := result.Answer
				best, ok := reference.Optimum(p)
				if ok != (a.Status != problem.Infeasible) {
					t.Fatalf("seed %d: status %v, a plan exists: %v", seed, a.Status, ok)
				}
				if !ok {
					continue
				}
				check(t, p, result)
				slack := 1e-6 * math.Max(1, best.Cost)
				if a.Bound > best.Cost+slack || a.Cost < best.Cost-slack {
					t.Errorf("seed %d: cost %v bound %v, optimum %v", seed, a.Cost, a.Bound, best.Cost)
				}
				if a.Status == problem.Optimal {
					proven++
				}
			}
			if proven < 20 {
				t.Errorf("only %d of 25 were proven", proven)
			}
		})
	}
}

// On small problems a limit does not steer the search: what is found in so many
// rounds is the same whatever the limit.
func TestLimitsDoNotSteerSmallProblems(t *testing.T) {
	p := read(t, "small-105")
	var want Result
	for k, planned := range []time.Duration{20 * time.Millisecond, 300 * time.Millisecond, 120 * time.Second} {
		r, err := Solve(context.Background(), p, Settings{TimeLimit: -1, planned: planned, Rounds: 11, Threads: 1})
		if err != nil {
			t.Fatal(err)
		}
		if k == 0 {
			want = r
		} else if r.Answer.Cost != want.Answer.Cost || r.Answer.Bound != want.Answer.Bound || !slices.Equal(r.Answer.Burns, want.Answer.Burns) {
			t.Errorf("planned for %v: cost %v and bound %v, for less %v and %v", planned, r.Answer.Cost, r.Answer.Bound, want.Answer.Cost, want.Answer.Bound)
		}
	}
}

// Where the bound takes longer than was planned for, the search has more steps a round,
// and fewer where it takes longer itself; without a limit neither.
func TestSearchAndBoundTakeAsLong(t *testing.T) {
	m, err := model.New(read(t, "medium-103"))
	if err != nil {
		t.Fatal(err)
	}
	begin := func(limit time.Duration) *solver {
		s := newSolver(context.Background(), m, Settings{TimeLimit: limit}.filled(), time.Now())
		s.cost, s.bound = 100, 50
		s.clock = newClock(context.Background(), limit, time.Now().Add(-limit/2))
		t.Cleanup(s.clock.stop)
		return s
	}
	for _, limit := range []time.Duration{time.Hour, -1} {
		s := begin(limit)
		usual, _ := s.searchSteps()
		for range 50 {
			s.noteBalance(2*time.Second, time.Second)
		}
		more, _ := s.searchSteps()
		for range 100 {
			s.noteBalance(time.Second, 2*time.Second)
		}
		fewer, _ := s.searchSteps()
		if isPaced := limit > 0; isPaced != (more > usual) || isPaced != (fewer < usual) || more > mostBalance*usual+mostBalance {
			t.Errorf("limit %v: %d steps a round, %d where the bound takes longer, %d where it does not", limit, usual, more, fewer)
		}
		s.bound = 99.9 // a proof is near: nothing goes by the machine
		if steps, _ := s.searchSteps(); steps != usual {
			t.Errorf("limit %v: %d steps near a proof, want %d", limit, steps, usual)
		}
	}
}

// A limit leaves time to end the cooling at work; a caller who stops does not.
func TestTheEndOfALimit(t *testing.T) {
	p := read(t, "medium-103")
	began := time.Now()
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	c := newClock(ctx, time.Second, began)
	defer c.stop()
	if c.isOver() || c.isAfter(0.7) && time.Since(began) < 600*time.Millisecond || c.roundsLeft() > 0.92e9 {
		t.Errorf("at the start: over %v, most over %v, %v ns of rounds left", c.isOver(), c.isAfter(0.7), c.roundsLeft())
	}
	<-c.rounds.Done()
	if took := time.Since(began); !c.isOver() || took < 900*time.Millisecond {
		t.Errorf("after %v: over %v", took, c.isOver())
	}
	stop()
	if c.isOver() {
		t.Error("what the caller stopped is taken as the end of the limit")
	}
	slow := newClock(context.Background(), time.Second, time.Now())
	defer slow.stop()
	measured := time.Now()
	slow.measure(func() { time.Sleep(40 * time.Millisecond) })
	if most := 4 * time.Since(measured); slow.reserve < 160*time.Millisecond || slow.reserve > most {
		t.Errorf("a slow machine keeps %v for the answer, want 160 ms to %v", slow.reserve, most)
	}
	r, err := Solve(context.Background(), p, Settings{TimeLimit: time.Second, Threads: 2})
	if err != nil {
		t.Fatal(err)
	}
	check(t, p, r)
}

// What a limit leaves after the last cooling goes to the neighborhoods of its plan, but
// where cycles of units do better.
func TestTheEndOfALimitSearchesNeighborhoods(t *testing.T) {
	for _, c := range []struct {
		name    string
		problem *problem.Problem
		want    bool
	}{{"medium-104", read(t, "medium-104"), true}, {"a grid", family.Grid(1, 10, 10, 15), false}} {
		m, err := model.New(c.problem)
		if err != nil {
			t.Fatal(err)
		}
		began := time.Now()
		clock := newClock(context.Background(), time.Second, began)
		defer clock.stop()
		s := newSolver(clock.rounds, m, Settings{TimeLimit: time.Second}.filled(), began)
		s.clock = clock
		for s.plan == nil || s.stepTime == 0 {
			s.round()
		}
		<-clock.rounds.Done()
		tried, cost := s.polisher.Tried, s.cost
		clock.limit = time.Since(began) + 3*time.Second // as the machine may be slow
		s.finish()
		if isSearched := s.polisher.Tried > tried; isSearched != c.want {
			t.Errorf("%s: neighborhoods searched %v, want %v", c.name, isSearched, c.want)
		}
		if e := m.Evaluate(s.plan); !e.Feasible || s.cost > cost || math.Abs(e.Cost-s.cost) > 1e-6*cost {
			t.Errorf("%s: from %v to %v, evaluated %v, feasible %v", c.name, cost, s.cost, e.Cost, e.Feasible)
		}
	}
}

// The bound guides the search once year blocks are at work, where groups of units take
// turns; not before, and not where units are alone.
func TestTheBoundGuidesTheSearch(t *testing.T) {
	for name, want := range map[string]bool{"medium-103": true, "medium-104": true, "real-101": false, "small-105": false} {
		m, err := model.New(read(t, name))
		if err != nil {
			t.Fatal(err)
		}
		s := newSolver(context.Background(), m, Settings{TimeLimit: -1}.filled(), time.Now())
		s.cost, s.bound = 100, 50
		s.yearDone = yearTrial
		if s.isGuiding() {
			t.Errorf("%s: guided without year blocks", name)
		}
		if s.now.years = true; s.isGuiding() != want {
			t.Errorf("%s: guided %v, want %v", name, s.isGuiding(), want)
		}
		if s.bound = 99.9; s.isGuiding() {
			t.Errorf("%s: guided near a proof", name)
		}
	}
}

// Where the work left is too little for year blocks, many hundred units go on with their
// blocks, tied more closely, once: to a higher bound.
func TestACrowdGoesOnWithItsBlocks(t *testing.T) {
	m, err := model.New(family.Property(2, 600, 8, 0))
	if err != nil {
		t.Fatal(err)
	}
	s := newSolver(context.Background(), m, Settings{TimeLimit: -1}.filled(), time.Now())
	if s.goOn() {
		t.Error("units by themselves go on")
	}
	s.now = level{states: 300, layers: 3, steps: 100, first: 0.2, last: 1e-3}
	s.engine.SetBlocks(bound.Cover(m, 300, 900))
	climb := func() {
		s.ascent.Decay = math.Pow(s.now.last/s.now.first, 1/float64(s.now.steps))
		s.ascent.Run(s.now.steps, math.Inf(1))
		s.ascent.Return()
		s.claim()
	}
	s.ascent.Reset()
	s.ascent.Rate = s.now.first
	climb()
	before := s.bound
	s.set.planned = time.Duration((s.stats.work + 60*s.engine.Work()) / workShare)
	if !s.goOn() || s.now.steps < leastMore || s.now.steps > 60 {
		t.Fatalf("%d steps more, want up to 60", s.now.steps)
	}
	climb()
	if s.bound <= before {
		t.Errorf("from %v to %v", before, s.bound)
	}
	if s.goOn() {
		t.Error("goes on twice")
	}
}

// On many hundred units, which may get no year blocks, unit blocks guide the search once
// their steps are short.
func TestUnitBlocksGuideACrowd(t *testing.T) {
	for name, p := range map[string]*problem.Problem{"711 units": family.Property(2, 711, 15, 0), "100 units": family.Property(1, 100, 15, 5)} {
		m, err := model.New(p)
		if err != nil {
			t.Fatal(err)
		}
		s := newSolver(context.Background(), m, Settings{TimeLimit: -1}.filled(), time.Now())
		s.cost, s.bound = 100, 50
		for _, c := range []struct {
			states  int
			isBrief bool
			rate    float64
			want    bool
		}{{1, false, 0.01, false}, {300, true, 0.01, false}, {3000, false, 0.15, false}, {3000, false, 0.01, m.N > crowdUnits}} {
			s.now.states, s.now.isBrief, s.now.first, s.ascent.Rate = c.states, c.isBrief, 0.2, c.rate
			if s.isGuiding() != c.want {
				t.Errorf("%s, blocks of %d states, steps of %v: guided %v, want %v", name, c.states, c.rate, s.isGuiding(), c.want)
			}
		}
	}
}

// Grids of caps and neighbors alone are proven by units alone, once their prices
// are good enough: 28,800 and 356,100 are also what HiGHS 1.15 proves (see the
// tables of schedule/bench).
func TestGridsAreProvenByTheirUnits(t *testing.T) {
	for _, c := range []struct {
		side, budget int
		cost         float64
	}{{5, 10, 28800}, {15, 5, 356100}, {15, 15, 98110}} {
		p := family.Grid(1, c.side, 10, c.budget)
		r, err := Solve(context.Background(), p, Settings{TimeLimit: -1, Rounds: 60, Threads: 1})
		if err != nil {
			t.Fatal(err)
		}
		check(t, p, r)
		if r.Answer.Status != problem.Optimal || r.Answer.Cost != c.cost || r.Stats.Nodes > 0 {
			t.Errorf("%d cells, %d%%: %s, cost %v and bound %v, %d nodes", c.side*c.side, c.budget, r.Answer.Status, r.Answer.Cost, r.Answer.Bound, r.Stats.Nodes)
		}
	}
}

// On a grid whose best plan 60 rounds of the usual coolings miss (98,300 was theirs),
// coolings at the prices of the bound find it: 98,110 is also what HiGHS 1.15 proves.
func TestGridsArePlannedAtThePricesOfTheirBound(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	p := family.Grid(1, 15, 10, 15)
	p.EvenHi = p.Caps[0].Acres // costs nothing, and keeps cycles of units (search.Exchanger) out
	r, err := Solve(context.Background(), p, Settings{TimeLimit: -1, Rounds: 110, Threads: 1})
	if err != nil {
		t.Fatal(err)
	}
	check(t, p, r)
	if r.Answer.Status != problem.Optimal || r.Answer.Cost != 98_110 {
		t.Errorf("%s, cost %v and bound %v after %d rounds", r.Answer.Status, r.Answer.Cost, r.Answer.Bound, r.Stats.Rounds)
	}
}

// A mix of seven units with 4 ages each, which one block of the usual size cannot
// hold, is held whole by a larger one.
func TestMixesOfAFewUnitsAreHeldWhole(t *testing.T) {
	p := family.Property(5, 40, 3, 1)
	for i := range p.Units {
		u := &p.Units[i]
		u.Refuge = -1
		if u.Mix = 1; i%5 == 0 && i < 35 {
			u.Mix, u.MinInterval, u.MaxInterval = 0, 1, 2
		}
	}
	p.Refuges, p.Apart, p.Neighbors, p.Locks = nil, nil, nil, nil
	p, err := problem.Canonical(p)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Solve(context.Background(), p, Settings{TimeLimit: -1, Rounds: 27, Threads: 1})
	if err != nil {
		t.Fatal(err)
	}
	check(t, p, r)
	var whole []int
	if leaf := r.Certificate.Tree.Leaf; leaf != nil {
		for _, b := range leaf.Blocks {
			if len(b.Mixes) > 0 {
				whole = b.Units
			}
		}
	}
	if len(whole) != 7 {
		t.Errorf("the mix of 7 units is held by a block of %v (%s, cost %v, bound %v)", whole, r.Answer.Status, r.Answer.Cost, r.Answer.Bound)
	}
	again, err := Solve(context.Background(), p, Settings{TimeLimit: -1, Rounds: 3, Threads: 1, Warm: r.Warm})
	if err != nil {
		t.Fatal(err)
	}
	check(t, p, again)
	if again.Answer.Bound < r.Answer.Bound-0.01*r.Answer.Cost {
		t.Errorf("begun again with its blocks the bound is %v, was %v", again.Answer.Bound, r.Answer.Bound)
	}
}
