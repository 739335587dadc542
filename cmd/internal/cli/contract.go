package cli

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/store"
)

func (a *terminal) contractCommand() *cobra.Command {
	var show showFlags
	cmd := &cobra.Command{
		Use:   "contract",
		Short: "Show the cost-share contracts, and note what was done for them",
		Long: withStatus(`Contract lists what each contract plans by unit and fiscal year. Contracts come in by
"emberquilt import" with the columns contract, number, client, practice_code,
practice_name, standard_date, unit, fiscal_year, and acres or feet; fiscal_year_starts
names a month where the program's fiscal year is not the federal one. Applied acres of
burning follow from the burns on record; other work is noted with "contract done". Codes,
names and dates of practice standards are yours: they change, and differ by state.`, statusBadInput),
		Example: `  emberquilt contract done "Gate One" 394 2026-10-12 850
  emberquilt contract practice 394 --name Firebreak --standard-date 2021-05
  emberquilt contract file map.pdf`,
		GroupID: groupRecord,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.snapshot(cmd.Context(), func(snapshot *store.Snapshot) error {
				if len(snapshot.Contracts) == 0 && !a.json && !show.csv {
					return a.say("%s has no contract; emberquilt import reads them from a file", snapshot.Property.Name)
				}
				return a.printSheet(contractSheet(snapshot.Contracts), &show)
			})
		},
	}
	show.register(cmd)
	cmd.AddCommand(a.contractDoneCommand(), a.contractPracticeCommand(), a.contractFileCommand())
	return cmd
}

func contractSheet(all []habitat.Contract) *table.Sheet {
	sheet := &table.Sheet{Name: "contracts", Header: []string{"contract", "number", "client", "fiscal_year_starts", "practice_code", "practice_name", "standard_date", "applied_from", "unit", "fiscal_year", "planned", "measure"}}
	for _, c := range all {
		for _, item := range c.Items {
			i := slices.IndexFunc(c.Practices, func(p habitat.Practice) bool { return p.Code == item.Practice })
			if i < 0 {
				continue
			}
			p, from := &c.Practices[i], "completions"
			if p.Burns {
				from = "burns"
			}
			sheet.Rows = append(sheet.Rows, []any{c.Name, c.Number, c.Client, strings.ToLower(c.FiscalStart.Month().String()), p.Code, p.Name, p.Standard, from, item.Unit, item.FiscalYear, item.Planned, string(p.Measure)})
		}
	}
	return sheet
}

// undated says which practices have no date of a standard.
func undated(c *habitat.Contract) []string {
	var all []string
	for _, p := range c.Practices {
		if p.Standard == "" {
			all = append(all, fmt.Sprintf("practice %s: the date of its standard was not typed", p.Code))
		}
	}
	return all
}

// changeContract changes one contract: the one that is named, or the only one.
func (a *terminal) changeContract(cmd *cobra.Command, name string, do func(c *habitat.Contract, snapshot *store.Snapshot, property string) (words string, err error)) error {
	at, err := a.moment()
	if err != nil {
		return err
	}
	return a.change(cmd.Context(), func(s *store.Store) error {
		snapshot, err := s.Snapshot(cmd.Context())
		if err != nil {
			return err
		}
		c, err := findContract(snapshot, name)
		if err != nil {
			return err
		}
		words, err := do(c, snapshot, s.Path())
		if err != nil {
			return err
		}
		if err := c.Validate(); err != nil {
			return fieldFaults(err, sameFlag)
		}
		err = s.Update(cmd.Context(), at, words, func(tx *store.Tx) error {
			now, err := tx.Snapshot()
			if err != nil {
				return err
			}
			if now.Change.Number != snapshot.Change.Number {
				return errors.New("the property file changed meanwhile; nothing was noted, try again")
			}
			return tx.PutContract(*c)
		})
		if err != nil {
			return err
		}
		return a.say("%s", words)
	})
}

// findContract gives a copy of a contract that may be changed.
func findContract(snapshot *store.Snapshot, name string) (*habitat.Contract, error) {
	var names []string
	for _, c := range snapshot.Contracts {
		if c.Name == name || name == "" && len(snapshot.Contracts) == 1 {
			c.Practices, c.Items = slices.Clone(c.Practices), slices.Clone(c.Items)
			c.Completions, c.Files = slices.Clone(c.Completions), slices.Clone(c.Files)
			return &c, nil
		}
		names = append(names, quote(c.Name))
	}
	if len(names) == 0 {
		return nil, &source.Error{Position: source.Position{File: "--contract"}, Found: snapshot.Property.Name + " has no contract", Accepts: "the name of one", Hint: "emberquilt import reads contracts from a file"}
	}
	if name == "" {
		return nil, usagef("--contract is missing; accepts one of %s", strings.Join(names, ", "))
	}
	return nil, &source.Error{Position: source.Position{File: "--contract"}, Found: quote(name) + " is not a contract of " + snapshot.Property.Name, Accepts: "one of " + strings.Join(names, ", ")}
}

func findPractice(c *habitat.Contract, code string) (*habitat.Practice, error) {
	var codes []string
	for i := range c.Practices {
		if c.Practices[i].Code == code {
			return &c.Practices[i], nil
		}
		codes = append(codes, c.Practices[i].Code)
	}
	return nil, &source.Error{Position: source.Position{File: "CODE"}, Found: fmt.Sprintf("%s is not a practice of %s", quote(code), c.Name), Accepts: "one of " + strings.Join(codes, ", ")}
}

