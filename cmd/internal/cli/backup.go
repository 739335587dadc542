package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
)

func (a *terminal) backupCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy the property file, also while it is in use",
		Long: withStatus(`Backup writes a copy of the property file as it is at one moment, even while
another command uses it. A file of that name that exists already is left alone. The copy
holds all that the property file holds, names and phone numbers too; who may read it is
left to your system's settings, as with the property file itself.`, statusBadInput),
		GroupID: groupProperty,
		Args:    exactArgs("FILE"),
		RunE:    func(cmd *cobra.Command, args []string) error { return a.runBackup(cmd.Context(), args[0]) },
	}
}

func (a *terminal) runBackup(ctx context.Context, copied string) error {
	path, err := a.findProperty()
	if err != nil {
		return err
	}
	if err := app.Backup(ctx, path, copied); err != nil {
		return err
	}
	if a.json {
		return a.printJSON(map[string]string{"backup": copied})
	}
	_, err = fmt.Fprintf(a.Out, "%s is a copy of %s\n", copied, path)
	return err
}
