package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
	"emberquilt/store"
)

func (a *app) planCommand() *cobra.Command {
	var options planOptions
	var flags solverFlags
	var show showFlags
	var note string
	var caps bool
	cmd := &cobra.Command{
		Use:   "plan",
		Short: "Plan the burns of the coming years",
		Long: withStatus(`Plan solves the rotation problem of the property as it stands: units, burns on
record, locks, caps, the plan before. It keeps the plan under a number and shows
the table of units and years, acres, caps, overdue units, how good the plan is
proven to be, what the three dearest caps cost, and, with a weather record, what
the burn days of a median and of a poor year would cost, each by a second solve.

A burn on record in the first year is a fact and is kept. Where the locked burns
cannot stand together no plan is kept, and what clashes is said (status 4).

`+caution, statusBadInput, statusNoPlan),
		Example: "  emberquilt plan\n  emberquilt plan --years 8 --from 2027 --seconds 20",
		GroupID: groupPlan,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := show.validate(a); err != nil {
				return err
			}
			settings, err := flags.settings(cmd)
			if err != nil {
				return err
			}
			return a.sit(cmd.Context(), a.change, func(d *desk) error {
				kept, stopped := a.makePlan(cmd.Context(), d, options, settings, note, caps)
				if kept == nil {
					return stopped
				}
				if !a.json {
					fmt.Fprintf(a.Err, "kept as plan %d\n", kept.Number)
				}
				v, err := d.program(cmd.Context(), kept)
				if err != nil {
					return err
				}
				if err := table.Program(a.Out, v, show.options(a)); err != nil {
					return err
				}
				return stopped
			})
		},
	}
	options.register(cmd)
	flags.register(cmd, 0)
	show.register(cmd)
	cmd.Flags().StringVar(&note, "note", "", "`WORDS` kept with the plan, such as why it was made")
	cmd.Flags().BoolVar(&caps, "caps", true, "ask by second solves what the dearest caps and other springs cost")
	return cmd
}

// makePlan solves the property's problem and keeps the plan. A solve that a
// signal stopped keeps its best plan and gives the error beside it.
func (a *app) makePlan(ctx context.Context, d *desk, options planOptions, settings rotation.Settings, note string, caps bool) (*storedPlan, error) {
	made, err := d.assemble(ctx, options)
	if err != nil {
		return nil, err
	}
	result, stopped := a.solve(ctx, made.Problem, settings)
	var isStopped interrupted
	if stopped != nil && !errors.As(stopped, &isStopped) {
		return nil, stopped
	}
	var springs []view.Spring
	if caps && stopped == nil {
		if err := a.askCaps(ctx, made.Problem, result.Answer, settings, "asking what the dearest caps cost"); err != nil {
			return nil, err
		}
		if springs, err = a.askSprings(ctx, d, made.Problem, result.Answer, options, settings); err != nil {
			return nil, err
		}
	}
	// What was found stands even where a signal came: it is kept all the same.
	kept, err := a.storePlan(context.WithoutCancel(ctx), d, made.Problem, made.Assumptions, result, springs, note)
	if err != nil {
		return nil, err
	}
	return kept, stopped
}

// storePlan puts a plan into the property file and reads it back.
func (a *app) storePlan(ctx context.Context, d *desk, p *problem.Problem, assumptions []string, result *rotation.Result, springs []view.Spring, note string) (*storedPlan, error) {
	at, err := a.moment()
	if err != nil {
		return nil, err
	}
	answer := result.Answer
	// The time a solve took would make two equal plans differ, and with them
	// the seal of the data.
	answer.Seconds = 0
	var files [3]bytes.Buffer
	err = errors.Join(problem.Write(&files[0], p), problem.WriteAnswer(&files[1], answer, p))
	if result.Certificate != nil {
		err = errors.Join(err, problem.WriteCertificate(&files[2], result.Certificate, p))
	}
	if err != nil {
		return nil, err
	}
	plan := store.Plan{
		PlanHead: store.PlanHead{
			MadeFor: d.today, FirstYear: yearOf(p), Years: p.Years, Status: answer.Status, Cost: answer.Cost, Bound: answer.Bound, Note: note, Data: d.Change.Stamp(),
		},
		Problem: files[0].Bytes(), Answer: files[1].Bytes(), Certificate: files[2].Bytes(), Assumptions: assumptions, Program: version,
	}
	var number int
	err = d.store.Update(ctx, at, "make a plan", func(tx *store.Tx) error {
		if number, err = tx.AddPlan(plan); err != nil {
			return err
		}
		return putSprings(tx, number, springs)
	})
	if err != nil {
		return nil, err
	}
	if d.Snapshot, err = d.store.Snapshot(ctx); err != nil {
		return nil, err
	}
	return d.plan(ctx, number)
}
