package cli

import (
	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
)

// horizonFlags say which years a plan is for, and how many burn days its seasons
// have.
type horizonFlags struct {
	years, from int
	burnDays    string
}

func (f *horizonFlags) register(cmd *cobra.Command) {
	cmd.Flags().IntVar(&f.years, "years", 0, "`NUMBER` of program years to plan (default: that of the settings)")
	cmd.Flags().StringVar(&f.burnDays, "burn-days", "", "burn days of each season from the weather record: poor (one year in five), median, mean, a `NUMBER`, or settings for those of the settings alone (default: poor where a record is loaded)")
	cmd.Flags().IntVar(&f.from, "from", 0, "first program `YEAR` (default: the one under way)")
}

// horizon reads the flags.
func (f *horizonFlags) horizon() (app.Horizon, error) {
	days, err := app.ParseBurnDays(f.burnDays)
	return app.Horizon{Years: f.years, From: date.ProgramYear(f.from), BurnDays: days}, err
}
