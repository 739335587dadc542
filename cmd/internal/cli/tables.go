package cli

import (
	"context"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
)

// sheets gathers every table of a property and its plan.
func tableSheets(c *app.Contents) []*table.Sheet {
	return []*table.Sheet{
		table.ProgramSheet(c.Program), table.DueSheet(c.Due), unitsFile(c.Session), burnsSheet(c.Session.Snapshot, ""), table.ReadingsSheet(c.Session.Records),
	}
}

func tablesPaper() paper {
	return paper{"tables.xlsx", "plan, season, units, burns and readings as a workbook", func(_ context.Context, w io.Writer, c *app.Contents) error {
		return table.WriteXLSX(w, c.Program.Stamp, tableSheets(c)...)
	}}
}

func (a *terminal) tablesCommand() *cobra.Command {
	cmd := a.paperCommand("tables", "Write plan, units and burns as a workbook (XLSX), or as CSV files",
		`Tables writes a workbook with the plan, the coming season, the units, the burns on record
and their readings: real numbers and dates, and a first sheet that says what it was made
from. With --csv it writes one CSV file a table into a folder. Text that a spreadsheet
could take for a formula is kept as text.`, tablesPaper())
	var folder string
	cmd.Flags().StringVar(&folder, "csv", "", "write CSV files into this `FOLDER`, and no workbook")
	workbook := cmd.RunE
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if folder == "" {
			return workbook(cmd, args)
		}
		number, err := planNumber(args, 0)
		if err != nil {
			return err
		}
		return a.session(cmd.Context(), app.ToRead, func(s *app.Session) error {
			c, err := s.Contents(cmd.Context(), number)
			if err != nil {
				return err
			}
			return a.writeCSVs(c, folder)
		})
	}
	return cmd
}

func (a *terminal) writeCSVs(c *app.Contents, folder string) error {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return cause(err)
	}
	var all []output
	for _, sheet := range tableSheets(c) {
		all = append(all, output{filepath.Join(folder, fileWord(sheet.Name)+".csv"), sheet.WriteCSV})
	}
	if err := a.write(all...); err != nil {
		return err
	}
	return a.say("wrote %d tables into %s", len(all), folder)
}
