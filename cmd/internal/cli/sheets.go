package cli

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/page"
	"emberquilt/report/pdf"
	"emberquilt/report/view"
)

func sheetPaper() paper {
	return paper{"season-sheet.pdf", "the sheet of this season: a page a unit, why, when, what to do before, whom to call", func(w io.Writer, m *material) error {
		sheet, err := m.sheet()
		if err != nil {
			return err
		}
		return pdf.Sheet(w, sheet)
	}}
}

// sheetPagePaper is the same sheet for a browser.
func sheetPagePaper() paper {
	return paper{"season-sheet.html", "the same sheet for a browser", func(w io.Writer, m *material) error {
		maps, err := m.bookMaps()
		if err != nil {
			return err
		}
		sheet, err := m.sheet()
		if err != nil {
			return err
		}
		return page.WriteSheet(w, sheet, maps[:min(1, len(maps))])
	}}
}

// sheet gathers what the sheet of the season shows.
func (m *material) sheet() (*view.Sheet, error) {
	current := m.Current()
	contacts, err := m.contacts()
	if err != nil {
		return nil, err
	}
	in := view.SheetInput{Contacts: contacts, Hours: map[string]quantity.Hours{}, Plan: m.plan, Shapes: current.Shapes, Places: current.Places}
	for _, u := range m.due.Units {
		if hours, _ := m.backing(u.Unit, m.due.Season); hours > 0 {
			in.Hours[u.Unit] = hours
		}
	}
	in.Breaks, in.Near = map[string][]string{}, map[string][]string{}
	for _, u := range m.due.Units {
		in.Breaks[u.Unit] = m.measuredBreaks().UnitWords(u.Unit, m.due.Year)
		in.Near[u.Unit] = placeLines(m.desk, u.Unit)
	}
	return view.NewSheet(m.due, in), nil
}

func (a *app) sheetCommand() *cobra.Command {
	return a.paperCommand("sheet", "Write the sheet of this season (PDF or HTML)",
		`Sheet writes the paper for whoever does the work: the units of the season that is under
way or comes next, a page each: why it burns, its windows, what must be done before and
by when, what to have on site, whom to call in which order, and a blank table for the
weather readings. A file that ends in .html is written for a browser.`, sheetPaper())
}

// backing gives the hours that a burn of a unit needs and its depth over the
// deepest wind that suits; 0 where they are not known.
func (m *material) backing(unit, season string) (hours quantity.Hours, depth quantity.Feet) {
	u, err := findUnit(m.Snapshot, unit)
	if err != nil {
		return 0, 0 // the unit is gone since the plan was made
	}
	t := m.outlook.terms(u, season)
	if t.card == nil || !t.suits {
		return 0, 0
	}
	return quantity.Hours(t.need.Hours), t.need.Depth
}

func (a *app) draftCommand() *cobra.Command {
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
			return a.sit(cmd.Context(), a.read, func(d *desk) error {
				m, err := d.gather(cmd.Context(), 0)
				if err != nil {
					return err
				}
				unit, err := findUnit(d.Snapshot, args[0])
				if err != nil {
					return err
				}
				burn, err := m.nextBurn(unit.ID, args)
				if err != nil {
					return err
				}
				draft, err := m.draft(unit, burn)
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

// nextBurn finds the planned burn of a unit: in the year of the arguments, else
// the first from today on.
func (m *material) nextBurn(unit string, args []string) (habitat.PlannedBurn, error) {
	from := m.Property.YearOf(m.today)
	year := from
	if len(args) > 1 {
		var err error
		if year, err = parseYear(args[1]); err != nil {
			return habitat.PlannedBurn{}, err
		}
	}
	for _, burn := range m.kept.burns() {
		if burn.Unit == unit && (burn.Year == year || len(args) < 2 && burn.Year > from) {
			return burn, nil
		}
	}
	when := "in its years"
	if len(args) > 1 {
		when = "in " + year.String()
	}
	return habitat.PlannedBurn{}, &source.Error{Position: source.Position{File: "UNIT"},
		Found: fmt.Sprintf("plan %d does not burn %s %s", m.kept.Number, quote(unit), when), Hint: fmt.Sprintf("emberquilt show %d shows what it burns", m.kept.Number)}
}

// draft gathers what is known of one burn.
func (m *material) draft(unit *habitat.Unit, burn habitat.PlannedBurn) (*view.Draft, error) {
	in := &view.DraftInput{Plan: m.plan, Unit: unit.ID, Year: burn.Year, Season: burn.Season, Prescription: m.outlook.terms(unit, burn.Season).limits}
	var err error
	if in.Contacts, err = m.contacts(); err != nil {
		return nil, err
	}
	current := m.Current()
	in.Shapes, in.Sensitive = current.Shapes, current.Places
	due, err := m.dueIn(m.Property.SeasonIndex(burn.Season), burn.Year)
	if err != nil {
		return nil, err
	}
	for _, u := range due.Units {
		if u.Unit == unit.ID {
			in.Windows, in.Tasks = u.Windows, u.Tasks
		}
	}
	in.Hours, in.Depth = m.backing(unit.ID, burn.Season)
	in.Breaks = m.measuredBreaks().UnitWords(unit.ID, burn.Year)
	in.Places = placeLines(m.desk, unit.ID)
	for _, pair := range m.Pairs {
		if other, ok := otherOf(pair, unit.ID); ok {
			text := other
			if pair.SharedFeet > 0 {
				text += fmt.Sprintf(", %s ft of common boundary", pair.SharedFeet)
			}
			in.Adjoining = append(in.Adjoining, text)
		}
	}
	for i := range m.Contracts {
		if slices.ContainsFunc(m.Contracts[i].Items, func(item habitat.ContractItem) bool { return item.Unit == unit.ID }) {
			in.Contract = &m.Contracts[i]
		}
	}
	return view.NewDraft(in)
}

func otherOf(pair habitat.Pair, unit string) (string, bool) {
	switch unit {
	case pair.A:
		return pair.B, true
	case pair.B:
		return pair.A, true
	}
	return "", false
}

func draftPaper() paper {
	return paper{"burn-plan-draft.pdf", "the draft of a burn plan for the first unit of the season: to be finished and signed by whoever is qualified", func(w io.Writer, m *material) error {
		draft, err := m.firstDraft()
		if err != nil {
			return err
		}
		return pdf.Draft(w, draft)
	}}
}

// draftPagePaper is the same draft for a browser.
func draftPagePaper() paper {
	return paper{"burn-plan-draft.html", "the same draft for a browser", func(w io.Writer, m *material) error {
		draft, err := m.firstDraft()
		if err != nil {
			return err
		}
		return page.WriteDraft(w, draft)
	}}
}

// firstDraft drafts the first burn of the season that is not done; errNothing
// where there is none.
func (m *material) firstDraft() (*view.Draft, error) {
	for _, u := range m.due.Units {
		if u.Done {
			continue
		}
		unit, err := findUnit(m.Snapshot, u.Unit)
		if err != nil {
			return nil, err
		}
		return m.draft(unit, habitat.PlannedBurn{Unit: u.Unit, Year: m.due.Year, Season: m.due.Season})
	}
	return nil, errNothing
}
