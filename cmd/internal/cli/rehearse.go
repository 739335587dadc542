package cli

import (
	"context"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/table"
)

// rehearseOptions are those of the rehearse command.
type rehearseOptions struct {
	show showFlags
	app.RehearseOptions
	// rules and lost are the words of the flags.
	rules, lost []string
	// secondChance and ahead hold under every rule.
	secondChance, ahead bool
	// noFutures says that the command line asks for none.
	noFutures bool
	// seconds is when to come back.
	seconds float64
}

func (a *terminal) rehearseCommand() *cobra.Command {
	var o rehearseOptions
	cmd := &cobra.Command{
		Use:   "rehearse",
		Short: "Play the coming years with weather from the record",
		Long: withStatus(`Rehearse plays the coming program years many times over. Each year of such a future takes
the weather of one year of the record; the crew burns what is planned on the days that
suit, dearest to put off first, and each year's plan is made again from what really
burned. It says how often units are late, how far the program falls short, and what a
rule that knew the weather in advance could not beat.

A --rule is one way to run the program; others are compared with the first, on the same
futures:
  plan, plan-2     the adopted plan, or plan 2, in the first year and planned like it after
  poor, median, mean, settings, 6
                   planned with the burn days of that year of the record, or so many
  most-overdue     no plan: what is due burns, the most overdue first
  crew-day         one crew day more a season
  second-crew      two units on a day that suits
  second-chance    a missed unit waits for its next season of the same year
  ahead            days that are left take next year's units
Words joined by + hold at once: median+ahead. Without a rule, plan and most-overdue are
compared. What was found is kept with the adopted plan, and the book shows it.

Past weather, invented futures, not a forecast.

`+caution, statusBadInput, statusNoPlan),
		Example: "  emberquilt rehearse\n  emberquilt rehearse --futures 500 --rule poor --rule median --rule median+crew-day",
		GroupID: groupPlan,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			o.noFutures = cmd.Flags().Changed("futures") && o.Futures == 0
			if seconds := given(cmd, "seconds", o.seconds); seconds != nil {
				if !(*seconds > 0 && *seconds <= 1e6) {
					return flagError("seconds", "a number above 0, up to 1000000", "%v is not a time to rehearse in", *seconds)
				}
				o.Within = time.Duration(*seconds * float64(time.Second))
			}
			return a.runRehearse(cmd.Context(), o)
		},
	}
	o.show.register(cmd)
	flags := cmd.Flags()
	flags.IntVar(&o.Futures, "futures", app.DefaultFutures, "`NUMBER` of futures to play")
	flags.Float64Var(&o.seconds, "seconds", 0, "come back within so many `SECONDS`, with the futures that are played by then (default: when all are)")
	flags.IntVar(&o.Years, "years", 0, "`NUMBER` of program years in each (default: those that the adopted plan shows)")
	flags.Uint64Var(&o.Seed, "seed", 0, "`NUMBER` that the futures are drawn from; the same seed gives the same futures")
	flags.IntVar(&o.Threads, "threads", 0, "`NUMBER` of futures to play at once, 0 for one on each processor; the figures do not depend on it")
	flags.StringArrayVar(&o.rules, "rule", nil, "a `RULE` to compare; may stand several times")
	flags.BoolVar(&o.secondChance, secondChanceFlag, false, "under every rule, let a missed unit wait for its next season of the same year")
	flags.BoolVar(&o.ahead, "ahead", false, "under every rule, let days that are left take next year's units")
	flags.IntVar(&o.Blocks, "blocks", 1, "draw runs of so many record `YEARS` in a row")
	flags.StringArrayVar(&o.lost, "lost", nil, "`SEASON=SHARE` of its days lost to bans and other causes, such as dormant=0.1")
	flags.Float64Var(&o.Wildfire, "wildfire", 0, "`CHANCE` a year that a wildfire burns a unit; no bound is shown with it")
	flags.Float64Var(&o.Gap, "gap", app.DefaultReplanGap, "stop each plan when none can be better by more than this `SHARE` of its shortfall")
	flags.IntVar(&o.Rounds, "plan-rounds", app.DefaultReplanRounds, "stop each plan after so many `ROUNDS` of the solver's work, the same on any machine")
	flags.Float64Var(&o.Seconds, "plan-seconds", app.DefaultReplanSeconds, "stop each plan after so many `SECONDS`")
	return cmd
}

const secondChanceFlag = "second-chance"

func (a *terminal) runRehearse(ctx context.Context, o rehearseOptions) (err error) {
	if err := o.show.validate(a); err != nil {
		return err
	}
	if o.noFutures {
		return flagError("futures", "1 or more", "0 futures say nothing")
	}
	if o.Rules, err = app.ParseRules(o.rules, o.secondChance, o.ahead); err != nil {
		return err
	}
	if o.Lost, err = readLost(o.lost); err != nil {
		return err
	}
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		v, stopped := s.Rehearse(ctx, o.RehearseOptions)
		if v == nil {
			return stopped
		}
		if err := table.Rehearsal(a.Out, v, o.show.options(a)); err != nil {
			return err
		}
		return stopped
	})
}

// readLost reads the shares of days lost by season; nil for none.
func readLost(texts []string) (lost map[string]float64, err error) {
	for _, text := range texts {
		season, number, ok := cutLast(text, "=")
		share, err := quantity.Parse(number)
		if !ok || err != nil {
			return nil, flagError("lost", "a season and a share, such as dormant=0.1", "%s is not one", source.Quote(text))
		}
		if lost == nil {
			lost = map[string]float64{}
		}
		lost[season] = share
	}
	return lost, nil
}

// cutLast cuts a text around the last of a mark.
func cutLast(text, mark string) (before, after string, found bool) {
	at := strings.LastIndex(text, mark)
	if at < 0 {
		return text, "", false
	}
	return text[:at], text[at+len(mark):], true
}
