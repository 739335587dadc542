package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

func (a *terminal) weatherCommand() *cobra.Command {
	var flags weatherFlags
	var name string
	var show showFlags
	cmd := &cobra.Command{
		Use:   "weather [FILE…]",
		Short: "Load the weather record of a station, or list those that are loaded",
		Long: withStatus(`Weather reads the hourly record of a station, from one file or several, and keeps it
with the property. Windows, burn days and papers then rest on it. The first station
that is loaded is used; with several "weather use" chooses, and nothing is mixed.
Without a file it lists what is loaded. Where the files do not say where the station
stands, and in which local standard time, the property's place and offset are taken.`, statusBadInput),
		Example: "  emberquilt weather 725300-*.gz --name \"county airport\"\n  emberquilt weather use \"county airport\"",
		GroupID: groupProperty,
		RunE: func(cmd *cobra.Command, args []string) error {
			flags.note(cmd)
			return a.runWeather(cmd.Context(), &flags, name, &show, args)
		},
	}
	flags.register(cmd)
	show.register(cmd)
	cmd.Flags().StringVar(&name, "name", "", "what to call the station (default: its name in the file)")
	cmd.AddCommand(a.weatherUseCommand(), a.weatherDaysCommand(), a.weatherChanceCommand(), a.weatherLimitsCommand(), a.weatherCompareCommand())
	return cmd
}

func (a *terminal) runWeather(ctx context.Context, flags *weatherFlags, name string, show *showFlags, files []string) error {
	if len(files) == 0 {
		return a.session(ctx, app.ToRead, func(s *app.Session) error {
			all, err := s.LoadedStations()
			if err != nil {
				return err
			}
			return a.printStationList(all, show)
		})
	}
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		record, err := a.readWeather(ctx, files, flags, s.WeatherOptions())
		if err != nil {
			return err
		}
		if name == "" {
			name = view.StationName(record, files[0])
		}
		loaded, err := s.LoadWeather(ctx, name, record)
		if err != nil {
			return err
		}
		return a.say("%s", loaded.Words())
	})
}

func (a *terminal) weatherUseCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "use STATION",
		Short: "Choose the station whose record counts",
		Long:  withStatus(`Use chooses which of the loaded records windows and burn days rest on.`, statusBadInput),
		Args:  exactArgs("STATION"),
		RunE:  func(cmd *cobra.Command, args []string) error { return a.runWeatherUse(cmd.Context(), args[0]) },
	}
}

func (a *terminal) runWeatherUse(ctx context.Context, station string) error {
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		if err := s.UseStation(ctx, station); err != nil {
			return err
		}
		return a.say("%s is in use", station)
	})
}

// printStationList shows the loaded records.
func (a *terminal) printStationList(all []view.LoadedStation, show *showFlags) error {
	sheet := table.LoadedStations(all)
	if show.csv || a.json {
		return a.printSheet(sheet, show)
	}
	if len(all) == 0 {
		return a.say("no weather record is loaded: windows come from dates only")
	}
	var odd []string // a person reads the warnings below
	for _, r := range all {
		for _, warning := range r.Warnings {
			odd = append(odd, r.Station+": "+warning+".")
		}
	}
	if err := a.printSheet(sheet.Without("warnings"), show); err != nil || len(odd) == 0 {
		return err
	}
	fmt.Fprintln(a.Out)
	return a.printLines(odd)
}
