package cli

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
)

func (a *terminal) solveCommand() *cobra.Command {
	var flags solverFlags
	var answerFile, certificateFile string
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
			settings, err := flags.settings(cmd)
			if err != nil {
				return err
			}
			return a.runSolve(cmd.Context(), args[0], settings, answerFile, certificateFile)
		},
	}
	flags.register(cmd, 0)
	cmd.Flags().StringVar(&answerFile, "answer", "", "write the answer to `FILE` (default: standard output)")
	cmd.Flags().StringVar(&certificateFile, "certificate", "", "write the certificate of the bound to `FILE`")
	return cmd
}

func (a *terminal) runSolve(ctx context.Context, problemFile string, settings rotation.Settings, answerFile, certificateFile string) error {
	p, err := a.readProblem(problemFile)
	if err != nil {
		return err
	}
	if !a.json {
		a.warn(p.Warnings)
	}
	from := app.Environment{Progress: a.showProgress()}
	result, err := from.Solve(ctx, p, settings)
	if result == nil {
		return err
	}
	if wrong := a.writeResult(p, result, answerFile, certificateFile); wrong != nil {
		return wrong
	}
	return err
}

// writeResult writes the answer and, where one was asked for and there is one,
// the certificate.
func (a *terminal) writeResult(p *problem.Problem, result *rotation.Result, answerFile, certificateFile string) error {
	files := []output{{answerFile, func(w io.Writer) error { return problem.WriteAnswer(w, result.Answer, p) }}}
	if certificateFile != "" && result.Certificate != nil {
		files = append(files, output{certificateFile, func(w io.Writer) error { return problem.WriteCertificate(w, result.Certificate, p) }})
	}
	if err := a.write(files...); err != nil {
		return err
	}
	if answerFile != "" && answerFile != "-" && certificateFile != "-" && result.Answer.Status != problem.Infeasible && !a.json {
		_, err := fmt.Fprintln(a.Out, view.GapLine(result.Answer))
		return err
	}
	return nil
}
