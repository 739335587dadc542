package cli

import (
	"context"
	"io"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/pdf"
	"emberquilt/report/table"
)

// weekOptions are those of the week command.
type weekOptions struct {
	show showFlags
	// on is the first day; the zero day is today.
	on dayFlag
	// out is empty for the terminal.
	out string
}

func weekPaper() paper {
	return paper{
		"this-week.pdf",
		"this week on one page: windows open, late tasks, what slipped, what is left to spend",
		func(ctx context.Context, w io.Writer, c *app.Contents) error {
			week, err := c.Week(ctx)
			if err != nil {
				return err
			}
			return pdf.Week(w, week)
		},
	}
}

func (a *terminal) weekCommand() *cobra.Command {
	var o weekOptions
	cmd := &cobra.Command{
		Use:   "week",
		Short: "Say what the next seven days ask for, on one page",
		Long: withStatus(`Week shows the seven days from today on: the planned burns with an open window and the
days of it, the tasks that are late or can be done, the burns that slipped and when they
come next, and what is left of the year's budget and burn days. With -o it is
written as a PDF, so that only you can read it: it names the crew and its partners.

`+caution, statusBadInput),
		Example: "  emberquilt week\n  emberquilt week -o this-week.pdf",
		GroupID: groupPlan,
		Args:    exactArgs(),
		RunE:    func(cmd *cobra.Command, _ []string) error { return a.runWeek(cmd.Context(), &o) },
	}
	o.show.register(cmd)
	cmd.Flags().Var(&o.on, "on", "the first of the seven days (default: today)")
	cmd.Flags().StringVarP(&o.out, "output", "o", "", "write a PDF to `FILE`, - for standard output")
	return cmd
}

func (a *terminal) runWeek(ctx context.Context, o *weekOptions) error {
	if err := checkEnding(o.out, ".pdf"); err != nil {
		return err
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		v, err := s.Week(ctx, o.on.Day)
		switch {
		case err != nil:
			return err
		case o.out == "":
			return table.Week(a.Out, v, o.show.options(a))
		}
		return a.writePaper(output{o.out, func(w io.Writer) error { return pdf.Week(w, v) }}, weekPaper().About)
	})
}
