package habitat

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
)

// Contact is someone to call, in the order in which to call.
//
// The JSON keys are those of property files: they do not change.
type Contact struct {
	// Role says who it is: "county dispatch", "neighbor to the east".
	Role string `json:"role"`
	// Name and Phone may be empty: a paper then has a blank line.
	Name  string `json:"name,omitempty"`
	Phone string `json:"phone,omitempty"`
	// When says when to call: "the day before", "at lighting".
	When string `json:"when,omitempty"`
}

// longestContact bounds a field of a contact: it stands in one column of a page.
const longestContact = 200

// Validate checks that there is a role and that each field fits on a line. The
// error joins one *FieldError for each fault.
func (c *Contact) Validate() error {
	var all []error
	for _, of := range []struct{ field, text string }{{"role", c.Role}, {"name", c.Name}, {"phone", c.Phone}, {"when", c.When}} {
		if len([]rune(of.text)) > longestContact || strings.ContainsFunc(of.text, unicode.IsControl) {
			all = append(all, fieldErrorf(of.field, fmt.Sprintf("one line of up to %d characters", longestContact), "is longer, or holds a line break"))
		}
	}
	if c.Role == "" {
		all = append(all, fieldErrorf("role", "who it is, such as county dispatch", "is empty"))
	}
	return errors.Join(all...)
}
