package cli

import (
	"cmp"
	"context"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
)

// dueOptions are those of the due command.
type dueOptions struct {
	show   showFlags
	solver solverFlags
	all    allFlag
	// on is in the season to show; the zero day is today.
	on dayFlag
	// ask makes a second plan for each unit.
	ask bool
}

func (a *terminal) dueCommand() *cobra.Command {
	var o dueOptions
	cmd := &cobra.Command{
		Use:   "due",
		Short: "Say which units burn this season, why these, and what to do before",
		Long: withStatus(`Due shows the season that is under way, or the next one that comes: the units that
the adopted plan burns in it, why these, their windows, what must be done before and
by when, and what waiting a year would add to the shortfall. With --ask that figure comes from
a second plan for each unit; without, it is that of the plan with nothing else moved.

`+allHelp+"\n--seconds is the time of each of them.\n\n"+caution, statusBadInput),
		GroupID: groupPlan,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			o.solver.note(cmd)
			return a.runDue(cmd.Context(), &o)
		},
	}
	o.show.register(cmd)
	o.all.register(cmd)
	o.solver.register(cmd, 0)
	cmd.Flags().Var(&o.on, "on", "the season of this date (default: today)")
	cmd.Flags().BoolVar(&o.ask, "ask", false, "make a second plan for each unit, to find what waiting adds")
	return cmd
}

func (a *terminal) runDue(ctx context.Context, o *dueOptions) error {
	solver, err := o.solver.Settings()
	if err != nil {
		return err
	}
	due := app.DueOptions{On: o.on.Day, AskWaiting: o.ask, Solver: solver}
	if o.all.folder != "" {
		return a.overAll(
			ctx,
			&o.all,
			&o.show,
			ofAll{
				inOrder: o.ask,
				shows:   true,
				name:    "due",
				doing:   "looking what is due",
				none:    "no property burns anything in its season",
				one: func(s *app.Session) (any, *table.Sheet, error) {
					v, err := s.Due(ctx, due)
					if err != nil {
						return nil, nil, err
					}
					return v, table.DueSheet(v), nil
				},
			},
		)
	}
	return a.showing(ctx, &o.show, func(s *app.Session) error {
		v, err := s.Due(ctx, due)
		if v == nil {
			return err
		}
		return cmp.Or(table.Due(a.Out, v, o.show.options(a)), err)
	})
}
