package cli

import (
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
	"emberquilt/report/table"
	"emberquilt/schedule/window"
)

func (a *terminal) forecastCommand() *cobra.Command {
	var read weatherFlags
	var show showFlags
	var unit, season string
	var dry int
	var hourly bool
	cmd := &cobra.Command{
		Use:   "forecast DOCUMENT [PRESCRIPTION]",
		Short: "Read the public forecast of the next days against a prescription",
		Long: withStatus(`Forecast reads the hourly or gridpoint forecast document of the US national weather
service and says, day by day and hour by hour, which limits of a prescription the forecast
keeps, which it does not and by how much, and what the document does not hold. The
prescription is a file, or that of a unit of the property with --unit. It never says that
a burn may be lit.

`+caution, statusBadInput),
		Example: "  emberquilt forecast hourly.json meadow.json --utc-offset -6\n  emberquilt forecast hourly.json --unit \"School Prairie\"",
		GroupID: groupRecord,
		Args:    argsBetween(1, "DOCUMENT", "PRESCRIPTION"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := show.validate(a); err != nil {
				return err
			}
			if season != "" && unit == "" {
				return usagef("--season goes with --unit; accepts both")
			}
			if (len(args) == 2) == (unit != "") {
				return usagef("a prescription file or --unit is needed, not both; use one")
			}
			check := &forecastAsk{flags: &read, document: args[0]}
			if cmd.Flags().Changed("dry-days") {
				if dry < 0 {
					return flagError("dry-days", "0 or more days", "%d is negative", dry)
				}
				check.since = &window.Since{Days: dry}
			}
			if unit == "" {
				file, name, err := a.open(args[1])
				if err != nil {
					return err
				}
				defer file.Close()
				if check.limits, err = prescription.Read(name, file); err != nil {
					return err
				}
				return a.printForecastOf(cmd, check, hourly, &show)
			}
			return a.session(cmd.Context(), app.ToRead, func(d *app.Session) error {
				if err := check.ofUnit(cmd, d, unit, season); err != nil {
					return err
				}
				return a.printForecastOf(cmd, check, hourly, &show)
			})
		},
	}
	read.register(cmd)
	show.register(cmd)
	cmd.Flags().StringVar(&unit, "unit", "", "the prescription, winds and hours of this `UNIT` of the property")
	cmd.Flags().StringVar(&season, "season", "", "the unit's prescription in this `SEASON` (default: the one under way or next)")
	cmd.Flags().IntVar(&dry, "dry-days", 0, "`DAYS` since rain on the first day of the forecast, where you know them")
	cmd.Flags().BoolVar(&hourly, "hours", false, "show every burn hour with its limits")
	return cmd
}

// forecastAsk is what a forecast is read against.
type forecastAsk struct {
	flags    *weatherFlags
	document string
	limits   *prescription.Prescription
	options  window.Options
	place    *weather.Place
	since    *window.Since
	// words say what the unit is held to; none without a unit.
	words []string
}

// ofUnit takes prescription and winds from a unit of the property.
func (f *forecastAsk) ofUnit(cmd *cobra.Command, d *app.Session, name, season string) error {
	unit, err := app.FindUnit(d.Snapshot, name)
	if err != nil {
		return err
	}
	o, err := d.Outlook(cmd.Context())
	if err != nil {
		return err
	}
	if season, err = d.SeasonFor(unit, season); err != nil {
		return err
	}
	t := o.Terms(unit, season)
	if t.Limits == nil {
		return notLoaded(unit, season, t)
	}
	f.limits, f.options = t.Limits, t.Options
	f.words = append([]string{fmt.Sprintf("Unit %s, %s.", unit.ID, season)}, t.View().Words...)
	if d.Property.HasPlace {
		f.place = &weather.Place{Latitude: d.Property.Latitude, Longitude: d.Property.Longitude}
	}
	f.flags.fallback = &d.Property.UTCOffset
	return nil
}

func (a *terminal) printForecastOf(cmd *cobra.Command, ask *forecastAsk, hourly bool, show *showFlags) error {
	options, err := ask.flags.options(cmd)
	if err != nil {
		return err
	}
	file, name, err := a.open(ask.document)
	if err != nil {
		return err
	}
	defer file.Close()
	forecast, err := weather.ReadForecast(cmd.Context(), weather.File{Name: name, Content: file}, options)
	if err != nil {
		return err
	}
	if options.Place != nil {
		ask.place = options.Place
	}
	check, err := window.CheckForecast(forecast, ask.limits, ask.options, ask.place, ask.since)
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(check)
	}
	if show.csv {
		return hourSheet(check, false).WriteCSV(a.Out)
	}
	return a.printForecast(ask, forecast, check, hourly)
}

