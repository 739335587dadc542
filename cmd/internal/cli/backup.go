package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/store"
)

func (a *terminal) backupCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy the property file, also while it is in use",
		Long: withStatus(`Backup writes a copy of the property file as it is at one moment, even while
another command uses it. A file of that name that exists already is left alone.`, statusBadInput),
		GroupID: groupProperty,
		Args:    exactArgs("FILE"),
		RunE:    func(cmd *cobra.Command, args []string) error { return a.runBackup(cmd.Context(), args[0]) },
	}
}

func (a *terminal) runBackup(ctx context.Context, path string) error {
	return a.read(ctx, func(s *store.Store) error {
		if err := s.Backup(ctx, path); err != nil {
			return err
		}
		if a.json {
			return a.printJSON(map[string]string{"backup": path})
		}
		_, err := fmt.Fprintf(a.Out, "%s is a copy of %s\n", path, s.Path())
		return err
	})
}
