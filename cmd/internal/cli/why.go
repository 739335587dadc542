package cli

import (
	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/report/table"
)

func (a *terminal) whyCommand() *cobra.Command {
	var show showFlags
	var flags solverFlags
	cmd := &cobra.Command{
		Use:   "why UNIT [YEAR]",
		Short: "Say why a unit burns or rests in a program year",
		Long: withStatus(`Why explains one decision of the newest plan: the unit's age and interval, what
stands in the way of the other choice, and what that would cost, found by a second
plan with the other choice locked. The year is the one under way where none is named.

`+caution, statusBadInput, statusNoPlan),
		Example: "  emberquilt why \"Creek Patch\" 2027",
		GroupID: groupPlan,
		Args:    argsBetween(1, "UNIT", "YEAR"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := show.validate(a); err != nil {
				return err
			}
			settings, err := flags.settings(cmd)
			if err != nil {
				return err
			}
			year, err := yearArgument(args, 1)
			if err != nil {
				return err
			}
			return a.session(cmd.Context(), app.ToRead, func(s *app.Session) error {
				v, err := s.Why(cmd.Context(), app.WhyOptions{Unit: args[0], Year: year, Solver: settings})
				if err != nil {
					return err
				}
				return table.Why(a.Out, v, show.options(a))
			})
		},
	}
	show.register(cmd)
	flags.register(cmd, 0)
	return cmd
}

// yearArgument reads a program year, 0 where it is absent.
func yearArgument(args []string, at int) (date.ProgramYear, error) {
	if len(args) > at {
		return parseYear(args[at])
	}
	return 0, nil
}
