package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/store"
)

func (a *terminal) breaksCommand() *cobra.Command {
	var flags breakFlags
	cmd := &cobra.Command{
		Use:   "breaks [UNIT…]",
		Short: "Count the feet of break that units need, alone and burned together",
		Long: withStatus(`Breaks counts the feet of firebreak: the boundary of what burns, less the boundary
between units that burn together, less what runs along standing breaks (roads, water),
which emberquilt import FILE --kind breaks reads.

Without units it shows each year of the newest plan, the units of a year burned as one;
with units those, burned together. --each shows every unit burned alone, --year the units
of one plan year, --pairs what burning two neighbors together saves, --standing the
standing breaks that are known.

Acres of break are for planning widths; --width replaces them with those of your plan.
Feet, acres and --dollars are information. A plan counts the cost that each unit states
and, where the settings name break_dollars, each unit's feet at that price.

`+caution, statusBadInput),
		Example: "  emberquilt breaks\n  emberquilt breaks \"Creek Patch\" \"Oak Ridge\" --width 15 --dollars 0.4\n  emberquilt breaks --remove \"Old Fence Row\"",
		GroupID: groupPlan,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := flags.validate(a, cmd, args); err != nil {
				return err
			}
			if flags.remove != "" {
				return a.removeStanding(cmd.Context(), flags.remove, flags.because)
			}
			return a.session(cmd.Context(), app.ToRead, func(d *app.Session) error {
				if flags.standing {
					return a.printSheet(standingSheet(d), &flags.show)
				}
				return a.printBreaks(cmd.Context(), d, args, &flags)
			})
		},
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
	remove, because                string
}

func (f *breakFlags) register(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.IntVar(&f.plan, "plan", 0, "`NUMBER` of the plan (default: the newest)")
	flags.IntVar(&f.year, "year", 0, "the units of one plan `YEAR`")
	flags.BoolVar(&f.each, "each", false, "every unit, burned alone")
	flags.BoolVar(&f.pairs, "pairs", false, "what burning two neighbors together saves")
	flags.BoolVar(&f.standing, "standing", false, "list the standing breaks")
	flags.StringVar(&f.remove, "remove", "", "take the standing break of this `NAME` away")
	flags.Float64SliceVar(&f.widths, "width", nil, "width of the break in `FEET`, in place of the planning widths; may be repeated")
	flags.Float64Var(&f.fuelHeight, "fuel-height", 3, "height of the fuel in `FEET`, for the break downwind; 0 leaves it out")
	flags.Float64Var(&f.dollars, "dollars", 0, "`DOLLARS` a foot of break, shown as information")
	flags.Float64Var(&f.tolerance, "tolerance", float64(ground.DefaultTolerance), "how far two boundaries may lie apart and be one, in `FEET`")
	flags.StringVar(&f.because, "because", "", "`REASON`, kept with a removal")
	f.show.register(cmd)
}

func (f *breakFlags) validate(a *terminal, cmd *cobra.Command, args []string) error {
	ways := 0
	for _, is := range []bool{len(args) > 0, f.each, f.pairs, f.standing, f.year != 0, f.remove != ""} {
		if is {
			ways++
		}
	}
	switch {
	case ways > 1:
		return usagef("units, --year, --each, --pairs, --standing and --remove cannot be combined; use one")
	case cmd.Flags().Changed("remove") && f.remove == "":
		return flagError("remove", "the name of a standing break", "the name is empty")
	case !(f.tolerance > 0 && f.tolerance <= 1000):
		return flagError("tolerance", "a number of feet above 0, up to 1000", "%v ft is not a tolerance", f.tolerance)
	case !(f.fuelHeight >= 0 && f.fuelHeight <= 100):
		return flagError("fuel-height", "0 to 100 feet", "%v ft is not a height of fuel", f.fuelHeight)
	case !(f.dollars >= 0 && f.dollars < 1e6):
		return flagError("dollars", "dollars of 0 or more", "%v is not a price", f.dollars)
	}
	for _, w := range f.widths {
		if !(w > 0 && w <= 1000) {
			return flagError("width", "feet above 0, up to 1000", "%v ft is not a width", w)
		}
	}
	return f.show.validate(a)
}

