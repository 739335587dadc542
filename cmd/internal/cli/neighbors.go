package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/alias"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/store"
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
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := flags.validate(a, args); err != nil {
				return err
			}
			access := app.ToRead
			if (flags.keep || len(args) > 0) && !flags.dryRun {
				access = app.ToChange
			}
			return a.session(cmd.Context(), access, func(d *app.Session) error {
				b, err := borderOf(cmd.Context(), d, quantity.Feet(flags.tolerance))
				if err != nil {
					return err
				}
				switch {
				case len(args) > 0:
					return a.pairByHand(cmd.Context(), d, b, args, &flags)
				case flags.keep:
					return a.keepPairs(cmd.Context(), d, b, &flags)
				}
				return a.printBorder(d, b, &flags)
			})
		},
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
	case !(f.tolerance >= 0 && f.tolerance <= 1000):
		return flagError("tolerance", "0 to 1000 feet", "%v ft is not a tolerance", f.tolerance)
	case !(f.longerThan >= 0 && f.longerThan < 1e7):
		return flagError("longer-than", "feet of 0 or more", "%v ft is not a length", f.longerThan)
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

// border is how the units with shapes lie to each other.
type border struct {
	units   []string
	shapes  []ground.Shape
	survey  *ground.Survey
	pairs   []ground.Pair
	missing []string
}

// borderOf measures the units that have a shape.
func borderOf(ctx context.Context, d *app.Session, tolerance quantity.Feet) (*border, error) {
	b := &border{}
	shapes := d.Current().Shapes
	for i := range d.Units {
		id := d.Units[i].ID
		if shape, ok := shapes[id]; ok {
			b.units, b.shapes = append(b.units, id), append(b.shapes, shape)
		} else {
			b.missing = append(b.missing, id)
		}
	}
	b.survey = ground.NewSurvey(b.shapes, tolerance)
	var err error
	b.pairs, err = b.survey.Neighbors(ctx)
	return b, err
}

// find gives what two units have in common; nil where they lie apart.
func (b *border) find(one, two string) *ground.Pair {
	i, j := slices.Index(b.units, one), slices.Index(b.units, two)
	for k := range b.pairs {
		if p := &b.pairs[k]; p.A == min(i, j) && p.B == max(i, j) {
			return p
		}
	}
	return nil
}

// meetWords says how two shapes lie to each other.
func meetWords(p *ground.Pair) string {
	words := "boundary"
	switch {
	case p.Corner && p.Shared == 0 && p.Gap == 0 && p.Overlap > ground.SmallOverlap:
		words = "one inside the other"
	case p.Corner:
		words = "corner"
	}
	if p.Unmeasured {
		words += ", overlap not measured"
	}
	return words
}

func (b *border) sheet(d *app.Session, longerThan quantity.Feet) *table.Sheet {
	sheet := &table.Sheet{Name: "neighbors", Header: []string{"unit_a", "unit_b", "meet_at", "shared_feet", "gap_ft", "overlap_acres", "kept_as", "kept_feet"}}
	stored := map[[2]string]habitat.Pair{}
	for _, p := range d.Pairs {
		stored[[2]string{p.A, p.B}] = p
	}
	for k := range b.pairs {
		p := &b.pairs[k]
		if longerThan > 0 && p.Shared <= longerThan {
			continue
		}
		pair := habitat.NewPair(b.units[p.A], b.units[p.B], "")
		var kept, feet, overlap any
		if was, ok := stored[[2]string{pair.A, pair.B}]; ok {
			kept = string(was.Kind)
			if was.SharedFeet > 0 {
				feet = view.Rounded(float64(was.SharedFeet), 0)
			}
		}
		if p.Overlap > ground.SmallOverlap {
			overlap = view.Rounded(float64(p.Overlap), 3)
		}
		sheet.Rows = append(sheet.Rows, []any{pair.A, pair.B, meetWords(p), view.Rounded(float64(p.Shared), 0), view.Rounded(float64(p.Gap), 1), overlap, kept, feet})
	}
	return sheet
}

