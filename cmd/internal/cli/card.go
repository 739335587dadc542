package cli

import (
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
)

// cardOptions are those of the card command.
type cardOptions struct {
	show        showFlags
	firing      cardFlags
	season      string
	picture     string
	save, clear bool
}

func (a *terminal) cardCommand() *cobra.Command {
	var o cardOptions
	cmd := &cobra.Command{
		Use:   "card [UNIT]",
		Short: "Show which winds suit a unit: depth, hours to back through, smoke",
		Long: withStatus(`Card shows for each of sixteen wind directions how deep the unit is along the wind from
end to end, the longest run of the wind inside it, how many hours a backing fire needs to
cross that run, how many interior lines that assumes and how long it then takes from line
to line, from which side it would start, which sensitive places lie downwind, and, with a
weather record and a prescription, on which share of the candidate days the wind came
from there. Depth and run come from the unit's shape, or from --depth, or from --length,
--width and --axis.

The hours are those of the run, since a fire that is lit along the whole downwind edge has
no more than that before it; where a unit is long and lies aslant, is bent or has parts,
the depth is far more. Lines share the runs out evenly when they follow the downwind
edge; straight lines across the wind leave up to the depth so shared out.

Interior lines are assumed every 10 chains at most, a planning default that the written
plan replaces; --hours, --lines or --spacing say your own. With --save what the flags
say is kept with the unit, and windows, burn days and papers then rest on it; --clear
takes it away again. --picture writes the card as a drawing.

Without a unit it lists what a burn of each unit needs, and --save keeps the flags for
every unit that says nothing itself.

`+caution, statusBadInput),
		Example: "  emberquilt card \"School Prairie\" --within 5280\n  emberquilt card \"School Prairie\" --lines 4 --save\n  emberquilt card --spacing 6 --save\n  emberquilt card \"Barn Patch\" --length 1100 --width 500 --axis 45\n  emberquilt card \"School Prairie\" --picture card.svg",
		GroupID: groupRecord,
		Args:    argsBetween(0, "UNIT"),
		RunE:    func(cmd *cobra.Command, args []string) error { return a.runCard(cmd, &o, args) },
	}
	o.firing.register(cmd)
	o.show.register(cmd)
	cmd.Flags().StringVar(&o.season, "season", "", "the prescription of this `SEASON` (default: the one under way or next)")
	cmd.Flags().StringVar(&o.picture, "picture", "", "write the card as a drawing (SVG) to `FILE`")
	cmd.Flags().BoolVar(&o.save, "save", false, "keep what the flags say with the unit")
	cmd.Flags().BoolVar(&o.clear, "clear", false, "take away what was kept with the unit")
	return cmd
}

func (a *terminal) runCard(cmd *cobra.Command, o *cardOptions, args []string) error {
	if err := o.show.validate(a); err != nil {
		return err
	}
	if o.save && o.clear {
		return usagef("--save and --clear cannot be combined; use one")
	}
	if len(args) == 0 && o.picture != "" {
		return usagef("--picture draws one unit; accepts a UNIT before it")
	}
	change, err := o.firing.change(cmd, len(args) == 0)
	if err != nil {
		return err
	}
	ask := app.CardOptions{Unit: firstOf(args), Season: o.season, Change: change, Save: o.save, Clear: o.clear}
	access := app.ToRead
	if o.save || o.clear {
		access = app.ToChange
	}
	return a.session(cmd.Context(), access, func(s *app.Session) error {
		card, err := s.Card(cmd.Context(), ask)
		if card != nil && (o.save || o.clear) {
			a.sayKept(card.Unit, o.save)
		}
		var missing *app.NoDepthError
		if errors.As(err, &missing) {
			return usagef("%s has no shape; accepts --depth, or --length and --width", missing.Unit)
		}
		switch {
		case err != nil:
			return err
		case card.Unit == nil:
			return a.printNeeds(card.Needs, &o.show)
		case card.Wind == nil:
			return nil // without a depth there is no card to show
		}
		if o.picture != "" {
			if err := a.write(output{o.picture, func(w io.Writer) error {
				return signed(w, func(w io.Writer) error { return svgcard.Write(w, card.Wind) })
			}}); err != nil || o.picture == "-" {
				return err
			}
			fmt.Fprintf(a.Err, "%s: the wind card of %s as a drawing\n", o.picture, card.Unit.ID)
		}
		return a.printCard(card.Wind, &o.show)
	})
}

// firstOf gives the first argument, empty where there is none.
func firstOf(args []string) string {
	if len(args) == 0 {
		return ""
	}
	return args[0]
}

// sayKept says what became of what the manager says of a unit; nil means of every
// unit.
func (a *terminal) sayKept(unit *habitat.Unit, saved bool) {
	name := "every unit"
	if unit != nil {
		name = unit.ID
	}
	said := "kept how %s is burned; windows, burn days and papers rest on it from now on\n"
	if !saved {
		said = "took away what was kept of how %s is burned\n"
	}
	fmt.Fprintf(a.Err, said, name)
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
func (a *terminal) printNeeds(all []view.UnitNeed, show *showFlags) error {
	if err := a.printSheet(table.Needs(all), show); err != nil || show.csv || a.json {
		return err
	}
	fmt.Fprintln(a.Out)
	return a.printLines([]string{view.NeedNote(), strings.Join(strings.Fields(caution), " ")})
}
