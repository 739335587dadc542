package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/report/view"
	"emberquilt/store"
)

func (a *terminal) verifyCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "verify",
		Short: "Check that the property file is intact",
		Long: withStatus(`Verify checks the database, its references, the seal of every change and that
the current values make sense together. It lists what is wrong and then ends with
status 1.`, statusBadInput),
		GroupID: groupProperty,
		Args:    exactArgs(),
		RunE:    func(cmd *cobra.Command, _ []string) error { return a.runVerify(cmd.Context()) },
	}
}

// runVerify asks the file itself: one that is not intact may not be readable as a
// property.
func (a *terminal) runVerify(ctx context.Context) error {
	return a.read(ctx, func(s *store.Store) error {
		faults, err := s.Verify(ctx)
		if err != nil {
			return err
		}
		stamp, err := s.Stamp(ctx)
		if err != nil {
			return err
		}
		if err := a.printVerified(s.Path(), stamp, faults); err != nil || len(faults) == 0 {
			return err
		}
		return answered{statusFailed}
	})
}

func (a *terminal) printVerified(path string, stamp store.Stamp, faults []string) error {
	if a.json {
		if faults == nil {
			faults = []string{}
		}
		return a.printJSON(map[string]any{"file": path, "data_version": stamp, "whole": len(faults) == 0, "faults": faults})
	}
	if len(faults) == 0 {
		_, err := fmt.Fprintf(a.Out, "%s is intact; %s\n", path, view.ChangeWords(string(stamp)))
		return err
	}
	fmt.Fprintf(a.Out, "%s is not intact:\n", path)
	for _, fault := range faults {
		fmt.Fprintln(a.Out, "-", fault)
	}
	return nil
}
