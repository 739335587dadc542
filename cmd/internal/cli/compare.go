package cli

import (
	"context"
	"io"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/page"
	"emberquilt/report/table"
)

// compareOptions are those of the compare command.
type compareOptions struct {
	show  showFlags
	plans []int
	out   string
}

func (a *terminal) compareCommand() *cobra.Command {
	var o compareOptions
	cmd := &cobra.Command{
		Use:   "compare [PLAN]…",
		Short: "Set plans side by side",
		Long: withStatus(`Compare of two plans shows where they differ: by unit and year, in acres burned and
overdue, and in each part of the shortfall. With one plan the adopted one stands first.

With three plans or more, or with none, which means the adopted plan and every draft,
it sets them side by side in one table and one chart: acres and burns, dollars, acres
and units overdue, shortfall and how well it is proven, what "emberquilt plan --try"
changed for each, and what has changed of the property since it was made. Differences
are from the first, and are said no finer than both proofs tell. --output writes the
same as an HTML file.

`+caution, statusBadInput),
		Example: "  emberquilt compare\n  emberquilt compare 1 4\n  emberquilt compare 1 4 5 6 --output plans.html",
		GroupID: groupPlan,
		RunE: func(cmd *cobra.Command, args []string) error {
			for i := range args {
				number, err := planNumber(args, i)
				if err != nil {
					return err
				}
				o.plans = append(o.plans, number)
			}
			return a.runCompare(cmd.Context(), o)
		},
	}
	o.show.register(cmd)
	cmd.Flags().StringVarP(&o.out, "output", "o", "", "write the plans side by side to `FILE` (HTML), - for standard output")
	return cmd
}

func (a *terminal) runCompare(ctx context.Context, o compareOptions) error {
	if err := o.show.validate(a); err != nil {
		return err
	}
	if err := checkEnding(o.out, ".html"); err != nil {
		return err
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		if len(o.plans) == 1 {
			o.plans = append([]int{s.Adopted()}, o.plans...)
		}
		if o.out == "" && len(o.plans) == 2 {
			v, err := s.Compare(ctx, o.plans[0], o.plans[1])
			if err != nil {
				return err
			}
			return table.Compare(a.Out, v, o.show.options(a))
		}
		v, err := s.Beside(ctx, o.plans)
		if err != nil {
			return err
		}
		if o.out == "" {
			return table.Beside(a.Out, v, o.show.options(a))
		}
		return a.writePaper(output{o.out, func(w io.Writer) error { return page.WriteBeside(w, v) }}, "plans side by side, for a browser")
	})
}
