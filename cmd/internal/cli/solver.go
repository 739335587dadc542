package cli

import (
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
)

// solverFlags are the limits and choices of a solve.
type solverFlags struct {
	seconds float64
	app.SolverOptions
}

func (f *solverFlags) register(cmd *cobra.Command, gap float64) {
	flags := cmd.Flags()
	flags.Float64Var(&f.seconds, "seconds", 0, fmt.Sprintf("come back within so many `SECONDS`, with the best plan so far (default: at the gap, or after %.0f)",
		app.DefaultSeconds))
	flags.Float64Var(&f.Gap, "gap", gap, "stop when no plan can be better by more than this `SHARE` of the shortfall; 0 proves the best")
	flags.Uint64Var(&f.Seed, "seed", 0, "`NUMBER` that the search draws from; the same seed gives the same plan")
	flags.IntVar(&f.Threads, "threads", 0, "`NUMBER` of processors to use, 0 for all; the plan does not depend on it")
}

// note takes down whether the command line names a number of seconds.
func (f *solverFlags) note(cmd *cobra.Command) { f.Seconds = given(cmd, "seconds", f.seconds) }

// solveWords says how far the solve under way has come.
func solveWords(of *app.Progress) string {
	p := of.Solve
	if math.IsInf(p.Cost, 0) {
		return fmt.Sprintf("solving, %.0f s: no plan yet", p.Elapsed.Seconds())
	}
	return fmt.Sprintf("solving, %.0f s: shortfall %.1f acre-years, bound %.1f, gap %.1f%%; Ctrl-C keeps the best plan so far",
		p.Elapsed.Seconds(), p.Cost, p.Bound, 100*p.Gap)
}