// shownWidths are those of the flags, or the planning defaults.
func (f *breakFlags) shownWidths() []view.BreakWidth {
	if len(f.widths) == 0 {
		return view.BreakWidths(quantity.Feet(f.fuelHeight))
	}
	var all []view.BreakWidth
	for _, w := range f.widths {
		all = append(all, view.BreakWidth{Width: quantity.Feet(w), What: "as the command says", Sources: "yours", Status: "yours"})
	}
	return all
}

func (a *terminal) printBreaks(ctx context.Context, d *app.Session, args []string, flags *breakFlags) error {
	var years []view.YearBurns
	if len(d.Plans) > 0 {
		kept, err := d.Plan(ctx, flags.plan)
		if err != nil {
			return err
		}
		years = kept.YearBurns()
	} else if flags.year != 0 || flags.plan != 0 {
		_, err := d.Plan(ctx, flags.plan) // says that there is none
		return err
	}
	b := d.Breaks(years, quantity.Feet(flags.tolerance))
	if b == nil {
		return fmt.Errorf("%s has no shapes to measure; emberquilt import reads them from a file", d.Property.Name)
	}
	var sheet *table.Sheet
	title, words := "", ""
	switch {
	case len(args) > 0:
		units, err := d.UnitsNamed(args)
		if err != nil {
			return err
		}
		set := b.Together(units)
		sheet = flags.setSheet(&set)
		title, words = "Burned together", setWords(&set)
	case flags.year != 0:
		at := flags.year - int(firstYear(years))
		if at < 0 || at >= len(years) {
			return flagError("year", fmt.Sprintf("%d to %d", firstYear(years), int(firstYear(years))+len(years)-1), "%d is not a year of the plan", flags.year)
		}
		sheet = flags.setSheet(&b.Years[at])
		title, words = fmt.Sprintf("Burned in %d, as one", flags.year), setWords(&b.Years[at])
	case flags.pairs:
		pairs, err := b.Survey().Neighbors(ctx)
		if err != nil {
			return err
		}
		sheet, title = flags.savingSheet(b.Savings(pairs)), "Burning two neighbors together saves"
	case flags.each || len(years) == 0:
		sheet, title = flags.unitSheet("each alone", b.Units), "Each unit burned alone"
	default:
		sheet, title = flags.yearSheet(b), "By plan year, the units of a year burned as one"
	}
	if flags.show.csv || a.json {
		return a.printSheet(sheet, &flags.show)
	}
	fmt.Fprintf(a.Out, "%s\n\n", title)
	if err := a.printSheet(sheet, &flags.show); err != nil {
		return err
	}
	if words != "" {
		fmt.Fprintf(a.Out, "\n%s\n", words)
	}
	flags.printBasis(a, b)
	return nil
}

func firstYear(years []view.YearBurns) date.ProgramYear {
	if len(years) == 0 {
		return 0
	}
	return years[0].Year
}

func setWords(set *view.YearBreak) string {
	words := fmt.Sprintf("%s ft to make together; each alone %s ft; together saves %s ft.", set.Needed, set.Alone, set.Saved)
	if len(set.Missing) > 0 {
		words += " Without a shape, and not counted: " + strings.Join(set.Missing, ", ") + "."
	}
	return words
}

// printBasis says what the figures rest on.
func (f *breakFlags) printBasis(a *terminal, b *view.Breaks) {
	fmt.Fprintln(a.Out)
	if !f.pairs {
		for _, w := range f.shownWidths() {
			fmt.Fprintf(a.Out, "%s ft wide: %s (%s; %s)\n", view.Figure(float64(w.Width)), w.What, w.Sources, w.Status)
		}
	}
	if len(b.Standing) > 0 {
		fmt.Fprintf(a.Out, "Standing breaks: %s\n", strings.Join(b.Standing, ", "))
	} else {
		fmt.Fprintln(a.Out, "No standing breaks are known; emberquilt import FILE --kind breaks reads roads and water.")
	}
	if len(b.Missing) > 0 {
		fmt.Fprintf(a.Out, "Without a shape, and not counted: %s\n", strings.Join(b.Missing, ", "))
	}
	fmt.Fprintf(a.Out, "Planning defaults: the written plan and the standard of the state set the widths.\n\n%s\n", caution)
}

