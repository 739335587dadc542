package cli

import (
	"math"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/quantity"
)

func (a *terminal) nowCommand() *cobra.Command {
	var temperature, humidity, wind float64
	var from, at, season string
	var dry int
	cmd := &cobra.Command{
		Use:   "now UNIT --temp F --rh PCT --wind MPH --from DIRECTION",
		Short: "Hold the weather of the moment against a unit's limits, winds and smoke",
		Long: withStatus(`Now takes the weather as you read it on the ground and says which limits of the unit's
prescription it keeps, at which edge a backing fire would start, how long it takes with the
interior lines that there are, who is downwind, and what it would mean if the wind turned.
The wind is at the height at which the prescription states it. Rain is not part of a
reading; --dry-days says how long ago it fell.

It ends with status 0 where every limit that could be compared holds, and with 1 where one
fails. It never says that a burn may be lit.

`+caution, statusBadInput),
		Example: "  emberquilt now \"School Prairie\" --temp 61 --rh 34 --wind 6 --from NNW\n  emberquilt now \"School Prairie\" --temp 61 --rh 34 --wind 6 --from 330 --at 13:30",
		GroupID: groupRecord,
		Args:    exactArgs("UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			for _, needed := range []string{"temp", "rh", "wind", "from"} {
				if !cmd.Flags().Changed(needed) {
					return usagef("--%s is not given; accepts --temp, --rh, --wind and --from together", needed)
				}
			}
			switch {
			case !(temperature >= -80 && temperature <= 140):
				return flagError("temp", "-80 to 140 °F", "%v is not a temperature", temperature)
			case !(humidity >= 0 && humidity <= 100):
				return flagError("rh", "0 to 100 percent", "%v is not a humidity", humidity)
			case !(wind >= 0 && wind <= 100):
				return flagError("wind", "0 to 100 mph", "%v is not a wind speed", wind)
			}
			bearing, ok := quantity.ParseCompass(from)
			if !ok {
				degrees, err := quantity.Parse(from)
				if err != nil || !(degrees >= 0 && degrees <= 360) {
					return flagError("from", "a compass point such as NNW, or degrees from 0 to 360", "%s is not a direction", quote(from))
				}
				bearing = quantity.NewBearing(math.Mod(degrees, 360))
			}
			in := app.NowOptions{Unit: args[0], Season: season, Temperature: quantity.Fahrenheit(temperature), Humidity: quantity.Percent(humidity),
				Wind: quantity.MilesPerHour(wind), From: bearing, At: at, DryDays: given(cmd, "dry-days", dry)}
			return a.session(cmd.Context(), app.ToRead, func(s *app.Session) error {
				v, err := s.Now(cmd.Context(), in)
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
		},
	}
	cmd.Flags().Float64Var(&temperature, "temp", 0, "air temperature in °`F`")
	cmd.Flags().Float64Var(&humidity, "rh", 0, "relative humidity in `PERCENT`")
	cmd.Flags().Float64Var(&wind, "wind", 0, "wind in `MPH` at the height of the prescription")
	cmd.Flags().StringVar(&from, "from", "", "`DIRECTION` from which the wind blows: NNW, or degrees")
	cmd.Flags().StringVar(&at, "at", "", "`TIME` of day by the clock (default: the time now)")
	cmd.Flags().IntVar(&dry, "dry-days", 0, "`DAYS` since rain, where you know them")
	cmd.Flags().StringVar(&season, "season", "", "the unit's prescription in this `SEASON` (default: the one under way or next)")
	return cmd
}
