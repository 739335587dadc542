package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/view"
)

func (a *terminal) verifyCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "verify",
		Short: "Check that the property file is intact",
		Long: withStatus(`Verify checks the database, its references, the seal of every change, that the
current values make sense together, and the files that belong to records and
contracts. It lists what is wrong and then ends with
status 1.`, statusBadInput),
		GroupID: groupProperty,
		Args:    exactArgs(),
		RunE:    func(cmd *cobra.Command, _ []string) error { return a.runVerify(cmd.Context()) },
	}
}

func (a *terminal) runVerify(ctx context.Context) error {
	path, err := a.findProperty()
	if err != nil {
		return err
	}
	v, err := app.Verify(ctx, path)
	if err != nil {
		return err
	}
	if err := a.printVerified(v); err != nil || v.IsIntact() {
		return err
	}
	return answered{statusFailed}
}

func (a *terminal) printVerified(v *app.Verified) error {
	if a.json {
		return a.printJSON(map[string]any{"file": v.Path, "data_version": v.Stamp, "whole": len(v.Faults) == 0, "faults": v.Faults, "files": v.Files})
	}
	if len(v.Faults) == 0 {
		fmt.Fprintf(a.Out, "%s is intact; %s\n", v.Path, view.ChangeWords(string(v.Stamp)))
		for _, warning := range view.FileWarnings(v.Files) {
			fmt.Fprintln(a.Out, "-", warning)
		}
		return nil
	}
	fmt.Fprintf(a.Out, "%s is not intact:\n", v.Path)
	for _, fault := range v.Faults {
		fmt.Fprintln(a.Out, "-", fault)
	}
	return nil
}