// widthColumns heads the columns that follow the feet of break.
func (f *breakFlags) widthColumns() []string {
	var names []string
	for _, w := range f.shownWidths() {
		names = append(names, "acres_at_"+view.Figure(float64(w.Width))+"_ft")
	}
	if f.dollars > 0 {
		names = append(names, "dollars")
	}
	return names
}

func (f *breakFlags) widthCells(feet quantity.Feet) []any {
	var cells []any
	for _, w := range f.shownWidths() {
		cells = append(cells, view.Rounded(float64(quantity.BreakAcres(feet, w.Width)), 2))
	}
	if f.dollars > 0 {
		cells = append(cells, view.Rounded(float64(feet)*f.dollars, 0))
	}
	return cells
}

func wholeFeet(feet quantity.Feet) float64 { return view.Rounded(float64(feet), 0) }

func (f *breakFlags) unitSheet(name string, units []view.UnitBreak) *table.Sheet {
	sheet := &table.Sheet{Name: name, Header: append([]string{"unit", "acres", "boundary_ft", "standing_ft", "break_ft"}, f.widthColumns()...)}
	for _, u := range units {
		sheet.Rows = append(sheet.Rows, append([]any{u.Unit, u.Acres, wholeFeet(u.Boundary), wholeFeet(u.Standing), wholeFeet(u.Needed)}, f.widthCells(u.Needed)...))
	}
	return sheet
}

func (f *breakFlags) setSheet(set *view.YearBreak) *table.Sheet {
	sheet := &table.Sheet{Name: "together", Header: append([]string{"unit", "acres", "boundary_ft", "shared_ft", "standing_ft", "break_ft"}, f.widthColumns()...)}
	for _, u := range set.Units {
		sheet.Rows = append(sheet.Rows, append([]any{u.Unit, u.Acres, wholeFeet(u.Boundary), wholeFeet(u.Shared), wholeFeet(u.Standing), wholeFeet(u.Needed)}, f.widthCells(u.Needed)...))
	}
	return sheet
}

func (f *breakFlags) yearSheet(b *view.Breaks) *table.Sheet {
	sheet := &table.Sheet{Name: "by year", Header: append([]string{"program_year", "burns", "each_alone_ft", "saved_ft", "standing_ft", "break_ft"}, f.widthColumns()...)}
	for i := range b.Years {
		y := &b.Years[i]
		sheet.Rows = append(sheet.Rows, append([]any{int(y.Year), len(y.Units), wholeFeet(y.Alone), wholeFeet(y.Saved), wholeFeet(y.Standing), wholeFeet(y.Needed)}, f.widthCells(y.Needed)...))
	}
	return sheet
}

func (f *breakFlags) savingSheet(savings []view.PairSaving) *table.Sheet {
	header := []string{"unit_a", "unit_b", "saved_ft", "together_in"}
	if f.dollars > 0 {
		header = append(header, "dollars")
	}
	sheet := &table.Sheet{Name: "savings", Header: header}
	for _, s := range savings {
		var years []string
		for _, y := range s.Years {
			years = append(years, y.String())
		}
		row := []any{s.A, s.B, wholeFeet(s.Saved), strings.Join(years, ", ")}
		if f.dollars > 0 {
			row = append(row, view.Rounded(float64(s.Saved)*f.dollars, 0))
		}
		sheet.Rows = append(sheet.Rows, row)
	}
	return sheet
}

// standingSheet lists the standing breaks with their length.
func standingSheet(d *app.Session) *table.Sheet {
	sheet := &table.Sheet{Name: "standing breaks", Header: []string{"name", "kind", "length_ft"}}
	for _, s := range d.Standing {
		feet := s.Shape.Perimeter()
		for _, line := range s.Lines {
			feet += line.Length()
		}
		sheet.Rows = append(sheet.Rows, []any{s.Name, s.Kind, wholeFeet(feet)})
	}
	return sheet
}

func (a *terminal) removeStanding(ctx context.Context, name, because string) error {
	at, err := a.moment()
	if err != nil {
		return err
	}
	return a.change(ctx, func(s *store.Store) error {
		err := s.Update(ctx, at, reason("remove the standing break "+name, because), func(tx *store.Tx) error { return tx.RemoveStanding(name) })
		if err != nil {
			return err
		}
		return a.say("%s is no longer a standing break", name)
	})
}
