package cli

import (
	"cmp"
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/view"
)

// alternativesOptions are those of the alternatives command.
type alternativesOptions struct {
	solver solverFlags
	app.AlternativeOptions
}

func (a *terminal) alternativesCommand() *cobra.Command {
	var o alternativesOptions
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
			o.solver.note(cmd)
			return a.runAlternatives(cmd.Context(), o)
		},
	}
	o.solver.register(cmd, 0)
	cmd.Flags().Float64Var(&o.Within, "within", app.UsualWithin, "by what `SHARE` the shortfall of another plan may be larger")
	cmd.Flags().IntVar(&o.Count, "count", app.UsualAlternatives, "`NUMBER` of plans to look for")
	cmd.Flags().IntVar(&o.FirstYears, "first-years", app.UsualFirstYears, "in how many first `YEARS` they must differ")
	cmd.Flags().BoolVar(&o.Keep, "keep", false, "keep what is found as plans")
	return cmd
}

func (a *terminal) runAlternatives(ctx context.Context, o alternativesOptions) (err error) {
	if o.Solver, err = o.solver.Settings(); err != nil {
		return err
	}
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		v, err := s.Alternatives(ctx, o.AlternativeOptions)
		if v == nil {
			return err
		}
		return cmp.Or(a.printAlternatives(v), err)
	})
}

func (a *terminal) printAlternatives(v *view.Alternatives) error {
	if a.json {
		return a.printJSON(v.Plans)
	}
	if len(v.Plans) == 0 {
		return a.say("%s", v.None())
	}
	for i, one := range v.Plans {
		a.prose("%s", v.Head(i))
		for _, words := range one.Differs {
			a.prose("- %s", words)
		}
		fmt.Fprintln(a.Out)
	}
	return a.prose("%s", caution)
}

// fixOptions are those of the fix command.
type fixOptions struct {
	solver solverFlags
	years  horizonFlags
	// unit is empty for locks that clash.
	unit string
}

func (a *terminal) fixCommand() *cobra.Command {
	var o fixOptions
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
			o.solver.note(cmd)
			o.unit = firstOf(args)
			return a.runFix(cmd.Context(), o)
		},
	}
	o.solver.register(cmd, 0)
	o.years.register(cmd)
	return cmd
}

func (a *terminal) runFix(ctx context.Context, o fixOptions) error {
	solver, err := o.solver.Settings()
	if err != nil {
		return err
	}
	over, err := o.years.horizon()
	if err != nil {
		return err
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		v, err := s.Fix(ctx, app.FixOptions{Horizon: over, Solver: solver, Unit: o.unit})
		if v == nil {
			return err
		}
		return cmp.Or(a.printFixes(v), err)
	})
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
	a.prose("%s", v.Head())
	for _, text := range v.Changes {
		a.prose("- %s", text)
	}
	return nil
}
