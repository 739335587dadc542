package cli

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/quantity"
	"emberquilt/report/page"
	"emberquilt/report/pdf"
	"emberquilt/report/svgcard"
	"emberquilt/report/view"
)

func sheetPaper() paper {
	return paper{
		"season-sheet.pdf",
		"the sheet of this season: a page a unit, why, when, what to do before, whom to call",
		func(_ context.Context, w io.Writer, c *app.Contents) error {
			sheet, err := c.Sheet()
			if err != nil {
				return err
			}
			return writeSheet(w, "season-sheet.pdf", c, sheet)
		},
	}
}

// sheetPagePaper is the same sheet for a browser.
func sheetPagePaper() paper {
	return paper{"season-sheet.html", "the same sheet for a browser", func(_ context.Context, w io.Writer, c *app.Contents) error {
		sheet, err := c.Sheet()
		if err != nil {
			return err
		}
		return writeSheet(w, "season-sheet.html", c, sheet)
	}}
}

// writeSheet writes a sheet in the form that its file's ending asks for.
func writeSheet(w io.Writer, path string, c *app.Contents, sheet *view.Sheet) error {
	if !strings.HasSuffix(path, ".html") {
		return pdf.Sheet(w, sheet)
	}
	var drawn []*view.Map
	if one := c.MapOf(sheet.Due.Year); one != nil {
		drawn = append(drawn, one)
	}
	maps, err := sheetMaps(drawn)
	if err != nil {
		return err
	}
	roses := map[string]page.Map{}
	for i := range sheet.Units {
		if u := &sheet.Units[i]; u.Rose != nil {
			html, err := svgcard.Rose(u.Rose, fmt.Sprintf("rose-%d", u.Number))
			if err != nil {
				return err
			}
			roses[u.Unit] = page.Map{Title: "Winds of " + u.Unit, HTML: html}
		}
	}
	return page.WriteSheet(w, sheet, page.Drawings{Maps: maps, Roses: roses})
}

// sheetOptions are those of the sheet command.
type sheetOptions struct {
	app.SheetOptions
	on   dayFlag
	wind windFlag
	out  string
}

func (a *terminal) sheetCommand() *cobra.Command {
	var o sheetOptions
	cmd := &cobra.Command{
		Use:   "sheet [PLAN]",
		Short: "Write the sheet of a season (PDF or HTML)",
		Long: withStatus(`Sheet writes the paper for whoever does the work: what burns in the season that is under
way or comes next, in the order of the first windows, with a map; a page for each unit: the
winds that suit, the limits, its windows or the reason that it has none, why it burns, what
must be done before and by when; and a page for the day: whom to call in which order, what
to have on site, weather readings, what follows the burn.

Personal data in it: the owner, names and phone numbers of those to call, places such as
houses. It is written so that only you can read the file. --season takes another season,
--on says what the sheet would say on another day, --wind makes it for one wind. A file
that ends in .html is written for a browser.

`+caution, statusBadInput),
		Example: "  emberquilt sheet --season \"early growing\"\n  emberquilt sheet --wind NNW --output saturday.pdf",
		GroupID: groupPaper,
		Args:    argsBetween(0, "PLAN"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if o.Plan, err = planNumber(args, 0); err != nil {
				return err
			}
			o.On, o.Wind = o.on.Day, o.wind.bearing
			return a.runSheet(cmd.Context(), &o)
		},
	}
	cmd.Flags().StringVarP(&o.out, "output", "o", sheetPaper().File, "write to `FILE`, - for standard output")
	cmd.Flags().StringVar(&o.Season, "season", "", "the season of this `NAME` that is under way or comes next")
	cmd.Flags().Var(&o.on, "on", "what the sheet says on this `DATE` (default: today)")
	cmd.Flags().Var(&o.wind, "wind", "make it for the wind from this `DIRECTION`: NNW, or degrees")
	return cmd
}

// manyUnits is above how many units the work on a sheet pays with more collections of garbage
// for keeping close to the memory that it needs.
const manyUnits = 300

func (a *terminal) runSheet(ctx context.Context, o *sheetOptions) error {
	if err := checkEnding(o.out, ".pdf", ".html"); err != nil {
		return err
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		if len(s.Units) > manyUnits {
			defer collectOften()()
		}
		c, sheet, err := s.Sheet(ctx, o.SheetOptions)
		if err != nil {
			return err
		}
		about := sheetPaper().About
		if len(sheet.Notes) > 0 {
			about = "the sheet of a season. " + strings.Join(sheet.Notes, " ")
		}
		if !strings.HasSuffix(o.out, ".html") { // a long paper needs the memory
			c = nil
			s.ForgetWeather()
		}
		return a.writePaper(output{o.out, func(w io.Writer) error { return writeSheet(w, o.out, c, sheet) }}, about)
	})
}

// windFlag is a direction from which the wind blows; nil where none is given.
type windFlag struct{ bearing *quantity.Bearing }

// Set reads a compass point or degrees.
func (f *windFlag) Set(text string) error {
	from, ok := quantity.ParseDirection(text)
	if !ok {
		return notAccepted(text, "is not a direction", "a compass point such as NNW, or degrees from 0 to 360")
	}
	f.bearing = &from
	return nil
}

// String gives the compass point.
func (f *windFlag) String() string {
	if f.bearing == nil {
		return ""
	}
	return f.bearing.Compass()
}

// Type names the value in help texts.
func (f *windFlag) Type() string { return "direction" }

// draftOptions are those of the draft command.
type draftOptions struct {
	app.DraftOptions
	wind windFlag
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
named. --wind makes it for one wind: start edge, hours, lines and smoke are then those
of that wind. A file that ends in .html is written for a browser.

Personal data in it: owner or client, farm, tract and field numbers, contracts, names and
phone numbers of those to call, places such as houses. It is written so that only you
can read the file.

`+caution, statusBadInput),
		Example: "  emberquilt draft \"Creek Patch\"\n  emberquilt draft \"Creek Patch\" 2027 --wind NNW",
		GroupID: groupPaper,
		Args:    argsBetween(1, "UNIT", "YEAR"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			o.Unit, o.Wind = args[0], o.wind.bearing
			if o.Year, err = yearArgument(args, 1); err != nil {
				return err
			}
			return a.runDraft(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVarP(&o.out, "output", "o", "", "write to `FILE`, - for standard output (default: draft-UNIT-YEAR.pdf)")
	cmd.Flags().Var(&o.wind, "wind", "make it for the wind from this `DIRECTION`: NNW, or degrees")
	return cmd
}

func (a *terminal) runDraft(ctx context.Context, o draftOptions) error {
	if err := checkEnding(o.out, ".pdf", ".html"); err != nil {
		return err
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		draft, err := s.Draft(ctx, o.DraftOptions)
		if err != nil {
			return err
		}
		if o.out == "" {
			o.out = fmt.Sprintf("draft-%s-%d.pdf", unitWord(draft.Unit, s.Units), draft.Year)
		}
		about := fmt.Sprintf("draft of the burn plan of %s in %s %d; unsigned", draft.Unit, draft.Season, draft.Year)
		if draft.Note != "" {
			about += ". " + draft.Note
		}
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
	return paper{
		"burn-plan-draft.pdf",
		"the draft of a burn plan for the first unit of the season: to be finished and signed by whoever is qualified",
		writeFirstDraft("burn-plan-draft.pdf"),
	}
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
