package app

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/store"
)

// ContactChange is what to write otherwise of a contact; nil leaves it as it is.
type ContactChange struct{ Name, Phone, When *string }

// OrderContacts makes those that are named the first to call, in their order; all others
// follow as they stand. Each is named by its number in the list, its role or its name; a
// role that several have means all of them. It gives the list as it is then.
func (s *Session) OrderContacts(ctx context.Context, who []string) ([]habitat.Contact, error) {
	var ordered []habitat.Contact
	all := s.ContactList()
	isPlaced := make([]bool, len(all))
	for _, one := range who {
		found, err := contactsNamed(all, one)
		if err != nil {
			return nil, err
		}
		for _, i := range found {
			if isPlaced[i] {
				return nil, badOption("who", "each contact once", "%s is named twice", source.Quote(one))
			}
			isPlaced[i] = true
			ordered = append(ordered, all[i])
		}
	}
	for i := range all {
		if !isPlaced[i] {
			ordered = append(ordered, all[i])
		}
	}
	return ordered, s.changeContacts(ctx, "set the order in which to call", ordered)
}

// AddContact puts somebody on the list of whom to call, to be called as number at of
// all; 0 means last. It gives the list as it is then.
func (s *Session) AddContact(ctx context.Context, c habitat.Contact, at int) ([]habitat.Contact, error) {
	all := slices.Clone(s.ContactList())
	if at == 0 {
		at = len(all) + 1
	}
	if at < 1 || at > len(all)+1 {
		return nil, badOption("at", fmt.Sprintf("1 to %d", len(all)+1), "%d is no place in the list", at)
	}
	if err := optionFaults(c.Validate()); err != nil {
		return nil, err
	}
	all = slices.Insert(all, at-1, c)
	return all, s.changeContacts(ctx, "add "+c.Role+" to whom to call", all)
}

// SetContact writes name, phone or time of one contact otherwise. It gives the list as
// it is then.
func (s *Session) SetContact(ctx context.Context, who string, change ContactChange) ([]habitat.Contact, error) {
	all := slices.Clone(s.ContactList())
	i, err := contactNamed(all, who)
	if err != nil {
		return nil, err
	}
	for _, of := range []struct{ to, from *string }{{&all[i].Name, change.Name}, {&all[i].Phone, change.Phone}, {&all[i].When, change.When}} {
		if of.from != nil {
			*of.to = *of.from
		}
	}
	if err := optionFaults(all[i].Validate()); err != nil {
		return nil, err
	}
	return all, s.changeContacts(ctx, "change "+all[i].Role+" of whom to call", all)
}

// DropContact takes one contact off the list. It gives the list as it is then.
func (s *Session) DropContact(ctx context.Context, who string) ([]habitat.Contact, error) {
	all := slices.Clone(s.ContactList())
	i, err := contactNamed(all, who)
	if err != nil {
		return nil, err
	}
	role := all[i].Role
	all = slices.Delete(all, i, i+1)
	return all, s.changeContacts(ctx, "take "+role+" off whom to call", all)
}

// StarterContacts puts those roles of the starter list that no contact has at the end of
// the list, with blanks. It gives the list as it is then.
func (s *Session) StarterContacts(ctx context.Context) ([]habitat.Contact, error) {
	had := s.ContactList()
	all := slices.Clone(had)
	for _, c := range preparation.Contacts() {
		if !slices.ContainsFunc(had, func(h habitat.Contact) bool { return strings.EqualFold(h.Role, c.Role) }) {
			all = append(all, c)
		}
	}
	return all, s.changeContacts(ctx, "add the starter list to whom to call", all)
}

func (s *Session) changeContacts(ctx context.Context, why string, all []habitat.Contact) error {
	if all == nil {
		all = []habitat.Contact{} // an empty list is one's own, too
	}
	return s.update(ctx, why, func(tx *store.Tx) error { return tx.PutContacts(all) })
}

// contactNamed gives the one contact that is meant.
func contactNamed(all []habitat.Contact, who string) (int, error) {
	found, err := contactsNamed(all, who)
	if err != nil {
		return 0, err
	}
	if len(found) > 1 {
		numbers := make([]string, len(found))
		for i, at := range found {
			numbers[i] = strconv.Itoa(at + 1)
		}
		return 0, badOption("who", "its number in the list: "+strings.Join(numbers, ", "), "%s is the role of %d", source.Quote(who), len(found))
	}
	return found[0], nil
}

// contactsNamed gives the places in the list of those that a number, a name or a role
// means.
func contactsNamed(all []habitat.Contact, who string) (found []int, err error) {
	who = strings.TrimSpace(who)
	if n, err := strconv.Atoi(who); err == nil && n >= 1 && n <= len(all) {
		return []int{n - 1}, nil
	}
	var names []string
	for i, c := range all {
		if strings.EqualFold(c.Role, who) || c.Name != "" && strings.EqualFold(c.Name, who) {
			found = append(found, i)
		}
		names = append(names, c.Role)
		if c.Name != "" {
			names = append(names, c.Name)
		}
	}
	if found == nil {
		return nil, unknownName(
			"who",
			fmt.Sprintf("a role, a name or a number of the list of %s", quantity.Count(len(all), "contact")),
			who,
			names,
			"%s is not on the list",
			source.Quote(who),
		)
	}
	return found, nil
}
