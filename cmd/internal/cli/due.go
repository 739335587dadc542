package cli

import (
	"context"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
)

func (a *terminal) dueCommand() *cobra.Command {
	var show showFlags
	var flags solverFlags
	var on dayFlag
	var o app.DueOptions
	cmd := &cobra.Command{
		Use:   "due",
		Short: "Say which units burn this season, why these, and what to do before",
		Long: withStatus(`Due shows the season that is under way, or the next one that comes: the units that
the newest plan burns in it, why these, their windows, what must be done before and
by when, and what waiting a year would add to the shortfall. With --ask that figure comes from
a second plan for each unit; without, it is that of the plan with nothing else moved.

`+caution, statusBadInput),
		GroupID: groupPlan,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			settings, err := flags.settings(cmd)
			if err != nil {
				return err
			}
			o.On, o.Solver = on.Day, settings
			return a.runDue(cmd.Context(), o, &show)
		},
	}
	show.register(cmd)
	flags.register(cmd, 0)
	cmd.Flags().Var(&on, "on", "the season of this date (default: today)")
	cmd.Flags().BoolVar(&o.AskWaiting, "ask", false, "make a second plan for each unit, to find what waiting adds")
	return cmd
}

func (a *terminal) runDue(ctx context.Context, o app.DueOptions, show *showFlags) error {
	return a.showing(ctx, show, func(s *app.Session) error {
		v, err := s.Due(ctx, o)
		if err != nil {
			return err
		}
		return table.Due(a.Out, v, show.options(a))
	})
}
