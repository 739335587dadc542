package cli

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/habitat"
	"emberquilt/report/svgcard"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
	"emberquilt/store"
)

func (a *app) cardCommand() *cobra.Command {
	var show showFlags
	var shape cardFlags
	var season, picture string
	var keep, forget bool
	cmd := &cobra.Command{
		Use:   "card [UNIT]",
		Short: "Show which winds suit a unit: depth, hours to back through, smoke",
		Long: withStatus(`Card shows for each of sixteen wind directions how deep the unit is along the wind,
how many hours a backing fire needs to cross it whole, how many interior lines that
assumes and how long it then takes from line to line, from which side it would start,
which sensitive places lie downwind, and, with a weather record and a prescription, on
which share of the candidate days the wind came from there. The depth comes from the
unit's shape, or from --depth, or from --length, --width and --axis.

Interior lines are assumed every 10 chains at most, a planning default that the written
plan replaces; --hours, --lines or --spacing say your own. With --keep what the flags
say is kept with the unit, and windows, burn days and papers then rest on it; --forget
takes it away again. --picture writes the card as a drawing.

Without a unit it lists what a burn of each unit needs, and --keep keeps the flags for
every unit that says nothing itself.

`+caution, statusBadInput),
		Example: "  emberquilt card \"School Prairie\" --within 5280\n  emberquilt card \"School Prairie\" --lines 4 --keep\n  emberquilt card --spacing 6 --keep\n  emberquilt card \"Barn Patch\" --length 1100 --width 500 --axis 45\n  emberquilt card \"School Prairie\" --picture card.svg",
		GroupID: groupRecord,
		Args:    argsBetween(0, "UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := show.validate(a); err != nil {
				return err
			}
			if keep && forget {
				return usagef("--keep and --forget cannot be combined; use one")
			}
			door := a.read
			if keep || forget {
				door = a.change
			}
			if len(args) == 0 && picture != "" {
				return usagef("--picture draws one unit; accepts a UNIT before it")
			}
			return a.sit(cmd.Context(), door, func(d *desk) error {
				unit := everyUnit
				var u *habitat.Unit
				if len(args) > 0 {
					var err error
					if u, err = findUnit(d.Snapshot, args[0]); err != nil {
						return err
					}
					unit = u.ID
				}
				o, err := d.newOutlook(cmd.Context())
				if err != nil {
					return err
				}
				own := o.firing[unit]
				if forget {
					own = firing{}
				}
				if err := shape.onto(cmd, &own, unit == everyUnit); err != nil {
					return err
				}
				o.firing[unit] = own
				if keep || forget {
					if err := a.keepFiring(cmd, d, unit, own, keep); err != nil {
						return err
					}
				}
				if u == nil {
					return a.printNeeds(d, o, season, &show)
				}
				if season, err = d.seasonFor(u, season); err != nil {
					return err
				}
				if forget && o.terms(u, season).card == nil {
					return nil // without a depth there is no card to show
				}
				card, err := o.windCard(u, season)
				if err != nil {
					return err
				}
				if picture != "" {
					if err := a.write(output{picture, func(w io.Writer) error { return svgcard.Write(w, card) }}); err != nil || picture == "-" {
						return err
					}
					fmt.Fprintf(a.Err, "%s: the wind card of %s as a drawing\n", picture, unit)
				}
				return a.printCard(card, &show)
			})
		},
	}
	shape.register(cmd)
	show.register(cmd)
	cmd.Flags().StringVar(&season, "season", "", "the prescription of this `SEASON` (default: the one under way or next)")
	cmd.Flags().StringVar(&picture, "picture", "", "write the card as a drawing (SVG) to `FILE`")
	cmd.Flags().BoolVar(&keep, "keep", false, "keep what the flags say with the unit")
	cmd.Flags().BoolVar(&forget, "forget", false, "take away what was kept with the unit")
	return cmd
}

// seasonFor checks a season's name; an empty one becomes the season in which the
// unit may burn that is under way or comes next.
func (d *desk) seasonFor(u *habitat.Unit, name string) (string, error) {
	if name != "" {
		if d.Property.SeasonIndex(name) < 0 {
			return "", flagError("season", "a season of the property: "+strings.Join(seasonNames(&d.Property), ", "), "%s is none", quote(name))
		}
		return name, nil
	}
	best, from := "", d.today
	for _, choice := range u.Choices(&d.Property) {
		i := d.Property.SeasonIndex(choice.Season)
		if i < 0 {
			continue
		}
		for year := d.Property.YearOf(d.today) - 1; year <= d.Property.YearOf(d.today)+2; year++ {
			span := d.Property.SeasonSpan(i, year)
			if span.Last.Before(d.today) {
				continue
			}
			if best == "" || span.First.Before(from) {
				best, from = choice.Season, span.First
			}
			break
		}
	}
	return best, nil
}

