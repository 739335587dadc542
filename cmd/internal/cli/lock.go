package cli

import (
	"context"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
)

// lockOptions are those of the lock command.
type lockOptions struct {
	lock    habitat.Lock
	because string
}

func (a *terminal) lockCommand() *cobra.Command {
	var o lockOptions
	cmd := &cobra.Command{
		Use:   "lock UNIT YEAR burn|rest",
		Short: "Fix a burn or a rest of a unit in a program year",
		Long: withStatus(`Lock fixes what a unit does in a program year; every plan made after it obeys. A
lock replaces the one of the same unit and year. A plan that the locks make
impossible is refused with what clashes.`, statusBadInput),
		Example: "  emberquilt lock \"Creek Patch\" 2027 burn --season spring\n  emberquilt lock \"Creek Patch\" 2028 rest",
		GroupID: groupPlan,
		Args:    exactArgs("UNIT", "YEAR", "burn|rest"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			o.lock.Unit = args[0]
			if o.lock.Year, err = parseYear(args[1]); err != nil {
				return err
			}
			if o.lock.Burn, err = parseBurn(args[2]); err != nil {
				return err
			}
			return a.runLock(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVar(&o.lock.Season, "season", "", "season of a locked burn (default: any)")
	cmd.Flags().StringVar(&o.because, "because", "", "`REASON`, kept with the change")
	return cmd
}

func (a *terminal) runLock(ctx context.Context, o lockOptions) error {
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		put, err := s.Lock(ctx, o.lock, o.because)
		if err != nil {
			return err
		}
		return a.say("%s", view.LockWords(put))
	})
}

// parseBurn reads burn or rest.
func parseBurn(text string) (bool, error) {
	if text != "burn" && text != "rest" {
		return false, usagef("%s is neither; accepts burn or rest", quote(text))
	}
	return text == "burn", nil
}

// unlockOptions are those of the unlock command.
type unlockOptions struct {
	unit    string
	year    date.ProgramYear
	because string
}

func (a *terminal) unlockCommand() *cobra.Command {
	var o unlockOptions
	cmd := &cobra.Command{
		Use:     "unlock UNIT YEAR",
		Short:   "Lift a lock",
		Long:    withStatus(`Unlock lifts the lock of a unit in a program year.`, statusBadInput),
		GroupID: groupPlan,
		Args:    exactArgs("UNIT", "YEAR"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			o.unit = args[0]
			if o.year, err = parseYear(args[1]); err != nil {
				return err
			}
			return a.runUnlock(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVar(&o.because, "because", "", "`REASON`, kept with the change")
	return cmd
}

func (a *terminal) runUnlock(ctx context.Context, o unlockOptions) error {
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		if err := s.Unlock(ctx, o.unit, o.year, o.because); err != nil {
			return err
		}
		return a.say("%s is free in %d", o.unit, o.year)
	})
}

// parseYear reads a program year.
func parseYear(text string) (date.ProgramYear, error) {
	year, err := strconv.Atoi(text)
	if err != nil || year < 1900 || year > 2200 {
		return 0, usagef("%s is not a program year; accepts the year in which it ends, such as 2027", quote(text))
	}
	return date.ProgramYear(year), nil
}

// say prints one line of result, or it as JSON.
func (a *terminal) say(format string, args ...any) error {
	text := fmt.Sprintf(format, args...)
	if a.json {
		return a.printJSON(map[string]string{"done": text})
	}
	return a.prose("%s", text)
}
