package cli

import (
	"fmt"
	"io"
	"strconv"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/store"
)

func (a *terminal) plansCommand() *cobra.Command {
	var show showFlags
	cmd := &cobra.Command{
		Use:     "plans",
		Short:   "List the plans that were made",
		Long:    withStatus(`Plans lists every plan of the property: its number, when and for which years it was made, its shortfall and bound.`, statusBadInput),
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
	sheet := &table.Sheet{Name: "plans", Header: []string{"plan", "made_for", "first_year", "last_year", "status", "shortfall_acre_years", "bound_acre_years", "gap_pct", "data_version", "note"}}
	for _, h := range heads {
		gap := 100 * problem.GapOf(h.Cost, h.Bound)
		if h.Status == problem.Optimal {
			gap = 0
		}
		sheet.Rows = append(sheet.Rows, []any{h.Number, h.MadeFor, h.FirstYear, int(h.FirstYear) + h.Years - 1, string(h.Status),
			view.Rounded(h.Cost, 3), view.Rounded(h.Bound, 3), view.Rounded(gap, 2), string(h.Data), h.Note})
	}
	return sheet
}

func (a *terminal) showCommand() *cobra.Command {
	var show showFlags
	var files planFiles
	cmd := &cobra.Command{
		Use:   "show [PLAN]",
		Short: "Show a plan that was made",
		Long: withStatus(`Show prints a stored plan as "emberquilt plan" printed it, the newest where no number
is named. With --problem, --answer and --certificate it writes the files that the plan
was kept as, for "emberquilt check" or another solver, and prints nothing else.

`+caution, statusBadInput),
		Example: "  emberquilt show 2\n  emberquilt show --problem p.json --answer a.json --certificate c.json && emberquilt check p.json a.json --certificate c.json",
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
			return a.session(cmd.Context(), app.ToRead, func(d *app.Session) error {
				kept, err := d.Plan(cmd.Context(), number)
				if err != nil {
					return err
				}
				if files != (planFiles{}) {
					return a.writePlanFiles(kept, files)
				}
				v, err := d.Program(cmd.Context(), kept)
				if err != nil {
					return err
				}
				return table.Program(a.Out, v, show.options(a))
			})
		},
	}
	show.register(cmd)
	cmd.Flags().StringVar(&files.problem, "problem", "", "write the plan's problem to `FILE`")
	cmd.Flags().StringVar(&files.answer, "answer", "", "write the plan's answer to `FILE`")
	cmd.Flags().StringVar(&files.certificate, "certificate", "", "write the certificate of its bound to `FILE`")
	return cmd
}

// planFiles names the files that a stored plan is written to.
type planFiles struct{ problem, answer, certificate string }

func (a *terminal) writePlanFiles(kept *app.StoredPlan, files planFiles) error {
	if files.certificate != "" && len(kept.Files.Certificate) == 0 {
		return fmt.Errorf("plan %d has no certificate", kept.Number)
	}
	var all []output
	for _, one := range []struct {
		path string
		data []byte
	}{{files.problem, kept.Files.Problem}, {files.answer, kept.Files.Answer}, {files.certificate, kept.Files.Certificate}} {
		if one.path != "" {
			all = append(all, output{one.path, func(w io.Writer) error {
				_, err := w.Write(one.data)
				return err
			}})
		}
	}
	return a.write(all...)
}

// planNumber reads the number of a plan from the arguments; 0, the newest,
// where it is absent.
func planNumber(args []string, at int) (int, error) {
	if len(args) <= at {
		return 0, nil
	}
	number, err := strconv.Atoi(args[at])
	if err != nil || number < 1 {
		return 0, usagef("%s is not a number of a plan; accepts a number that emberquilt plans shows", quote(args[at]))
	}
	return number, nil
}
