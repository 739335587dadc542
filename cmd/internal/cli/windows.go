package cli

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

func (a *terminal) windowsCommand() *cobra.Command {
	var read weatherFlags
	var options window.Options
	var show showFlags
	var plain, limitCosts, weeks, beside bool
	var steps string
	cmd := &cobra.Command{
		Use:   "windows WEATHER… PRESCRIPTION",
		Short: "Count the days of a weather record on which a prescription holds",
		Long: withStatus(`Windows reads an hourly weather record and a prescription/1 file and counts, by
month and year: days known, candidate days, their share, hours in prescription. It
needs no property file. Several weather files are joined where they are of one
station. What a file is follows from its content: `+strings.Join(weatherFormats(), ", ")+`;
plain, gzip or zip.

A day is known when four fifths of its burn hours have temperature, humidity and
wind; other days are in no count. With --csv there is a row for each month, pooled
over the years, and one for the year. --limits says for each limit how many days it
costs alone, and how many more there would be with it a step wider; it advises nothing:
a limit is there for reasons that no count knows. --weeks says for each week and hour
how often it is in prescription. --beside takes each file for a station of its own and
sets the counts side by side.

`+caution, statusBadInput),
		Example: `  emberquilt windows station-2016.gz station-2017.gz grass.json --utc-offset -6
  emberquilt windows tower.csv grass.json --columns "time=Stamp,temp=AirT:c,rh=RH,wind=WS:m/s,from=WD,rain=P:mm"`,
		GroupID: groupBare,
		Args:    atLeast("WEATHER", "PRESCRIPTION"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := show.validate(a); err != nil {
				return err
			}
			if limitCosts && weeks || limitCosts && beside || weeks && beside {
				return usagef("--limits, --weeks and --beside cannot be combined; use one")
			}
			if plain && (show.csv || a.json) {
				return usagef("--table goes with neither --csv nor --json; accepts one of the three")
			}
			file, name, err := a.open(args[len(args)-1])
			if err != nil {
				return err
			}
			defer file.Close()
			limits, err := prescription.Read(name, file)
			if err != nil {
				return err
			}
			by, err := parseSteps(steps)
			if err != nil {
				return err
			}
			if beside {
				return a.printBeside(cmd, args[:len(args)-1], &read, limits, options, &show)
			}
			record, err := a.readWeather(cmd.Context(), args[:len(args)-1], &read, cmd)
			if err != nil {
				return err
			}
			switch {
			case limitCosts:
				one, err := limitTable(window.NewSeries(record), limits, options, by)
				if err != nil {
					return err
				}
				return a.printLimits([]view.LimitTable{one}, &show)
			case weeks:
				days, err := window.NewSeries(record).Evaluate(limits, options)
				if err != nil {
					return err
				}
				return a.printHeats([]view.Heat{view.NewHeat(limits, days, nil)}, days.Basis(), days.Warnings, &show)
			}
			counts, err := window.Count(record, limits, options)
			if err != nil {
				return err
			}
			switch {
			case a.json:
				return a.printJSON(counts)
			case show.csv:
				return counts.WriteCSV(a.Out)
			}
			return a.printCounts(record, limits, counts)
		},
	}
	read.register(cmd)
	show.register(cmd)
	cmd.Flags().BoolVar(&plain, "table", false, "print tables for people (the default)")
	cmd.Flags().BoolVar(&limitCosts, "limits", false, "say which limit of the prescription costs how many days")
	cmd.Flags().BoolVar(&weeks, "weeks", false, "say how often each hour of each week is in prescription")
	cmd.Flags().BoolVar(&beside, "beside", false, "count each weather file by itself, as a station of its own")
	registerSteps(cmd, &steps)
	cmd.Flags().BoolVar(&options.StrictRain, "strict-rain", false, "an hour without a depth of rain does not count as dry")
	cmd.Flags().IntVar(&options.MinHours, "min-hours", 0, "needed `HOURS` in a row (default: the prescription's)")
	return cmd
}

