package cli

import (
	"context"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/report/table"
)

// whyOptions are those of the why command.
type whyOptions struct {
	show   showFlags
	solver solverFlags
}

func (a *terminal) whyCommand() *cobra.Command {
	var o whyOptions
	cmd := &cobra.Command{
		Use:   "why UNIT [YEAR]",
		Short: "Say why a unit burns or rests in a program year",
		Long: withStatus(`Why explains one decision of the adopted plan: the unit's age and interval, what
stands in the way of the other choice, and what that would cost, found by a second
plan with the other choice locked. The year is the one under way where none is named.

`+caution, statusBadInput, statusNoPlan),
		Example: "  emberquilt why \"Creek Patch\" 2027",
		GroupID: groupPlan,
		Args:    argsBetween(1, "UNIT", "YEAR"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.solver.note(cmd)
			return a.runWhy(cmd.Context(), &o, args)
		},
	}
	o.show.register(cmd)
	o.solver.register(cmd, 0)
	return cmd
}

func (a *terminal) runWhy(ctx context.Context, o *whyOptions, args []string) error {
	solver, err := o.solver.Settings()
	if err != nil {
		return err
	}
	year, err := yearArgument(args, 1)
	if err != nil {
		return err
	}
	return a.showing(ctx, &o.show, func(s *app.Session) error {
		v, err := s.Why(ctx, app.WhyOptions{Unit: args[0], Year: year, Solver: solver})
		if err != nil {
			return err
		}
		return table.Why(a.Out, v, o.show.options(a))
	})
}

// yearArgument reads a program year, 0 where it is absent.
func yearArgument(args []string, at int) (date.ProgramYear, error) {
	if len(args) > at {
		return parseYear(args[at])
	}
	return 0, nil
}
