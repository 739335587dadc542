package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/view"
)

func (a *terminal) alternativesCommand() *cobra.Command {
	var flags solverFlags
	var o app.AlternativeOptions
	cmd := &cobra.Command{
		Use:   "alternatives",
		Short: "Find other plans that are nearly as good",
		Long: withStatus(`Alternatives looks for plans with a shortfall at most a stated share above the newest one's that
differ in which units burn in the first years. Each comes from a second solve with one
choice reversed. With --keep they are kept as plans with numbers of their own.

`+caution, statusBadInput),
		GroupID: groupPlan,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			solver, err := flags.settings(cmd)
			if err != nil {
				return err
			}
			o.Solver = solver
			return a.session(cmd.Context(), app.ToChange, func(s *app.Session) error {
				v, err := s.Alternatives(cmd.Context(), o)
				if err != nil {
					return err
				}
				return a.printAlternatives(v)
			})
		},
	}
	flags.register(cmd, 0)
	cmd.Flags().Float64Var(&o.Within, "within", 0.05, "by what `SHARE` the shortfall of another plan may be larger")
	cmd.Flags().IntVar(&o.Count, "count", 5, "`NUMBER` of plans to look for")
	cmd.Flags().IntVar(&o.FirstYears, "first-years", 2, "in how many first `YEARS` they must differ")
	cmd.Flags().BoolVar(&o.Keep, "keep", false, "keep what is found as plans")
	return cmd
}

func (a *terminal) printAlternatives(v *view.Alternatives) error {
	if a.json {
		return a.printJSON(v.Plans)
	}
	if len(v.Plans) == 0 {
		return a.say("%s", v.None())
	}
	for i, one := range v.Plans {
		fmt.Fprintln(a.Out, v.Head(i))
		for _, words := range one.Differs {
			fmt.Fprintln(a.Out, "-", words)
		}
		fmt.Fprintln(a.Out)
	}
	_, err := fmt.Fprintln(a.Out, caution)
	return err
}

func (a *terminal) fixCommand() *cobra.Command {
	var flags solverFlags
	var years horizonFlags
	cmd := &cobra.Command{
		Use:   "fix [UNIT]",
		Short: "Find the single change that fixes an overdue unit, or locks that clash",
		Long: withStatus(`Fix looks for single changes after which the best plan leaves the unit overdue in no plan
year: a lock dropped, a burn day, a burn, acres or money more in one year, an interval a
year longer. Without a unit it looks for changes after which locked burns that clash have
a plan. Every change that it names was solved, none is guessed. It changes nothing.`, statusBadInput),
		GroupID: groupPlan,
		Args:    argsBetween(0, "UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			solver, err := flags.settings(cmd)
			if err != nil {
				return err
			}
			over, err := years.horizon()
			if err != nil {
				return err
			}
			o := app.FixOptions{Horizon: over, Solver: solver}
			if len(args) > 0 {
				o.Unit = args[0]
			}
			return a.session(cmd.Context(), app.ToRead, func(s *app.Session) error {
				v, err := s.Fix(cmd.Context(), o)
				if err != nil {
					return err
				}
				return a.printFixes(v)
			})
		},
	}
	flags.register(cmd, 0)
	years.register(cmd)
	return cmd
}

func (a *terminal) printFixes(v *view.Fixes) error {
	switch {
	case v.Nothing != "":
		return a.say("%s", v.Nothing)
	case a.json:
		return a.printJSON(v)
	case len(v.Changes) == 0:
		return a.say("%s", v.Head())
	}
	fmt.Fprintln(a.Out, v.Head())
	for _, text := range v.Changes {
		fmt.Fprintln(a.Out, "-", text)
	}
	return nil
}
