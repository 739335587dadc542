package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
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
			return a.runWeatherDays(cmd.Context(), given(cmd, "year", year), &show)
		},
	}
	show.register(cmd)
	cmd.Flags().IntVar(&year, "year", 0, "the program `YEAR` whose calendar says which days are usable (default: the one under way)")
	return cmd
}

func (a *terminal) runWeatherDays(ctx context.Context, year *int, show *showFlags) error {
	var of date.ProgramYear
	if year != nil {
		var err error
		if of, err = parseYear(fmt.Sprint(*year)); err != nil {
			return err
		}
	}
	return a.showing(ctx, show, func(s *app.Session) error {
		v, err := s.WeatherDays(ctx, of)
		switch {
		case err != nil:
			return err
		case a.json:
			return a.printJSON(v)
		case show.csv:
			return a.printSheet(table.SeasonDays(v.Seasons), show)
		}
		a.prose("%s; usable days as in program year %s\n", v.Basis, v.Year)
		if err := a.printSheet(table.SeasonDays(v.Seasons), show); err != nil {
			return err
		}
		fmt.Fprintln(a.Out)
		if err := a.printSheet(table.SeasonLevels(v.Seasons), show); err != nil {
			return err
		}
		return a.printLines(view.RecordLines(v.Warnings))
	})
}

// showing opens the property to show a table of it.
func (a *terminal) showing(ctx context.Context, show *showFlags, do func(*app.Session) error) error {
	if err := show.validate(a); err != nil {
		return err
	}
	return a.session(ctx, app.ToRead, do)
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
			return a.runWeatherChance(cmd.Context(), firstOf(args), &show)
		},
	}
	show.register(cmd)
	return cmd
}

func (a *terminal) runWeatherChance(ctx context.Context, prescription string, show *showFlags) error {
	return a.showing(ctx, show, func(s *app.Session) error {
		v, err := s.WeatherChance(ctx, prescription)
		if err != nil {
			return err
		}
		return a.printChances(v, show)
	})
}

func (a *terminal) printChances(v *view.Chances, show *showFlags) error {
	if a.json {
		return a.printJSON(v)
	}
	for i := range v.Heats {
		sheet := table.Heat(&v.Heats[i])
		if show.csv {
			if i > 0 && slices.Equal(v.Heats[i].Hours, v.Heats[0].Hours) {
				sheet.Header = nil // one table
			}
			if err := sheet.WriteCSV(a.Out); err != nil {
				return err
			}
			continue
		}
		a.prose("%s; prescription %s; percent of known days\n", v.Basis, v.Heats[i].Prescription)
		if err := a.printSheet(sheet.Without("prescription"), show); err != nil {
			return err
		}
		fmt.Fprintln(a.Out)
	}
	if show.csv {
		return nil
	}
	return a.printLines(view.RecordLines(v.Warnings))
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
			return a.runWeatherLimits(cmd.Context(), firstOf(args), steps, &show)
		},
	}
	show.register(cmd)
	registerSteps(cmd, &steps)
	return cmd
}

func registerSteps(cmd *cobra.Command, steps *string) {
	d := window.DefaultSteps
	cmd.Flags().StringVar(steps, "steps", "", fmt.Sprintf("by how much limits are widened, such as `\"rh=5,wind=2\"`; by default temp=%g,rh=%g,wind=%g,degrees=%g,mixing=%g,moisture=%g,days=%d,minutes=%d,hours=%d",
		float64(d.Temperature), float64(d.Humidity), float64(d.Wind), d.Degrees, float64(d.Mixing), float64(d.FuelMoisture), d.Days, d.Minutes, d.Hours))
}

func (a *terminal) runWeatherLimits(ctx context.Context, prescription, steps string, show *showFlags) error {
	by, err := parseSteps(steps)
	if err != nil {
		return err
	}
	return a.showing(ctx, show, func(s *app.Session) error {
		v, err := s.WeatherLimits(ctx, prescription, by)
		if err != nil {
			return err
		}
		return a.printLimits(v, show)
	})
}

func (a *terminal) printLimits(v *view.LimitTables, show *showFlags) error {
	if a.json {
		return a.printJSON(v)
	}
	if show.csv {
		return a.printSheet(table.Limits(v.Limits), show)
	}
	for i := range v.Limits {
		t := &v.Limits[i]
		a.prose("%s; prescription %s: %d candidate days of %d known\n", t.Basis, t.Prescription, t.Candidates, t.KnownDays)
		if err := a.printSheet(table.Limits(v.Limits[i:i+1]).Without("prescription", "candidate_days", "known_days"), show); err != nil {
			return err
		}
		fmt.Fprintln(a.Out)
	}
	if err := a.printLines([]string{view.LimitNote}); err != nil {
		return err
	}
	return a.printLines(view.RecordLines(v.Warnings()))
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
			return a.runWeatherCompare(cmd.Context(), firstOf(args), &show)
		},
	}
	show.register(cmd)
	return cmd
}

func (a *terminal) runWeatherCompare(ctx context.Context, prescription string, show *showFlags) error {
	return a.showing(ctx, show, func(s *app.Session) error {
		v, err := s.CompareStations(ctx, prescription)
		if err != nil {
			return err
		}
		return a.printStations(v, show)
	})
}

func (a *terminal) printStations(v *view.StationTables, show *showFlags) error {
	if a.json {
		return a.printJSON(v)
	}
	if show.csv {
		return a.printSheet(table.Stations(v.Stations), show)
	}
	// A person reads two narrow tables better than a wide one.
	if err := a.printSheet(table.StationCounts(v.Stations), show); err != nil {
		return err
	}
	fmt.Fprintln(a.Out, "\nCandidate days by month, in percent of the known days")
	if err := a.printSheet(table.StationMonths(v.Stations), show); err != nil {
		return err
	}
	fmt.Fprintln(a.Out, "\nEach station is counted by itself; nothing is mixed, and the user chooses.")
	return a.printLines(view.RecordLines(v.Warnings()))
}

// parseSteps reads "rh=5,wind=2".
func parseSteps(text string) (s window.Steps, err error) {
	const accepts = "KEY=NUMBER, KEY=NUMBER … with temp, rh, wind, degrees, mixing, moisture, days, minutes or hours"
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
		case key == "mixing":
			s.Mixing = quantity.Feet(v)
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
