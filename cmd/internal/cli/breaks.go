package cli

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

func (a *terminal) breaksCommand() *cobra.Command {
	var flags breakFlags
	cmd := &cobra.Command{
		Use:   "breaks [UNIT…]",
		Short: "Count the feet of break that units need, alone and burned together",
		Long: withStatus(`Breaks counts the feet of firebreak: the boundary of what burns, less the boundary
between units that burn together, less what runs along standing breaks (roads, water),
which emberquilt import FILE --as breaks reads.

Without units it shows each year of the adopted plan, the units of a year burned as one;
with units those, burned together. --each shows every unit burned alone, --year the units
of one plan year, --pairs what burning two neighbors together saves, --standing the
standing breaks that are known.

Acres of break are for planning widths; --width replaces them with those of your plan.
Feet, acres and --dollars are information. A plan counts the cost that each unit states
and, where the settings name break_dollars, each unit's feet at that price.

`+caution, statusBadInput),
		Example: "  emberquilt breaks\n  emberquilt breaks \"Creek Patch\" \"Oak Ridge\" --width 15 --dollars 0.4\n  emberquilt breaks --remove \"Old Fence Row\"",
		GroupID: groupPlan,
		RunE:    func(cmd *cobra.Command, args []string) error { return a.runBreaks(cmd.Context(), &flags, args) },
	}
	flags.register(cmd)
	return cmd
}

type breakFlags struct {
	show                           showFlags
	plan, year                     int
	each, pairs, standing          bool
	tolerance, fuelHeight, dollars float64
	widths                         []float64
	remove                         nameFlag
	because                        string
}

func (f *breakFlags) register(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.IntVar(&f.plan, "plan", 0, "`NUMBER` of the plan (default: the newest)")
	flags.IntVar(&f.year, "year", 0, "the units of one plan `YEAR`")
	flags.BoolVar(&f.each, "each", false, "every unit, burned alone")
	flags.BoolVar(&f.pairs, "pairs", false, "what burning two neighbors together saves")
	flags.BoolVar(&f.standing, "standing", false, "list the standing breaks")
	flags.Var(&f.remove, "remove", "take the standing break of this `NAME` away")
	flags.Float64SliceVar(&f.widths, "width", nil, "width of the break in `FEET`, in place of the planning widths; may be repeated")
	flags.Float64Var(&f.fuelHeight, "fuel-height", 3, "height of the fuel in `FEET`, for the break downwind; 0 leaves it out")
	flags.Float64Var(&f.dollars, "dollars", 0, "`DOLLARS` a foot of break, shown as information")
	flags.Float64Var(&f.tolerance, "tolerance", float64(ground.DefaultTolerance), "how far two boundaries may lie apart and be one, in `FEET`")
	flags.StringVar(&f.because, "because", "", "`REASON`, kept with a removal")
	f.show.register(cmd)
}

// of says which feet are asked for.
func (f *breakFlags) of(args []string) (of app.BreaksOf, err error) {
	ways := 0
	for _, way := range []struct {
		is bool
		of app.BreaksOf
	}{
		{len(args) > 0, app.BreaksOfUnits}, {f.each, app.BreaksOfEach}, {f.pairs, app.BreaksOfPairs}, {f.year != 0, app.BreaksOfYear},
		{f.standing, 0}, {f.remove.isGiven, 0},
	} {
		if way.is {
			of = way.of
			ways++
		}
	}
	switch {
	case ways > 1:
		return 0, usagef("units, --year, --each, --pairs, --standing and --remove cannot be combined; use one")
	case f.remove.isGiven && f.remove.text == "":
		return 0, flagError("remove", "the name of a standing break", "the name is empty")
	}
	return of, nil
}

func (a *terminal) runBreaks(ctx context.Context, flags *breakFlags, args []string) error {
	of, err := flags.of(args)
	if err != nil {
		return err
	}
	if err := flags.show.validate(a); err != nil {
		return err
	}
	if flags.remove.isGiven {
		return a.removeStanding(ctx, flags.remove.text, flags.because)
	}
	ask := app.BreakOptions{
		Of: of, Units: args, Year: date.ProgramYear(flags.year), Plan: flags.plan,
		Tolerance: quantity.Feet(flags.tolerance), FuelHeight: quantity.Feet(flags.fuelHeight), DollarsPerFoot: flags.dollars,
	}
	for _, w := range flags.widths {
		ask.Widths = append(ask.Widths, quantity.Feet(w))
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		if flags.standing {
			return a.printSheet(table.StandingBreaks(s.StandingBreaks()), &flags.show)
		}
		v, err := s.BreakReport(ctx, ask)
		if err != nil {
			return err
		}
		return a.printBreaks(v, &flags.show)
	})
}

func (a *terminal) printBreaks(v *view.BreakReport, show *showFlags) error {
	sheet := table.Breaks(v)
	if show.csv || a.json {
		return a.printSheet(sheet, show)
	}
	a.prose("%s\n", v.Title())
	if err := a.printSheet(sheet, show); err != nil {
		return err
	}
	if words := v.Set.Words(); words != "" {
		a.prose("\n%s", words)
	}
	return a.prose("\n%s\n\n%s", strings.Join(v.Basis(), "\n"), caution)
}

func (a *terminal) removeStanding(ctx context.Context, name, because string) error {
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		if err := s.RemoveStanding(ctx, name, because); err != nil {
			return err
		}
		return a.say("%s is no longer a standing break", name)
	})
}
