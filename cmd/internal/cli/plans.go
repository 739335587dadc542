package cli

import (
	"context"
	"fmt"
	"io"
	"strconv"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
)

func (a *terminal) plansCommand() *cobra.Command {
	var show showFlags
	cmd := &cobra.Command{
		Use:     "plans",
		Short:   "List the plans that were made",
		Long:    withStatus(`Plans lists every plan of the property: its number, when and for which years it was made, its cost and bound.`, statusBadInput),
		GroupID: groupPlan,
		Args:    exactArgs(),
		RunE:    func(cmd *cobra.Command, _ []string) error { return a.runPlans(cmd.Context(), &show) },
	}
	show.register(cmd)
	return cmd
}

func (a *terminal) runPlans(ctx context.Context, show *showFlags) error {
	return a.session(ctx, app.ToRead, func(s *app.Session) error { return a.printSheet(table.PlansSheet(s.PlanList()), show) })
}

// showOptions are those of the show command.
type showOptions struct {
	show  showFlags
	plan  int
	files planFiles
}

func (a *terminal) showCommand() *cobra.Command {
	var o showOptions
	cmd := &cobra.Command{
		Use:   "show [PLAN]",
		Short: "Show a plan that was made",
		Long: withStatus(`Show prints a stored plan as "emberquilt plan" printed it, the adopted one where no number
is named. With --problem, --answer and --certificate it writes the files that the plan
was kept as, for "emberquilt check" or another solver, and prints nothing else.

`+caution, statusBadInput),
		Example: "  emberquilt show 2\n  emberquilt show --problem p.json --answer a.json --certificate c.json && emberquilt check p.json a.json --certificate c.json",
		GroupID: groupPlan,
		Args:    argsBetween(0, "PLAN"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if o.plan, err = planNumber(args, 0); err != nil {
				return err
			}
			return a.runShow(cmd.Context(), o)
		},
	}
	o.show.register(cmd)
	cmd.Flags().StringVar(&o.files.problem, "problem", "", "write the plan's problem to `FILE`")
	cmd.Flags().StringVar(&o.files.answer, "answer", "", "write the plan's answer to `FILE`")
	cmd.Flags().StringVar(&o.files.certificate, "certificate", "", "write the certificate of its bound to `FILE`")
	return cmd
}

func (a *terminal) runShow(ctx context.Context, o showOptions) error {
	if err := o.show.validate(a); err != nil {
		return err
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		kept, err := s.Plan(ctx, o.plan)
		if err != nil {
			return err
		}
		if o.files != (planFiles{}) {
			return a.writePlanFiles(kept, o.files)
		}
		v, err := s.Program(ctx, kept)
		if err != nil {
			return err
		}
		return table.Program(a.Out, v, o.show.options(a))
	})
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