func (a *terminal) printBorder(d *app.Session, b *border, flags *neighborFlags) error {
	sheet := b.sheet(d, quantity.Feet(flags.longerThan))
	if flags.show.csv || a.json {
		return a.printSheet(sheet, &flags.show)
	}
	if len(b.units) == 0 {
		return a.say("%s has no shapes; emberquilt import reads them from a file", d.Property.Name)
	}
	if err := a.printSheet(sheet, &flags.show); err != nil {
		return err
	}
	sides, corners, overlaps := 0, 0, 0
	var claimed quantity.Acres
	for k := range b.pairs {
		p := &b.pairs[k]
		if p.Corner {
			corners++
		} else {
			sides++
		}
		if p.Overlap > ground.SmallOverlap {
			overlaps++
			claimed += p.Overlap
		}
	}
	fmt.Fprintf(a.Out, "\n%s; %d pairs have a common boundary, %d meet at a corner alone (boundaries within %s ft are one).\n",
		quantity.Count(len(b.units), "unit")+" with a shape", sides, corners, view.Figure(flags.tolerance))
	if overlaps > 0 {
		fmt.Fprintf(a.Out, "Ground that both of a pair claim: %.2f acres in %s, see overlap_acres.\n", float64(claimed), quantity.Count(overlaps, "pair"))
	}
	if len(b.missing) > 0 {
		fmt.Fprintf(a.Out, "Without a shape, and not measured: %s\n", strings.Join(b.missing, ", "))
	}
	if kept := len(d.Pairs); kept == 0 && sides > 0 {
		fmt.Fprintln(a.Out, "The property has no pairs yet; --keep makes them.")
	}
	return nil
}

// pairChange is what becomes of one pair.
type pairChange struct {
	Action string `json:"action"`
	UnitA  string `json:"unit_a"`
	UnitB  string `json:"unit_b"`
	From   string `json:"from,omitempty"`
	To     string `json:"to,omitempty"`

	pair habitat.Pair
}

func pairWords(p *habitat.Pair) string {
	if p.SharedFeet > 0 {
		return fmt.Sprintf("%s, %s ft", p.Kind, p.SharedFeet)
	}
	return string(p.Kind)
}

// rule gives the pairs that --keep makes, and those that it leaves as they are.
func (f *neighborFlags) rule(d *app.Session, b *border) (changes []pairChange, same int, err error) {
	apart := map[string]bool{}
	for _, name := range f.apartWith {
		unit, err := app.FindUnit(d.Snapshot, name)
		if err != nil {
			return nil, 0, err
		}
		apart[unit.ID] = true
	}
	for k := range b.pairs {
		p := &b.pairs[k]
		if p.Corner || p.Shared <= quantity.Feet(f.longerThan) {
			continue
		}
		pair := habitat.NewPair(b.units[p.A], b.units[p.B], habitat.Neighbors)
		pair.SharedFeet = quantity.Feet(view.Rounded(float64(p.Shared), 0))
		was := pairOf(d, pair.A, pair.B)
		if was != nil {
			pair.Kind = was.Kind
		}
		if f.apart || apart[pair.A] || apart[pair.B] {
			pair.Kind = habitat.Apart
		}
		switch {
		case was == nil:
			changes = append(changes, pairChange{"added", pair.A, pair.B, "", pairWords(&pair), pair})
		case *was != pair:
			changes = append(changes, pairChange{"changed", pair.A, pair.B, pairWords(was), pairWords(&pair), pair})
		default:
			same++
		}
	}
	return changes, same, nil
}

// pairOf gives the pair that is kept of two units; nil where there is none.
func pairOf(d *app.Session, a, b string) *habitat.Pair {
	for i := range d.Pairs {
		if p := &d.Pairs[i]; p.A == min(a, b) && p.B == max(a, b) {
			return p
		}
	}
	return nil
}