func (a *terminal) printForecast(ask *forecastAsk, forecast *weather.Forecast, check *window.ForecastCheck, hourly bool) error {
	issued := "does not say when it was issued"
	if !forecast.IssuedAt.IsZero() {
		issued = "issued " + forecast.IssuedAt.UTC().Format("2006-01-02 15:04") + " UTC"
	}
	fmt.Fprintf(a.Out, "%s, %s, against %s\n\n", forecast.Format, issued, ask.limits.Name)
	if len(ask.words) > 0 {
		if err := a.printLines(ask.words); err != nil {
			return err
		}
		fmt.Fprintln(a.Out)
	}
	days := &table.Sheet{Name: "days", Header: []string{"day", "longest_run_in_every_limit", "from", "needed_hours", "reaches_it"}}
	for _, d := range check.Days {
		reaches := "no"
		switch {
		case d.IsLongEnough:
			reaches = "yes"
		case !d.IsWhole:
			reaches = "no; the document does not hold the whole day"
		}
		from := ""
		if d.Hours > 0 {
			from = fmt.Sprintf("%02d:00", d.Start-1)
		}
		days.Rows = append(days.Rows, []any{d.Day, d.Hours, from, check.MinHours, reaches})
	}
	options := table.Options{Width: a.width()}
	if err := days.Write(a.Out, options); err != nil {
		return err
	}
	if hourly {
		fmt.Fprintln(a.Out)
		if err := hourSheet(check, true).Write(a.Out, options); err != nil {
			return err
		}
	}
	fmt.Fprintf(a.Out, "\nCompared: %s\n", listOr(check.Compared, "nothing"))
	fmt.Fprintf(a.Out, "Not in the document, and not compared: %s\n", listOr(check.NotCompared, "nothing"))
	for _, note := range check.Notes {
		fmt.Fprintln(a.Out, "Note:", note)
	}
	_, err := fmt.Fprintf(a.Out, "\n%s\n", check.Caution)
	return err
}

func listOr(words []string, none string) string {
	if len(words) == 0 {
		return none
	}
	return strings.Join(words, ", ")
}

// hourSheet lists the hours with what fails in each.
func hourSheet(check *window.ForecastCheck, burnHoursOnly bool) *table.Sheet {
	sheet := &table.Sheet{Name: "hours", Header: []string{"day", "from", "all_limits_hold", "fails", "not_in_the_document"}}
	for _, h := range check.Hours {
		if burnHoursOnly && !h.InBurnHours {
			continue
		}
		var fails, missing []string
		for _, l := range h.Limits {
			switch l.Verdict {
			case window.Fails:
				text := fmt.Sprintf("%s %s, wants %s", l.Limit, l.Reads, l.Wants)
				if l.Beyond != 0 {
					text += fmt.Sprintf(" (%s %s)", quantity.Group(math.Abs(l.Beyond), 1), map[bool]string{true: "below", false: "above"}[l.Beyond < 0])
				}
				fails = append(fails, text)
			case window.NotInDocument:
				missing = append(missing, l.Limit)
			}
		}
		if !h.InBurnHours {
			fails = append(fails, "outside the burn hours")
		}
		sheet.Rows = append(sheet.Rows, []any{h.Day, strings.TrimPrefix(h.Clock, h.Day.String()+" "), h.AllHold, strings.Join(fails, "; "), strings.Join(missing, ", ")})
	}
	return sheet
}

// notLoaded is the error for a unit whose prescription is not there.
func notLoaded(u *habitat.Unit, season string, t *app.Terms) error {
	found := quote(u.ID) + " has no prescription"
	if t.Named != "" {
		found = fmt.Sprintf("the prescription %s of %s is not loaded", quote(t.Named), quote(u.ID))
	}
	if season != "" {
		found += " in " + season
	}
	return &source.Error{Position: source.Position{File: "--unit"}, Found: found, Accepts: "a unit with one that is loaded",
		Hint: "emberquilt prescription loads them; the column prescription of a list of units names them"}
}
