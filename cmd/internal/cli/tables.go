package cli

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
)

// sheets gathers every table of a property and its plan.
func tableSheets(c *app.Contents) []*table.Sheet {
	return []*table.Sheet{
		table.GridSheet(c.Program),
		table.ProgramSheet(c.Program),
		table.DueSheet(c.Due),
		table.AgedUnitsFile(c.Session.UnitRows()),
		table.NumberedRecords(&c.Session.Property, c.Session.Records),
		table.ReadingsSheet(c.Session.Records),
	}
}

func tablesPaper() paper {
	return paper{"tables.xlsx", "plan, season, units, burns and readings as a workbook", func(_ context.Context, w io.Writer, c *app.Contents) error {
		// An empty sheet would print an empty page.
		return table.WriteXLSX(w, c.Program.Stamp, slices.DeleteFunc(tableSheets(c), func(s *table.Sheet) bool { return len(s.Rows) == 0 })...)
	}}
}

// tablesOptions are those of the tables command.
type tablesOptions struct {
	plan int
	// out is the workbook, folder that of CSV files in its place; empty for none.
	out, folder string
}

func (a *terminal) tablesCommand() *cobra.Command {
	var o tablesOptions
	cmd := &cobra.Command{
		Use:   "tables [PLAN]",
		Short: "Write plan, units and burns as a workbook (XLSX), or as CSV files",
		Long: withStatus(`Tables writes a workbook with the grid of units and years, whose totals are formulas, the
plan a row a unit and year, the coming season, the units, the burns on record
and their readings: real numbers and dates, and a first sheet that says what it was made
from. With --csv it writes one CSV file a table into a folder. Text that a spreadsheet
could take for a formula is kept as text.

Personal data in it: who burned and who was told of each burn, and its notes. It is written
so that only you can read the file.

`+caution, statusBadInput),
		GroupID: groupPaper,
		Args:    argsBetween(0, "PLAN"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if o.plan, err = planNumber(args, 0); err != nil {
				return err
			}
			return a.runTables(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVarP(&o.out, "output", "o", tablesPaper().File, "write to `FILE`, - for standard output")
	cmd.Flags().StringVar(&o.folder, "csv", "", "write CSV files into this `FOLDER`, and no workbook")
	return cmd
}

func (a *terminal) runTables(ctx context.Context, o tablesOptions) error {
	if o.folder == "" {
		return a.runPaper(ctx, paperOptions{o.plan, o.out, []paper{tablesPaper()}})
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		c, err := s.Contents(ctx, o.plan)
		if err != nil {
			return err
		}
		return a.writeCSVs(c, o.folder)
	})
}

func (a *terminal) writeCSVs(c *app.Contents, folder string) error {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return fmt.Errorf("make %s: %w", folder, cause(err))
	}
	var all []output
	for _, sheet := range tableSheets(c) {
		all = append(all, output{filepath.Join(folder, fileWord(sheet.Name)+".csv"), sheet.WriteCSV})
	}
	if err := a.writePrivate(all...); err != nil {
		return err
	}
	return a.say("wrote %d tables into %s", len(all), folder)
}
