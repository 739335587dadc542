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
	return paper{"calendar.ics", "windows, preparation and notices of every planned burn, to import into a calendar", func(ctx context.Context, w io.Writer, c *app.Contents) error {
		agenda, err := c.Agenda(app.AgendaOptions{})
		if err != nil {
			return err
		}
		_, err = publishCalendar(ctx, w, c.Session, agenda)
		return err
	}}
}

// calendarOptions are those of the calendar command.
type calendarOptions struct {
	show showFlags
	// years are those to show; none is the one under way, in a file all.
	years []date.ProgramYear
	// units are those to show; none shows all.
	units []string
	// out is the calendar file to write; empty prints the windows.
	out string
}

func (a *terminal) calendarCommand() *cobra.Command {
	var o calendarOptions
	var years []int
	cmd := &cobra.Command{
		Use:   "calendar [YEAR]",
		Short: "Show the candidate burn windows, or write them as a calendar file",
		Long: withStatus(`Calendar lists the windows of the units that the adopted plan burns in a program year
(the one under way where none is named), from season dates, closures and the crew's
working days. With --output it writes an iCalendar file: every planned burn, on its
windows or, without one, on the days of its season, and the preparation and notices of
this program year and the next, with reminders. A last day that is not worked stands on the working day
before. --year and --unit choose; of a year that is named the file holds the tasks too.

The property file remembers what calendar files said. Importing the next one updates what
changed and cancels what fell out of the plan; what --year and --unit leave out stays as it
is in the calendars that hold it. The file names the property, its units and its tasks; no
person and no phone number is in it, except where the notes of a task name one.

`+caution, statusBadInput),
		Example: "  emberquilt calendar 2027\n  emberquilt calendar --output calendar.ics\n  emberquilt calendar --year 2028 --unit \"Creek Patch\" --output creek.ics",
		GroupID: groupPaper,
		Args:    argsBetween(0, "YEAR"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			year, err := yearArgument(args, 0)
			if err != nil {
				return err
			}
			o.name(year, years)
			return a.runCalendar(cmd.Context(), o)
		},
	}
	o.show.register(cmd)
	cmd.Flags().StringVarP(&o.out, "output", "o", "", "write an iCalendar `FILE`, - for standard output")
	cmd.Flags().IntSliceVar(&years, "year", nil, "a program `YEAR`; may be given several times for a file")
	cmd.Flags().StringArrayVar(&o.units, "unit", nil, "a `UNIT`; may be given several times")
	return cmd
}

// name takes the years that are named as an argument, 0 for none, and by flags.
func (o *calendarOptions) name(year date.ProgramYear, flagged []int) {
	if year != 0 {
		o.years = append(o.years, year)
	}
	for _, year := range flagged {
		o.years = append(o.years, date.ProgramYear(year))
	}
}

func (a *terminal) runCalendar(ctx context.Context, o calendarOptions) error {
	if err := o.show.validate(a); err != nil {
		return err
	}
	if o.out != "" {
		return a.session(ctx, app.ForPaper, func(s *app.Session) error { return a.writeCalendar(ctx, s, o) })
	}
	var year date.ProgramYear
	switch len(o.years) {
	case 0:
	case 1:
		year = o.years[0]
	default:
		return usagef("--year: %d years are named; accepts one without --output", len(o.years))
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		calendar, err := s.Calendar(ctx, year, o.units)
		if err != nil {
			return err
		}
		if err := a.sayOvertaken(ctx, s); err != nil {
			return err
		}
		return a.printCalendar(calendar, &o.show)
	})
}

// writeCalendar writes the calendar file of a property.
func (a *terminal) writeCalendar(ctx context.Context, s *app.Session, o calendarOptions) error {
	c, err := s.Contents(ctx, 0)
	if err != nil {
		return err
	}
	agenda, err := c.Agenda(app.AgendaOptions{Years: o.years, Units: o.units})
	if err != nil {
		return namedAs(err, sameFlag)
	}
	kept := true
	err = a.writePaper(output{o.out, func(w io.Writer) (err error) {
		kept, err = publishCalendar(ctx, w, s, agenda)
		return err
	}}, calendarPaper().About)
	if err == nil && !kept {
		fmt.Fprintln(a.Err, app.NotKeptWords)
	}
	return err
}

// publishCalendar writes a calendar file that the property file remembers.
func publishCalendar(ctx context.Context, w io.Writer, s *app.Session, agenda *view.Agenda) (kept bool, err error) {
	if kept, err = s.Publish(ctx, agenda); err != nil {
		return false, err
	}
	return kept, ical.Write(w, agenda)
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
