package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// changeUnits runs one change of the units and prints what came of it.
func (a *terminal) changeUnits(ctx context.Context, do func(*app.Session) (*view.UnitsChanged, error)) error {
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		v, err := do(s)
		if err != nil {
			return err
		}
		if a.json {
			return a.printJSON(v)
		}
		fmt.Fprintln(a.Out, v.Done)
		for _, note := range v.Notes {
			fmt.Fprintln(a.Out, "- "+note)
		}
		return nil
	})
}

func becauseFlag(cmd *cobra.Command, into *string) {
	cmd.Flags().StringVar(into, "because", "", "`REASON`, kept with the change")
}

func (a *terminal) splitCommand() *cobra.Command {
	var o app.SplitOptions
	var file string
	cmd := &cobra.Command{
		Use:   "split UNIT NAME=ACRES NAME=ACRES…",
		Short: "Make several units of one",
		Long: withStatus(`Split makes several units of one: by names and acres that add up to the unit's, or
by the outlines in a map file, each with its name. Every part has the intervals, seasons,
groups, prescription, pairs, locks and done tasks of the whole; cost, contract lines and
the acres of burns on record are shared out by acres. The records themselves keep the
name and the acres that they were written with.`, statusBadInput),
		Example: `  emberquilt split "North Field" "North Field east=20" "North Field west=22.5"
  emberquilt split "North Field" --shape parts.geojson`,
		GroupID: groupProperty,
		Args:    atLeast("UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Unit = args[0]
			return a.runSplit(cmd.Context(), o, args[1:], file)
		},
	}
	cmd.Flags().StringVar(&file, "shape", "", "map `FILE` with the outline of each part and its name")
	becauseFlag(cmd, &o.Because)
	return cmd
}

// readParts reads the parts of a split from the command line or from a map file.
func readParts(o *app.SplitOptions, args []string, file string) error {
	if file != "" && len(args) > 0 {
		return usagef("parts as NAME=ACRES and --shape cannot be combined; use one")
	}
	if file == "" && len(args) == 0 {
		return usagef("NAME=ACRES is missing; accepts two parts or more, or --shape with a map file")
	}
	for _, text := range args {
		at := strings.LastIndexByte(text, '=')
		if at < 0 {
			return usagef("%s has no =; accepts a part as NAME=ACRES", quote(text))
		}
		acres, err := quantity.Parse(strings.TrimSpace(text[at+1:]))
		if err != nil {
			return usagef("%s: %s is not a number; accepts a part as NAME=ACRES, such as East=20.5", quote(text), quote(text[at+1:]))
		}
		o.Parts = append(o.Parts, app.UnitPiece{Name: strings.TrimSpace(text[:at]), Acres: quantity.Acres(acres)})
	}
	if file == "" {
		return nil
	}
	layer, err := geofile.Read(file, geofile.Options{})
	if isPathError(err) {
		return noFile(file, err)
	}
	if err != nil {
		return err
	}
	return o.TakeOutlines(layer)
}

