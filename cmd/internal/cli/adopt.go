package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/view"
)

// adoptOptions are those of adopt and discard.
type adoptOptions struct {
	plan    int
	because string
}

func (o *adoptOptions) register(cmd *cobra.Command) {
	cmd.Flags().StringVar(&o.because, "because", "", "`REASON`, kept with the plan")
}

func (a *terminal) adoptCommand() *cobra.Command {
	var o adoptOptions
	cmd := &cobra.Command{
		Use:   "adopt PLAN",
		Short: "Make a plan the one that counts",
		Long: withStatus(`Adopt makes a plan the one in force: due, tasks, calendars, papers and the next plan
follow it. The one before is superseded and still judges the seasons that opened under
it (see "emberquilt missed"). A plan of units that are gone, or whose years are over, is
refused. "emberquilt plan" adopts what it makes unless it is a what-if.

`+caution, statusBadInput),
		Example: "  emberquilt adopt 4 --by 'A. Manager' --because 'agreed in October'",
		GroupID: groupPlan,
		Args:    exactArgs("PLAN"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if o.plan, err = planNumber(args, 0); err != nil {
				return err
			}
			return a.runAdopt(cmd.Context(), &o)
		},
	}
	o.register(cmd)
	return cmd
}

func (a *terminal) runAdopt(ctx context.Context, o *adoptOptions) error {
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		before := s.Adopted()
		plan, isNew, err := s.Adopt(ctx, o.plan, o.because)
		switch {
		case err != nil:
			return err
		case !isNew:
			return a.say("plan %d is adopted already", plan.Number)
		}
		words := fmt.Sprintf("plan %d is adopted", plan.Number)
		if before != 0 {
			words += fmt.Sprintf("; plan %d is superseded", before)
		}
		return a.say("%s", words)
	})
}

func (a *terminal) discardCommand() *cobra.Command {
	var o adoptOptions
	cmd := &cobra.Command{
		Use:   "discard PLAN",
		Short: "Put a draft of a plan out of the way",
		Long: withStatus(`Discard marks a draft as discarded. It stays readable under its number, and can be
adopted after all. A plan that is or was in force cannot be discarded.`, statusBadInput),
		GroupID: groupPlan,
		Args:    exactArgs("PLAN"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if o.plan, err = planNumber(args, 0); err != nil {
				return err
			}
			return a.runDiscard(cmd.Context(), &o)
		},
	}
	o.register(cmd)
	return cmd
}

func (a *terminal) runDiscard(ctx context.Context, o *adoptOptions) error {
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		plan, err := s.Discard(ctx, o.plan, o.because)
		if err != nil {
			return err
		}
		standing := s.Standings.Of(plan.Number)
		return a.say("%s", view.StandingWords(&standing, s.Adopted()))
	})
}
