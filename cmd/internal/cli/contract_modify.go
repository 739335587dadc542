package cli

import (
	"context"
	"strconv"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// modifyOptions are those of the commands that modify a line of a contract.
type modifyOptions struct {
	contract, number, because, planned, year, unit string
	on                                             dayFlag
}

// modifyWords say what each modification does.
var modifyWords = map[habitat.ModificationKind]struct{ use, short string }{
	habitat.Amend:      {"amend LINE", "Change how much a line of a contract plans"},
	habitat.Move:       {"move LINE", "Move a line of a contract to another fiscal year or unit"},
	habitat.Extend:     {"extend LINE", "Give a line of a contract until a later fiscal year"},
	habitat.CancelLine: {"cancel LINE", "Cancel a line of a contract, or all: it counts no more"},
	habitat.CloseLine:  {"close LINE", "Close a line of a contract, or all, as it stands"},
}

func (a *terminal) contractModifyCommand(kind habitat.ModificationKind) *cobra.Command {
	var o modifyOptions
	words := modifyWords[kind]
	cmd := &cobra.Command{
		Use:   words.use,
		Short: words.short,
		Long: withStatus(words.short+`. LINE is its number as "emberquilt contract" shows it.
The line keeps its number and its unit of measure. What it was, the date, the
reason and the modification's number stay with the contract and stand in its packet.`, statusBadInput),
		Args: exactArgs("LINE"),
		RunE: func(cmd *cobra.Command, args []string) error { return a.runModify(cmd.Context(), kind, args[0], o) },
	}
	flags := cmd.Flags()
	flags.StringVar(&o.contract, "contract", "", "`NAME` of the contract, where there are several")
	flags.StringVar(&o.number, "modification", "", "the `NUMBER` of the modification, as the agency writes it")
	flags.StringVar(&o.because, "because", "", "the `REASON`, which is kept with the contract")
	flags.Var(&o.on, "on", "the `DATE` on which it was agreed (default: today)")
	switch kind {
	case habitat.Amend:
		flags.StringVar(&o.planned, "planned", "", "the `AMOUNT` that it plans now, in the practice's acres or feet")
	case habitat.Move:
		flags.StringVar(&o.year, "year", "", "the fiscal `YEAR` in which it is due now")
		flags.StringVar(&o.unit, "unit", "", "the `UNIT` on which it is due now, or \"whole property\"")
	case habitat.Extend:
		flags.StringVar(&o.year, "year", "", "the last fiscal `YEAR` in which it is on time now")
	}
	return cmd
}

func (a *terminal) runModify(ctx context.Context, kind habitat.ModificationKind, text string, o modifyOptions) error {
	m := habitat.Modification{Number: o.number, On: o.on.Day, Kind: kind, Reason: o.because}
	all := text == "all" && (kind == habitat.CancelLine || kind == habitat.CloseLine)
	if !all {
		line, err := strconv.Atoi(text)
		if err != nil || line < 1 {
			return usagef("LINE: %w", notAccepted(text, "is not a line", "the number of a line that emberquilt contract shows"))
		}
		m.Line = line
	}
	if o.because == "" {
		return usagef("--because is missing; accepts the reason, which is kept with the contract")
	}
	to := habitat.LineChange{Unit: o.unit}
	if kind == habitat.Amend {
		amount, err := quantity.Parse(o.planned)
		if err != nil || !(amount > 0) {
			return usagef("--planned: %w", notAccepted(o.planned, "is not an amount", "a number above 0, in acres or feet as the practice counts"))
		}
		to.Planned = amount
	}
	if o.year != "" || kind == habitat.Extend {
		year, err := strconv.Atoi(o.year)
		if err != nil {
			return usagef("--year: %w", notAccepted(o.year, "is not a fiscal year", "four digits, such as 2028"))
		}
		if to.Year = date.FiscalYear(year); kind == habitat.Extend {
			to.Year, to.Until = 0, date.FiscalYear(year)
		}
	}
	if kind == habitat.Move && to.Year == 0 && to.Unit == "" {
		return usagef("--year and --unit are missing; use one or both")
	}
	return a.changeContract(ctx, func(s *app.Session) (string, error) {
		words, err := s.ModifyContract(ctx, o.contract, m, to)
		return words, namedAs(err, func(option string) string {
			if option == "line" {
				return "LINE"
			}
			return sameFlag(option)
		})
	})
}

func (a *terminal) contractEarlyCommand() *cobra.Command {
	var contract string
	cmd := &cobra.Command{
		Use:   "early credited|not-credited",
		Short: "Say whether a contract credits work that was done before its year",
		Long: withStatus(
			`Early answers, as the contract says it, whether work before a line's fiscal year is credited to the line. Until it is answered it is not, and the packet says so.`,
			statusBadInput,
		),
		Args: exactArgs("credited|not-credited"),
		RunE: func(cmd *cobra.Command, args []string) error { return a.runEarly(cmd.Context(), contract, args[0]) },
	}
	cmd.Flags().StringVar(&contract, "contract", "", "`NAME` of the contract, where there are several")
	return cmd
}

func (a *terminal) runEarly(ctx context.Context, contract, answer string) error {
	early := map[string]habitat.EarlyCredit{"credited": habitat.EarlyCredited, "not-credited": habitat.EarlyNotCredited}[answer]
	if early == habitat.EarlyUnasked {
		return usagef("%w", notAccepted(answer, "is no answer", "credited or not-credited"))
	}
	return a.changeContract(ctx, func(s *app.Session) (string, error) { return s.CreditEarly(ctx, contract, early) })
}
