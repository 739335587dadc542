package cli

import (
	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
)

func (a *terminal) compareCommand() *cobra.Command {
	var show showFlags
	cmd := &cobra.Command{
		Use:   "compare PLAN PLAN",
		Short: "Set two plans side by side",
		Long: withStatus(`Compare shows where two stored plans differ: by unit and year, in acres burned and
overdue, and in each part of the shortfall.

`+caution, statusBadInput),
		GroupID: groupPlan,
		Args:    exactArgs("PLAN", "PLAN"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := show.validate(a); err != nil {
				return err
			}
			var numbers [2]int
			for i := range numbers {
				var err error
				if numbers[i], err = planNumber(args, i); err != nil {
					return err
				}
			}
			return a.session(cmd.Context(), app.ToRead, func(s *app.Session) error {
				v, err := s.Compare(cmd.Context(), numbers[0], numbers[1])
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
