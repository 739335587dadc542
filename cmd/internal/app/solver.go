package app

import (
	"context"
	"math"
	"runtime"
	"time"

	"emberquilt/report/view"
	"emberquilt/schedule/certify"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
	"emberquilt/schedule/whatif"
)

// SolverOptions are the limits and choices of a solve.
type SolverOptions struct {
	// Seconds is when to come back with the best plan so far; nil leaves it to the
	// solver.
	Seconds *float64
	// Gap is the gap at which to stop; 0 proves the best.
	Gap  float64
	Seed uint64
	// Threads is how many processors to use, 0 for all.
	Threads int
}

// DefaultSeconds is when a solve comes back where nobody says.
const DefaultSeconds = float64(rotation.DefaultTimeLimit) / float64(time.Second)

// Settings checks the options and makes the solver's settings.
func (o *SolverOptions) Settings() (rotation.Settings, error) {
	settings := rotation.Settings{Gap: o.Gap, Seed: o.Seed, Threads: o.Threads}
	if o.Seconds != nil {
		if !(*o.Seconds > 0 && *o.Seconds <= 1e6) {
			return settings, badOption("seconds", "a number above 0, up to 1000000", "%v is not a time to solve in", *o.Seconds)
		}
		settings.TimeLimit = time.Duration(*o.Seconds * float64(time.Second))
	}
	if o.Gap < 0 {
		return settings, badOption("gap", acceptedGap, "%v is negative", o.Gap)
	}
	if math.IsNaN(o.Gap) || math.IsInf(o.Gap, 0) {
		return settings, badOption("gap", acceptedGap, "%v is not a gap", o.Gap)
	}
	if o.Threads < 0 || o.Threads > 1024 {
		return settings, badOption("threads", "1 to 1024, or 0 for all processors", "%d is not a number of processors", o.Threads)
	}
	if settings.Threads == 0 {
		settings.Threads = runtime.GOMAXPROCS(0)
	}
	return settings, nil
}

const acceptedGap = "0 or more (0.01 stops within 1 percent of the bound)"

// Solve runs the solver. An infeasible problem gives its result and
// problem.ErrInfeasible; a solve that its context ended gives its result and an
// Interrupted.
func (e *Environment) Solve(ctx context.Context, p *problem.Problem, settings rotation.Settings) (*rotation.Result, error) {
	defer e.begin("solving")()
	settings.Progress = func(p rotation.Progress) { e.tell(Progress{Doing: "solving", Solve: &p}) }
	result, err := rotation.Solve(ctx, p, settings)
	if err != nil {
		return nil, err
	}
	switch {
	case result.Answer.Status == problem.Infeasible:
		return &result, clashError(result.Answer)
	case ctx.Err() != nil:
		return &result, &Interrupted{"the best plan so far is kept; " + view.GapLine(result.Answer)}
	}
	return &result, nil
}

// Verdict is what a check of an answer finds.
type Verdict struct {
	Holds bool `json:"holds"`
	// Verdict says it in a line.
	Verdict    string   `json:"verdict"`
	Violations []string `json:"violations"`
}

// Check asks whether an answer is true and, with a certificate, whether its bound is;
// certificate may be nil.
func (e *Environment) Check(ctx context.Context, p *problem.Problem, answer *problem.Answer, certificate *problem.Certificate) (*Verdict, error) {
	defer e.begin("checking")()
	report, err := certify.Check(ctx, p, answer, certificate)
	if err != nil {
		return nil, err
	}
	v := &Verdict{report.OK(), report.Verdict(), []string{}}
	for _, violation := range report.Violations {
		v.Violations = append(v.Violations, violation.String())
	}
	return v, nil
}

// budget is the time that all solves of a command share; the zero value has no end.
type budget struct{ end time.Time }

// leastSolve is the time below which a second solve is not begun.
const leastSolve = 50 * time.Millisecond

// budgetOf gives the time that was asked for; without, each solve has its own.
func budgetOf(settings rotation.Settings) budget {
	if settings.TimeLimit <= 0 {
		return budget{}
	}
	return budget{time.Now().Add(settings.TimeLimit)}
}

// questionBudget gives the time for all that a command asks; where nobody said one, that
// of a single solve.
func questionBudget(settings rotation.Settings) budget {
	if settings.TimeLimit == 0 {
		settings.TimeLimit = rotation.DefaultTimeLimit
	}
	return budgetOf(settings)
}

// part gives the settings of one solve of so many that are still to come: its share
// of the time that is left.
func (b budget) part(settings rotation.Settings, solves float64) (rotation.Settings, error) {
	if b.end.IsZero() {
		return settings, nil
	}
	left := time.Until(b.end)
	if left < leastSolve {
		return settings, whatif.ErrNoTime
	}
	settings.TimeLimit = time.Duration(float64(left) / max(1, solves))
	return settings, nil
}

// within gives a context that ends with a share of the time that is left; without an
// end, only with its parent.
func (b budget) within(parent context.Context, parts float64) (context.Context, context.CancelFunc) {
	if b.end.IsZero() {
		return context.WithCancel(parent)
	}
	return context.WithTimeout(parent, time.Duration(float64(time.Until(b.end))/parts))
}

// firstOf is how many solves the first one of a command counts as, so that it leaves
// time to the others.
const firstOf = 1.5

// again makes the solver that second solves use, of which about so many come; they
// share the time that is left.
func again(settings rotation.Settings, b budget, solves int) whatif.Solve {
	settings.Progress = nil
	return func(ctx context.Context, p *problem.Problem) (*problem.Answer, error) {
		settings, err := b.part(settings, float64(max(2, solves)))
		if err != nil {
			return nil, err
		}
		solves--
		result, err := rotation.Solve(ctx, p, settings)
		if ctx.Err() != nil { // a solve that was cut off says nothing
			return nil, whatif.ErrNoTime
		}
		return result.Answer, err
	}
}
