package cli

import (
	"context"
	"fmt"
	"io"
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
	return []paper{bookPaper(), sheetPaper(), sheetPagePaper(), calendarPaper(), draftPaper(), draftPagePaper(), packetPaper(), mapPaper(), tablesPaper()}
}

func bookPaper() paper {
	return paper{"program-book.html", "the program book: the whole plan with charts and tables, for a browser, prints well", func(ctx context.Context, w io.Writer, c *app.Contents) error {
		maps, err := bookMaps(c)
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
		return page.WriteBook(w, &page.Book{Program: c.Program, Due: c.Due, Calendar: c.Calendar, Weather: weather, Rehearsal: c.Session.Rehearsal(c.Stored.Number), Cards: cards, Maps: maps, Breaks: c.Breaks()})
	}}
}

// paperCommand makes the command that writes one paper of a plan.
func (a *terminal) paperCommand(use, short, long string, p paper) *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use:     use + " [PLAN]",
		Short:   short,
		Long:    withStatus(long+"\n\n"+caution, statusBadInput),
		GroupID: groupPaper,
		Args:    argsBetween(0, "PLAN"),
		RunE: func(cmd *cobra.Command, args []string) error {
			number, err := planNumber(args, 0)
			if err != nil {
				return err
			}
			return a.session(cmd.Context(), app.ToRead, func(s *app.Session) error {
				c, err := s.Contents(cmd.Context(), number)
				if err != nil {
					return err
				}
				p := p
				if strings.HasSuffix(out, ".html") && p.File == sheetPaper().File {
					p = sheetPagePaper()
				}
				if err := a.write(output{out, func(w io.Writer) error { return p.Write(cmd.Context(), w, c) }}); err != nil || out == "-" {
					return err
				}
				return a.say("%s: %s", out, p.About)
			})
		},
	}
	cmd.Flags().StringVarP(&out, "output", "o", p.File, "write to `FILE`, - for standard output")
	return cmd
}

func (a *terminal) bookCommand() *cobra.Command {
	return a.paperCommand("book", "Write the program book (HTML)",
		`Book writes the program book of a plan, the newest where no number is named: one
HTML file that opens without a network and prints well. It holds acres burned and
rested, age classes against the wanted bands, the table of units and years, the
coming season with its windows, caps, overdue units, how good the plan is proven to
be, assumptions and cautions.`, bookPaper())
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
