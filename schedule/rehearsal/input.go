package rehearsal

import (
	"context"
	"fmt"
	"runtime"
	"slices"

	"emberquilt/habitat/source"
	"emberquilt/schedule/problem"
)

// Input is what is rehearsed.
type Input struct {
	// Problem is the property as it really limits the crew, from the first
	// rehearsed year on: its burn-day caps are the crew's own. It has T() years,
	// Years−1 more than a plan looks ahead, so that the last rehearsed year
	// can be planned like the first.
	Problem *problem.Problem
	// Years counts the rehearsed program years.
	Years int
	// PlanYears and Lookahead are the horizon of each plan.
	PlanYears, Lookahead int
	// KeepYears says for how many of its first years a plan follows the one
	// before.
	KeepYears int
	// Recorded holds the burns of the first year that are on record: they have
	// happened in every future. The problem locks them.
	Recorded []problem.Burn
	// SeasonOrder lists the seasons in the order in which they fall in the
	// program year.
	SeasonOrder []int
	Record      *Record
	Calendar    *Calendar
	// DayHolds is how many burn days one day of one crew holds; 0 means 1.
	DayHolds float64
}

// Rule is one way to run the program.
type Rule struct {
	Name string
	// Planning is the problem that plans are made from: that of the input with
	// the burn-day caps that this rule plans with; nil means that of the input.
	Planning *problem.Problem
	// First is the plan in force in the first year; nil means that it is made
	// anew. Its burns are by the indices of the input's problem.
	First []problem.Burn
	// Crews counts the crews; 0 means one. ExtraDays is how many days of a season
	// hold one burn day more.
	Crews, ExtraDays int
	// SecondChance lets a missed unit wait for its next allowed season of the
	// same year. Ahead lets days that are left take next year's units.
	SecondChance, Ahead bool
	// MostOverdueFirst plans nothing: the crew burns what is due, the most
	// overdue first, and on days that are left what will be due next year.
	MostOverdueFirst bool
}

func (r *Rule) crews() int { return max(1, r.Crews) }

// Solved is a plan with the proof of its bound; the certificate may be nil.
type Solved struct {
	Problem     *problem.Problem
	Answer      *problem.Answer
	Certificate *problem.Certificate
	// Warm is what the solver can begin the plan of the next year with; only it
	// knows what that is.
	Warm any
}

// Solve finds a plan. before is the plan of the year before, to begin from, nil
// where there is none; it must depend on nothing else, so that the same futures
// give the same numbers. An infeasible problem is an answer with that status.
type Solve func(ctx context.Context, p *problem.Problem, before *Solved) (*Solved, error)

// Settings say how much is played.
type Settings struct {
	// Futures is how many are played; 0 means DefaultFutures.
	Futures int
	Seed    uint64
	// Skip is the number of the first future, so that a selection and its report
	// can use different ones.
	Skip int
	// Blocks is how many record years follow one another in a draw; 0 means 1.
	Blocks int
	// Lost is, by season, the share of days lost to bans and other causes;
	// nil means none. Wildfire is the chance a year that one burns a unit.
	Lost     []float64
	Wildfire float64
	// Threads is how many futures are played at once; 0 means all processors.
	Threads int
	// Gap is at which the plans were asked to stop: those with a larger one
	// were stopped by time, and are counted.
	Gap float64
	// Solve makes the plans. It is called by several goroutines.
	Solve Solve
	// NoForesight leaves out the foresight bound. Check is for how many futures
	// its certificate is checked.
	NoForesight bool
	Check       int
	// Progress is told how many futures are done; nil is allowed.
	Progress func(done, of int)
	// Trace is told what happened, by several goroutines; nil is allowed.
	Trace func(*Played)
}

// DefaultFutures is how many futures are played where nothing else is said.
const DefaultFutures = 200

func (s Settings) filled() Settings {
	if s.Futures == 0 {
		s.Futures = DefaultFutures
	}
	if s.Threads == 0 {
		s.Threads = runtime.GOMAXPROCS(0)
	}
	s.Blocks = max(1, s.Blocks)
	return s
}

// validate checks what a caller could have got wrong.
func (in *Input) validate(rules []Rule, set *Settings) error {
	bad := func(field, accepts, format string, args ...any) error {
		return &source.Error{Position: source.Position{Field: field}, Found: fmt.Sprintf(format, args...), Accepts: accepts}
	}
	p := in.Problem
	switch horizon := in.PlanYears + in.Lookahead; {
	case in.Years < 1 || in.PlanYears < 1 || in.Lookahead < 0 || p.T() < in.Years-1+horizon:
		return bad("years", fmt.Sprintf("1 to %d", p.T()-horizon+1), "%d years cannot be rehearsed", in.Years)
	case len(in.Record.Years) < MinYears:
		return bad("record", fmt.Sprintf("%d or more", MinYears), "%d usable years", len(in.Record.Years))
	case len(rules) == 0:
		return bad("rules", "one or more", "there is no rule")
	case set.Futures < 1 || set.Skip < 0:
		return bad("futures", "1 or more", "%d futures", set.Futures)
	case set.Blocks > len(in.Record.Years):
		return bad("blocks", fmt.Sprintf("1 to %d, the usable years of the record", len(in.Record.Years)), "runs of %d years", set.Blocks)
	case !(set.Wildfire >= 0 && set.Wildfire <= 1):
		return bad("wildfire", "0 to 1", "%v is not a chance", set.Wildfire)
	case slices.ContainsFunc(set.Lost, func(x float64) bool { return !(x >= 0 && x <= 1) }):
		return bad("lost", "0 to 1", "%v is not a share of days", set.Lost)
	}
	for i := range rules {
		if q := rules[i].Planning; q != nil && (q.T() != p.T() || len(q.Units) != len(p.Units)) {
			panic("rehearsal: a rule plans with a problem of other years or units")
		}
	}
	return nil
}
