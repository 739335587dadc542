package cli

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

// windowsOptions are those of the windows command.
type windowsOptions struct {
	read                             weatherFlags
	show                             showFlags
	count                            window.Options
	plain, limitCosts, weeks, beside bool
	steps                            string
}

func (a *terminal) windowsCommand() *cobra.Command {
	var o windowsOptions
	cmd := &cobra.Command{
		Use:   "windows WEATHER… PRESCRIPTION",
		Short: "Count the days of a weather record on which a prescription holds",
		Long: withStatus(`Windows reads an hourly weather record and a prescription/1 file and counts, by
month and year: days known, candidate days, their share, hours in prescription. It
needs no property file. Several weather files are joined where they are of one
station. What a file is follows from its content: `+strings.Join(weatherFormats(), ", ")+`;
plain, gzip or zip.

Plain CSV has a header row with time, temp_f, rh_pct, wind_mph and, where there are such
columns, wind_from_deg, rain_in, gust_mph, mixing_height_ft, transport_wind_mph and
transport_from_deg, or other names that --columns maps.

A day is known when four fifths of its burn hours have temperature, humidity and
wind; other days are in no count. With --csv there is a row for each month, pooled
over the years, and one for the year. --limits says for each limit how many days it
costs alone, and how many more there would be with it a step wider; it advises nothing:
a limit is there for reasons that no count knows. --weeks says for each week and hour
how often it is in prescription. --beside takes each file for a station of its own and
sets the counts side by side.

`+caution, statusBadInput),
		Example: `  emberquilt windows station-2016.gz station-2017.gz grass.json --utc-offset -6
  emberquilt windows tower.csv grass.json --columns "time=Stamp,temp=AirT:c,rh=RH,wind=WS:m/s,from=WD,gust=WG:m/s,rain=P:mm"`,
		GroupID: groupBare,
		Args:    atLeast("WEATHER", "PRESCRIPTION"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.read.note(cmd)
			return a.runWindows(cmd.Context(), &o, args[:len(args)-1], args[len(args)-1])
		},
	}
	o.read.register(cmd)
	o.show.register(cmd)
	cmd.Flags().BoolVar(&o.plain, "table", false, "print tables for people (the default)")
	cmd.Flags().BoolVar(&o.limitCosts, "limits", false, "say which limit of the prescription costs how many days")
	cmd.Flags().BoolVar(&o.weeks, "weeks", false, "say how often each hour of each week is in prescription")
	cmd.Flags().BoolVar(&o.beside, "beside", false, "count each weather file by itself, as a station of its own")
	registerSteps(cmd, &o.steps)
	cmd.Flags().BoolVar(&o.count.StrictRain, "strict-rain", false, "an hour without a depth of rain does not count as dry")
	cmd.Flags().IntVar(&o.count.MinHours, "min-hours", 0, "needed `HOURS` in a row (default: the prescription's)")
	return cmd
}

func (a *terminal) runWindows(ctx context.Context, o *windowsOptions, files []string, limitsFile string) error {
	if err := o.show.validate(a); err != nil {
		return err
	}
	if o.limitCosts && o.weeks || o.limitCosts && o.beside || o.weeks && o.beside {
		return usagef("--limits, --weeks and --beside cannot be combined; use one")
	}
	if o.plain && (o.show.csv || a.json) {
		return usagef("--table goes with neither --csv nor --json; accepts one of the three")
	}
	limits, err := a.readPrescription(limitsFile)
	if err != nil {
		return err
	}
	by, err := parseSteps(o.steps)
	if err != nil {
		return err
	}
	if o.beside {
		return a.printBeside(ctx, o, files, limits)
	}
	record, err := a.readWeather(ctx, files, &o.read, weather.Options{})
	if err != nil {
		return err
	}
	switch {
	case o.limitCosts:
		v, err := app.Limits(window.NewSeries(record), limits, o.count, by)
		if err != nil {
			return err
		}
		return a.printLimits(v, &o.show)
	case o.weeks:
		v, err := app.Chance(window.NewSeries(record), limits, o.count)
		if err != nil {
			return err
		}
		return a.printChances(v, &o.show)
	}
	counts, err := window.Count(record, limits, o.count)
	if err == nil && !a.json {
		a.warn(window.NewSeries(record).UnheldWords(limits))
	}
	switch {
	case err != nil:
		return err
	case a.json:
		return a.printJSON(counts)
	case o.show.csv:
		return counts.WriteCSV(a.Out)
	}
	return a.printCounts(record, limits, counts)
}

// readPrescription reads one from a file.
func (a *terminal) readPrescription(path string) (*prescription.Prescription, error) {
	file, name, err := a.open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return prescription.Read(name, file)
}

// printBeside counts each file by itself.
func (a *terminal) printBeside(ctx context.Context, o *windowsOptions, files []string, limits *prescription.Prescription) error {
	var records []*weather.Record
	var names []string
	for _, file := range files {
		record, err := a.readWeather(ctx, []string{file}, &o.read, weather.Options{})
		if err != nil {
			return err
		}
		records, names = append(records, record), append(names, view.StationName(record, file))
	}
	v, err := app.BesideEachOther(records, names, limits, o.count)
	if err != nil {
		return err
	}
	return a.printStations(v, &o.show)
}

// weatherFormats names what can be read.
func weatherFormats() []string {
	all := []weather.Format{weather.EPW, weather.TMY3, weather.TMY2, weather.ISDLite, weather.ISD, weather.GlobalHourly, weather.LCD1, weather.LCD2, weather.Plain}
	names := make([]string, len(all))
	for i, f := range all {
		names[i] = string(f)
	}
	return names
}

