package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
)

func (a *terminal) planCommand() *cobra.Command {
	var years horizonFlags
	var flags solverFlags
	var show showFlags
	var note string
	var caps bool
	cmd := &cobra.Command{
		Use:   "plan",
		Short: "Plan the burns of the coming years",
		Long: withStatus(`Plan solves the rotation problem of the property as it stands: units, burns on
record, locks, caps, the plan before. It keeps the plan under a number and shows
the table of units and years, acres, caps, overdue units, how good the plan is
proven to be, what the three tightest caps add to the shortfall, and, with a weather record, what
the burn days of a median and of a poor year would change, each by a second solve.

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
				kept, stopped := s.MakePlan(cmd.Context(), app.PlanOptions{Horizon: over, Solver: settings, Note: note, AskCaps: caps})
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
	cmd.Flags().BoolVar(&caps, "caps", true, "ask by second solves what the tightest caps and other burn days cost")
	return cmd
}
