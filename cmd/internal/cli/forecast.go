package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/weather"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// forecastOptions are those of the forecast command.
type forecastOptions struct {
	read         weatherFlags
	show         showFlags
	unit, season string
	// dryDays is nil where the days since rain are not given.
	dryDays *int
	hourly  bool
	// elsewhere and anyAge take a forecast of another place, or an older one.
	elsewhere, anyAge bool
}

func (a *terminal) forecastCommand() *cobra.Command {
	var o forecastOptions
	var dry int
	cmd := &cobra.Command{
		Use:   "forecast DOCUMENT [PRESCRIPTION]",
		Short: "Read the public forecast of the next days against a prescription",
		Long: withStatus(`Forecast reads the hourly or gridpoint forecast document of the US national weather
service and says, day by day and hour by hour, which limits of a prescription the forecast
keeps, which it does not and by how much, and what the document does not hold. The
prescription is a file, or that of a unit of the property with --unit. It never says that
a burn may be lit.

With --unit the document is held against the property's place and the moment: one for a
place over 30 miles off, or over 24 hours old, is refused unless --elsewhere or --any-age
says otherwise. To get one, open https://api.weather.gov/points/LATITUDE,LONGITUDE (such
as /points/39.2000,-96.6000) in a browser, and save what the address that it gives as
forecastHourly shows, or as forecastGridData for rain, gusts, mixing height and transport
wind. Emberquilt itself
asks nothing of the network.

`+caution, statusBadInput),
		Example: "  emberquilt forecast hourly.json meadow.json --utc-offset -6\n  emberquilt forecast hourly.json --unit \"School Prairie\"",
		GroupID: groupRecord,
		Args:    argsBetween(1, "DOCUMENT", "PRESCRIPTION"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.read.note(cmd)
			o.dryDays = given(cmd, "dry-days", dry)
			return a.runForecast(cmd.Context(), &o, args)
		},
	}
	o.read.register(cmd)
	o.show.register(cmd)
	cmd.Flags().StringVar(&o.unit, "unit", "", "the prescription, winds and hours of this `UNIT` of the property")
	cmd.Flags().StringVar(&o.season, "season", "", "the unit's prescription in this `SEASON` (default: the one under way or next)")
	cmd.Flags().IntVar(&dry, "dry-days", 0, "`DAYS` since rain on the first day of the forecast, where you know them")
	cmd.Flags().BoolVar(&o.elsewhere, "elsewhere", false, "take a forecast for a place over 30 miles from the property")
	cmd.Flags().BoolVar(&o.anyAge, "any-age", false, "take a forecast over 24 hours old")
	cmd.Flags().BoolVar(&o.hourly, "hours", false, "show every burn hour with its limits")
	return cmd
}

func (a *terminal) runForecast(ctx context.Context, o *forecastOptions, args []string) error {
	if err := o.show.validate(a); err != nil {
		return err
	}
	if o.season != "" && o.unit == "" {
		return usagef("--season goes with --unit; accepts both")
	}
	if (len(args) == 2) == (o.unit != "") {
		return usagef("a prescription file or --unit is needed, not both; use one")
	}
	if o.unit == "" {
		limits, err := a.readPrescription(args[1])
		if err != nil {
			return err
		}
		return a.checkForecast(ctx, o, args[0], &app.ForecastTerms{Limits: limits})
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		terms, err := s.ForecastTerms(ctx, o.unit, o.season)
		if err != nil {
			return err
		}
		terms.Hold.Elsewhere, terms.Hold.AnyAge = o.elsewhere, o.anyAge
		return a.checkForecast(ctx, o, args[0], terms)
	})
}

func (a *terminal) checkForecast(ctx context.Context, o *forecastOptions, document string, terms *app.ForecastTerms) error {
	options, err := o.read.options(terms.Known)
	if err != nil {
		return err
	}
	file, name, err := a.open(document)
	if err != nil {
		return err
	}
	defer file.Close()
	v, err := app.CheckForecast(ctx, weather.File{Name: name, Content: file}, options, terms, o.dryDays)
	switch {
	case err != nil:
		return err
	case a.json:
		return a.printJSON(v.Check)
	case o.show.csv:
		return table.ForecastHours(v.Check, false).WriteCSV(a.Out)
	}
	return a.printForecast(v, o.hourly)
}

func (a *terminal) printForecast(v *view.Forecast, hourly bool) error {
	a.prose("%s\n", v.Title())
	if len(v.HeldTo) > 0 {
		if err := a.printLines(v.HeldTo); err != nil {
			return err
		}
		fmt.Fprintln(a.Out)
	}
	options := table.Options{Width: a.width()}
	if err := table.ForecastDays(v.Check).Write(a.Out, options); err != nil {
		return err
	}
	if hourly {
		fmt.Fprintln(a.Out)
		if err := table.ForecastHours(v.Check, true).Write(a.Out, options); err != nil {
			return err
		}
	}
	return a.prose("\n%s\n\n%s", strings.Join(v.Compared(), "\n"), v.Check.Caution)
}
