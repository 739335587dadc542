package cli

import (
	"context"
	"slices"
	"strconv"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
)

// holdOptions are those of contract hold.
type holdOptions struct {
	contract string
	// line is 0 for all lines.
	line int
	hold habitat.LineHold
}

func (a *terminal) contractHoldCommand() *cobra.Command {
	var o holdOptions
	cmd := &cobra.Command{
		Use:   "hold LINE|all free|wish|lock",
		Short: "Say how plans hold to a line of a contract, or to all",
		Long: withStatus(`Hold says what plans do about a line of which something remains:

  free  nothing; what the plan does with the line is told, in time, late or not at all
  wish  its unit burns in the line's fiscal years wherever that can stand with rest,
        seasons, caps, pairs, refuges and locks; where it cannot, the plan says why and
        goes on without it
  lock  its unit burns in the line's fiscal years, as under a lock; what makes that
        impossible is a clash, and no plan is made

A wish has no price: it is kept even where that makes other units late. Lines are taken in
the order in which they are due, locks before wishes; a wish that was given up leaves room
for the next. Without a word lines are free. The next plan follows. A line of the whole
property is held by no plan, which says what it burns of it.`, statusBadInput),
		Example: "  emberquilt contract hold all wish --contract Grass\n  emberquilt contract hold 3 lock",
		Args:    exactArgs("LINE|all", "free|wish|lock"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if o.line, err = parseLine(args[0]); err != nil {
				return err
			}
			if o.hold, err = parseHold(args[1]); err != nil {
				return err
			}
			return a.runHold(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVar(&o.contract, "contract", "", "`NAME` of the contract, where there are several")
	return cmd
}

// parseLine reads the number of a line, or all, which is 0.
func parseLine(text string) (int, error) {
	if text == "all" {
		return 0, nil
	}
	line, err := strconv.Atoi(text)
	if err != nil || line < 1 {
		return 0, usagef("LINE: %w", notAccepted(text, "is not a line", "the number of a line that emberquilt contract shows, or all"))
	}
	return line, nil
}

// parseHold reads free, wish or lock.
func parseHold(text string) (habitat.LineHold, error) {
	hold := habitat.LineHold(text)
	if !slices.Contains([]habitat.LineHold{habitat.FreeLine, habitat.WishedLine, habitat.LockedLine}, hold) {
		return "", usagef("%w", notAccepted(text, "is not a way to hold a line", "free, wish or lock"))
	}
	return hold, nil
}

func (a *terminal) runHold(ctx context.Context, o holdOptions) error {
	return a.changeContract(ctx, func(s *app.Session) (string, error) {
		words, err := s.HoldLines(ctx, o.contract, o.line, o.hold)
		return words, namedAs(err, func(option string) string {
			if option == "line" {
				return "LINE"
			}
			return sameFlag(option)
		})
	})
}
