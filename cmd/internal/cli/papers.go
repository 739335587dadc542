package cli

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/page"
	"emberquilt/report/svgcard"
)

// paper is something that is written from a plan: one file.
type paper struct {
	// File is its usual name.
	File string
	// About says in one line what it is.
	About string
	Write func(ctx context.Context, w io.Writer, c *app.Contents) error
}

// allPapers lists every paper in the order in which a reader opens them.
func allPapers() []paper {
	return []paper{bookPaper(), sheetPaper(), sheetPagePaper(), weekPaper(), calendarPaper(), draftPaper(), draftPagePaper(), packetPaper(), mapPaper(), tablesPaper()}
}

func bookPaper() paper {
	return paper{
		"program-book.html",
		"the program book: the whole plan with charts and tables, for a browser, prints well",
		func(ctx context.Context, w io.Writer, c *app.Contents) error {
			maps, err := pageMaps(c.Maps())
			if err != nil {
				return err
			}
			weather, err := c.Weather(ctx)
			if err != nil {
				return err
			}
			cards, err := bookCards(c)
			if err != nil {
				return err
			}
			burned := c.Session.AsBurned()
			drawn, err := burnedMap(burned)
			if err != nil {
				return err
			}
			tries, err := c.Session.Tries(ctx, c.Stored)
			if err != nil {
				return err
			}
			return page.WriteBook(
				w,
				&page.Book{
					Tries:     tries,
					AsBurned:  burned,
					BurnedMap: drawn,
					Program:   c.Program,
					Due:       c.Due,
					Calendar:  c.Calendar,
					Weather:   weather,
					Rehearsal: c.Session.Rehearsal(c.Stored.Number),
					Cards:     cards,
					Maps:      maps,
					Breaks:    c.Breaks(),
				},
			)
		},
	}
}

// paperOptions say which paper is written, from which plan, and to which file.
type paperOptions struct {
	// plan is a plan's number; 0 is the newest.
	plan int
	out  string
	// forms are the paper and others that say the same: the file's ending chooses,
	// the first where none fits.
	forms []paper
}

// form gives the paper that a file's ending asks for.
func (o *paperOptions) form() paper {
	for _, p := range o.forms {
		if filepath.Ext(p.File) == filepath.Ext(o.out) {
			return p
		}
	}
	return o.forms[0]
}

// fits refuses a file whose ending is that of another form, such as a book that would
// be called .pdf.
func (o *paperOptions) fits() error {
	var accepted []string
	for _, p := range o.forms {
		accepted = append(accepted, filepath.Ext(p.File))
	}
	return checkEnding(o.out, accepted...)
}

// otherEndings are those of forms in which some paper is written, and of others that
// programs open by their name: a map in SVG that is called .png opens in none.
var otherEndings = []string{
	".html", ".pdf", ".xlsx", ".ics", ".csv", ".json", ".svg", ".kmz",
	".doc", ".docx", ".geojson", ".gif", ".gpkg", ".gz", ".jpeg", ".jpg", ".kml", ".odt", ".ods", ".png", ".shp", ".tif", ".tiff", ".xls", ".zip",
}

// checkEnding refuses a file that would hold another form than its ending says.
func checkEnding(out string, accepted ...string) error {
	return checkEndingOf("--output", out, accepted...)
}

// checkEndingOf does so for the file that a flag or an argument names.
func checkEndingOf(where, out string, accepted ...string) error {
	ending := strings.ToLower(filepath.Ext(out))
	if slices.Contains(accepted, ending) || !slices.Contains(otherEndings, ending) {
		return nil
	}
	return usagef("%s: %s is a form that this paper has not; accepts a name that ends in %s", where, quote(out), strings.Join(accepted, " or "))
}

// paperCommand makes the command that writes one paper of a plan.
func (a *terminal) paperCommand(use, short, long string, forms ...paper) *cobra.Command {
	o := paperOptions{forms: forms}
	cmd := &cobra.Command{
		Use:     use + " [PLAN]",
		Short:   short,
		Long:    withStatus(long+"\n\n"+caution, statusBadInput),
		GroupID: groupPaper,
		Args:    argsBetween(0, "PLAN"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if o.plan, err = planNumber(args, 0); err != nil {
				return err
			}
			return a.runPaper(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVarP(&o.out, "output", "o", forms[0].File, "write to `FILE`, - for standard output")
	return cmd
}

func (a *terminal) runPaper(ctx context.Context, o paperOptions) error {
	if err := o.fits(); err != nil {
		return err
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		c, err := s.Contents(ctx, o.plan)
		if err != nil {
			return err
		}
		p := o.form()
		return a.writePaper(output{o.out, func(w io.Writer) error { return p.Write(ctx, w, c) }}, p.About)
	})
}

// writePaper writes one file, which may hold personal data, and says what it is, unless it goes to standard output.
func (a *terminal) writePaper(o output, about string) error {
	if err := a.writePrivate(o); err != nil || o.Path == "-" {
		return err
	}
	return a.say("%s: %s", o.Path, about)
}

func (a *terminal) bookCommand() *cobra.Command {
	return a.paperCommand("book", "Write the program book (HTML)",
		`Book writes the program book of a plan, the adopted one where no number is named: one
HTML file that opens without a network and prints well. It holds acres burned and
rested, age classes against the wanted bands, the table of units and years, the
coming season with its windows, caps, overdue units, how good the plan is proven to
be, what burned by fiscal year as a map, assumptions and cautions. Of more than 5,000
units times years it holds sums, and leaves the rest to tables, map, breaks and show.

Personal data in it: the owner as the settings name them, names of contracts and of
places such as houses. It is written so that only you can read the file.`, bookPaper())
}

// bookCards draws the wind cards of the season's units.
func bookCards(c *app.Contents) ([]page.Map, error) {
	cards, err := c.Cards()
	if err != nil {
		return nil, err
	}
	var drawn []page.Map
	for i, card := range cards {
		html, err := svgcard.HTML(card, fmt.Sprintf("card-%d", i))
		if err != nil {
			return nil, err
		}
		drawn = append(drawn, page.Map{Title: "Wind card of " + card.Unit, HTML: html})
	}
	return drawn, nil
}
