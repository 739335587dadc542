package cli

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/report/ical"
	"emberquilt/report/table"
	"emberquilt/report/view"
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
		Long: withStatus(`Calendar lists the windows of the units that the adopted plan burns in a program year
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
	access := app.ToRead
	if o.out != "" {
		access = app.ForPaper
	}
	return a.session(ctx, access, func(s *app.Session) error {
		if o.out == "" {
			calendar, err := s.Calendar(ctx, o.year)
			if err != nil {
				return err
			}
			if err := a.sayOvertaken(ctx, s); err != nil {
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
		if words := calendar.BurnedWords(); words != "" {
			return a.say("nothing is left to burn in program year %d. %s", calendar.Year, words)
		}
		return a.say("the plan burns nothing in program year %d", calendar.Year)
	}
	if err := a.printSheet(table.Calendar(calendar), show); err != nil || show.csv {
		return err
	}
	fmt.Fprintln(a.Out)
	return a.printLines(calendar.Lines())
}