func seasonNames(p *habitat.Property) []string {
	names := make([]string, len(p.Seasons))
	for i := range p.Seasons {
		names[i] = p.Seasons[i].Name
	}
	return names
}

// keepFiring puts what the manager says of a unit into the property file.
func (a *app) keepFiring(cmd *cobra.Command, d *desk, unit string, own firing, keep bool) error {
	at, err := a.moment()
	if err != nil {
		return err
	}
	body, err := json.Marshal(own)
	if err != nil {
		return err
	}
	name := unit
	if unit == everyUnit {
		name = "every unit"
	}
	if err := d.store.Update(cmd.Context(), at, "say how "+name+" is burned", func(tx *store.Tx) error {
		return tx.PutDocument(store.Document{Kind: store.Other, Name: firingName + unit, Body: body})
	}); err != nil {
		return err
	}
	said := "kept how %s is burned; windows, burn days and papers rest on it from now on\n"
	if !keep {
		said = "took away what was kept of how %s is burned\n"
	}
	fmt.Fprintf(a.Err, said, name)
	return nil
}

// windCard computes a unit's wind card with the shares of the record.
func (o *outlook) windCard(u *habitat.Unit, season string) (*view.WindCard, error) {
	t := o.terms(u, season)
	if t.card == nil {
		return nil, usagef("%s has no shape; accepts --depth, or --length and --width", u.ID)
	}
	days, err := o.plainDays(t)
	if err != nil {
		return nil, againstUnit(u.ID, err)
	}
	in, _ := o.cardInput(u.ID)
	own := o.firingOf(u.ID)
	card := view.NewWindCard(u.ID, season, window.NewCard(in, t.limits, days), own.window())
	card.Prescription, card.Within = t.named, in.Within
	if t.limits == nil && t.named != "" {
		card.Notes = append(card.Notes, fmt.Sprintf("Its prescription %s is not loaded: every wind is taken to be within it.", quote(t.named)))
	}
	if t.suits {
		card.Need = &t.need
	}
	if days != nil {
		card.Basis, card.Warnings = days.Basis(), days.Warnings
	}
	return card, nil
}

func (a *app) printCard(card *view.WindCard, show *showFlags) error {
	if a.json {
		return a.printJSON(card)
	}
	sheet := table.WindCard(card)
	if show.csv {
		return a.printSheet(sheet, show)
	}
	fmt.Fprintf(a.Out, "Wind card of %s", card.Unit)
	if card.Prescription != "" {
		fmt.Fprintf(a.Out, ", %s: %s", card.Season, card.Prescription)
	}
	fmt.Fprint(a.Out, "\n\n")
	if err := a.printSheet(sheet, show); err != nil {
		return err
	}
	fmt.Fprintln(a.Out)
	return a.printLines(append(card.Lines(), strings.Join(strings.Fields(caution), " ")))
}

// printNeeds lists what a burn of each unit needs in each of its seasons.
func (a *app) printNeeds(d *desk, o *outlook, season string, show *showFlags) error {
	if season != "" && d.Property.SeasonIndex(season) < 0 {
		return flagError("season", "a season of the property: "+strings.Join(seasonNames(&d.Property), ", "), "%s is none", quote(season))
	}
	sheet := &table.Sheet{Name: "needs", Header: []string{"unit", "season", "prescription", "winds_that_suit", "depth_ft", "hours_in_a_row", "interior_lines", "from", "warning"}}
	for i := range d.Units {
		u := &d.Units[i]
		for _, choice := range u.Choices(&d.Property) {
			if season != "" && choice.Season != season {
				continue
			}
			sheet.Rows = append(sheet.Rows, o.terms(u, choice.Season).row(u.ID, choice.Season))
		}
	}
	if err := a.printSheet(sheet, show); err != nil || show.csv || a.json {
		return err
	}
	fmt.Fprintln(a.Out)
	return a.printLines([]string{
		"Lines follow from the depth along the winds that suit; where nothing else is said, one at most every " + trim(float64(window.DefaultSpacing)) + " chains, a planning default that the written plan replaces.",
		strings.Join(strings.Fields(caution), " "),
	})
}

// row is one line of the list of needs.
func (t *terms) row(unit, season string) []any {
	row := []any{unit, season, t.named, nil, nil, nil, nil, nil, ""}
	if t.card != nil {
		suits := 0
		for i := range t.card.Directions {
			if t.card.Directions[i].IsAllowed {
				suits++
			}
		}
		row[3] = fmt.Sprintf("%d of 16", suits)
	}
	if t.suits {
		row[5], row[7], row[8] = t.need.Hours, string(t.need.Basis), t.need.Warning
		if t.card != nil {
			row[4], row[6] = rounded(float64(t.need.Depth), 0), t.need.Lines
		}
	} else {
		row[8] = "no wind suits"
	}
	if t.limits == nil {
		row[8] = "no prescription is loaded for it"
	}
	return row
}
