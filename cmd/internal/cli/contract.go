package cli

import (
	"context"
	"errors"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/table"
)

func (a *terminal) contractCommand() *cobra.Command {
	var show showFlags
	var all allFlag
	cmd := &cobra.Command{
		Use:   "contract",
		Short: "Show the cost-share contracts, and note what was done for them",
		Long: withStatus(`Contract lists what each contract plans by unit and fiscal year. Contracts come in by
"emberquilt import" with the columns contract, number, client, practice_code,
practice_name, standard_date, unit, fiscal_year, and acres or feet; fiscal_year_starts
names a month where the program's fiscal year is not the federal one. Applied acres of
burning follow from the burns on record; other work is noted with "contract done". Codes,
names and dates of practice standards are yours: they change, and differ by state.
A line whose unit is empty, or "whole property", is of the whole property: work on any
unit counts for it that the lines of the unit itself do not take.

`+allHelp, statusBadInput),
		Example: `  emberquilt contract done "Gate One" 394 2026-10-12 850
  emberquilt contract practice 394 --name Firebreak --standard-date 2021-05
  emberquilt contract file map.pdf`,
		GroupID: groupRecord,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.runContracts(cmd.Context(), &all, &show)
		},
	}
	show.register(cmd)
	all.register(cmd)
	cmd.AddCommand(
		a.contractDoneCommand(),
		a.contractPracticeCommand(),
		a.contractFileCommand(),
		a.contractModifyCommand(habitat.Amend),
		a.contractModifyCommand(habitat.Move),
		a.contractModifyCommand(habitat.Extend),
		a.contractModifyCommand(habitat.CancelLine),
		a.contractModifyCommand(habitat.CloseLine),
		a.contractEarlyCommand(),
		a.contractHoldCommand(),
	)
	return cmd
}

func (a *terminal) runContracts(ctx context.Context, all *allFlag, show *showFlags) error {
	if all.folder != "" {
		return a.overAll(
			ctx,
			all,
			show,
			ofAll{name: "contracts", doing: "reading contracts", none: "no property has a contract", one: func(s *app.Session) (any, *table.Sheet, error) {
				rows := table.Contracts(s.Contracts)
				return rows.Objects(), rows, nil
			}},
		)
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		if len(s.Contracts) == 0 && !a.json && !show.csv {
			return a.say("%s has no contract; emberquilt import reads them from a file", s.Property.Name)
		}
		return a.printSheet(table.Contracts(s.Contracts), show)
	})
}

// changeContract runs one change of a contract and says it.
func (a *terminal) changeContract(ctx context.Context, do func(*app.Session) (words string, err error)) error {
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		words, err := do(s)
		var which *app.WhichContractError
		switch {
		case errors.As(err, &which):
			for i, name := range which.Names {
				which.Names[i] = quote(name)
			}
			return usagef("--contract is missing; accepts one of %s", strings.Join(which.Names, ", "))
		case err != nil:
			return err
		}
		return a.say("%s", words)
	})
}

func (a *terminal) contractDoneCommand() *cobra.Command {
	var name, notes string
	var undo bool
	cmd := &cobra.Command{
		Use:   "done UNIT CODE DATE AMOUNT",
		Short: "Note work of a practice other than burning, in its acres or feet",
		Long: withStatus(`Done notes work that was done for a contract, such as feet of firebreak: unit, practice
code, day and amount in the practice's own measure. It stands in the packet as applied.
UNIT may be "whole property" where a line of the practice is: that work counts for such
lines alone, while work on a unit counts first for lines of the unit. Noting the same
unit, practice and day again replaces the amount; --undo takes it back.`, statusBadInput),
		Example: `  emberquilt contract done "Gate One" 394 2026-10-12 850 --notes "disked twice"`,
		Args:    exactArgs("UNIT", "CODE", "DATE", "AMOUNT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runContractDone(cmd.Context(), name, notes, undo, args)
		},
	}
	cmd.Flags().StringVar(&name, "contract", "", "`NAME` of the contract, where there are several")
	cmd.Flags().StringVar(&notes, "notes", "", "anything to add")
	cmd.Flags().BoolVar(&undo, "undo", false, "take back what was noted for the unit, practice and day")
	return cmd
}

func (a *terminal) runContractDone(ctx context.Context, contract, notes string, undo bool, args []string) error {
	on, err := date.ParseDay(args[2])
	if err != nil {
		return usagef("DATE: %w", notAccepted(args[2], "is not a date", "a date as YYYY-MM-DD"))
	}
	amount, err := quantity.Parse(args[3])
	if err != nil || !(amount > 0) || math.IsInf(amount, 0) {
		return usagef("AMOUNT: %w", notAccepted(args[3], "is not an amount", "a number above 0, in acres or feet as the practice counts"))
	}
	done := habitat.Completion{Unit: args[0], Practice: args[1], On: on, Applied: amount, Notes: notes}
	return a.changeContract(ctx, func(s *app.Session) (string, error) {
		words, err := s.NoteCompletion(ctx, contract, done, undo)
		return words, namedAs(err, func(option string) string {
			if option == "date" {
				return "DATE"
			}
			return sameFlag(option)
		})
	})
}

// practiceOptions are those of contract practice.
type practiceOptions struct {
	// contract is empty for the only one.
	contract, code string
	// name and standard are set where they are not empty.
	name, standard string
}

func (a *terminal) contractPracticeCommand() *cobra.Command {
	var o practiceOptions
	cmd := &cobra.Command{
		Use:   "practice CODE",
		Short: "Type or correct the name and the standard's date of a practice",
		Long: withStatus(`Practice sets what the papers say of a practice of a contract: the name, and the date of
the standard it is held to, as you read it in your state's own standard.`, statusBadInput),
		Args: exactArgs("CODE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.code = args[0]
			return a.runPractice(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVar(&o.contract, "contract", "", "`NAME` of the contract, where there are several")
	cmd.Flags().StringVar(&o.name, "name", "", "`NAME` of the practice")
	cmd.Flags().StringVar(&o.standard, "standard-date", "", "`DATE` of the standard, such as 2020-09")
	return cmd
}

func (a *terminal) runPractice(ctx context.Context, o practiceOptions) error {
	if o.name == "" && o.standard == "" {
		return usagef("--name and --standard-date are missing; use one or both")
	}
	return a.changeContract(ctx, func(s *app.Session) (string, error) {
		return s.NamePractice(ctx, o.contract, o.code, o.name, o.standard)
	})
}

func (a *terminal) contractFileCommand() *cobra.Command {
	var contract, because string
	cmd := &cobra.Command{
		Use:   "file FILE",
		Short: "Attach a file to a contract, by path and checksum",
		Long: withStatus(`File puts a map, letter or photo on the list of files of a contract's packet. A file
of that path that was altered since takes its place only with --because.`, statusBadInput),
		Args: exactArgs("FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runContractFile(cmd.Context(), contract, args[0], because)
		},
	}
	cmd.Flags().StringVar(&contract, "contract", "", "`NAME` of the contract, where there are several")
	cmd.Flags().StringVar(&because, "because", "", "the `REASON` why an altered file takes the place of the one that is listed")
	return cmd
}

func (a *terminal) runContractFile(ctx context.Context, contract, path, because string) error {
	return a.changeContract(ctx, func(s *app.Session) (string, error) {
		words, err := s.AttachToContract(ctx, contract, path, because)
		if isPathError(err) {
			return "", noFile(path, err)
		}
		return words, err
	})
}