func (a *terminal) contractDoneCommand() *cobra.Command {
	var name, notes string
	var undo bool
	cmd := &cobra.Command{
		Use:   "done UNIT CODE DATE AMOUNT",
		Short: "Note work of a practice other than burning, in its acres or feet",
		Long: withStatus(`Done notes work that was done for a contract, such as feet of firebreak: unit, practice
code, day and amount in the practice's own measure. It stands in the packet as applied.
Noting the same unit, practice and day again replaces the amount; --undo takes it back.`, statusBadInput),
		Example: `  emberquilt contract done "Gate One" 394 2026-10-12 850 --notes "disked twice"`,
		Args:    exactArgs("UNIT", "CODE", "DATE", "AMOUNT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			on, err := date.ParseDay(args[2])
			if err != nil {
				return usagef("DATE: %w", notAccepted(args[2], "is not a date", "a date as YYYY-MM-DD"))
			}
			today, err := a.day()
			if err != nil {
				return err
			}
			if on.After(today) {
				return usagef("DATE: %s is in the future; accepts a date up to %s", on, today)
			}
			amount, err := quantity.Parse(args[3])
			if err != nil || !(amount > 0) || math.IsInf(amount, 0) {
				return usagef("AMOUNT: %w", notAccepted(args[3], "is not an amount", "a number above 0, in acres or feet as the practice counts"))
			}
			return a.changeContract(cmd, name, func(c *habitat.Contract, snapshot *store.Snapshot, _ string) (string, error) {
				unit, err := app.FindUnit(snapshot, args[0])
				if err != nil {
					return "", err
				}
				done := habitat.Completion{Unit: unit.ID, Practice: args[1], On: on, Applied: amount, Notes: notes}
				return noteCompletion(c, done, undo)
			})
		},
	}
	cmd.Flags().StringVar(&name, "contract", "", "`NAME` of the contract, where there are several")
	cmd.Flags().StringVar(&notes, "notes", "", "anything to add")
	cmd.Flags().BoolVar(&undo, "undo", false, "take back what was noted for the unit, practice and day")
	return cmd
}

// noteCompletion puts work into a contract, or takes it out.
func noteCompletion(c *habitat.Contract, done habitat.Completion, undo bool) (string, error) {
	practice, err := findPractice(c, done.Practice)
	if err != nil {
		return "", err
	}
	if practice.Burns {
		return "", &source.Error{Position: source.Position{File: "CODE"}, Found: fmt.Sprintf("applied %s of %s follow from the burns on record", practice.Measure, done.Practice),
			Accepts: "a practice other than burning", Hint: "emberquilt record puts a burn on record"}
	}
	same := func(o habitat.Completion) bool {
		return o.Unit == done.Unit && o.Practice == done.Practice && o.On == done.On
	}
	i := slices.IndexFunc(c.Completions, same)
	what := fmt.Sprintf("%s %s on %s, %s", practice.Code, practice.Name, done.Unit, done.On)
	switch {
	case undo && i < 0:
		return "", &source.Error{Position: source.Position{File: "UNIT"}, Found: "nothing is noted of " + what, Accepts: "work that is noted"}
	case undo:
		c.Completions = slices.Delete(c.Completions, i, i+1)
		return what + ": taken back", nil
	case i >= 0:
		c.Completions[i] = done
	default:
		c.Completions = append(c.Completions, done)
	}
	return fmt.Sprintf("%s: %s %s applied", what, view.Figure(done.Applied), practice.Measure), nil
}

func (a *terminal) contractPracticeCommand() *cobra.Command {
	var contract, name, standard string
	cmd := &cobra.Command{
		Use:   "practice CODE",
		Short: "Type or correct the name and the standard's date of a practice",
		Long: withStatus(`Practice sets what the papers say of a practice of a contract: the name, and the date of
the standard it is held to, as you read it in your state's own standard.`, statusBadInput),
		Args: exactArgs("CODE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if name == "" && standard == "" {
				return usagef("--name and --standard-date are missing; use one or both")
			}
			return a.changeContract(cmd, contract, func(c *habitat.Contract, _ *store.Snapshot, _ string) (string, error) {
				p, err := findPractice(c, args[0])
				if err != nil {
					return "", err
				}
				if name != "" {
					p.Name = name
				}
				if standard != "" {
					p.Standard = standard
				}
				return fmt.Sprintf("%s: %s, standard of %s", p.Code, p.Name, p.Standard), nil
			})
		},
	}
	cmd.Flags().StringVar(&contract, "contract", "", "`NAME` of the contract, where there are several")
	cmd.Flags().StringVar(&name, "name", "", "`NAME` of the practice")
	cmd.Flags().StringVar(&standard, "standard-date", "", "`DATE` of the standard, such as 2020-09")
	return cmd
}

func (a *terminal) contractFileCommand() *cobra.Command {
	var contract string
	cmd := &cobra.Command{
		Use:   "file FILE",
		Short: "Attach a file to a contract, by path and checksum",
		Long:  withStatus(`File puts a map, letter or photo on the list of files of a contract's packet.`, statusBadInput),
		Args:  exactArgs("FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.changeContract(cmd, contract, func(c *habitat.Contract, _ *store.Snapshot, property string) (string, error) {
				file, err := attach(args[0], property)
				if err != nil {
					return "", err
				}
				c.Files = slices.DeleteFunc(c.Files, func(o habitat.Attachment) bool { return o.Path == file.Path })
				c.Files = append(c.Files, file)
				return fmt.Sprintf("%s belongs to %s", file.Path, c.Name), nil
			})
		},
	}
	cmd.Flags().StringVar(&contract, "contract", "", "`NAME` of the contract, where there are several")
	return cmd
}
