package cli

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/report/page"
	"emberquilt/report/pdf"
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
		maps, err := bookMaps(c)
		if err != nil {
			return err
		}
		sheet, err := c.Sheet()
		if err != nil {
			return err
		}
		return page.WriteSheet(w, sheet, maps[:min(1, len(maps))])
	}}
}

func (a *terminal) sheetCommand() *cobra.Command {
	return a.paperCommand("sheet", "Write the sheet of this season (PDF or HTML)",
		`Sheet writes the paper for whoever does the work: the units of the season that is under
way or comes next, a page each: why it burns, its windows, what must be done before and
by when, what to have on site, whom to call in which order, and a blank table for the
weather readings. A file that ends in .html is written for a browser.`, sheetPaper())
}

func (a *terminal) draftCommand() *cobra.Command {
	var out string
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
		RunE: func(cmd *cobra.Command, args []string) error {
			var year date.ProgramYear
			if len(args) > 1 {
				var err error
				if year, err = parseYear(args[1]); err != nil {
					return err
				}
			}
			return a.session(cmd.Context(), app.ToRead, func(s *app.Session) error {
				c, err := s.Contents(cmd.Context(), 0)
				if err != nil {
					return err
				}
				unit, err := app.FindUnit(s.Snapshot, args[0])
				if err != nil {
					return err
				}
				burn, err := c.NextBurn(unit.ID, year)
				if err != nil {
					return err
				}
				draft, err := c.Draft(unit, burn)
				if err != nil {
					return err
				}
				if out == "" {
					out = fmt.Sprintf("draft-%s-%d.pdf", fileWord(unit.ID), burn.Year)
				}
				write := pdf.Draft
				if strings.HasSuffix(out, ".html") {
					write = page.WriteDraft
				}
				if err := a.write(output{out, func(w io.Writer) error { return write(w, draft) }}); err != nil || out == "-" {
					return err
				}
				return a.say("%s: draft of the burn plan of %s in %s %d; unsigned", out, unit.ID, burn.Season, burn.Year)
			})
		},
	}
	cmd.Flags().StringVarP(&out, "output", "o", "", "write to `FILE`, - for standard output (default: draft-UNIT-YEAR.pdf)")
	return cmd
}

func draftPaper() paper {
	return paper{"burn-plan-draft.pdf", "the draft of a burn plan for the first unit of the season: to be finished and signed by whoever is qualified", func(_ context.Context, w io.Writer, c *app.Contents) error {
		draft, err := c.FirstDraft()
		if err != nil {
			return err
		}
		return pdf.Draft(w, draft)
	}}
}

// draftPagePaper is the same draft for a browser.
func draftPagePaper() paper {
	return paper{"burn-plan-draft.html", "the same draft for a browser", func(_ context.Context, w io.Writer, c *app.Contents) error {
		draft, err := c.FirstDraft()
		if err != nil {
			return err
		}
		return page.WriteDraft(w, draft)
	}}
}
