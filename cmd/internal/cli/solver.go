package cli

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
)

// solverFlags are the limits and choices of a solve.
type solverFlags struct {
	seconds, gap float64
	seed         uint64
	threads      int
}

func (f *solverFlags) register(cmd *cobra.Command, gap float64) {
	flags := cmd.Flags()
	flags.Float64Var(&f.seconds, "seconds", 0, fmt.Sprintf("come back within so many `SECONDS`, with the best plan so far (default: at the gap, or after %.0f)",
		rotation.DefaultTimeLimit.Seconds()))
	flags.Float64Var(&f.gap, "gap", gap, "stop when no plan can be better by more than this `SHARE` of the cost; 0 proves the best")
	flags.Uint64Var(&f.seed, "seed", 0, "`NUMBER` that the search draws from; the same seed gives the same plan")
	flags.IntVar(&f.threads, "threads", 0, "`NUMBER` of processors to use, 0 for all; the plan does not depend on it")
}

// settings checks the flags and makes the solver's settings.
func (f *solverFlags) settings(cmd *cobra.Command) (rotation.Settings, error) {
	s := rotation.Settings{Gap: f.gap, Seed: f.seed, Threads: f.threads}
	if cmd.Flags().Changed("seconds") {
		if !(f.seconds > 0 && f.seconds <= 1e6) {
			return s, flagError("seconds", "a number above 0, up to 1000000", "%v is not a time to solve in", f.seconds)
		}
		s.TimeLimit = time.Duration(f.seconds * float64(time.Second))
	}
	if !(f.gap >= 0) || math.IsInf(f.gap, 0) {
		return s, flagError("gap", "0 or more (0.01 stops within 1 percent of the bound)", "%s", signWords(f.gap, "gap"))
	}
	if f.threads < 0 || f.threads > 1024 {
		return s, flagError("threads", "1 to 1024, or 0 for all processors", "%d is not a number of processors", f.threads)
	}
	if s.Threads == 0 {
		s.Threads = runtime.GOMAXPROCS(0)
	}
	return s, nil
}

func signWords(v float64, what string) string {
	if v < 0 {
		return fmt.Sprintf("%v is negative", v)
	}
	return fmt.Sprintf("%v is not a %s", v, what)
}

// solve runs the solver with progress in view. An infeasible problem gives its
// result and problem.ErrInfeasible; a solve that a signal stopped gives its
// result and an interrupted error.
func (a *app) solve(ctx context.Context, p *problem.Problem, settings rotation.Settings) (*rotation.Result, error) {
	shown := a.startProgress("solving")
	defer shown.stop()
	settings.Progress = func(p rotation.Progress) { shown.say(progressWords(p)) }
	result, err := rotation.Solve(ctx, p, settings)
	if err != nil {
		return nil, err
	}
	switch {
	case result.Answer.Status == problem.Infeasible:
		return &result, clashError(result.Answer)
	case ctx.Err() != nil:
		return &result, interrupted{"the best plan so far is kept; " + gapWords(result.Answer)}
	}
	return &result, nil
}

func progressWords(p rotation.Progress) string {
	if math.IsInf(p.Cost, 0) {
		return fmt.Sprintf("solving, %.0f s: no plan yet", p.Elapsed.Seconds())
	}
	return fmt.Sprintf("solving, %.0f s: cost %.1f acre-years, bound %.1f, gap %.1f %%; Ctrl-C keeps the best plan so far",
		p.Elapsed.Seconds(), p.Cost, p.Bound, 100*p.Gap)
}

// clashError says what clashes, a line each.
func clashError(answer *problem.Answer) error {
	text := make([]string, len(answer.Clashes))
	for i, clash := range answer.Clashes {
		text[i] = "\n- " + clash.Text
	}
	return fmt.Errorf("%w: the locked burns cannot stand together%s", problem.ErrInfeasible, strings.Join(text, ""))
}

// gapWords says in one line how good a plan is.
func gapWords(answer *problem.Answer) string {
	if answer.Status == problem.Optimal {
		return fmt.Sprintf("optimal: cost %s acre-years, and no plan is better", figure(answer.Cost))
	}
	return fmt.Sprintf("feasible: cost %s acre-years, bound %s, gap %.2f %%", figure(answer.Cost), figure(answer.Bound), 100*answer.Gap)
}

// figure prints a cost without digits that nobody reads.
func figure(v float64) string {
	text := strings.TrimRight(fmt.Sprintf("%.3f", v), "0")
	return strings.TrimSuffix(text, ".")
}
