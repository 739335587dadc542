package cli

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/store"
)

// contactColumns are the columns of the list of whom to call.
var contactColumns = []string{"role", "name", "phone", "when"}

func (a *terminal) contactsCommand() *cobra.Command {
	var apply string
	var show showFlags
	cmd := &cobra.Command{
		Use:   "contacts",
		Short: "Show or change whom to call for a burn, in order",
		Long: withStatus(`Contacts lists whom to call, in the order of calling, as the sheet of the season and the
drafts of burn plans print it. --apply replaces the list by a CSV file with the columns
role, name, phone, when; only role is needed. Without a list of its own a property has
the roles that a notification list usually holds, with blanks.`, statusBadInput),
		Example: "  emberquilt contacts --csv > contacts.csv\n  emberquilt contacts --apply contacts.csv",
		GroupID: groupRecord,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if apply != "" {
				return a.applyContacts(cmd, apply)
			}
			return a.session(cmd.Context(), app.ToRead, func(d *app.Session) error {
				all, err := d.Contacts()
				if err != nil {
					return err
				}
				if all == nil {
					all = view.Contacts()
				}
				sheet := &table.Sheet{Name: "contacts", Header: contactColumns}
				for _, c := range all {
					sheet.Rows = append(sheet.Rows, []any{c.Role, c.Name, c.Phone, c.When})
				}
				return a.printSheet(sheet, &show)
			})
		},
	}
	show.register(cmd)
	cmd.Flags().StringVar(&apply, "apply", "", "replace the list by that of a CSV `FILE`, - for standard input")
	return cmd
}

func (a *terminal) applyContacts(cmd *cobra.Command, path string) error {
	file, name, err := a.open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	all, err := readContacts(file, name)
	if err != nil {
		return err
	}
	at, err := a.moment()
	if err != nil {
		return err
	}
	body, err := json.Marshal(all)
	if err != nil {
		return err
	}
	return a.change(cmd.Context(), func(s *store.Store) error {
		err := s.Update(cmd.Context(), at, "change whom to call", func(tx *store.Tx) error {
			return tx.PutDocument(store.Document{Kind: store.Other, Name: app.ContactsName, Body: body})
		})
		if err != nil {
			return err
		}
		return a.say("the list has %d to call", len(all))
	})
}

// longestContact bounds a field: it stands in one column of a page.
const longestContact = 200

// readContacts reads a CSV list of whom to call. The error is a *source.List.
func readContacts(r io.Reader, name string) ([]view.Contact, error) {
	data, err := readAll(r)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	var faults source.List
	lines := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))))
	lines.FieldsPerRecord = -1
	var all []view.Contact
	var columns map[string]int
	for {
		fields, err := lines.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			faults.Addf(source.Position{File: name}, "CSV with the columns role, name, phone, when", "%v", err)
			break
		}
		line, _ := lines.FieldPos(0)
		if columns == nil {
			columns = map[string]int{}
			for i, head := range fields {
				columns[strings.ToLower(strings.TrimSpace(head))] = i
			}
			if _, ok := columns["role"]; !ok {
				faults.Addf(source.Position{File: name, Line: line}, "a header with the columns role, name, phone, when", "there is no column role")
				break
			}
			continue
		}
		field := func(column string) string {
			i, ok := columns[column]
			if !ok || i >= len(fields) {
				return ""
			}
			text := strings.TrimSpace(fields[i])
			if len([]rune(text)) > longestContact || strings.ContainsFunc(text, unicode.IsControl) {
				faults.Addf(source.Position{File: name, Line: line, Field: column}, fmt.Sprintf("one line of up to %d characters", longestContact), "is longer, or holds a line break")
			}
			return text
		}
		c := view.Contact{Role: field("role"), Name: field("name"), Phone: field("phone"), When: field("when")}
		if c.Role == "" {
			faults.Addf(source.Position{File: name, Line: line, Field: "role"}, "who it is, such as county dispatch", "is empty")
			continue
		}
		all = append(all, c)
	}
	if len(all) == 0 && faults.Len() == 0 {
		faults.Addf(source.Position{File: name}, "one row or more below the header", "the list has no rows")
	}
	return all, faults.Err()
}

func (a *terminal) onsiteCommand() *cobra.Command {
	var people int
	var hours float64
	cmd := &cobra.Command{
		Use:   "onsite UNIT",
		Short: "Print what to have on site for a burn, as a checklist to edit",
		Long: withStatus(`Onsite prints equipment and crew for a burn of a unit, sized by its acres, the hours
that the fire needs and the people on the line: plain text with a box a line, to be
edited. The hours are those of the unit's wind card where it has one. The figures are
common practice without a source; the written burn plan replaces them.

`+caution, statusBadInput),
		Example: "  emberquilt onsite \"Creek Patch\" --people 5 > creek-patch.txt",
		GroupID: groupPaper,
		Args:    exactArgs("UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if people < 0 || people > 500 {
				return flagError("people", "0 to 500", "%d is not a number of people on a line", people)
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
					words := item.Name
					if item.Count > 0 {
						words += fmt.Sprintf(": %s %s", view.Figure(item.Count), item.Unit)
					}
					fmt.Fprintf(a.Out, "[ ] %s\n      %s; %s\n", words, item.Why, item.Standing)
				}
				_, err = fmt.Fprintf(a.Out, "\n%s\n", caution)
				return err
			})
		},
	}
	cmd.Flags().IntVar(&people, "people", 0, "`NUMBER` of people on the line, 0 for not known")
	cmd.Flags().Float64Var(&hours, "hours", 0, "`HOURS` that the fire needs (default: those of the wind card)")
	return cmd
}
