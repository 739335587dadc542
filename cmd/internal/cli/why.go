package cli

import (
	"github.com/spf13/cobra"

	"emberquilt/habitat/date"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

func (a *app) whyCommand() *cobra.Command {
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
			return a.sit(cmd.Context(), a.read, func(d *desk) error {
				unit, err := findUnit(d.Snapshot, args[0])
				if err != nil {
					return err
				}
				year, err := d.yearArgument(args, 1)
				if err != nil {
					return err
				}
				m, err := d.gather(cmd.Context(), 0)
				if err != nil {
					return err
				}
				shown := a.startProgress("making a second plan with the other choice")
				other, err := m.otherwise(cmd.Context(), unit.ID, year, settings)
				shown.stop()
				if err != nil {
					return err
				}
				v, err := view.NewWhy(m.plan, unit.ID, year, other)
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

// yearArgument reads a program year, the one of today where it is absent.
func (d *desk) yearArgument(args []string, at int) (date.ProgramYear, error) {
	if len(args) > at {
		return parseYear(args[at])
	}
	return d.Property.YearOf(d.today), nil
}
