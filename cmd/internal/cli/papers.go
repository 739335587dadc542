package cli

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/habitat/date"
	"emberquilt/report/page"
	"emberquilt/report/view"
)

// paper is something that is written from a plan: one file.
type paper struct {
	// File is its usual name.
	File string
	// About says in one line what it is.
	About string
	Write func(w io.Writer, m *material) error
}

// material is what papers are written from, fetched and computed once.
type material struct {
	*desk
	// ctx is that of the command: papers read records while they are written.
	ctx      context.Context
	kept     *storedPlan
	plan     *view.Plan
	program  *view.Program
	outlook  *outlook
	season   *view.Season
	due      *view.Due
	calendar *view.Calendar
	// ground is measured when a paper first asks for it.
	ground *view.Breaks
}

// gather computes what the papers of a plan show; 0 is the newest plan.
func (d *desk) gather(ctx context.Context, number int) (*material, error) {
	kept, err := d.plan(ctx, number)
	if err != nil {
		return nil, err
	}
	plan, err := d.planView(ctx, kept)
	if err != nil {
		return nil, err
	}
	m := &material{desk: d, ctx: ctx, kept: kept, plan: plan}
	if m.program, err = view.NewProgram(plan); err != nil {
		return nil, err
	}
	if m.outlook, err = d.newOutlook(ctx); err != nil {
		return nil, err
	}
	if m.season, err = d.season(m.outlook, plan, kept); err != nil {
		return nil, err
	}
	season, year := view.SeasonOn(&d.Property, d.today)
	if m.due, err = m.dueIn(season, year); err != nil {
		return nil, err
	}
	m.calendar, err = view.NewCalendar(m.season, year)
	return m, err
}

// dueIn computes what burns in a season, named by its index in the property.
func (m *material) dueIn(season int, year date.ProgramYear) (*view.Due, error) {
	for i, name := range m.kept.problem.Seasons {
		if name == m.Property.Seasons[season].Name {
			return view.NewDue(m.season, i, year)
		}
	}
	return nil, fmt.Errorf("plan %d does not know the season %s; make a new plan", m.kept.Number, m.Property.Seasons[season].Name)
}

// allPapers lists every paper in the order in which a reader opens them.
func allPapers() []paper {
	return []paper{bookPaper(), sheetPaper(), sheetPagePaper(), calendarPaper(), draftPaper(), draftPagePaper(), packetPaper(), mapPaper(), tablesPaper()}
}

func bookPaper() paper {
	return paper{"program-book.html", "the program book: the whole plan with charts and tables, for a browser, prints well", func(w io.Writer, m *material) error {
		maps, err := m.bookMaps()
		if err != nil {
			return err
		}
		sky, err := m.weather()
		if err != nil {
			return err
		}
		cards, err := m.cards()
		if err != nil {
			return err
		}
		return page.WriteBook(w, &page.Book{Program: m.program, Due: m.due, Calendar: m.calendar, Weather: sky, Cards: cards, Maps: maps, Breaks: m.measuredBreaks()})
	}}
}

// paperCommand makes the command that writes one paper of a plan.
func (a *app) paperCommand(use, short, long string, p paper) *cobra.Command {
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
			return a.sit(cmd.Context(), a.read, func(d *desk) error {
				m, err := d.gather(cmd.Context(), number)
				if err != nil {
					return err
				}
				p := p
				if strings.HasSuffix(out, ".html") && p.File == sheetPaper().File {
					p = sheetPagePaper()
				}
				if err := a.write(output{out, func(w io.Writer) error { return p.Write(w, m) }}); err != nil || out == "-" {
					return err
				}
				return a.say("%s: %s", out, p.About)
			})
		},
	}
	cmd.Flags().StringVarP(&out, "output", "o", p.File, "write to `FILE`, - for standard output")
	return cmd
}

func (a *app) bookCommand() *cobra.Command {
	return a.paperCommand("book", "Write the program book (HTML)",
		`Book writes the program book of a plan, the newest where no number is named: one
HTML file that opens without a network and prints well. It holds acres burned and
rested, age classes against the wanted bands, the table of units and years, the
coming season with its windows, caps, overdue units, how good the plan is proven to
be, assumptions and cautions.`, bookPaper())
}
