package cli

import (
	"context"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/schedule/problem"
)

// problemFormats are what a problem is written as.
var problemFormats = map[string]func(io.Writer, *problem.Problem) error{
	"json": problem.Write,
	"lp":   problem.WriteLP,
	"mps":  problem.WriteMPS,
}

func (a *terminal) problemCommand() *cobra.Command {
	var format, out string
	var years horizonFlags
	cmd := &cobra.Command{
		Use:   "problem [PROBLEM]",
		Short: "Write the rotation problem of a property, or of a problem file, for any solver",
		Long: withStatus(`Problem writes the rotation problem of the property, with everything that a plan
made now would obey, or that of a problem file ("-" is standard input). As json it
is what "emberquilt solve" reads; lp is LP text and mps free MPS text, which
general solvers for integer programs read.`, statusBadInput),
		Example: `  emberquilt problem --format lp --output plan.lp
  emberquilt problem | emberquilt solve - --seconds 10`,
		GroupID: groupBare,
		Args:    argsBetween(0, "PROBLEM"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runProblem(cmd.Context(), args, format, out, &years)
		},
	}
	cmd.Flags().StringVar(&format, "format", "json", "json, lp or mps")
	cmd.Flags().StringVarP(&out, "output", "o", "", "write to `FILE` (default: standard output)")
	years.register(cmd)
	return cmd
}

func (a *terminal) runProblem(ctx context.Context, args []string, format, out string, years *horizonFlags) error {
	write, ok := problemFormats[format]
	if !ok {
		return flagError("format", "json, lp or mps", "%s is not a format of a problem", quote(format))
	}
	p, err := a.problemOf(ctx, args, years)
	if err != nil {
		return err
	}
	return a.write(output{out, func(w io.Writer) error { return write(w, p) }})
}

// problemOf reads the problem file that is named, or makes the problem of the
// property.
func (a *terminal) problemOf(ctx context.Context, args []string, years *horizonFlags) (*problem.Problem, error) {
	if len(args) > 0 {
		return a.readProblem(args[0])
	}
	over, err := years.horizon()
	if err != nil {
		return nil, err
	}
	var p *problem.Problem
	err = a.session(ctx, app.ToRead, func(d *app.Session) error {
		made, err := d.Problem(ctx, over)
		if err == nil {
			p = made.Problem
		}
		return err
	})
	return p, err
}

// readProblem reads a problem file; "-" is standard input.
func (a *terminal) readProblem(path string) (*problem.Problem, error) {
	file, name, err := a.open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return problem.Read(file, name)
}

// warn prints what is odd but allowed, on standard error.
func (a *terminal) warn(warnings []string) {
	for _, text := range warnings {
		io.WriteString(a.Err, "warning: "+strings.ReplaceAll(text, "\n", " ")+"\n")
	}
}
