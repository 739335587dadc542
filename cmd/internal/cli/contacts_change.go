package cli

import (
	"context"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/report/view"
)

// changedContacts is a change of the list of whom to call; it gives the list after it.
type changedContacts func(ctx context.Context, s *app.Session) ([]habitat.Contact, error)

// runContactChange makes a change and prints the list as papers now have it.
func (a *terminal) runContactChange(ctx context.Context, change changedContacts) error {
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		all, err := change(ctx, s)
		if err != nil {
			return namedAs(err, contactFlag)
		}
		if a.json {
			return a.printJSON(all)
		}
		if err := a.say("call, in this order:"); err != nil {
			return err
		}
		for i, c := range all {
			a.prose("%s", view.Plain(view.ContactWords(i+1, c)))
		}
		return nil
	})
}

// contactFlag names what an option of the list came from.
func contactFlag(option string) string {
	switch option {
	case "who", "role":
		return strings.ToUpper(option)
	}
	return sameFlag(option)
}

func (a *terminal) contactsOrderCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "order WHO…",
		Short: "Set who is called first, second and so on",
		Long: withStatus(`Order makes those that are named the first to call, in this order; all others follow
as they stand. Each is named by its number in the list, its role or its name; a role that
several have, such as neighbor, means all of them. Sheets, drafts and the
on-site list follow.`, statusBadInput),
		Example: "  emberquilt contacts order neighbor \"fire department\"\n  emberquilt contacts order 3 1",
		Args:    atLeast("WHO"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runContactsOrder(cmd.Context(), args)
		},
	}
}

func (a *terminal) contactsAddCommand() *cobra.Command {
	var c habitat.Contact
	var at int
	cmd := &cobra.Command{
		Use:     "add ROLE",
		Short:   "Put somebody on the list",
		Long:    withStatus(`Add puts somebody on the list of whom to call, last or as number --at.`, statusBadInput),
		Example: "  emberquilt contacts add \"neighbor to the east\" --phone 555-0101 --when \"the day before\" --at 1",
		Args:    exactArgs("ROLE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if cmd.Flags().Changed("at") && at < 1 {
				return flagError("at", "1 or more", "%s is no place in the list", strconv.Itoa(at))
			}
			return a.runContactsAdd(cmd.Context(), args[0], c, at)
		},
	}
	registerContact(cmd, &c)
	cmd.Flags().IntVar(&at, "at", 0, "`NUMBER` in the order of calling (default: last)")
	return cmd
}

func registerContact(cmd *cobra.Command, c *habitat.Contact) {
	cmd.Flags().StringVar(&c.Name, "name", "", "`NAME` of the person")
	cmd.Flags().StringVar(&c.Phone, "phone", "", "phone `NUMBER`")
	cmd.Flags().StringVar(&c.When, "when", "", "`WORDS` that say when to call, such as \"the day before\"")
}

func (a *terminal) contactsSetCommand() *cobra.Command {
	var c habitat.Contact
	cmd := &cobra.Command{
		Use:     "set WHO",
		Short:   "Write name, phone or time of one on the list",
		Long:    withStatus(`Set writes name, phone or time of one on the list, who is named by number, role or name.`, statusBadInput),
		Example: "  emberquilt contacts set \"fire department\" --phone 555-0102",
		Args:    exactArgs("WHO"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runContactsSet(cmd.Context(), args[0], given(cmd, "name", c.Name), given(cmd, "phone", c.Phone), given(cmd, "when", c.When))
		},
	}
	registerContact(cmd, &c)
	return cmd
}

func (a *terminal) contactsDropCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "drop WHO",
		Short: "Take one off the list",
		Long:  withStatus(`Drop takes one off the list, who is named by number, role or name.`, statusBadInput),
		Args:  exactArgs("WHO"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runContactsDrop(cmd.Context(), args[0])
		},
	}
}

func (a *terminal) runContactsOrder(ctx context.Context, who []string) error {
	return a.runContactChange(ctx, func(ctx context.Context, s *app.Session) ([]habitat.Contact, error) {
		return s.OrderContacts(ctx, who)
	})
}

func (a *terminal) runContactsAdd(ctx context.Context, role string, c habitat.Contact, at int) error {
	c.Role = strings.TrimSpace(role)
	return a.runContactChange(ctx, func(ctx context.Context, s *app.Session) ([]habitat.Contact, error) {
		return s.AddContact(ctx, c, at)
	})
}

func (a *terminal) runContactsSet(ctx context.Context, who string, name, phone, when *string) error {
	change := app.ContactChange{Name: name, Phone: phone, When: when}
	if change == (app.ContactChange{}) {
		return usagef("nothing is said; accepts --name, --phone, --when")
	}
	return a.runContactChange(ctx, func(ctx context.Context, s *app.Session) ([]habitat.Contact, error) {
		return s.SetContact(ctx, who, change)
	})
}

func (a *terminal) runContactsDrop(ctx context.Context, who string) error {
	return a.runContactChange(ctx, func(ctx context.Context, s *app.Session) ([]habitat.Contact, error) {
		return s.DropContact(ctx, who)
	})
}
