package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/habitat/quantity"
	"emberquilt/report/table"
	"emberquilt/schedule/window"
)

func (a *app) cardCommand() *cobra.Command {
	var show showFlags
	var shape cardFlags
	cmd := &cobra.Command{
		Use:   "card UNIT",
		Short: "Show which winds suit a unit: depth, hours to back through, smoke",
		Long: withStatus(`Card shows for each of sixteen wind directions how deep the unit is along the wind,
how many hours a backing fire needs to cross it, from which side it would start, which
sensitive places lie downwind, and, with a weather record and a prescription, on which
share of the candidate days the wind came from there. The depth comes from the unit's
shape, or from --depth, or from --length, --width and --axis.

`+caution, statusBadInput),
		Example: "  emberquilt card \"School Prairie\" --within 5280\n  emberquilt card \"Barn Patch\" --length 1100 --width 500 --axis 45",
		GroupID: groupRecord,
		Args:    exactArgs("UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := show.validate(a); err != nil {
				return err
			}
			return a.sit(cmd.Context(), a.read, func(d *desk) error {
				unit, err := findUnit(d.Snapshot, args[0])
				if err != nil {
					return err
				}
				o, err := d.newOutlook(cmd.Context())
				if err != nil {
					return err
				}
				in, err := shape.input(cmd, o, unit.ID)
				if err != nil {
					return err
				}
				days, err := o.plainDays(unit)
				if err != nil {
					return err
				}
				return a.printCard(unit.ID, window.NewCard(in, o.limits[unit.Prescription], days), &show)
			})
		},
	}
	shape.register(cmd)
	show.register(cmd)
	return cmd
}

// cardFlags say what the property file does not know of a unit.
type cardFlags struct {
	depth, length, width, axis, rate, within float64
	smoke                                    bool
}

func (f *cardFlags) register(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.Float64Var(&f.depth, "depth", 0, "the same depth along every wind, in `FEET`")
	flags.Float64Var(&f.length, "length", 0, "length of a rectangular unit, in `FEET`")
	flags.Float64Var(&f.width, "width", 0, "width of a rectangular unit, in `FEET`")
	flags.Float64Var(&f.axis, "axis", 0, "bearing of its length, in `DEGREES` from north")
	flags.Float64Var(&f.rate, "rate", 0, fmt.Sprintf("backing rate in `CHAINS` an hour (default: %g)", float64(window.DefaultBackingRate)))
	flags.Float64Var(&f.within, "within", float64(smokeDistance), "how far a place is sensitive to smoke, in `FEET`")
	flags.BoolVar(&f.smoke, "allow-smoke", false, "keep winds in that carry smoke to a sensitive place")
}

func (f *cardFlags) input(cmd *cobra.Command, o *outlook, unit string) (window.CardInput, error) {
	named := cmd.Flags().Changed
	for flag, v := range map[string]float64{"depth": f.depth, "length": f.length, "width": f.width, "rate": f.rate, "within": f.within} {
		if named(flag) && !(v > 0 && v < 1e7) {
			return window.CardInput{}, flagError(flag, "a number above 0", "%v is none", v)
		}
	}
	if !(f.axis >= 0 && f.axis <= 360) {
		return window.CardInput{}, flagError("axis", "0 to 360 degrees", "%v is no bearing", f.axis)
	}
	in, known := o.cardInput(unit)
	in.BackingRate, in.Within, in.SmokeAllowed = quantity.ChainsPerHour(f.rate), quantity.Feet(f.within), f.smoke
	switch {
	case named("depth"):
		in.Depths = window.SameDepths(quantity.Feet(f.depth))
	case named("length") || named("width"):
		if !named("length") || !named("width") {
			return in, usagef("--length and --width go together; accepts both")
		}
		in.Depths = window.RectangleDepths(quantity.Feet(f.length), quantity.Feet(f.width), quantity.NewBearing(f.axis))
	case !known:
		return in, usagef("%s has no shape; accepts --depth, or --length and --width", unit)
	}
	return in, nil
}

func (a *app) printCard(unit string, card *window.Card, show *showFlags) error {
	sheet := &table.Sheet{Name: "wind card", Header: []string{"wind_from", "depth_ft", "hours_to_back", "start_at_edge", "smoke_reaches", "suits", "candidate_days_pct"}}
	for _, d := range card.Directions {
		var smoke []string
		for _, place := range d.Smoke {
			smoke = append(smoke, fmt.Sprintf("%s (%s ft)", place.Name, place.Distance))
		}
		suits := "yes"
		switch {
		case !d.InPrescription:
			suits = "no: not in the prescription"
		case !d.IsAllowed:
			suits = "no: smoke"
		}
		var share any
		if card.HasShares {
			share = rounded(100*float64(d.CandidateShare), 1)
		}
		sheet.Rows = append(sheet.Rows, []any{d.From.Compass(), rounded(float64(d.Depth), 0), rounded(float64(d.Back), 1), d.DownwindEdge.Compass(), strings.Join(smoke, ", "), suits, share})
	}
	if show.csv || a.json {
		return a.printSheet(sheet, show)
	}
	fmt.Fprintf(a.Out, "Wind card of %s\n\n", unit)
	if err := a.printSheet(sheet, show); err != nil {
		return err
	}
	if hours, ok := card.NeededHours(); ok {
		fmt.Fprintf(a.Out, "\nA burn needs %d hours in a row over the winds that suit.\n", hours)
	} else {
		fmt.Fprintln(a.Out, "\nNo wind suits this unit, or backing through takes more than a day.")
	}
	_, err := fmt.Fprintln(a.Out, caution)
	return err
}
