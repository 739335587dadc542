package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/window"
)

// cardFlags say what the property file does not know of a unit.
type cardFlags struct {
	depth, length, width, axis, rate, spacing, adjustment, within float64
	hours, lines                                                  int
	smoke                                                         bool
}

func (f *cardFlags) register(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.Float64Var(&f.depth, "depth", 0, "the same depth along every wind, in `FEET`")
	flags.Float64Var(&f.length, "length", 0, "length of a rectangular unit, in `FEET`")
	flags.Float64Var(&f.width, "width", 0, "width of a rectangular unit, in `FEET`")
	flags.Float64Var(&f.axis, "axis", 0, "bearing of its length, in `DEGREES` from north")
	flags.Float64Var(&f.rate, "rate", 0, fmt.Sprintf("backing rate in `CHAINS` an hour (default: %g)", float64(window.DefaultBackingRate)))
	flags.IntVar(&f.hours, "hours", 0, "your own number of `HOURS` in a row that a burn of the unit takes")
	flags.IntVar(&f.lines, "lines", 0, "your own `NUMBER` of interior lines; 0 backs the unit through whole")
	flags.Float64Var(&f.spacing, "spacing", 0, fmt.Sprintf("the most `CHAINS` from one interior line to the next (default: %g)", float64(window.DefaultSpacing)))
	flags.Float64Var(&f.adjustment, "adjustment", 0, "eye-level wind as a `SHARE` of the 20-foot wind, 0 to 1, for prescriptions at eye level")
	flags.Float64Var(&f.within, "within", float64(app.SmokeDistance), "how far a place is sensitive to smoke, in `FEET`")
	flags.BoolVar(&f.smoke, "allow-smoke", false, "keep winds in that carry smoke to a sensitive place")
}

// change gives what the flags say of one unit or, with isEvery, of all.
func (f *cardFlags) change(cmd *cobra.Command, isEvery bool) (c app.FiringChange, err error) {
	named := cmd.Flags().Changed
	for _, flag := range []string{"depth", "length", "width", "axis"} {
		if isEvery && named(flag) {
			return c, usagef("--%s is that of one unit; accepts a UNIT before it", flag)
		}
	}
	switch {
	case named("hours") && named("lines"):
		return c, usagef("--hours and --lines cannot be combined, since one follows from the other; use one")
	case named("depth") && (named("length") || named("width")):
		return c, usagef("--depth goes with neither --length nor --width; accepts one or the two")
	case named("length") != named("width"):
		return c, usagef("--length and --width go together; accepts both")
	}
	c.Depth = given(cmd, "depth", quantity.Feet(f.depth))
	c.Length = given(cmd, "length", quantity.Feet(f.length))
	c.Width = given(cmd, "width", quantity.Feet(f.width))
	c.Axis = given(cmd, "axis", quantity.Bearing(f.axis))
	c.Rate = given(cmd, "rate", quantity.ChainsPerHour(f.rate))
	c.Spacing = given(cmd, "spacing", quantity.Chains(f.spacing))
	c.Adjustment = given(cmd, "adjustment", quantity.Share(f.adjustment))
	c.Within = given(cmd, "within", quantity.Feet(f.within))
	c.Hours, c.Lines = given(cmd, "hours", f.hours), given(cmd, "lines", f.lines)
	c.Smoke = given(cmd, "allow-smoke", f.smoke)
	return c, nil
}

// given gives the value of a flag, nil where the command line does not name it.
func given[V any](cmd *cobra.Command, flag string, value V) *V {
	if !cmd.Flags().Changed(flag) {
		return nil
	}
	return &value
}
