package cli

import (
	"cmp"
	"context"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// missedOptions are those of the missed command.
type missedOptions struct {
	solver solverFlags
	years  horizonFlags
	all    allFlag
	// unit is empty for all units.
	unit string
}

func (a *terminal) missedCommand() *cobra.Command {
	var o missedOptions
	cmd := &cobra.Command{
		Use:   "missed [UNIT]",
		Short: "Say which planned burns were missed, and what that costs later",
		Long: withStatus(`Missed lists the burns that the plans in force had for past program years, and that no
record makes good: the unit has not burned enough since. For the last one of each unit it
makes two plans of the coming years, one as things stand and one as if that burn had
been done, and gives the difference. Neither of them holds on to the plan in force, which
knows of the miss. It changes nothing and keeps no plan. What a burn that is still ahead
would cost if it were missed is answered by "emberquilt why".

`+allHelp+"\n--seconds is the time of each of them.\n\n"+caution, statusBadInput, statusNoPlan),
		Example: "  emberquilt missed\n  emberquilt missed \"Creek Patch\" --seconds 20",
		GroupID: groupPlan,
		Args:    argsBetween(0, "UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.solver.note(cmd)
			o.unit = firstOf(args)
			return a.runMissed(cmd.Context(), o)
		},
	}
	o.solver.register(cmd, 0)
	o.years.register(cmd)
	o.all.register(cmd)
	return cmd
}

func (a *terminal) runMissed(ctx context.Context, o missedOptions) error {
	solver, err := o.solver.Settings()
	if err != nil {
		return err
	}
	over, err := o.years.horizon()
	if err != nil {
		return err
	}
	asked := app.MissedOptions{Horizon: over, Solver: solver, Unit: o.unit}
	switch {
	case o.all.folder != "" && o.unit != "":
		return usagef("UNIT and --all cannot be combined; use one")
	case o.all.folder != "":
		return a.overAll(
			ctx,
			&o.all,
			new(showFlags),
			ofAll{shows: true, name: "missed", doing: "looking for missed burns", none: view.NoneMissed, one: func(s *app.Session) (any, *table.Sheet, error) {
				all, err := s.Missed(ctx, asked)
				return append([]view.Missed{}, all...), table.MissedSheet(all), err
			}},
		)
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		all, err := s.Missed(ctx, asked)
		if len(all) == 0 && err != nil {
			return err
		}
		return cmp.Or(a.printMissed(all), err)
	})
}

func (a *terminal) printMissed(all []view.Missed) error {
	switch {
	case a.json:
		return a.printJSON(append([]view.Missed{}, all...))
	case len(all) == 0:
		return a.say(view.NoneMissed)
	}
	for i := range all {
		if err := a.say("%s", all[i].Words()); err != nil {
			return err
		}
	}
	return a.prose("\n%s", caution)
}
