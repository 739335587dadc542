package cli

import (
	"context"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
)

// changesOptions are those of the changes command.
type changesOptions struct {
	app.ChangesOptions
	since dayFlag
	show  showFlags
}

func (a *terminal) changesCommand() *cobra.Command {
	var o changesOptions
	cmd := &cobra.Command{
		Use:   "changes [UNIT]",
		Short: "List who changed what, when and why",
		Long: withStatus(`Changes lists every change of the property file, the oldest first: its number and seal,
as papers print them, when and by whom it was made ("emberquilt me" keeps a name), why,
and each unit, outline, record, contract, file, plan, task and setting that it wrote, with
what it was and is. With UNIT it lists those that speak of the unit, also under the names
that it or what it came from had; plans and settings speak of all units and are left out.
--json and --csv hold every field of every change.`, statusBadInput),
		Example: "  emberquilt changes\n  emberquilt changes \"Creek Patch\"\n  emberquilt changes --contract Grass --since 2026-10-01",
		GroupID: groupProperty,
		Args:    argsBetween(0, "UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Unit = firstOf(args)
			return a.runChanges(cmd.Context(), &o)
		},
	}
	cmd.Flags().StringVar(&o.Contract, "contract", "", "list those of the contract of this `NAME`")
	cmd.Flags().Var(&o.since, "since", "list those of this `DATE` and later")
	o.show.register(cmd)
	return cmd
}

// shownLines is how many values a change shows on a terminal.
const shownLines = 20

func (a *terminal) runChanges(ctx context.Context, o *changesOptions) error {
	if err := o.show.validate(a); err != nil {
		return err
	}
	o.Since = o.since.Day
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		all, err := s.Changes(ctx, o.ChangesOptions)
		switch {
		case err != nil:
			return err
		case a.json:
			return a.printJSON(all)
		case o.show.csv:
			return a.printSheet(table.ChangesSheet(all), &o.show)
		case len(all) == 0:
			return a.say("no change of that is on record")
		}
		for i := range all {
			a.prose("%s", all[i].Heading())
			for _, line := range all[i].What(shownLines) {
				a.prose("  - %s", line)
			}
		}
		return nil
	})
}
