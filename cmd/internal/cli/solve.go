package cli

import (
	"context"
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
)

// solveOptions are those of the solve command.
type solveOptions struct {
	solver solverFlags
	// problem is the file to solve; answer and certificate take what is found,
	// standard output and nothing where they are empty.
	problem, answer, certificate string
}

func (a *terminal) solveCommand() *cobra.Command {
	var o solveOptions
	cmd := &cobra.Command{
		Use:   "solve PROBLEM",
		Short: "Solve a rotation problem file",
		Long: withStatus(`Solve reads a rotation-problem/1 file ("-" is standard input) and writes a
rotation-answer/1: the plan, its shortfall in parts, a bound that no plan can beat, and
the gap between them. It needs no property file. Where no plan exists it writes the
clashes and ends with status 4.

Without --seconds it goes on until the gap is reached (0: until the best plan is
proven) or 60 s have passed. Ctrl-C stops it and keeps the best plan so far with a
valid bound; a second Ctrl-C ends it at once.

With --certificate it writes what "emberquilt check" needs to check the bound
without trusting the search.`, statusBadInput, statusNoPlan),
		Example: `  emberquilt solve problem.json --answer answer.json --certificate certificate.json
  emberquilt problem | emberquilt solve - --seconds 5 > answer.json`,
		GroupID: groupBare,
		Args:    exactArgs("PROBLEM"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.solver.note(cmd)
			o.problem = args[0]
			return a.runSolve(cmd.Context(), &o)
		},
	}
	o.solver.register(cmd, 0)
	cmd.Flags().StringVar(&o.answer, "answer", "", "write the answer to `FILE` (default: standard output)")
	cmd.Flags().StringVar(&o.certificate, "certificate", "", "write the certificate of the bound to `FILE`")
	return cmd
}

func (a *terminal) runSolve(ctx context.Context, o *solveOptions) error {
	settings, err := o.solver.Settings()
	if err != nil {
		return err
	}
	p, err := a.readProblem(o.problem)
	if err != nil {
		return err
	}
	if !a.json {
		a.warn(append(slices.Clone(p.Warnings), app.Contradictions(p)...))
	}
	from := app.Environment{Progress: a.showProgress()}
	result, err := from.Solve(ctx, p, settings)
	if result == nil {
		return err
	}
	if wrong := a.writeResult(p, result.Answer, result.Certificate, o); wrong != nil {
		return wrong
	}
	return err
}

// writeResult writes the answer and, where one was asked for and there is one,
// the certificate.
func (a *terminal) writeResult(p *problem.Problem, answer *problem.Answer, certificate *problem.Certificate, o *solveOptions) error {
	files := []output{{o.answer, func(w io.Writer) error { return problem.WriteAnswer(w, answer, p) }}}
	if o.certificate != "" && certificate != nil {
		files = append(files, output{o.certificate, func(w io.Writer) error { return problem.WriteCertificate(w, certificate, p) }})
	}
	if err := a.write(files...); err != nil {
		return err
	}
	if o.answer != "" && o.answer != "-" && o.certificate != "-" && answer.Status != problem.Infeasible && !a.json {
		_, err := fmt.Fprintln(a.Out, view.GapLine(answer))
		return err
	}
	return nil
}
