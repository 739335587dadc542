package app

import (
	"encoding/json"
	"fmt"

	"emberquilt/report/view"
)

// ContactsName is the document that holds whom to call.
const ContactsName = "contacts"

// Contacts gives whom to call, in order; nil where the property names nobody.
func (s *Session) Contacts() ([]view.Contact, error) {
	for _, doc := range s.Others {
		if doc.Name != ContactsName {
			continue
		}
		var all []view.Contact
		if err := json.Unmarshal(doc.Body, &all); err != nil {
			return nil, fmt.Errorf("read whom to call: %w", err)
		}
		return all, nil
	}
	return nil, nil
}
