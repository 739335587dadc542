package cli

import (
	"context"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
)

func (a *terminal) unitsCommand() *cobra.Command {
	var show showFlags
	cmd := &cobra.Command{
		Use:   "units",
		Short: "List the units, with their last burn and age",
		Long: withStatus(`Units lists the units that are stored, with the stand age at the end of the last
program year that is over and the burn that it is counted from. A "?" marks an age
that no record stands behind. The CSV form can be imported again.`, statusBadInput),
		GroupID: groupProperty,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.runUnits(cmd.Context(), &show)
		},
	}
	show.register(cmd)
	return cmd
}

func (a *terminal) runUnits(ctx context.Context, show *showFlags) error {
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		switch {
		case show.csv || a.json:
			return a.printSheet(table.AgedUnitsFile(s.UnitRows()), show)
		case len(s.Units) == 0:
			return a.say("%s has no units yet; emberquilt import reads them from a file", s.Property.Name)
		}
		return a.printSheet(table.AgedUnits(s.UnitRows()), show)
	})
}