func (a *terminal) keepPairs(ctx context.Context, d *app.Session, b *border, flags *neighborFlags) error {
	changes, same, err := flags.rule(d, b)
	if err != nil {
		return err
	}
	return a.changePairs(ctx, d, changes, same, "keep the pairs that the shapes show", flags)
}

func (a *terminal) pairByHand(ctx context.Context, d *app.Session, b *border, args []string, flags *neighborFlags) error {
	one, err := app.FindUnit(d.Snapshot, args[0])
	if err != nil {
		return err
	}
	two, err := app.FindUnit(d.Snapshot, args[1])
	if err != nil {
		return err
	}
	if one.ID == two.ID {
		return usagef("%s is paired with itself; accepts two different units", quote(one.ID))
	}
	pair := habitat.NewPair(one.ID, two.ID, habitat.PairKind(flags.as))
	if p := b.find(one.ID, two.ID); p != nil && !p.Corner {
		pair.SharedFeet = quantity.Feet(view.Rounded(float64(p.Shared), 0))
	}
	was := pairOf(d, pair.A, pair.B)
	if was != nil && pair.SharedFeet == 0 {
		pair.SharedFeet = was.SharedFeet
	}
	var changes []pairChange
	switch {
	case flags.as == "none" && was != nil:
		changes = []pairChange{{"removed", pair.A, pair.B, pairWords(was), "", pair}}
	case flags.as == "none":
	case was == nil:
		changes = []pairChange{{"added", pair.A, pair.B, "", pairWords(&pair), pair}}
	case *was != pair:
		changes = []pairChange{{"changed", pair.A, pair.B, pairWords(was), pairWords(&pair), pair}}
	}
	return a.changePairs(ctx, d, changes, 0, fmt.Sprintf("pair %s and %s as %s", pair.A, pair.B, flags.as), flags)
}

// changePairs carries the changes out, unless it is a dry run, and says them.
func (a *terminal) changePairs(ctx context.Context, d *app.Session, changes []pairChange, same int, why string, flags *neighborFlags) error {
	if len(changes) > 0 && !flags.dryRun {
		at, err := a.moment()
		if err != nil {
			return err
		}
		err = d.Store.Update(ctx, at, reason(why, flags.because), func(tx *store.Tx) error {
			for _, c := range changes {
				put := func() error { return tx.PutPair(c.pair) }
				if c.Action == "removed" {
					put = func() error { return tx.RemovePair(c.pair.A, c.pair.B) }
				}
				if err := put(); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	if a.json || flags.show.csv {
		if a.json {
			return a.printJSON(map[string]any{"changes": append([]pairChange{}, changes...), "as_they_are": same, "changed": len(changes) > 0 && !flags.dryRun})
		}
		sheet := &table.Sheet{Name: "changes", Header: []string{"action", "unit_a", "unit_b", "from", "to"}}
		for _, c := range changes {
			sheet.Rows = append(sheet.Rows, []any{c.Action, c.UnitA, c.UnitB, c.From, c.To})
		}
		return a.printSheet(sheet, &flags.show)
	}
	for _, c := range changes {
		switch c.Action {
		case "changed":
			fmt.Fprintf(a.Out, "changed %s and %s: %s → %s\n", c.UnitA, c.UnitB, c.From, c.To)
		default:
			fmt.Fprintf(a.Out, "%s %s and %s: %s%s\n", c.Action, c.UnitA, c.UnitB, c.From, c.To)
		}
	}
	if same > 0 {
		fmt.Fprintf(a.Out, "%s as they are\n", quantity.Count(same, "pair"))
	}
	switch {
	case len(changes) == 0:
		fmt.Fprintln(a.Out, "nothing changes")
	case flags.dryRun:
		fmt.Fprintln(a.Out, "nothing was changed: dry run")
	}
	return nil
}