// weatherFlags say what a weather file leaves open.
type weatherFlags struct {
	offset         float64
	place, columns string
	rainUnit       string
	metric         bool
	// hasOffset and hasMetric say that the command line names them.
	hasOffset, hasMetric bool
}

// note takes down which flags the command line names.
func (f *weatherFlags) note(cmd *cobra.Command) {
	f.hasOffset, f.hasMetric = cmd.Flags().Changed("utc-offset"), cmd.Flags().Changed("metric")
}

func (f *weatherFlags) register(cmd *cobra.Command) {
	cmd.Flags().Float64Var(&f.offset, "utc-offset", 0, "local standard time minus UTC in `HOURS`, for files in UTC")
	cmd.Flags().StringVar(&f.place, "place", "", "where the station stands, as `PLACE` latitude,longitude, for files that do not say")
	cmd.Flags().StringVar(&f.columns, "columns", "", "which column of a plain CSV file holds what, and in which unit, as `PAIRS` \"time=Stamp,temp=AirT:c,…\"")
	cmd.Flags().StringVar(&f.rainUnit, "rain-unit", "", "`UNIT` of a TMY3 file's precipitation, mm or tenths (of a millimeter), where the file does not tell")
	cmd.Flags().BoolVar(&f.metric, "metric", false, "the values of an LCD version 2 file are metric")
}

// options puts what the flags say over what is known without them.
func (f *weatherFlags) options(o weather.Options) (_ weather.Options, err error) {
	if f.hasOffset {
		if !(f.offset >= -12 && f.offset <= 14) {
			return o, flagError("utc-offset", "-12 to 14 hours", "%v hours is not a time zone", f.offset)
		}
		offset := quantity.Hours(f.offset)
		o.UTCOffset = &offset
	}
	if f.hasMetric {
		o.Metric = &f.metric
	}
	if o.RainUnit = weather.RainUnit(f.rainUnit); !oneOf(f.rainUnit, []string{"", string(weather.RainMillimeters), string(weather.RainTenths)}) {
		return o, flagError("rain-unit", "mm or tenths", "%s is not a unit of rain", quote(f.rainUnit))
	}
	if f.place != "" {
		if o.Place, err = parsePlace(f.place); err != nil {
			return o, err
		}
	}
	if f.columns != "" {
		if o.Columns, err = weather.ParseColumns(f.columns); err != nil {
			return o, usagef("--columns: %w", err)
		}
	}
	return o, nil
}

func parsePlace(text string) (*weather.Place, error) {
	north, east, ok := strings.Cut(text, ",")
	latitude, err1 := quantity.Parse(strings.TrimSpace(north))
	longitude, err2 := quantity.Parse(strings.TrimSpace(east))
	if !ok || err1 != nil || err2 != nil || !(latitude >= -90 && latitude <= 90 && longitude >= -180 && longitude <= 180) {
		return nil, flagError("place", `latitude and longitude in degrees, north and east positive, such as "36.9,-97.0"`, "%s is not a place", quote(text))
	}
	return &weather.Place{Latitude: latitude, Longitude: longitude}, nil
}

// readWeather reads the files of one station and says on standard error what
// they were taken for.
func (a *terminal) readWeather(ctx context.Context, names []string, flags *weatherFlags, known weather.Options) (*weather.Record, error) {
	options, err := flags.options(known)
	if err != nil {
		return nil, err
	}
	shown := a.startProgress("reading " + strings.Join(names, ", "))
	defer shown.stop()
	var files []weather.File
	for _, path := range names {
		file, name, err := a.open(path)
		if err != nil {
			return nil, err
		}
		defer file.Close()
		files = append(files, weather.File{Name: name, Content: file})
	}
	record, err := weather.Read(ctx, files, options)
	if err != nil {
		return nil, err
	}
	if !a.json {
		shown.stop()
		a.sayRead(record)
	}
	return record, nil
}

// sayRead prints, on standard error, how the files were read.
func (a *terminal) sayRead(record *weather.Record) {
	for _, s := range record.Sources {
		packed := ""
		if s.Packed != "" {
			packed = ", " + s.Packed
		}
		fmt.Fprintf(a.Err, "%s: %s%s, %s hours\n", s.File, s.Format, packed, quantity.Group(float64(s.Kept), 0))
		for _, note := range s.Notes {
			fmt.Fprintf(a.Err, "%s: %s\n", s.File, note)
		}
	}
	if bad := record.Complaints(); bad != nil {
		fmt.Fprintln(a.Err, "warning: these lines were left out:")
		fmt.Fprintln(a.Err, bad)
	}
	a.warn(record.Warnings)
}

// printCounts prints the counts by month and by year.
func (a *terminal) printCounts(record *weather.Record, limits *prescription.Prescription, counts *window.Counts) error {
	station := record.Station.Name
	if station == "" {
		station = record.Station.ID
	}
	if station != "" {
		station += ", "
	}
	a.prose("%s%s; prescription %s\n", station, counts.Span, limits.Name)
	options := table.Options{Width: a.width()}
	if err := table.MonthTallies(counts).Write(a.Out, options); err != nil {
		return err
	}
	if !counts.Typical {
		fmt.Fprintln(a.Out)
		if err := table.YearTallies(counts).Write(a.Out, options); err != nil {
			return err
		}
	}
	_, err := io.WriteString(a.Out, "\n"+counts.MissingLine()+"\n"+window.Caution+"\n")
	return err
}
