package cli

import (
	"context"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// showFlags choose the form in which a table is printed.
type showFlags struct{ csv bool }

func (f *showFlags) register(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&f.csv, "csv", false, "print the table as CSV")
}

func (f *showFlags) validate(a *terminal) error {
	if f.csv && a.json {
		return usagef("--csv and --json cannot be combined; use one")
	}
	return nil
}

// options are those that the tables take.
func (f *showFlags) options(a *terminal) table.Options {
	o := table.Options{Format: table.Text, Width: a.width()}
	switch {
	case f.csv:
		o.Format = table.CSV
	case a.json:
		o.Format = table.JSON
	}
	return o
}

// width is that of the terminal, or what COLUMNS says where it is exported; 0 where
// there is none: what goes through a pipe does not give way.
func (a *terminal) width() int {
	if n, err := strconv.Atoi(a.Getenv("COLUMNS")); err == nil && n > 0 {
		return n
	}
	file, ok := asFile(a.Out)
	if !ok {
		return 0
	}
	width, _, err := term.GetSize(int(file.Fd()))
	if err != nil {
		return 0
	}
	return width
}

// printSheet prints a table in the form that the flags ask for.
func (a *terminal) printSheet(sheet *table.Sheet, show *showFlags) error {
	if err := show.validate(a); err != nil {
		return err
	}
	return sheet.Write(a.Out, show.options(a))
}

// prose prints sentences, folded to the width of the terminal where there is one.
func (a *terminal) prose(format string, args ...any) error {
	return table.Prose(a.Out, fmt.Sprintf(format, args...), table.Options{Width: a.width()})
}

// printLines prints sentences, each folded to the width of the terminal.
func (a *terminal) printLines(all []string) error {
	return table.Lines(a.Out, all, table.Options{Width: a.width()})
}

// sayOvertaken says above a list, on standard error, what changed since the plan in
// force was made, and which lines of contracts it does not keep.
func (a *terminal) sayOvertaken(ctx context.Context, s *app.Session) error {
	plan, err := s.Plan(ctx, 0)
	if err != nil {
		return err
	}
	words, err := s.Overtaken(ctx, plan)
	if err != nil {
		return err
	}
	if words != "" {
		fmt.Fprintln(a.Err, words)
	}
	for _, text := range view.LineTroubles(s.PlannedLines(plan)) {
		fmt.Fprintln(a.Err, text)
	}
	return nil
}