func (a *terminal) mergeCommand() *cobra.Command {
	var o app.MergeOptions
	cmd := &cobra.Command{
		Use:   "merge UNIT UNIT… --into NAME",
		Short: "Make one unit of several",
		Long: withStatus(`Merge makes one unit of several that are burned alike: their intervals, seasons,
groups and prescriptions must be the same. Acres, costs, burn days and contract lines add
up; pairs, locks, tasks and the burns on record follow. The new unit is as old as the year
since which the share of it that counts has burned. The records keep the names and acres
that they were written with.`, statusBadInput),
		Example: `  emberquilt merge "North Field" "Pond Edge" --into "North Pond"`,
		GroupID: groupProperty,
		Args:    atLeast("UNIT", "UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if o.Units = args; o.Into == "" {
				return usagef("--into is missing; accepts the name of the unit that they become")
			}
			return a.runMerge(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVar(&o.Into, "into", "", "`NAME` of the unit that they become")
	becauseFlag(cmd, &o.Because)
	return cmd
}

func (a *terminal) renameCommand() *cobra.Command {
	var because string
	cmd := &cobra.Command{
		Use:   "rename UNIT NAME",
		Short: "Give a unit another name",
		Long: withStatus(`Rename gives a unit another name. Pairs, groups, locks, tasks, closures, contracts and
plans follow; what is on record keeps the name that it was written with and counts for
the unit under its new name.`, statusBadInput),
		Example: `  emberquilt rename "Creek Patch" "Mill Creek"`,
		GroupID: groupProperty,
		Args:    exactArgs("UNIT", "NAME"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runRename(cmd.Context(), args[0], strings.TrimSpace(args[1]), because)
		},
	}
	becauseFlag(cmd, &because)
	return cmd
}

func (a *terminal) retireCommand() *cobra.Command {
	var on dayFlag
	o := app.OwnOptions{Retire: true}
	cmd := &cobra.Command{
		Use:   "retire UNIT",
		Short: "Take a unit that was sold or lost out of what is to come",
		Long: withStatus(`Retire says from which day on a unit is not burned anymore: it was sold, or lost. It is
in no later plan, list of what is due, task or paper of the season; its burns stay on
record and count in the years gone by. "own UNIT --always" takes it back.`, statusBadInput),
		Example: `  emberquilt retire "Pond Edge" --on 2027-06-30 --because sold`,
		GroupID: groupProperty,
		Args:    exactArgs("UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Unit = args[0]
			return a.runRetire(cmd.Context(), o, on.Day)
		},
	}
	cmd.Flags().Var(&on, "on", "first day on which it is not the property's anymore (default: today)")
	becauseFlag(cmd, &o.Because)
	return cmd
}

func (a *terminal) ownCommand() *cobra.Command {
	var from, until dayFlag
	var always bool
	var o app.OwnOptions
	cmd := &cobra.Command{
		Use:   "own UNIT",
		Short: "Say from when until when a unit is yours to burn",
		Long: withStatus(`Own says from which day, or until which day, a unit is the property's to burn: land that
is bought next year, a lease that ends. Outside that time it is closed to every plan, and
neither due nor overdue.`, statusBadInput),
		Example: `  emberquilt own "New Eighty" --from 2028-03-01
  emberquilt own "Leased Quarter" --until 2029-12-31
  emberquilt own "Pond Edge" --always`,
		GroupID: groupProperty,
		Args:    exactArgs("UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Unit = args[0]
			named := cmd.Flags().Changed
			switch {
			case always && (named("from") || named("until")):
				return usagef("--always cannot be combined with --from or --until; use one")
			case !always && !named("from") && !named("until"):
				return usagef("--from, --until or --always is missing; accepts a date as YYYY-MM-DD")
			}
			if always || named("from") {
				o.From = &from.Day
			}
			if always || named("until") {
				o.Until = &until.Day
			}
			return a.runOwn(cmd.Context(), o)
		},
	}
	cmd.Flags().Var(&from, "from", "first day on which it is yours")
	cmd.Flags().Var(&until, "until", "last day on which it is yours")
	cmd.Flags().BoolVar(&always, "always", false, "without limits of time")
	becauseFlag(cmd, &o.Because)
	return cmd
}

func (a *terminal) deleteCommand() *cobra.Command {
	var because string
	cmd := &cobra.Command{
		Use:   "delete UNIT",
		Short: "Take away a unit that was never used",
		Long: withStatus(`Delete takes away a unit that was entered by mistake: one without a burn on record, a
lock, a contract line or a plan that knows it. Any other is retired.`, statusBadInput),
		Example: `  emberquilt delete "Norht Field"`,
		GroupID: groupProperty,
		Args:    exactArgs("UNIT"),
		RunE:    func(cmd *cobra.Command, args []string) error { return a.runDelete(cmd.Context(), args[0], because) },
	}
	becauseFlag(cmd, &because)
	return cmd
}

func (a *terminal) runSplit(ctx context.Context, o app.SplitOptions, parts []string, file string) error {
	if err := readParts(&o, parts, file); err != nil {
		return err
	}
	return a.changeUnits(ctx, func(s *app.Session) (*view.UnitsChanged, error) { return s.Split(ctx, o) })
}

func (a *terminal) runMerge(ctx context.Context, o app.MergeOptions) error {
	return a.changeUnits(ctx, func(s *app.Session) (*view.UnitsChanged, error) { return s.Merge(ctx, o) })
}

func (a *terminal) runRename(ctx context.Context, unit, name, because string) error {
	return a.changeUnits(ctx, func(s *app.Session) (*view.UnitsChanged, error) { return s.Rename(ctx, unit, name, because) })
}

func (a *terminal) runRetire(ctx context.Context, o app.OwnOptions, first date.Day) error {
	return a.changeUnits(ctx, func(s *app.Session) (*view.UnitsChanged, error) {
		if first.IsZero() {
			first = s.Today
		}
		last := first.AddDays(-1)
		o.Until = &last
		return s.Own(ctx, o)
	})
}

func (a *terminal) runOwn(ctx context.Context, o app.OwnOptions) error {
	return a.changeUnits(ctx, func(s *app.Session) (*view.UnitsChanged, error) { return s.Own(ctx, o) })
}

func (a *terminal) runDelete(ctx context.Context, unit, because string) error {
	return a.changeUnits(ctx, func(s *app.Session) (*view.UnitsChanged, error) { return s.Delete(ctx, unit, because) })
}
