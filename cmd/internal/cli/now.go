package cli

import (
	"cmp"
	"context"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
)

// nowOptions are those of the now command.
type nowOptions struct {
	temperature, humidity, wind float64
	// gust is nil where none is named.
	gust *float64
	from string
	// missing is the first flag of a reading that the command line does not name, typed
	// the first that it does.
	missing, typed string
	// forecast is the document to read in place of a reading; empty for none.
	forecast string
	app.NowOptions
}

func (a *terminal) nowCommand() *cobra.Command {
	var o nowOptions
	var dry int
	var gust float64
	cmd := &cobra.Command{
		Use:   "now UNIT (--temp F --rh PCT --wind MPH --from DIRECTION | --forecast FILE)",
		Short: "Hold the weather of the moment against a unit's limits, winds and smoke",
		Long: withStatus(`Now takes the weather as you read it on the ground and says which limits of the unit's
prescription it keeps, at which edge a backing fire would start, how long it takes with the
interior lines that there are, who is downwind, and what it would mean if the wind turned.
The wind and its gusts are at the height at which the prescription states them. Rain is
not part of a reading; --dry-days says how long ago it fell. A limit on gusts that is not
read, or on the mixing height or the transport wind, is named as not compared.

With --forecast the hour of a public forecast that is nearest to the moment, or to --at,
takes the place of the reading: both ends of its wind must hold. Emberquilt asks nothing of
the network; "emberquilt help forecast" says how to save one. A forecast for a place over
30 miles off, or over 24 hours old, is refused unless --elsewhere or --any-age says
otherwise. The day must lie in the season and outside the unit's closures.

It ends with status 0 where every limit that could be compared holds, and with 1 where one
fails. It never says that a burn may be lit.

`+caution, statusBadInput),
		Example: "  emberquilt now \"School Prairie\" --temp 61 --rh 34 --wind 6 --from NNW\n  emberquilt now \"School Prairie\" --temp 61 --rh 34 --wind 6 --from 330 --at 13:30\n  emberquilt now \"School Prairie\" --forecast hourly.json --at \"2027-03-21 13:00\"",
		GroupID: groupRecord,
		Args:    exactArgs("UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Unit, o.DryDays = args[0], given(cmd, "dry-days", dry)
			o.gust = given(cmd, "gust", gust)
			for _, needed := range []string{"from", "wind", "rh", "temp"} {
				if cmd.Flags().Changed(needed) {
					o.typed = needed
				} else {
					o.missing = needed
				}
			}
			return a.runNow(cmd.Context(), o)
		},
	}
	cmd.Flags().Float64Var(&o.temperature, "temp", 0, "air temperature in °`F`")
	cmd.Flags().Float64Var(&o.humidity, "rh", 0, "relative humidity in `PERCENT`")
	cmd.Flags().Float64Var(&o.wind, "wind", 0, "wind in `MPH` at the height of the prescription")
	cmd.Flags().Float64Var(&gust, "gust", 0, "highest gust in `MPH` at the same height, where you read one")
	cmd.Flags().StringVar(&o.from, "from", "", "`DIRECTION` from which the wind blows: NNW, or degrees")
	cmd.Flags().StringVar(&o.At, "at", "", "`TIME` of day by the clock, or day and time (default: the time now)")
	cmd.Flags().StringVar(&o.forecast, "forecast", "", "read the hour of this forecast `FILE` in place of a reading, - for standard input")
	cmd.Flags().BoolVar(&o.Elsewhere, "elsewhere", false, "take a forecast for a place over 30 miles from the property")
	cmd.Flags().BoolVar(&o.AnyAge, "any-age", false, "take a forecast over 24 hours old")
	cmd.Flags().IntVar(&dry, "dry-days", 0, "`DAYS` since rain, where you know them")
	cmd.Flags().StringVar(&o.Season, "season", "", "the unit's prescription in this `SEASON` (default: the one under way or next)")
	return cmd
}

func (a *terminal) runNow(ctx context.Context, o nowOptions) error {
	if o.gust != nil {
		gust := quantity.MilesPerHour(*o.gust)
		o.Gust, o.typed = &gust, cmp.Or(o.typed, "gust")
	}
	switch {
	case o.forecast != "" && o.typed != "":
		return usagef("--forecast and --%s cannot be combined; use one", o.typed)
	case o.forecast != "":
		file, name, err := a.open(o.forecast)
		if err != nil {
			return err
		}
		defer file.Close()
		o.Forecast = &weather.File{Name: name, Content: file}
	case o.missing != "":
		return usagef("--%s is not given; accepts --temp, --rh, --wind and --from together, or --forecast", o.missing)
	default:
		var ok bool
		if o.From, ok = quantity.ParseDirection(o.from); !ok {
			return flagError("from", "a compass point such as NNW, or degrees from 0 to 360", "%s is not a direction", quote(o.from))
		}
		o.Temperature, o.Humidity, o.Wind = quantity.Fahrenheit(o.temperature), quantity.Percent(o.humidity), quantity.MilesPerHour(o.wind)
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		v, err := s.Now(ctx, o.NowOptions)
		if err != nil {
			return err
		}
		if a.json {
			err = a.printJSON(v)
		} else {
			err = a.printLines(v.Lines())
		}
		if err == nil && !v.AllHold {
			err = answered{statusFailed}
		}
		return err
	})
}
