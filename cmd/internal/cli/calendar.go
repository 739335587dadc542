package cli

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/report/ical"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

func calendarPaper() paper {
	return paper{
		"calendar.ics",
		"windows, preparation and notices of every planned burn, to import into a calendar",
		func(ctx context.Context, w io.Writer, c *app.Contents) error {
			agenda, err := c.Agenda(app.AgendaOptions{})
			if err != nil {
				return err
			}
			_, err = publishCalendar(ctx, w, c.Session, agenda)
			return err
		},
	}
}

// calendarOptions are those of the calendar command.
type calendarOptions struct {
	show showFlags
	all  allFlag
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

`+allHelp+`
--output names a folder then: it gets one calendar a property, and all-clients.ics with
the events of all.

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
	o.all.register(cmd)
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
	if o.all.folder == "" {
		if err := checkEnding(o.out, ".ics"); err != nil {
			return err
		}
	}
	if o.all.folder != "" && o.out != "" {
		return a.writeAllCalendars(ctx, o)
	}
	if o.out != "" {
		return a.session(ctx, app.ToRead, func(s *app.Session) error { return a.writeCalendar(ctx, s, o) })
	}
	var year date.ProgramYear
	switch len(o.years) {
	case 0:
	case 1:
		year = o.years[0]
	default:
		return usagef("--year: %d years are named; accepts one without --output", len(o.years))
	}
	if o.all.folder != "" {
		return a.overAll(
			ctx,
			&o.all,
			&o.show,
			ofAll{shows: true, name: "windows", doing: "looking for windows", none: "no property burns anything in the year", one: func(s *app.Session) (any, *table.Sheet, error) {
				calendar, err := s.Calendar(ctx, year, o.units)
				if err != nil {
					return nil, nil, err
				}
				return calendar, table.Calendar(calendar), nil
			}},
		)
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
		fmt.Fprintln(a.Err, view.CalendarNotKept)
	}
	return err
}

// allCalendarsName is the name of the calendar of all properties.
const allCalendarsName = "all-clients.ics"

// writeAllCalendars writes a calendar for each property file, named after the file, and
// one of all. A file that is a copy of another adds nothing to that.
func (a *terminal) writeAllCalendars(ctx context.Context, o calendarOptions) error {
	if info, err := os.Stat(o.out); err == nil && !info.IsDir() {
		return refused(o.out, "is a file", "with --all a folder")
	}
	if err := os.MkdirAll(o.out, 0o777); err != nil {
		return fmt.Errorf("make %s: %w", o.out, cause(err))
	}
	var agendas []*view.Agenda
	taken := map[string]bool{allCalendarsName: true}
	var copies app.Copies
	var notes []string
	results, _, failed, err := a.gatherAll(
		ctx,
		[]string{o.all.folder},
		ofAll{name: "calendars", doing: "writing calendars", inOrder: true, one: func(s *app.Session) (any, *table.Sheet, error) {
			c, err := s.Contents(ctx, 0)
			if err != nil {
				return nil, nil, err
			}
			agenda, err := c.Agenda(app.AgendaOptions{Years: o.years, Units: o.units})
			if err != nil {
				return nil, nil, err
			}
			name := fileWord(strings.TrimSuffix(s.Store.Path(), extension)) + ".ics"
			if within, err := filepath.Rel(o.all.folder, s.Store.Path()); err == nil {
				name = fileWord(strings.TrimSuffix(within, extension)) + ".ics"
			}
			for n, base := 2, strings.TrimSuffix(name, ".ics"); taken[name]; n++ {
				name = fmt.Sprintf("%s-%d.ics", base, n)
			}
			taken[name] = true
			path := filepath.Join(o.out, name)
			kept := true
			if err := a.writePrivate(output{path, func(w io.Writer) (err error) {
				kept, err = publishCalendar(ctx, w, s, agenda)
				return err
			}}); err != nil {
				return nil, nil, err
			}
			if !kept {
				notes = append(notes, s.Store.Path()+": "+view.CalendarNotKept)
			}
			if first := copies.Of(s.ID, s.Store.Path()); first != "" {
				notes = append(notes, fmt.Sprintf("%s is a copy of %s: %s leaves its events out", s.Store.Path(), first, allCalendarsName))
			} else {
				agendas = append(agendas, agenda)
			}
			return path, &table.Sheet{}, nil
		}},
	)
	if err != nil {
		return err
	}
	from, err := a.environment()
	if err != nil {
		return err
	}
	joined := view.Join(agendas, app.AllStamp(from, len(results)))
	all := filepath.Join(o.out, allCalendarsName)
	if err := a.writePrivate(output{all, func(w io.Writer) error { return ical.Write(w, joined) }}); err != nil {
		return err
	}
	if a.json {
		if err := a.printJSON(results); err != nil {
			return err
		}
		return failedOf(failed, len(results))
	}
	for _, r := range results {
		state := r.Result
		if r.Failed != "" {
			state = "FAILED: " + r.Failed
		}
		fmt.Fprintf(a.Out, "%s: %v\n", r.File, state)
	}
	for _, note := range notes {
		fmt.Fprintln(a.Err, note)
	}
	if err := a.say("all: %s", all); err != nil {
		return err
	}
	return failedOf(failed, len(results))
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
		return a.printLines(calendar.NothingLines())
	}
	if err := a.printSheet(table.Calendar(calendar), show); err != nil || show.csv {
		return err
	}
	fmt.Fprintln(a.Out)
	return a.printLines(calendar.Lines())
}
