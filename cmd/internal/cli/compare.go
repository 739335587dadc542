package cli

import (
	"context"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
)

// compareOptions are those of the compare command.
type compareOptions struct {
	show  showFlags
	plans [2]int
}

func (a *terminal) compareCommand() *cobra.Command {
	var o compareOptions
	cmd := &cobra.Command{
		Use:   "compare PLAN PLAN",
		Short: "Set two plans side by side",
		Long: withStatus(`Compare shows where two stored plans differ: by unit and year, in acres burned and
overdue, and in each part of the cost.

`+caution, statusBadInput),
		GroupID: groupPlan,
		Args:    exactArgs("PLAN", "PLAN"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			for i := range o.plans {
				if o.plans[i], err = planNumber(args, i); err != nil {
					return err
				}
			}
			return a.runCompare(cmd.Context(), o)
		},
	}
	o.show.register(cmd)
	return cmd
}

func (a *terminal) runCompare(ctx context.Context, o compareOptions) error {
	if err := o.show.validate(a); err != nil {
		return err
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		v, err := s.Compare(ctx, o.plans[0], o.plans[1])
		if err != nil {
			return err
		}
		return table.Compare(a.Out, v, o.show.options(a))
	})
}
