package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/report/svgcard"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
	"emberquilt/store"
)

func (a *terminal) cardCommand() *cobra.Command {
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
			access := app.ToRead
			if keep || forget {
				access = app.ToChange
			}
			if len(args) == 0 && picture != "" {
				return usagef("--picture draws one unit; accepts a UNIT before it")
			}
			return a.session(cmd.Context(), access, func(d *app.Session) error {
				unit := app.EveryUnit
				var u *habitat.Unit
				if len(args) > 0 {
					var err error
					if u, err = app.FindUnit(d.Snapshot, args[0]); err != nil {
						return err
					}
					unit = u.ID
				}
				o, err := d.Outlook(cmd.Context())
				if err != nil {
					return err
				}
				own := o.Firing[unit]
				if forget {
					own = app.Firing{}
				}
				if err := shape.onto(cmd, &own, unit == app.EveryUnit); err != nil {
					return err
				}
				o.Firing[unit] = own
				if keep || forget {
					if err := a.keepFiring(cmd, d, unit, own, keep); err != nil {
						return err
					}
				}
				if u == nil {
					return a.printNeeds(d, o, season, &show)
				}
				if season, err = d.SeasonFor(u, season); err != nil {
					return err
				}
				if forget && o.Terms(u, season).Card == nil {
					return nil // without a depth there is no card to show
				}
				card, err := windCard(o, u, season)
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

// windCard computes a unit's wind card; a unit without a depth is told how to state
// one.
func windCard(o *app.Outlook, u *habitat.Unit, season string) (*view.WindCard, error) {
	card, err := o.WindCard(u, season)
	var missing *app.NoDepthError
	if errors.As(err, &missing) {
		return nil, usagef("%s has no shape; accepts --depth, or --length and --width", missing.Unit)
	}
	return card, err
}

// keepFiring puts what the manager says of a unit into the property file.
func (a *terminal) keepFiring(cmd *cobra.Command, d *app.Session, unit string, own app.Firing, keep bool) error {
	at, err := a.moment()
	if err != nil {
		return err
	}
	body, err := json.Marshal(own)
	if err != nil {
		return err
	}
	name := unit
	if unit == app.EveryUnit {
		name = "every unit"
	}
	if err := d.Store.Update(cmd.Context(), at, "say how "+name+" is burned", func(tx *store.Tx) error {
		return tx.PutDocument(store.Document{Kind: store.Other, Name: app.FiringName + unit, Body: body})
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

func (a *terminal) printCard(card *view.WindCard, show *showFlags) error {
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
func (a *terminal) printNeeds(d *app.Session, o *app.Outlook, season string, show *showFlags) error {
	if season != "" && d.Property.SeasonIndex(season) < 0 {
		return d.KnowsSeason(season)
	}
	sheet := &table.Sheet{Name: "needs", Header: []string{"unit", "season", "prescription", "winds_that_suit", "depth_ft", "hours_in_a_row", "interior_lines", "from", "warning"}}
	for i := range d.Units {
		u := &d.Units[i]
		for _, choice := range u.Choices(&d.Property) {
			if season != "" && choice.Season != season {
				continue
			}
			sheet.Rows = append(sheet.Rows, needRow(o.Terms(u, choice.Season), u.ID, choice.Season))
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

// needRow is one line of the list of needs.
func needRow(t *app.Terms, unit, season string) []any {
	row := []any{unit, season, t.Named, nil, nil, nil, nil, nil, ""}
	if t.Card != nil {
		suits := 0
		for i := range t.Card.Directions {
			if t.Card.Directions[i].IsAllowed {
				suits++
			}
		}
		row[3] = fmt.Sprintf("%d of 16", suits)
	}
	if t.Suits {
		row[5], row[7], row[8] = t.Need.Hours, string(t.Need.Basis), t.Need.Warning
		if t.Card != nil {
			row[4], row[6] = view.Rounded(float64(t.Need.Depth), 0), t.Need.Lines
		}
	} else {
		row[8] = "no wind suits"
	}
	if t.Limits == nil {
		row[8] = "no prescription is loaded for it"
	}
	return row
}
