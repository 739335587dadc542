package cli

import (
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/schedule/window"
)

// cardFlags say what the property file does not know of a unit.
type cardFlags struct {
	own   app.Firing
	lines int
}

func (f *cardFlags) register(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.Float64Var(&f.own.Depth, "depth", 0, "the same depth along every wind, in `FEET`")
	flags.Float64Var(&f.own.Length, "length", 0, "length of a rectangular unit, in `FEET`")
	flags.Float64Var(&f.own.Width, "width", 0, "width of a rectangular unit, in `FEET`")
	flags.Float64Var(&f.own.Axis, "axis", 0, "bearing of its length, in `DEGREES` from north")
	flags.Float64Var(&f.own.Rate, "rate", 0, fmt.Sprintf("backing rate in `CHAINS` an hour (default: %g)", float64(window.DefaultBackingRate)))
	flags.IntVar(&f.own.Hours, "hours", 0, "your own number of `HOURS` in a row that a burn of the unit takes")
	flags.IntVar(&f.lines, "lines", 0, "your own `NUMBER` of interior lines; 0 backs the unit through whole")
	flags.Float64Var(&f.own.Spacing, "spacing", 0, fmt.Sprintf("the most `CHAINS` from one interior line to the next (default: %g)", float64(window.DefaultSpacing)))
	flags.Float64Var(&f.own.Adjustment, "adjustment", 0, "eye-level wind as a `SHARE` of the 20-foot wind, 0 to 1, for prescriptions at eye level")
	flags.Float64Var(&f.own.Within, "within", float64(app.SmokeDistance), "how far a place is sensitive to smoke, in `FEET`")
	flags.BoolVar(&f.own.Smoke, "allow-smoke", false, "keep winds in that carry smoke to a sensitive place")
}

// onto puts what the flags say over what is kept, for one unit or for all.
func (f *cardFlags) onto(cmd *cobra.Command, own *app.Firing, everyUnit bool) error {
	named := cmd.Flags().Changed
	for _, flag := range []string{"depth", "length", "width", "axis"} {
		if everyUnit && named(flag) {
			return usagef("--%s is that of one unit; accepts a UNIT before it", flag)
		}
	}
	for _, of := range []struct {
		flag     string
		from, to *float64
		most     float64
	}{
		{"depth", &f.own.Depth, &own.Depth, 1e6}, {"length", &f.own.Length, &own.Length, 1e6}, {"width", &f.own.Width, &own.Width, 1e6},
		{"rate", &f.own.Rate, &own.Rate, 80}, {"spacing", &f.own.Spacing, &own.Spacing, 1000}, {"adjustment", &f.own.Adjustment, &own.Adjustment, 1},
		{"within", &f.own.Within, &own.Within, 1e6},
	} {
		if !named(of.flag) {
			continue
		}
		if !(*of.from > 0 && *of.from <= of.most) {
			return flagError(of.flag, fmt.Sprintf("a number above 0, up to %s", trim(of.most)), "%v is out of range", *of.from)
		}
		*of.to = *of.from
	}
	if named("axis") {
		if !(f.own.Axis >= 0 && f.own.Axis <= 360) {
			return flagError("axis", "0 to 360 degrees", "%v is not a bearing", f.own.Axis)
		}
		own.Axis = f.own.Axis
	}
	if named("hours") && named("lines") {
		return usagef("--hours and --lines cannot be combined, since one follows from the other; use one")
	}
	if named("hours") {
		if f.own.Hours < 1 || f.own.Hours > 24 {
			return flagError("hours", "1 to 24", "%d hours in a row are in no day", f.own.Hours)
		}
		own.Hours, own.Lines = f.own.Hours, nil
	}
	if named("lines") {
		if f.lines < 0 || f.lines > window.MaxLines {
			return flagError("lines", fmt.Sprintf("0 to %d", window.MaxLines), "%d is not a number of lines", f.lines)
		}
		own.Lines, own.Hours = &f.lines, 0
	}
	if named("allow-smoke") {
		own.Smoke = f.own.Smoke
	}
	if named("depth") && (named("length") || named("width")) {
		return usagef("--depth goes with neither --length nor --width; accepts one or the two")
	}
	if named("length") != named("width") {
		return usagef("--length and --width go together; accepts both")
	}
	if named("length") {
		own.Depth = 0
	}
	return nil
}

func trim(v float64) string {
	if v == math.Trunc(v) {
		return fmt.Sprintf("%d", int64(v))
	}
	return fmt.Sprint(v)
}
