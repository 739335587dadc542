package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/schedule/problem"
)

func (a *terminal) checkCommand() *cobra.Command {
	var certificateFile string
	cmd := &cobra.Command{
		Use:   "check PROBLEM ANSWER",
		Short: "Check a plan, its shortfall and its bound, apart from the solver",
		Long: withStatus(`Check asks whether an answer is true: whether the plan meets every requirement of
the problem, whether its shortfall and parts are right, and, with a certificate, whether
no plan can beat the bound. It shares no code with the search and uses exact
arithmetic. It prints one line of verdict; where something does not hold it lists
every violation and ends with status 1. One of the files may be "-".`, statusBadInput),
		Example: "  emberquilt check problem.json answer.json --certificate certificate.json",
		GroupID: groupBare,
		Args:    exactArgs("PROBLEM", "ANSWER"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runCheck(cmd.Context(), args[0], args[1], certificateFile)
		},
	}
	cmd.Flags().StringVar(&certificateFile, "certificate", "", "check the bound with this `FILE` too")
	return cmd
}

func (a *terminal) runCheck(ctx context.Context, problemFile, answerFile, certificateFile string) error {
	p, err := a.readProblem(problemFile)
	if err != nil {
		return err
	}
	answer, err := a.readAnswer(answerFile, p)
	if err != nil {
		return err
	}
	var certificate *problem.Certificate
	if certificateFile != "" {
		if certificate, err = a.readCertificate(certificateFile, p); err != nil {
			return err
		}
	}
	from := app.Environment{Progress: a.showProgress()}
	v, err := from.Check(ctx, p, answer, certificate)
	if err != nil {
		return err
	}
	return a.printVerdict(v)
}

func (a *terminal) readAnswer(path string, p *problem.Problem) (*problem.Answer, error) {
	file, name, err := a.open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return problem.ReadAnswer(file, name, p)
}

func (a *terminal) readCertificate(path string, p *problem.Problem) (*problem.Certificate, error) {
	file, name, err := a.open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return problem.ReadCertificate(file, name, p)
}

func (a *terminal) printVerdict(v *app.Verdict) error {
	if a.json {
		if err := a.printJSON(v); err != nil {
			return err
		}
	} else {
		fmt.Fprintln(a.Out, v.Verdict)
		for _, text := range v.Violations {
			fmt.Fprintln(a.Out, "-", text)
		}
	}
	if !v.Holds {
		return answered{statusFailed}
	}
	return nil
}
