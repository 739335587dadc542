package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
	"emberquilt/report/table"
	"emberquilt/store"
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
			if len(args) == 0 {
				return a.snapshot(cmd.Context(), func(snapshot *store.Snapshot) error { return a.listWeather(snapshot, &show) })
			}
			return a.session(cmd.Context(), app.ToChange, func(d *app.Session) error {
				flags.fallback = &d.Property.UTCOffset
				if d.Property.HasPlace {
					flags.fallbackPlace = &weather.Place{Latitude: d.Property.Latitude, Longitude: d.Property.Longitude}
				}
				record, err := a.readWeather(cmd.Context(), args, &flags, cmd)
				if err != nil {
					return err
				}
				return a.keepWeather(cmd, d, stationName(name, record, args[0]), record)
			})
		},
	}
	flags.register(cmd)
	show.register(cmd)
	cmd.Flags().StringVar(&name, "name", "", "what to call the station (default: its name in the file)")
	cmd.AddCommand(a.weatherUseCommand(), a.weatherDaysCommand(), a.weatherChanceCommand(), a.weatherLimitsCommand(), a.weatherCompareCommand())
	return cmd
}

func stationName(given string, record *weather.Record, file string) string {
	for _, name := range []string{given, strings.TrimSpace(record.Station.Name), record.Station.ID} {
		if name != "" {
			return name
		}
	}
	return file
}

func (a *terminal) keepWeather(cmd *cobra.Command, d *app.Session, name string, record *weather.Record) error {
	if err := habitat.ValidateName("name", name); err != nil {
		return fieldFaults(err, sameFlag)
	}
	about, hours, err := record.Keep()
	if err != nil {
		return err
	}
	at, err := a.moment()
	if err != nil {
		return err
	}
	used := d.Station
	err = d.Store.Update(cmd.Context(), at, "load the weather record "+name, func(tx *store.Tx) error {
		if err := tx.PutDocument(store.Document{Kind: store.Weather, Name: name, Body: about, Record: hours}); err != nil {
			return err
		}
		if used != "" {
			return nil
		}
		return tx.UseStation(name)
	})
	if err != nil {
		return err
	}
	text := fmt.Sprintf("loaded %s: %s, %s, %s", name, record.Span(), quantity.Count(len(record.Hours), "hour"), quantity.Count(record.Years(), "year"))
	if used != "" && used != name {
		return a.say("%s; %s stays in use", text, used)
	}
	return a.say("%s; it is in use", text)
}

func (a *terminal) weatherUseCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "use STATION",
		Short: "Choose the station whose record counts",
		Long:  withStatus(`Use chooses which of the loaded records windows and burn days rest on.`, statusBadInput),
		Args:  exactArgs("STATION"),
		RunE: func(cmd *cobra.Command, args []string) error {
			at, err := a.moment()
			if err != nil {
				return err
			}
			return a.session(cmd.Context(), app.ToChange, func(d *app.Session) error {
				if _, err := d.WeatherRecord(cmd.Context(), args[0]); err != nil {
					return err
				}
				if err := d.Store.Update(cmd.Context(), at, "use the weather record "+args[0], func(tx *store.Tx) error { return tx.UseStation(args[0]) }); err != nil {
					return err
				}
				return a.say("%s is in use", args[0])
			})
		},
	}
}

// listWeather shows the loaded records.
func (a *terminal) listWeather(snapshot *store.Snapshot, show *showFlags) error {
	if len(snapshot.Weather) == 0 && !a.json && !show.csv {
		return a.say("no weather record is loaded: windows come from dates only")
	}
	var odd []string
	sheet := &table.Sheet{Name: "weather", Header: []string{"station", "in_use", "files", "formats", "hours", "typical_year", "warnings"}}
	for _, doc := range snapshot.Weather {
		record, err := weather.Describe(doc.Body)
		if err != nil {
			return err
		}
		var files, formats []string
		hours := 0
		for _, s := range record.Sources {
			files, formats, hours = append(files, s.File), append(formats, string(s.Format)), hours+s.Kept-s.Overlaps
		}
		sheet.Rows = append(sheet.Rows, []any{doc.Name, doc.Name == snapshot.Station, strings.Join(files, ", "), strings.Join(unique(formats), ", "), hours, record.Typical, strings.Join(record.Warnings, "; ")})
		for _, warning := range record.Warnings {
			odd = append(odd, doc.Name+": "+warning+".")
		}
	}
	if show.csv || a.json {
		return a.printSheet(sheet, show)
	}
	const last = 6 // a person reads the warnings below
	sheet.Header = sheet.Header[:last]
	for i := range sheet.Rows {
		sheet.Rows[i] = sheet.Rows[i][:last]
	}
	if err := a.printSheet(sheet, show); err != nil || len(odd) == 0 {
		return err
	}
	fmt.Fprintln(a.Out)
	return a.printLines(odd)
}

func unique(all []string) []string {
	var once []string
	for _, text := range all {
		if !oneOf(text, once) {
			once = append(once, text)
		}
	}
	return once
}
