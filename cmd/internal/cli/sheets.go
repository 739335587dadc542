package cli

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/page"
	"emberquilt/report/pdf"
	"emberquilt/report/view"
)

func sheetPaper() paper {
	return paper{"season-sheet.pdf", "the sheet of this season: a page a unit, why, when, what to do before, whom to call", func(_ context.Context, w io.Writer, c *app.Contents) error {
		sheet, err := c.Sheet()
		if err != nil {
			return err
		}
		return pdf.Sheet(w, sheet)
	}}
}

// sheetPagePaper is the same sheet for a browser.
func sheetPagePaper() paper {
	return paper{"season-sheet.html", "the same sheet for a browser", func(_ context.Context, w io.Writer, c *app.Contents) error {
		drawn := c.Maps()
		maps, err := pageMaps(drawn[:min(1, len(drawn))])
		if err != nil {
			return err
		}
		sheet, err := c.Sheet()
		if err != nil {
			return err
		}
		return page.WriteSheet(w, sheet, maps)
	}}
}

func (a *terminal) sheetCommand() *cobra.Command {
	return a.paperCommand("sheet", "Write the sheet of this season (PDF or HTML)",
		`Sheet writes the paper for whoever does the work: the units of the season that is under
way or comes next, a page each: why it burns, its windows, what must be done before and
by when, what to have on site, whom to call in which order, and a blank table for the
weather readings. A file that ends in .html is written for a browser.`, sheetPaper(), sheetPagePaper())
}

// draftOptions are those of the draft command.
type draftOptions struct {
	app.DraftOptions
	// out is empty for a name made of unit and year.
	out string
}

func (a *terminal) draftCommand() *cobra.Command {
	var o draftOptions
	cmd := &cobra.Command{
		Use:   "draft UNIT [YEAR]",
		Short: "Write the draft of a unit's burn plan (PDF or HTML)",
		Long: withStatus(`Draft writes what a written burn plan asks for, filled from the property file where it
is known, with blank lines where only the responsible person can write: contingency,
smoke, notification, an empty list of questions for the day. It is marked as a draft and
unsigned on every page. The year is that of the unit's next planned burn where none is
named. A file that ends in .html is written for a browser.

`+caution, statusBadInput),
		GroupID: groupPaper,
		Args:    argsBetween(1, "UNIT", "YEAR"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			o.Unit = args[0]
			if o.Year, err = yearArgument(args, 1); err != nil {
				return err
			}
			return a.runDraft(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVarP(&o.out, "output", "o", "", "write to `FILE`, - for standard output (default: draft-UNIT-YEAR.pdf)")
	return cmd
}

func (a *terminal) runDraft(ctx context.Context, o draftOptions) error {
	return a.session(ctx, app.ForPaper, func(s *app.Session) error {
		draft, err := s.Draft(ctx, o.DraftOptions)
		if err != nil {
			return err
		}
		if o.out == "" {
			o.out = fmt.Sprintf("draft-%s-%d.pdf", unitWord(draft.Unit, s.Units), draft.Year)
		}
		about := fmt.Sprintf("draft of the burn plan of %s in %s %d; unsigned", draft.Unit, draft.Season, draft.Year)
		return a.writePaper(output{o.out, func(w io.Writer) error { return writeDraft(w, o.out, draft) }}, about)
	})
}

// writeDraft writes a draft in the form that its file's ending asks for.
func writeDraft(w io.Writer, path string, draft *view.Draft) error {
	if strings.HasSuffix(path, ".html") {
		return page.WriteDraft(w, draft)
	}
	return pdf.Draft(w, draft)
}

func draftPaper() paper {
	return paper{"burn-plan-draft.pdf", "the draft of a burn plan for the first unit of the season: to be finished and signed by whoever is qualified", writeFirstDraft("burn-plan-draft.pdf")}
}

// draftPagePaper is the same draft for a browser.
func draftPagePaper() paper {
	return paper{"burn-plan-draft.html", "the same draft for a browser", writeFirstDraft("burn-plan-draft.html")}
}

func writeFirstDraft(file string) func(context.Context, io.Writer, *app.Contents) error {
	return func(_ context.Context, w io.Writer, c *app.Contents) error {
		draft, err := c.FirstDraft()
		if err != nil {
			return err
		}
		return writeDraft(w, file, draft)
	}
}
