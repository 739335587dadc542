package cli

import (
	"github.com/spf13/cobra"

	"emberquilt/habitat"
	"emberquilt/report/table"
	"emberquilt/store"
)

func (a *app) burnsCommand() *cobra.Command {
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
					unit, err := findUnit(snapshot, args[0])
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

func burnsSheet(snapshot *store.Snapshot, only string) *table.Sheet {
	sheet := &table.Sheet{Name: "burns", Header: []string{"number", "unit", "date", "through", "kind", "acres", "program_year", "season",
		"purpose", "ignition", "start", "end", "crew", "permit", "notes"}}
	p := &snapshot.Property
	for i := range snapshot.Records {
		r := &snapshot.Records[i]
		if only != "" && r.Unit != only {
			continue
		}
		season, year, ok := p.SeasonOf(r.Through)
		name := "outside"
		if ok {
			name = p.Seasons[season].Name
		}
		row := []any{int(r.ID), r.Unit, r.On, nil, string(r.Kind), acresOf(r), year, name, r.Purpose, r.Ignition, r.Start, r.End, r.Crew, r.Permit, r.Notes}
		if r.Through != r.On {
			row[3] = r.Through
		}
		sheet.Rows = append(sheet.Rows, row)
	}
	return sheet
}

// acresOf gives nothing where a record has no acres.
func acresOf(r *habitat.BurnRecord) any {
	if !r.HasAcres {
		return nil
	}
	return r.Acres
}
