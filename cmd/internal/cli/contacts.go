package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/list"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
	"emberquilt/report/table"
	"emberquilt/store"
)

func (a *terminal) contactsCommand() *cobra.Command {
	var apply string
	var show showFlags
	cmd := &cobra.Command{
		Use:   "contacts",
		Short: "Show or change whom to call for a burn, in order",
		Long: withStatus(`Contacts lists whom to call, in the order of calling, as the sheet of the season and the
drafts of burn plans print it. --load replaces the list by a CSV file with the columns
role, name, phone, when; only role is needed. Without a list of its own a property has
the roles that a notification list usually holds, with blanks.`, statusBadInput),
		Example: "  emberquilt contacts --csv > contacts.csv\n  emberquilt contacts --load contacts.csv",
		GroupID: groupRecord,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if apply != "" {
				return a.applyContacts(cmd, apply)
			}
			return a.session(cmd.Context(), app.ToRead, func(d *app.Session) error {
				all := d.Snapshot.Contacts
				if all == nil {
					all = preparation.Contacts()
				}
				sheet := &table.Sheet{Name: "contacts", Header: list.ContactColumns()}
				for _, c := range all {
					sheet.Rows = append(sheet.Rows, []any{c.Role, c.Name, c.Phone, c.When})
				}
				return a.printSheet(sheet, &show)
			})
		},
	}
	show.register(cmd)
	cmd.Flags().StringVar(&apply, "load", "", "replace the list by that of a CSV `FILE`, - for standard input")
	return cmd
}

func (a *terminal) applyContacts(cmd *cobra.Command, path string) error {
	file, name, err := a.open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	data, err := readAll(file)
	if err != nil {
		return fmt.Errorf("read %s: %w", name, err)
	}
	all, err := list.ReadContacts(cmd.Context(), data, name)
	if err != nil {
		return err
	}
	at, err := a.moment()
	if err != nil {
		return err
	}
	return a.change(cmd.Context(), func(s *store.Store) error {
		err := s.Update(cmd.Context(), at, "change whom to call", func(tx *store.Tx) error {
			return tx.PutContacts(all)
		})
		if err != nil {
			return err
		}
		return a.say("the list has %d to call", len(all))
	})
}

func (a *terminal) onsiteCommand() *cobra.Command {
	var people int
	var hours float64
	cmd := &cobra.Command{
		Use:   "onsite UNIT",
		Short: "Print what to have on site for a burn, as a checklist to edit",
		Long: withStatus(`Onsite prints equipment and crew for a burn of a unit, sized by its acres, the hours
that the fire needs and the crew: plain text with a box a line, to be
edited. The hours are those of the unit's wind card where it has one. The figures are
common practice without a source; the written burn plan replaces them.

`+caution, statusBadInput),
		Example: "  emberquilt onsite \"Creek Patch\" --people 5 > creek-patch.txt",
		GroupID: groupPaper,
		Args:    exactArgs("UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if people < 0 || people > 500 {
				return flagError("people", "0 to 500", "%d is not the size of a crew", people)
			}
			if !(hours >= 0 && hours <= 100) {
				return flagError("hours", "0 to 100", "%v is not a time that a burn takes", hours)
			}
			return a.session(cmd.Context(), app.ToRead, func(d *app.Session) error {
				unit, err := app.FindUnit(d.Snapshot, args[0])
				if err != nil {
					return err
				}
				if hours == 0 && len(unit.Seasons) > 0 {
					outlook, err := d.Outlook(cmd.Context())
					if err != nil {
						return err
					}
					took, _ := outlook.Backing(unit, unit.Seasons[0].Season)
					hours = float64(took)
				}
				items := preparation.OnSite(unit.Acres, quantity.Hours(hours), people)
				if a.json {
					return a.printJSON(items)
				}
				fmt.Fprintf(a.Out, "On site for %s, %s acres\n\n", unit.ID, unit.Acres)
				for _, item := range items {
					fmt.Fprintf(a.Out, "[ ] %s\n      %s; %s\n", item.Words(), item.Why, item.Standing)
				}
				_, err = fmt.Fprintf(a.Out, "\n%s\n", caution)
				return err
			})
		},
	}
	cmd.Flags().IntVar(&people, "people", 0, "`NUMBER` in the crew, the burn boss included; 0 leaves a blank")
	cmd.Flags().Float64Var(&hours, "hours", 0, "`HOURS` that the fire needs (default: those of the wind card)")
	return cmd
}
