package cli

import "github.com/spf13/cobra"

// addCommands lists every command, in the order in which help shows them.
func (a *app) addCommands(root *cobra.Command) {
	root.AddCommand(
		a.versionCommand(),
		a.lockCommand(), a.unlockCommand(),
		a.recordCommand(),
		a.backupCommand(), a.verifyCommand(),
	)
}
