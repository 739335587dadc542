package cli

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/report/ical"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

func calendarPaper() paper {
	return paper{"calendar.ics", "windows, preparation and notices of every planned burn, to import into a calendar", func(_ context.Context, w io.Writer, c *app.Contents) error {
		agenda, err := c.Agenda()
		if err != nil {
			return err
		}
		return ical.Write(w, agenda)
	}}
}

// calendarOptions are those of the calendar command.
type calendarOptions struct {
	show showFlags
	// year is 0 for the one under way.
	year date.ProgramYear
	// out is the calendar file to write; empty prints the windows.
	out string
}

func (a *terminal) calendarCommand() *cobra.Command {
	var o calendarOptions
	cmd := &cobra.Command{
		Use:   "calendar [YEAR]",
		Short: "Show the candidate burn windows, or write them as a calendar file",
		Long: withStatus(`Calendar lists the windows of the units that the newest plan burns in a program year
(the one under way where none is named), from season dates, closures and the crew's
working days. With --output it writes an iCalendar file of all plan years: windows,
preparation and notices with reminders. Importing the file again updates the events.

`+caution, statusBadInput),
		Example: "  emberquilt calendar 2027\n  emberquilt calendar --output calendar.ics",
		GroupID: groupPaper,
		Args:    argsBetween(0, "YEAR"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if o.year, err = yearArgument(args, 0); err != nil {
				return err
			}
			return a.runCalendar(cmd.Context(), o)
		},
	}
	o.show.register(cmd)
	cmd.Flags().StringVarP(&o.out, "output", "o", "", "write an iCalendar `FILE`, - for standard output")
	return cmd
}

func (a *terminal) runCalendar(ctx context.Context, o calendarOptions) error {
	if err := o.show.validate(a); err != nil {
		return err
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		if o.out == "" {
			calendar, err := s.Calendar(ctx, o.year)
			if err != nil {
				return err
			}
			return a.printCalendar(calendar, &o.show)
		}
		agenda, err := s.Agenda(ctx)
		if err != nil {
			return err
		}
		return a.writePaper(output{o.out, func(w io.Writer) error { return ical.Write(w, agenda) }}, calendarPaper().About)
	})
}

func (a *terminal) printCalendar(calendar *view.Calendar, show *showFlags) error {
	if a.json {
		return a.printJSON(calendar)
	}
	if len(calendar.Rows) == 0 && !show.csv {
		return a.say("the plan burns nothing in program year %d", calendar.Year)
	}
	sheet := &table.Sheet{Name: "windows", Header: []string{"unit", "season", "first", "last", "usable_days", "expected_days", "best_week_from", "start", "prescription", "needed_hours", "interior_lines", "basis"}}
	for _, row := range calendar.Rows {
		for _, w := range row.Windows {
			sheet.Rows = append(sheet.Rows, []any{row.Unit, row.Season, w.First, w.Last, w.UsableDays, w.Expected, w.BestFirst, w.StartHour, row.Terms.Prescription, cellOf(row.Terms.Hours), cellOf(row.Terms.Lines), w.Basis})
		}
		if len(row.Windows) == 0 {
			sheet.Rows = append(sheet.Rows, []any{row.Unit, row.Season, nil, nil, 0, nil, nil, "", row.Terms.Prescription, cellOf(row.Terms.Hours), cellOf(row.Terms.Lines), "no window: " + row.NoWindow.Short()})
		}
	}
	if err := a.printSheet(sheet, show); err != nil || show.csv {
		return err
	}
	fmt.Fprintln(a.Out)
	var lines []string
	for _, row := range calendar.Rows {
		if len(row.Windows) == 0 && row.NoWindow != nil {
			lines = append(lines, row.Unit+": "+strings.Join(row.NoWindow.Lines(), " "))
		}
	}
	if calendar.DatesOnly { // said even where the last columns have no room
		lines = append(lines, "All windows: "+window.DatesOnly+".")
	}
	for _, warning := range calendar.Warnings {
		lines = append(lines, "Weather record: "+warning+".")
	}
	return a.printLines(append(lines, window.Caution))
}

// cellOf gives an empty cell for a number that is not known.
func cellOf(n *int) any {
	if n == nil {
		return nil
	}
	return *n
}
