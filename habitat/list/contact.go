package list

import (
	"context"
	"errors"

	"emberquilt/habitat"
	"emberquilt/habitat/source"
)

// contactColumns are the columns of a list of whom to call.
var contactColumns = []column[habitat.Contact]{
	textColumn("role", func(c *habitat.Contact) *string { return &c.Role }),
	textColumn("name", func(c *habitat.Contact) *string { return &c.Name }),
	textColumn("phone", func(c *habitat.Contact) *string { return &c.Phone }),
	textColumn("when", func(c *habitat.Contact) *string { return &c.When }),
}

// ContactColumns names the columns of a list of whom to call, of which role alone
// is needed.
func ContactColumns() []string { return names(contactColumns) }

// ReadContacts reads a list of whom to call, in the order of calling, from a
// table in memory; name is its name in errors. Such a list is not part of an
// import: it stands in place of the one before. Bad input is a *source.Error or a
// *source.List.
func ReadContacts(ctx context.Context, data []byte, name string) ([]habitat.Contact, error) {
	if !isTable(data) {
		return nil, &source.Error{Position: source.Position{File: name}, Found: "is not a table", Accepts: "a list of contacts as CSV or .xlsx"}
	}
	l, err := readTable(ctx, data, name, Options{Kind: contacts})
	if err != nil {
		return nil, err
	}
	all := make([]habitat.Contact, len(l.contacts))
	for i, v := range l.contacts {
		all[i] = v.V
	}
	return all, nil
}

// checkContacts holds each contact against Validate.
func (l *List) checkContacts(faults *source.List) {
	for _, v := range l.contacts {
		for _, err := range flatten(v.V.Validate()) {
			var f *habitat.FieldError
			if errors.As(err, &f) {
				faults.Addf(v.row.at(l.File, f.Field), f.Accepts, "%s", f.Found)
			}
		}
	}
}
