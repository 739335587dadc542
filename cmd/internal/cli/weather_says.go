package cli

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

// The subcommands of weather show what the record in use says of the property;
// windows --by shows the same of files.

func (a *terminal) weatherDaysCommand() *cobra.Command {
	var show showFlags
	var year int
	cmd := &cobra.Command{
		Use:   "days",
		Short: "Show the burn days of each season over the years of the record",
		Long: withStatus(`Days counts, for each season and each year of the record in use, the usable days on
which at least one unit that may burn then was in its prescription, and gives mean,
median and the one-year-in-five low that caps a plan's burn days.

`+caution, statusBadInput),
		Args: exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.weatherOf(cmd, &show, func(d *app.Session, o *app.Outlook) error {
				at := d.Property.YearOf(d.Today)
				if cmd.Flags().Changed("year") {
					var err error
					if at, err = parseYear(fmt.Sprint(year)); err != nil {
						return err
					}
				}
				all, err := d.SeasonDays(o, at)
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(map[string]any{"basis": o.Basis(), "seasons": all, "weather_warnings": o.Warnings(), "cautions": view.Cautions()})
				}
				if show.csv {
					return a.printSheet(table.SeasonDays(all), &show)
				}
				fmt.Fprintf(a.Out, "%s; usable days as in program year %s\n\n", o.Basis(), at)
				if err := a.printSheet(table.SeasonDays(all), &show); err != nil {
					return err
				}
				fmt.Fprintln(a.Out)
				if err := a.printSheet(table.SeasonLevels(all), &show); err != nil {
					return err
				}
				return a.closeWeather(o.Warnings())
			})
		},
	}
	show.register(cmd)
	cmd.Flags().IntVar(&year, "year", 0, "the program `YEAR` whose calendar says which days are usable (default: the one under way)")
	return cmd
}

func (a *terminal) weatherChanceCommand() *cobra.Command {
	var show showFlags
	cmd := &cobra.Command{
		Use:   "chance [PRESCRIPTION]",
		Short: "Show how often each hour of each week is in prescription",
		Long: withStatus(`Chance lists, week by week of the year, the share of known days that are candidate days
and on which each burn hour is in prescription: of the one that is named, or of every
one that a unit names.

`+caution, statusBadInput),
		Args: argsBetween(0, "PRESCRIPTION"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.weatherOf(cmd, &show, func(d *app.Session, o *app.Outlook) error {
				names, err := prescriptionNames(d, o, args)
				if err != nil {
					return err
				}
				var heats []view.Heat
				for _, name := range names {
					days, err := o.Series.Evaluate(o.Limits[name], o.Bare())
					if err != nil {
						return fmt.Errorf("prescription %s: %w", name, err)
					}
					heats = append(heats, view.NewHeat(o.Limits[name], days, nil))
				}
				return a.printHeats(heats, o.Basis(), o.Warnings(), &show)
			})
		},
	}
	show.register(cmd)
	return cmd
}

func (a *terminal) printHeats(heats []view.Heat, basis string, warnings []string, show *showFlags) error {
	if a.json {
		return a.printJSON(map[string]any{"basis": basis, "chance_by_week_and_hour": heats, "weather_warnings": append([]string{}, warnings...), "cautions": view.Cautions()})
	}
	for i := range heats {
		sheet := table.Heat(&heats[i])
		if show.csv {
			if i > 0 && slices.Equal(heats[i].Hours, heats[0].Hours) {
				sheet.Header = nil // one table
			}
			if err := sheet.WriteCSV(a.Out); err != nil {
				return err
			}
			continue
		}
		fmt.Fprintf(a.Out, "%s; prescription %s; percent of known days\n\n", basis, heats[i].Prescription)
		for r := range sheet.Rows {
			sheet.Rows[r][0] = ""
		}
		if err := a.printSheet(sheet, show); err != nil {
			return err
		}
		fmt.Fprintln(a.Out)
	}
	if show.csv {
		return nil
	}
	return a.closeWeather(warnings)
}

