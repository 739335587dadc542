package cli

import (
	"context"
	"io"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
)

func (a *terminal) recordSheetCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "sheet [FILE]",
		Short: "Write an empty workbook for burns, to be filled and imported",
		Long: withStatus(`Sheet writes a workbook (.xlsx) whose columns are those of a burn record and whose
units are those of the property. Fill a line for each burn and read it back with
"emberquilt import FILE": everything in it comes in, or, where something is wrong,
nothing. The sheet "how to fill" says what belongs in each column.`, statusBadInput),
		Example: "  emberquilt record sheet burns-2027.xlsx\n  emberquilt import burns-2027.xlsx",
		Args:    argsBetween(0, "FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			path := firstOf(args)
			if path == "" {
				path = "burn-records.xlsx"
			}
			if err := checkEndingOf("FILE", path, ".xlsx"); err != nil {
				return err
			}
			return a.runRecordSheet(cmd.Context(), path)
		},
	}
}

func (a *terminal) runRecordSheet(ctx context.Context, path string) error {
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		stamp := s.Stamp()
		stamp.Property = s.Property.Name
		if err := a.write(output{path, func(w io.Writer) error { return table.RecordForm(w, stamp, s.Units) }}); err != nil || path == "-" {
			return err
		}
		return a.say("%s: an empty workbook for burns; read it back with: emberquilt import %s", path, path)
	})
}
