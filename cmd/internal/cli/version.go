package cli

import (
	"fmt"

	"github.com/spf13/cobra"
)

// version is that of the program, stamped on every paper. A release sets it when it
// is built; see .ci/release.
var version = "0.1.0"

func (a *terminal) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "Show the program's version",
		Long:    withStatus("Version prints the program's version, which every paper bears too."),
		GroupID: groupStart,
		Args:    exactArgs(),
		RunE:    func(*cobra.Command, []string) error { return a.printVersion() },
	}
}

func (a *terminal) printVersion() error {
	if a.json {
		return a.printJSON(map[string]string{"version": version})
	}
	fmt.Fprintln(a.Out, "emberquilt", version)
	return nil
}
