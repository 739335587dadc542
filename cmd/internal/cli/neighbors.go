package cli

import (
	"context"
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/alias"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

func (a *terminal) neighborsCommand() *cobra.Command {
	var flags neighborFlags
	cmd := &cobra.Command{
		Use:     "neighbors [UNIT UNIT]",
		Aliases: alias.Old("neighbors"),
		Short:   "Find which units border which from their shapes, and make pairs of them",
		Long: withStatus(`Neighbors finds which units border which and along how many feet, from their shapes. Two
boundaries within --tolerance of each other are one boundary, so that a lane or a break
between two units still makes them neighbors. Units that meet at a corner alone are told
apart, and ground that two units claim is reported.

Without more it only shows. With --keep the pairs that it finds become pairs of the
property, by a rule: all that share a boundary, or those that share more than
--longer-than; as neighbors, which the plan burns together where that saves break, or as
apart pairs, which may not burn in one program year: those of the units named by
--apart-with, or all with --apart. A pair that is there already keeps its kind and takes
the measured feet; pairs without a shared boundary stay as they are.

Two units make one pair by hand: --as neighbors, apart or none.`, statusBadInput),
		Example: `  emberquilt neighbors
  emberquilt neighbors --keep --longer-than 200 --apart-with "School Prairie" --dry-run
  emberquilt neighbors "Creek Patch" "Oak Ridge" --as apart`,
		GroupID: groupProperty,
		Args:    noneOrTwo("UNIT", "UNIT"),
		RunE:    func(cmd *cobra.Command, args []string) error { return a.runNeighbors(cmd.Context(), &flags, args) },
	}
	flags.register(cmd)
	return cmd
}

// noneOrTwo wants both of two arguments, or neither.
func noneOrTwo(first, second string) cobra.PositionalArgs {
	between := argsBetween(0, first, second)
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 1 {
			return usagef("the second %s is missing; accepts two units, or none", second)
		}
		return between(cmd, args)
	}
}

type neighborFlags struct {
	show                  showFlags
	tolerance, longerThan float64
	keep, apart, dryRun   bool
	apartWith             []string
	as, because           string
}

func (f *neighborFlags) register(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.Float64Var(&f.tolerance, "tolerance", float64(ground.DefaultTolerance), "how far two boundaries may lie apart and be one, in `FEET`")
	flags.BoolVar(&f.keep, "keep", false, "make the pairs that are found pairs of the property")
	flags.Float64Var(&f.longerThan, "longer-than", 0, "keep only pairs that share more than so many `FEET`")
	flags.StringArrayVar(&f.apartWith, "apart-with", nil, "make the pairs of this `UNIT` apart pairs; may be repeated")
	flags.BoolVar(&f.apart, "apart", false, "make all pairs that are kept apart pairs")
	flags.StringVar(&f.as, "as", "", "what two named units are: neighbors, apart or none")
	flags.BoolVar(&f.dryRun, "dry-run", false, "show what would change, and change nothing")
	flags.StringVar(&f.because, "because", "", "`REASON`, kept with the change")
	f.show.register(cmd)
}

func (f *neighborFlags) validate(a *terminal, args []string) error {
	switch {
	case len(args) > 0 && !oneOf(f.as, []string{string(habitat.Neighbors), string(habitat.Apart), "none"}):
		return flagError("as", "neighbors, apart or none", "%s does not say what the two units are", quote(f.as))
	case len(args) == 0 && f.as != "":
		return usagef("--as goes with two units; accepts it after UNIT UNIT")
	case len(args) > 0 && f.keep:
		return usagef("--keep and two units cannot be combined; use one")
	case !f.keep && (f.apart || len(f.apartWith) > 0):
		return usagef("--apart and --apart-with say how pairs are kept; accepts them with --keep")
	case !f.keep && len(args) == 0 && f.dryRun:
		return usagef("--dry-run: nothing would be changed; accepts it with --keep, or with two units")
	}
	return f.show.validate(a)
}

func (a *terminal) runNeighbors(ctx context.Context, flags *neighborFlags, args []string) error {
	if err := flags.validate(a, args); err != nil {
		return err
	}
	access := app.ToRead
	if (flags.keep || len(args) > 0) && !flags.dryRun {
		access = app.ToChange
	}
	measure := app.BorderOptions{Tolerance: quantity.Feet(flags.tolerance), LongerThan: quantity.Feet(flags.longerThan)}
	return a.session(ctx, access, func(s *app.Session) error {
		if !flags.keep && len(args) == 0 {
			v, err := s.Borders(ctx, measure)
			if err != nil {
				return err
			}
			return a.printBorders(v, &flags.show)
		}
		var v *view.PairChanges
		var err error
		if flags.keep {
			v, err = s.KeepPairs(ctx, app.PairRule{BorderOptions: measure, Apart: flags.apart, ApartWith: flags.apartWith, DryRun: flags.dryRun, Because: flags.because})
		} else {
			v, err = s.Pair(ctx, app.PairOptions{Units: [2]string(args), As: habitat.PairKind(flags.as), Tolerance: measure.Tolerance, DryRun: flags.dryRun, Because: flags.because})
		}
		var same *app.SameUnitError
		if errors.As(err, &same) {
			return usagef("%s is paired with itself; accepts two different units", quote(same.Unit))
		}
		if err != nil {
			return err
		}
		return a.printPairChanges(v, &flags.show)
	})
}

func (a *terminal) printBorders(v *view.Borders, show *showFlags) error {
	if show.csv || a.json {
		return a.printSheet(table.Borders(v), show)
	}
	if v.Units == 0 {
		return a.say("%s has no shapes; emberquilt import reads them from a file", v.Property)
	}
	if err := a.printSheet(table.Borders(v), show); err != nil {
		return err
	}
	words := v.Words()
	if v.Kept == 0 && v.Sides > 0 {
		words = append(words, "--keep makes them of these.")
	}
	return a.prose("\n%s", strings.Join(words, "\n"))
}

func (a *terminal) printPairChanges(v *view.PairChanges, show *showFlags) error {
	switch {
	case a.json:
		return a.printJSON(v)
	case show.csv:
		return a.printSheet(table.PairChanges(v), show)
	}
	return a.prose("%s", strings.Join(v.Words(), "\n"))
}