func (a *terminal) weatherLimitsCommand() *cobra.Command {
	var show showFlags
	var steps string
	cmd := &cobra.Command{
		Use:   "limits [PRESCRIPTION]",
		Short: "Show which limit of a prescription costs how many days",
		Long: withStatus(`Limits counts, for each limit of a prescription, the days of the record that would be
candidate days if that limit alone were not there, and those that widening it by a step
would add: of the one that is named, or of every one that a unit names. It informs and
advises nothing: each limit is there for a reason that no count of days knows.

`+caution, statusBadInput),
		Example: "  emberquilt weather limits\n  emberquilt weather limits \"grass, dormant season\" --steps rh=2,wind=1 --csv",
		Args:    argsBetween(0, "PRESCRIPTION"),
		RunE: func(cmd *cobra.Command, args []string) error {
			by, err := parseSteps(steps)
			if err != nil {
				return err
			}
			return a.weatherOf(cmd, &show, func(d *app.Session, o *app.Outlook) error {
				names, err := prescriptionNames(d, o, args)
				if err != nil {
					return err
				}
				var all []view.LimitTable
				for _, name := range names {
					one, err := limitTable(o.Series, o.Limits[name], o.Bare(), by)
					if err != nil {
						return fmt.Errorf("prescription %s: %w", name, err)
					}
					all = append(all, one)
				}
				return a.printLimits(all, &show)
			})
		},
	}
	show.register(cmd)
	registerSteps(cmd, &steps)
	return cmd
}

func registerSteps(cmd *cobra.Command, steps *string) {
	d := window.DefaultSteps
	cmd.Flags().StringVar(steps, "steps", "", fmt.Sprintf("by how much limits are widened, such as `\"rh=5,wind=2\"`; by default temp=%g,rh=%g,wind=%g,degrees=%g,moisture=%g,days=%d,minutes=%d,hours=%d",
		float64(d.Temperature), float64(d.Humidity), float64(d.Wind), d.Degrees, float64(d.FuelMoisture), d.Days, d.Minutes, d.Hours))
}

// limitTable counts what the limits of one prescription cost.
func limitTable(series *window.Series, limits *prescription.Prescription, o window.Options, steps window.Steps) (view.LimitTable, error) {
	days, err := series.Evaluate(limits, o)
	if err != nil {
		return view.LimitTable{}, err
	}
	costs, err := series.Costs(limits, o, steps)
	if err != nil {
		return view.LimitTable{}, err
	}
	return view.NewLimitTable(limits, days, costs), nil
}

func (a *terminal) printLimits(all []view.LimitTable, show *showFlags) error {
	if a.json {
		return a.printJSON(map[string]any{"limits": all, "cautions": view.Cautions()})
	}
	if show.csv {
		return a.printSheet(table.Limits(all), show)
	}
	var warnings []string
	for i := range all {
		t := &all[i]
		fmt.Fprintf(a.Out, "%s; prescription %s: %d candidate days of %d known\n\n", t.Basis, t.Prescription, t.Candidates, t.KnownDays)
		sheet := table.Limits(all[i : i+1])
		for r := range sheet.Rows {
			sheet.Rows[r][0], sheet.Rows[r][6], sheet.Rows[r][7] = "", "", ""
		}
		if err := a.printSheet(sheet, show); err != nil {
			return err
		}
		fmt.Fprintln(a.Out)
		for _, w := range t.Warnings {
			if !slices.Contains(warnings, w) {
				warnings = append(warnings, w)
			}
		}
	}
	if err := a.printLines([]string{view.LimitNote}); err != nil {
		return err
	}
	return a.closeWeather(warnings)
}

func (a *terminal) weatherCompareCommand() *cobra.Command {
	var show showFlags
	cmd := &cobra.Command{
		Use:   "compare [PRESCRIPTION]",
		Short: "Set the loaded stations side by side",
		Long: withStatus(`Compare counts each loaded record by itself against a prescription, the one that is
named or every one that a unit names, and sets the counts side by side. Nothing is mixed:
"weather use" chooses the station that counts.

`+caution, statusBadInput),
		Args: argsBetween(0, "PRESCRIPTION"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.weatherOf(cmd, &show, func(d *app.Session, o *app.Outlook) error {
				names, err := prescriptionNames(d, o, args)
				if err != nil {
					return err
				}
				all, err := d.Stations(cmd.Context(), o, names)
				if err != nil {
					return err
				}
				return a.printStations(all, &show)
			})
		},
	}
	show.register(cmd)
	return cmd
}

