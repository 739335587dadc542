package cli

import (
	"github.com/spf13/cobra"

	"emberquilt/report/table"
	"emberquilt/report/view"
)

func (a *app) compareCommand() *cobra.Command {
	var show showFlags
	cmd := &cobra.Command{
		Use:   "compare PLAN PLAN",
		Short: "Set two plans side by side",
		Long: withStatus(`Compare shows where two stored plans differ: by unit and year, in acres burned and
overdue, and in each part of the cost.

`+caution, statusBadInput),
		GroupID: groupPlan,
		Args:    exactArgs("PLAN", "PLAN"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := show.validate(a); err != nil {
				return err
			}
			return a.sit(cmd.Context(), a.read, func(d *desk) error {
				var sides [2]*view.Plan
				for i := range sides {
					number, err := planNumber(args, i)
					if err != nil {
						return err
					}
					kept, err := d.plan(cmd.Context(), number)
					if err != nil {
						return err
					}
					if sides[i], err = d.planView(cmd.Context(), kept); err != nil {
						return err
					}
				}
				v, err := view.NewCompare(sides[0], sides[1])
				if err != nil {
					return err
				}
				return table.Compare(a.Out, v, show.options(a))
			})
		},
	}
	show.register(cmd)
	return cmd
}
