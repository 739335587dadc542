package cli

import (
	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/view"
)

func (a *terminal) missedCommand() *cobra.Command {
	var flags solverFlags
	var years horizonFlags
	cmd := &cobra.Command{
		Use:   "missed [UNIT]",
		Short: "Say which planned burns were missed, and what that costs later",
		Long: withStatus(`Missed lists the burns that the plans in force had for past program years, and that no
record makes good: the unit has not burned enough since. For the last one of each unit it
makes two plans of the coming years, one as things stand and one as if that burn had
been done, and gives the difference. It changes nothing and keeps no plan. What a burn
that is still ahead would cost if it were missed is answered by "emberquilt why".

`+caution, statusBadInput, statusNoPlan),
		Example: "  emberquilt missed\n  emberquilt missed \"Creek Patch\" --seconds 20",
		GroupID: groupPlan,
		Args:    argsBetween(0, "UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			settings, err := flags.settings(cmd)
			if err != nil {
				return err
			}
			over, err := years.horizon()
			if err != nil {
				return err
			}
			o := app.MissedOptions{Horizon: over, Solver: settings}
			if len(args) > 0 {
				o.Unit = args[0]
			}
			return a.session(cmd.Context(), app.ToRead, func(s *app.Session) error {
				all, err := s.Missed(cmd.Context(), o)
				if err != nil {
					return err
				}
				return a.printMissed(all)
			})
		},
	}
	flags.register(cmd, 0)
	years.register(cmd)
	return cmd
}

func (a *terminal) printMissed(all []view.Missed) error {
	switch {
	case a.json:
		return a.printJSON(append([]view.Missed{}, all...))
	case len(all) == 0:
		return a.say("no planned burn of a past program year was missed and not made good")
	}
	for i := range all {
		if err := a.say("%s", all[i].Words()); err != nil {
			return err
		}
	}
	return a.say("\n%s", caution)
}