// printBeside counts each file by itself.
func (a *terminal) printBeside(cmd *cobra.Command, files []string, read *weatherFlags, limits *prescription.Prescription, o window.Options, show *showFlags) error {
	var records []*weather.Record
	var names []string
	for _, file := range files {
		record, err := a.readWeather(cmd.Context(), []string{file}, read, cmd)
		if err != nil {
			return err
		}
		records, names = append(records, record), append(names, stationName("", record, file))
	}
	one, err := view.NewStationTable(names, "", records, limits, o)
	if err != nil {
		return err
	}
	return a.printStations([]view.StationTable{one}, show)
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
	offset float64
	// fallback and fallbackPlace hold where the flags are absent; nil where there
	// is none.
	fallback       *quantity.Hours
	fallbackPlace  *weather.Place
	place, columns string
	rainUnit       string
	metric         bool
}

func (f *weatherFlags) register(cmd *cobra.Command) {
	cmd.Flags().Float64Var(&f.offset, "utc-offset", 0, "local standard time minus UTC in `HOURS`, for files in UTC")
	cmd.Flags().StringVar(&f.place, "place", "", "where the station stands, as `LATITUDE,LONGITUDE`, for files that do not say")
	cmd.Flags().StringVar(&f.columns, "columns", "", "which column of a plain CSV file holds what, and in which unit: `\"time=Stamp,temp=AirT:c,…\"`")
	cmd.Flags().StringVar(&f.rainUnit, "rain-unit", "", "`UNIT` of a TMY3 file's precipitation, mm or tenths (of a millimeter), where the file does not tell")
	cmd.Flags().BoolVar(&f.metric, "metric", false, "the values of an LCD version 2 file are metric")
}

func (f *weatherFlags) options(cmd *cobra.Command) (o weather.Options, err error) {
	o.UTCOffset, o.Place = f.fallback, f.fallbackPlace
	if cmd.Flags().Changed("utc-offset") {
		if !(f.offset >= -12 && f.offset <= 14) {
			return o, flagError("utc-offset", "-12 to 14 hours", "%v hours is not a time zone", f.offset)
		}
		offset := quantity.Hours(f.offset)
		o.UTCOffset = &offset
	}
	if cmd.Flags().Changed("metric") {
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
func (a *terminal) readWeather(ctx context.Context, names []string, flags *weatherFlags, cmd *cobra.Command) (*weather.Record, error) {
	options, err := flags.options(cmd)
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
	fmt.Fprintf(a.Out, "%s%s; prescription %s\n\n", station, counts.Span, limits.Name)
	months := tallies("month")
	for i := range counts.Months {
		months.Rows = append(months.Rows, tallyRow(time.Month(i + 1).String()[:3], counts.Months[i]))
	}
	months.Rows = append(months.Rows, tallyRow("year", counts.Year))
	options := table.Options{Width: a.width()}
	if err := months.Write(a.Out, options); err != nil {
		return err
	}
	if !counts.Typical {
		years := tallies("calendar_year")
		for _, y := range counts.Years {
			years.Rows = append(years.Rows, tallyRow(strconv.Itoa(y.Year), y.Total))
		}
		fmt.Fprintln(a.Out)
		if err := years.Write(a.Out, options); err != nil {
			return err
		}
	}
	_, err := io.WriteString(a.Out, "\n"+counts.MissingLine()+"\n"+window.Caution+"\n")
	return err
}

func tallies(first string) *table.Sheet {
	return &table.Sheet{Name: first, Header: []string{first, "known_days", "candidate_days", "share_pct", "hours"}}
}

func tallyRow(name string, t window.Tally) []any {
	var share any
	if s, ok := t.Share(); ok {
		share = view.Rounded(100*float64(s), 1)
	}
	return []any{name, t.KnownDays, t.CandidateDays, share, t.Hours}
}