func (a *terminal) printStations(all []view.StationTable, show *showFlags) error {
	if a.json {
		return a.printJSON(map[string]any{"stations": all, "cautions": view.Cautions()})
	}
	whole := table.Stations(all)
	if show.csv {
		return a.printSheet(whole, show)
	}
	// A person reads two narrow tables better than a wide one.
	const months = 12
	ends := len(whole.Header) - months
	counts, byMonth := *whole, *whole
	counts.Header, byMonth.Header = whole.Header[:ends], append([]string{"prescription", "station"}, whole.Header[ends:]...)
	counts.Rows, byMonth.Rows = nil, nil
	for _, row := range whole.Rows {
		counts.Rows = append(counts.Rows, row[:ends])
		byMonth.Rows = append(byMonth.Rows, append([]any{row[0], row[1]}, row[ends:]...))
	}
	for i := range months {
		byMonth.Header[2+i] = time.Month(i + 1).String()[:3]
	}
	if err := a.printSheet(&counts, show); err != nil {
		return err
	}
	fmt.Fprintln(a.Out, "\nCandidate days by month, in percent of the known days")
	if err := a.printSheet(&byMonth, show); err != nil {
		return err
	}
	var warnings []string
	for _, t := range all {
		for _, r := range t.Rows {
			for _, w := range r.Warnings {
				if text := r.Station + ": " + w; !slices.Contains(warnings, text) {
					warnings = append(warnings, text)
				}
			}
		}
	}
	fmt.Fprintln(a.Out, "\nEach station is counted by itself; nothing is mixed, and the user chooses.")
	return a.closeWeather(warnings)
}

// closeWeather ends an output that rests on a record.
func (a *terminal) closeWeather(warnings []string) error {
	var lines []string
	for _, warning := range warnings {
		lines = append(lines, "Weather record: "+warning+".")
	}
	return a.printLines(append(lines, window.Caution))
}

// weatherOf opens the property with its record in use; without one it is an
// error.
func (a *terminal) weatherOf(cmd *cobra.Command, show *showFlags, do func(*app.Session, *app.Outlook) error) error {
	if err := show.validate(a); err != nil {
		return err
	}
	return a.session(cmd.Context(), app.ToRead, func(d *app.Session) error {
		o, err := d.Outlook(cmd.Context())
		if err != nil {
			return err
		}
		if o.Series == nil {
			return &source.Error{Position: source.Position{File: d.Store.Path()}, Found: "no weather record is loaded", Accepts: "a property with one", Hint: "emberquilt weather FILE… loads one"}
		}
		return do(d, o)
	})
}

// prescriptionNames gives the one that is named, or those that units name, in
// the order in which they do.
func prescriptionNames(d *app.Session, o *app.Outlook, args []string) ([]string, error) {
	missing := func(found string) error {
		var loaded []string
		for _, doc := range d.Prescriptions {
			loaded = append(loaded, quote(doc.Name))
		}
		return &source.Error{Position: source.Position{File: "PRESCRIPTION"}, Found: found, Accepts: listOr(loaded, "one that is loaded"), Hint: "emberquilt prescription loads them"}
	}
	if len(args) > 0 {
		if o.Limits[args[0]] == nil {
			return nil, missing(quote(args[0]) + " is not loaded")
		}
		return args[:1], nil
	}
	names := d.NamedPrescriptions(o)
	if names == nil {
		return nil, missing("no unit names a prescription that is loaded")
	}
	return names, nil
}

// parseSteps reads "rh=5,wind=2".
func parseSteps(text string) (s window.Steps, err error) {
	const accepts = "KEY=NUMBER, KEY=NUMBER … with temp, rh, wind, degrees, moisture, days, minutes or hours"
	for part := range strings.SplitSeq(text, ",") {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		key, value, _ := strings.Cut(part, "=")
		v, err := quantity.Parse(strings.TrimSpace(value))
		whole := v == float64(int(v))
		switch key = strings.TrimSpace(key); {
		case err != nil || !(v > 0 && v < 1e4):
			return s, flagError("steps", accepts, "%s is not a step above 0", quote(part))
		case key == "temp":
			s.Temperature = quantity.Fahrenheit(v)
		case key == "rh":
			s.Humidity = quantity.Percent(v)
		case key == "wind":
			s.Wind = quantity.MilesPerHour(v)
		case key == "degrees":
			s.Degrees = v
		case key == "moisture":
			s.FuelMoisture = quantity.Percent(v)
		case key == "days" && whole:
			s.Days = int(v)
		case key == "minutes" && whole:
			s.Minutes = int(v)
		case key == "hours" && whole:
			s.Hours = int(v)
		default:
			return s, flagError("steps", accepts, "%s is not a step", quote(part))
		}
	}
	return s, nil
}
