package cli

import (
	"context"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
)

func (a *terminal) burnsCommand() *cobra.Command {
	var show showFlags
	cmd := &cobra.Command{
		Use:   "burns [UNIT]",
		Short: "List the burns on record",
		Long: withStatus(`Burns lists the burns, wildfires and attempts on record, of all units or of one, with
the program year and season in which each counts. The numbers are those that
"emberquilt record correct" and "record history" take.`, statusBadInput),
		GroupID: groupRecord,
		Args:    argsBetween(0, "UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runBurns(cmd.Context(), &show, firstOf(args))
		},
	}
	show.register(cmd)
	return cmd
}

func (a *terminal) runBurns(ctx context.Context, show *showFlags, unit string) error {
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		records, err := s.BurnsOf(unit)
		if err != nil {
			return err
		}
		return a.printSheet(table.NumberedRecords(&s.Property, records), show)
	})
}
