package cli

import (
	"strconv"

	"github.com/spf13/cobra"

	"emberquilt/report/table"
	"emberquilt/schedule/problem"
	"emberquilt/store"
)

func (a *app) plansCommand() *cobra.Command {
	var show showFlags
	cmd := &cobra.Command{
		Use:     "plans",
		Short:   "List the plans that were made",
		Long:    withStatus(`Plans lists every plan of the property: its number, when and for which years it was made, its cost and bound.`, statusBadInput),
		GroupID: groupPlan,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.snapshot(cmd.Context(), func(snapshot *store.Snapshot) error {
				return a.printSheet(plansSheet(snapshot.Plans), &show)
			})
		},
	}
	show.register(cmd)
	return cmd
}

func plansSheet(heads []store.PlanHead) *table.Sheet {
	sheet := &table.Sheet{Name: "plans", Header: []string{"plan", "made_for", "first_year", "last_year", "status", "cost_acre_years", "bound_acre_years", "gap_pct", "data_version", "note"}}
	for _, h := range heads {
		gap := 100 * problem.GapOf(h.Cost, h.Bound)
		if h.Status == problem.Optimal {
			gap = 0
		}
		sheet.Rows = append(sheet.Rows, []any{h.Number, h.MadeFor, h.FirstYear, int(h.FirstYear) + h.Years - 1, string(h.Status),
			rounded(h.Cost, 3), rounded(h.Bound, 3), rounded(gap, 2), string(h.Data), h.Note})
	}
	return sheet
}

func (a *app) showCommand() *cobra.Command {
	var show showFlags
	cmd := &cobra.Command{
		Use:     "show [PLAN]",
		Short:   "Show a plan that was made",
		Long:    withStatus(`Show prints a stored plan as "emberquilt plan" printed it, the newest where no number is named.`+"\n\n"+caution, statusBadInput),
		GroupID: groupPlan,
		Args:    argsBetween(0, "PLAN"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := show.validate(a); err != nil {
				return err
			}
			number, err := planNumber(args, 0)
			if err != nil {
				return err
			}
			return a.sit(cmd.Context(), a.read, func(d *desk) error {
				kept, err := d.plan(cmd.Context(), number)
				if err != nil {
					return err
				}
				v, err := d.programme(cmd.Context(), kept)
				if err != nil {
					return err
				}
				return table.Programme(a.Out, v, show.options(a))
			})
		},
	}
	show.register(cmd)
	return cmd
}

// planNumber reads the number of a plan from the arguments; 0, the newest,
// where it is absent.
func planNumber(args []string, at int) (int, error) {
	if len(args) <= at {
		return 0, nil
	}
	number, err := strconv.Atoi(args[at])
	if err != nil || number < 1 {
		return 0, usagef("%s is no number of a plan; accepts a number that emberquilt plans shows", quote(args[at]))
	}
	return number, nil
}
