package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/list"
	"emberquilt/habitat/quantity"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// contactsOptions are those of the contacts command.
type contactsOptions struct {
	show showFlags
	// load is the file that replaces the list; empty shows it. starters adds the roles
	// of the starter list.
	load     string
	starters bool
}

func (a *terminal) contactsCommand() *cobra.Command {
	var o contactsOptions
	cmd := &cobra.Command{
		Use:   "contacts",
		Short: "Show or change whom to call for a burn, in order",
		Long: withStatus(`Contacts lists whom to call, in the order of calling, as the sheet of the season, the
on-site list and the drafts of burn plans print it. Without a list of its own a property
has the starter list: the roles that a notification list usually holds, neighbors and fire
department among them, with blanks.

"contacts order" says who is called first, second and so on before a burn, such as the
neighbors and then the fire department; "contacts add", "contacts set" and "contacts drop"
change one. --starters puts the roles of the starter list back that the list lacks.
--load replaces the list by a CSV file with the columns role, name, phone, when, its rows
in the order of calling; only role is needed.

Personal data in it: names and phone numbers, which the season's sheets, drafts of burn
plans and archives of "emberquilt send" hold too.`, statusBadInput),
		Example: "  emberquilt contacts order neighbor \"fire department\"\n  emberquilt contacts set \"fire department\" --phone 555-0102\n  emberquilt contacts --csv > contacts.csv\n  emberquilt contacts --load contacts.csv",
		GroupID: groupRecord,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.runContacts(cmd.Context(), &o)
		},
	}
	o.show.register(cmd)
	cmd.Flags().StringVar(&o.load, "load", "", "replace the list by that of a CSV `FILE`, - for standard input")
	cmd.Flags().BoolVar(&o.starters, "starters", false, "add the roles of the starter list that are not on it")
	cmd.AddCommand(a.contactsOrderCommand(), a.contactsAddCommand(), a.contactsSetCommand(), a.contactsDropCommand())
	return cmd
}

func (a *terminal) runContacts(ctx context.Context, o *contactsOptions) error {
	switch {
	case o.load != "" && o.starters:
		return usagef("--load and --starters cannot be combined; use one")
	case o.starters:
		return a.runContactChange(ctx, func(ctx context.Context, s *app.Session) ([]habitat.Contact, error) { return s.StarterContacts(ctx) })
	case o.load != "":
		return a.loadContacts(ctx, o.load)
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		return a.printSheet(table.Contacts(list.ContactColumns(), s.ContactList()), &o.show)
	})
}

func (a *terminal) loadContacts(ctx context.Context, path string) error {
	file, name, err := a.open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	data, err := readAll(file)
	if err != nil {
		return fmt.Errorf("read %s: %w", name, err)
	}
	all, err := list.ReadContacts(ctx, data, name)
	if err != nil {
		return err
	}
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		if err := s.ReplaceContacts(ctx, all); err != nil {
			return err
		}
		return a.say("the list has %d to call", len(all))
	})
}

func (a *terminal) onsiteCommand() *cobra.Command {
	var o app.OnSiteOptions
	var hours float64
	cmd := &cobra.Command{
		Use:   "onsite UNIT",
		Short: "Print what to have on site for a burn, as a checklist to edit",
		Long: withStatus(`Onsite prints equipment and crew for a burn of a unit, sized by its acres, the hours
that the fire needs and the crew, and whom to call in which order: plain text with a box a
line, to be edited. The crew is the one that the settings name for the season of the burn
(people or names in [crew], or in a [[crew.season]] of its own); where they name none, what
counts people is a blank. The hours are those of the unit's wind card where it has one. The figures are
common practice without a source; the written burn plan replaces them.

`+caution, statusBadInput),
		Example: "  emberquilt onsite \"Creek Patch\" --people 5 > creek-patch.txt",
		GroupID: groupPaper,
		Args:    exactArgs("UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Unit = args[0]
			return a.runOnSite(cmd.Context(), o, hours)
		},
	}
	cmd.Flags().IntVar(&o.People, "people", 0, "`NUMBER` in the crew, the burn boss included (default: the crew of the settings in the season; a blank where they name none)")
	cmd.Flags().StringVar(&o.Season, "season", "", "`SEASON` of the burn (default: that of its next planned burn, or the unit's first)")
	cmd.Flags().Float64Var(&hours, "hours", 0, "`HOURS` that the fire needs (default: those of the wind card)")
	return cmd
}

func (a *terminal) runOnSite(ctx context.Context, o app.OnSiteOptions, hours float64) error {
	o.Hours = quantity.Hours(hours)
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		unit, items, err := s.OnSite(ctx, o)
		switch {
		case err != nil:
			return err
		case a.json:
			return a.printJSON(items)
		}
		fmt.Fprintf(a.Out, "On site for %s, %s acres\n\n", unit.ID, unit.Acres)
		for _, item := range items {
			a.prose("[ ] %s\n      %s; %s", view.Plain(item.Words()), item.Why, item.Standing)
		}
		fmt.Fprintf(a.Out, "\nCall, in this order\n\n")
		for i, c := range s.ContactList() {
			a.prose("[ ] %s", view.Plain(view.ContactWords(i+1, c)))
		}
		return a.prose("\n%s", caution)
	})
}
