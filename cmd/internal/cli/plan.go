package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
	"emberquilt/schedule/rehearsal"
)

func (a *terminal) planCommand() *cobra.Command {
	var years horizonFlags
	var flags solverFlags
	var show showFlags
	var note string
	var caps, rehearse bool
	var futures int
	cmd := &cobra.Command{
		Use:   "plan",
		Short: "Plan the burns of the coming years",
		Long: withStatus(`Plan solves the rotation problem of the property as it stands: units, burns on
record, locks, caps, the plan before. It keeps the plan under a number and shows
the table of units and years, acres, caps, overdue units, how good the plan is
proven to be, and what the three tightest caps add to the shortfall, each by a second
solve. What years with more or fewer burn days do to it, emberquilt rehearse plays.

With --rehearse up to eight plans with different first years are played through futures
of past weather, and the one that stands up best is kept, where other futures than those
of the choice confirm it; else the plain plan.

A burn on record in the first year is a fact and is kept. Where the locked burns
cannot stand together no plan is kept, and what clashes is said (status 4).

`+caution, statusBadInput, statusNoPlan),
		Example: "  emberquilt plan\n  emberquilt plan --years 8 --from 2027 --seconds 20",
		GroupID: groupPlan,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := show.validate(a); err != nil {
				return err
			}
			settings, err := flags.settings(cmd)
			if err != nil {
				return err
			}
			over, err := years.horizon()
			if err != nil {
				return err
			}
			return a.session(cmd.Context(), app.ToChange, func(s *app.Session) error {
				o := app.PlanOptions{Horizon: over, Solver: settings, Note: note, AskCaps: caps}
				if rehearse {
					o.Rehearse = &app.RehearseOptions{Futures: futures, Seed: settings.Seed, Threads: flags.Threads}
				}
				kept, stopped := s.MakePlan(cmd.Context(), o)
				if kept == nil {
					return stopped
				}
				if !a.json {
					fmt.Fprintf(a.Err, "kept as plan %d\n", kept.Number)
				}
				v, err := s.Program(cmd.Context(), kept)
				if err != nil {
					return err
				}
				if err := table.Program(a.Out, v, show.options(a)); err != nil {
					return err
				}
				return stopped
			})
		},
	}
	years.register(cmd)
	flags.register(cmd, 0)
	show.register(cmd)
	cmd.Flags().StringVar(&note, "note", "", "`WORDS` kept with the plan, such as why it was made")
	cmd.Flags().BoolVar(&rehearse, "rehearse", false, "rehearse plans with different first years and keep the one that stands up best")
	cmd.Flags().IntVar(&futures, "futures", rehearsal.DefaultFutures, "`NUMBER` of futures for --rehearse")
	cmd.Flags().BoolVar(&caps, "caps", true, "ask by second solves what the tightest caps cost")
	return cmd
}
