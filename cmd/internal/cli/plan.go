package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// planOptions are those of the plan command.
type planOptions struct {
	years  horizonFlags
	solver solverFlags
	show   showFlags
	note   string
	// caps asks what the tightest ones cost.
	caps bool
	// rehearse chooses among plans by futures.
	rehearse bool
	futures  int
	// try names a what-if, isTried says that it is one; adopt adopts even that.
	try     string
	isTried bool
	// closes and capped are what it closes and caps.
	closes, capped []string
	adopt          bool
}

func (a *terminal) planCommand() *cobra.Command {
	var o planOptions
	cmd := &cobra.Command{
		Use:   "plan",
		Short: "Plan the burns of the coming years",
		Long: withStatus(`Plan solves the rotation problem of the property as it stands: units, burns on
record, locks, caps, the adopted plan. It keeps the plan under a number and shows
the table of units and years, acres, caps, overdue units, how good the plan is
proven to be, and what the three tightest caps add to the shortfall, each by a second
solve. What years with more or fewer burn days do to it, emberquilt rehearse plays.

The plan is adopted: from now on due, tasks, calendars and papers follow it. With --try,
or with burn days that the command states while another plan is adopted, it is a draft
that nothing rests on until "emberquilt adopt" takes it; --adopt does both at once.

A what-if may change burn days, close what --close names and cap what --cap names, for
this one plan: the settings stay as they are. --close takes a season ("dormant"), that of
one program year ("dormant 2028"), a program year ("2028") or days
("2028-03-01..2028-03-31"); after a unit and a colon it closes that unit alone ("Creek
Patch: dormant 2028"). --cap takes acres, burns, dollars or a season, which means its burn
days, with a number ("acres=120"), in one program year ("acres 2028=60"), or with none,
which lifts the cap. Try as many as you like; "emberquilt compare" sets them side by side.

With --rehearse up to eight plans with different first years are played through futures
of past weather, and the one that stands up best is kept, where other futures than those
of the choice confirm it; else the plain plan.

What no plan can meet together is warned of before the solve, with the numbers, and kept
with the plan: units kept apart that must both burn, caps, burn days and refuge shares
below the least that the intervals need, wanted shares that they do not let be reached,
locks and closed seasons that leave a unit no burn in time.

A burn on record in the first year is a fact and is kept. Where the locked burns
cannot stand together no plan is kept, and what clashes is said (status 4).

`+caution, statusBadInput, statusNoPlan),
		Example: "  emberquilt plan\n  emberquilt plan --years 8 --from 2027 --seconds 20\n  emberquilt plan --try \"a poor spring\" --burn-days 4\n  emberquilt plan --try \"one crew less\" --cap dormant=3 --cap acres=90 --close \"early-growing 2028\"",
		GroupID: groupPlan,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			o.solver.note(cmd)
			o.isTried = cmd.Flags().Changed("try")
			return a.runPlan(cmd.Context(), &o)
		},
	}
	o.years.register(cmd)
	o.solver.register(cmd, 0)
	o.show.register(cmd)
	cmd.Flags().StringVar(&o.note, "note", "", "`WORDS` kept with the plan, such as why it was made")
	cmd.Flags().BoolVar(&o.rehearse, "rehearse", false, "rehearse plans with different first years and keep the one that stands up best")
	cmd.Flags().IntVar(&o.futures, "futures", app.DefaultFutures, "`NUMBER` of futures for --rehearse")
	cmd.Flags().StringVar(&o.try, "try", "", "keep the plan as a draft under this `NAME`, without adopting it")
	cmd.Flags().StringArrayVar(&o.closes, "close", nil, "with --try, close a `SEASON`, a program year or days; may stand several times")
	cmd.Flags().StringArrayVar(&o.capped, "cap", nil, "with --try, a cap as `WHAT=NUMBER`, such as acres=120; may stand several times")
	cmd.Flags().BoolVar(&o.adopt, "adopt", false, "adopt the plan even where it is a what-if")
	cmd.Flags().BoolVar(&o.caps, "caps", true, "ask by second solves what the tightest caps cost")
	return cmd
}

func (a *terminal) runPlan(ctx context.Context, o *planOptions) error {
	if err := o.show.validate(a); err != nil {
		return err
	}
	if o.isTried {
		if err := app.CheckTrialName(o.try); err != nil {
			return namedAs(err, sameFlag)
		}
	}
	solver, err := o.solver.Settings()
	if err != nil {
		return err
	}
	over, err := o.years.horizon()
	if err != nil {
		return err
	}
	ask := app.PlanOptions{Horizon: over, Solver: solver, Note: o.note, AskCaps: o.caps, Trial: o.try, Close: o.closes, Caps: o.capped, IsAdopted: o.adopt}
	if o.rehearse {
		ask.Rehearse = &app.RehearseOptions{Futures: o.futures, Seed: solver.Seed, Threads: o.solver.Threads}
	}
	if !a.json {
		ask.Warn = a.warn
	}
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		kept, stopped := s.MakePlan(ctx, ask)
		if kept == nil {
			return stopped
		}
		if !a.json {
			standing := s.Standings.Of(kept.Number)
			fmt.Fprintf(a.Err, "kept as plan %d\n", kept.Number)
			if standing.Standing != habitat.AdoptedPlan {
				fmt.Fprintf(a.Err, "%s emberquilt adopt %d adopts it\n", view.StandingWords(&standing, s.Adopted()), kept.Number)
			}
			if len(standing.Changed) > 0 && standing.Standing == habitat.AdoptedPlan {
				fmt.Fprintln(a.Err, "what it tried is not a setting: the next plan is made without it, unless emberquilt settings changes that too")
			}
		}
		// What was kept is shown even where a signal came.
		v, err := s.Program(context.WithoutCancel(ctx), kept)
		if err != nil {
			return err
		}
		if err := table.Program(a.Out, v, o.show.options(a)); err != nil {
			return err
		}
		return stopped
	})
}
