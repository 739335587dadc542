package rotation

import (
	"time"

	"emberquilt/schedule/problem"
)

// DefaultTimeLimit is how long a solve may take when nothing else is said.
const DefaultTimeLimit = 60 * time.Second

// Settings say when Solve stops and what it may use.
type Settings struct {
	// TimeLimit is when to come back with the best so far; 0 means
	// DefaultTimeLimit, a negative one means none. Nine tenths of it go to rounds, the
	// rest to ending the cooling at work, to the neighborhoods of the best plan and to
	// making the answer. On problems of up to problem.MaxSweepUnits units a limit changes nothing before it ends the rounds: a
	// shorter one finds what a longer one has found by then, and an answer proven in
	// the rounds is the same on any machine. On larger ones the last cooling is planned
	// to end with the limit; where no proof is near it is fitted to the pace of the
	// machine, and so is what search and bound do in a round.
	TimeLimit time.Duration
	// Gap is the gap at which to stop; 0 means proven optimal
	// (problem.OptimalGap).
	Gap float64
	// Seed is what the search draws from.
	Seed uint64
	// Threads is how many processors to use; 0 means 1. The answer does not
	// depend on it unless a time limit cuts in or comes near.
	Threads int
	// Rounds limits the rounds of work; 0 means no limit. Unlike a time limit
	// it gives the same answer on any machine.
	Rounds int
	// Warm is what to begin with; nil means nothing.
	Warm *Warm
	// planned is the time that the bound's work is planned for; 0 means
	// TimeLimit.
	planned time.Duration
	// Progress is called from time to time, by one goroutine; nil is allowed.
	Progress func(Progress)
}

// Progress is how far a solve has come.
type Progress struct {
	Elapsed time.Duration
	// Cost is that of the best plan, +Inf while there is none.
	Cost, Bound, Gap float64
	Nodes            int
	// Answer gives the best plan so far with its parts and its bound, nil while
	// there is none. It may be called while the callback runs, not after.
	Answer func() *problem.Answer
}

// Stats count the work of a solve.
type Stats struct {
	// Rounds counts rounds of bound and search, Nodes those of the tree.
	Rounds, Nodes int
	// Swept counts the tuples of ages that sweeps went through.
	Swept int
	// RootBound is the bound before any branching; UnitBound the one with every
	// unit by itself.
	UnitBound, RootBound float64
	// FirstPlan is when the first plan that meets every requirement was known.
	FirstPlan time.Duration
	// work is the estimated work of the bound, in nanoseconds.
	work float64
}

// Result is what Solve gives.
type Result struct {
	Answer *problem.Answer
	// Certificate proves Answer.Bound; nil when the problem is infeasible.
	Certificate *problem.Certificate
	Stats       Stats
	// Warm is what a solve of a problem nearly alike can begin with; nil when the
	// problem is infeasible.
	Warm *Warm
}
