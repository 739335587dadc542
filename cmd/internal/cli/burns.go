package cli

import (
	"slices"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/report/table"
	"emberquilt/store"
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
			return a.snapshot(cmd.Context(), func(snapshot *store.Snapshot) error {
				only := ""
				if len(args) > 0 {
					unit, err := app.FindUnit(snapshot, args[0])
					if err != nil {
						return err
					}
					only = unit.ID
				}
				return a.printSheet(burnsSheet(snapshot, only), &show)
			})
		},
	}
	show.register(cmd)
	return cmd
}

// burnsSheet lists records under the names that import reads, each with its
// number.
func burnsSheet(snapshot *store.Snapshot, only string) *table.Sheet {
	var records []habitat.BurnRecord
	for _, r := range snapshot.Records {
		if only == "" || r.Unit == only {
			records = append(records, r)
		}
	}
	sheet := table.RecordsSheet(&snapshot.Property, records)
	sheet.Header = append([]string{"number"}, sheet.Header...)
	through := slices.Index(sheet.Header, "through")
	for i := range sheet.Rows {
		sheet.Rows[i] = append([]any{int(records[i].ID)}, sheet.Rows[i]...)
		if through >= 0 && records[i].Through == records[i].On {
			sheet.Rows[i][through] = nil
		}
	}
	return sheet
}
