package cli

import (
	"github.com/spf13/cobra"
)

// addCommands lists every command, in the order in which help shows them.
func (a *terminal) addCommands(root *cobra.Command) {
	root.AddCommand(
		a.demoCommand(), a.newCommand(), a.pageCommand(), a.meCommand(), a.versionCommand(),
		a.settingsCommand(),
		a.importCommand(), a.unitsCommand(), a.splitCommand(), a.mergeCommand(), a.renameCommand(), a.retireCommand(), a.ownCommand(), a.deleteCommand(), a.neighborsCommand(), a.placesCommand(), a.weatherCommand(), a.prescriptionCommand(), a.burnsCommand(),
		a.planCommand(), a.plansCommand(), a.adoptCommand(), a.discardCommand(), a.showCommand(), a.compareCommand(), a.breaksCommand(),
		a.dueCommand(), a.weekCommand(), a.whyCommand(), a.missedCommand(), a.rehearseCommand(), a.alternativesCommand(), a.fixCommand(), a.lockCommand(), a.unlockCommand(),
		a.recordCommand(), a.tasksCommand(), a.contactsCommand(), a.contractCommand(), a.cardCommand(), a.forecastCommand(), a.nowCommand(),
		a.problemCommand(), a.solveCommand(), a.checkCommand(), a.windowsCommand(),
		a.bookCommand(), a.calendarCommand(), a.mapCommand(),
		a.sheetCommand(), a.onsiteCommand(), a.draftCommand(), a.packetCommand(), a.clientsCommand(), a.tablesCommand(), a.exportCommand(),
		a.changesCommand(), a.sendCommand(), a.receiveCommand(), a.backupCommand(), a.sealCommand(), a.verifyCommand(),
	)
}
