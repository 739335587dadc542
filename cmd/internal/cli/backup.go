package cli

import (
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
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.read(cmd.Context(), func(s *store.Store) error {
				if err := s.Backup(cmd.Context(), args[0]); err != nil {
					return err
				}
				if a.json {
					return a.printJSON(map[string]string{"backup": args[0]})
				}
				_, err := fmt.Fprintf(a.Out, "%s is a copy of %s\n", args[0], s.Path())
				return err
			})
		},
	}
}
