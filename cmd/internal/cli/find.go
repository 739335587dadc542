package cli

import (
	"errors"
	"fmt"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/source"
	"emberquilt/store"
)

// findUnit gives the unit of a name; capitals do not matter where only one
// unit fits.
func findUnit(snapshot *store.Snapshot, name string) (*habitat.Unit, error) {
	var near *habitat.Unit
	several := false
	for i := range snapshot.Units {
		u := &snapshot.Units[i]
		if u.ID == name {
			return u, nil
		}
		if strings.EqualFold(u.ID, name) {
			several = near != nil
			near = u
		}
	}
	if near != nil && !several {
		return near, nil
	}
	return nil, &source.Error{
		Position: source.Position{File: "UNIT"},
		Found:    quote(name) + " is not a unit of " + snapshot.Property.Name,
		Accepts:  "a unit's name as it is stored",
		Hint:     "emberquilt units lists them",
	}
}

// fieldFaults turns what Validate says of values that came from flags into
// errors that name the flags.
func fieldFaults(err error, flagOf func(field string) string) error {
	if err == nil {
		return nil
	}
	var all []error
	for _, one := range unjoin(err) {
		var fault *habitat.FieldError
		if errors.As(one, &fault) {
			one = fmt.Errorf("%s: %s; accepts %s", flagOf(fault.Field), fault.Found, fault.Accepts)
		}
		all = append(all, one)
	}
	return &usageError{errors.Join(all...)}
}

// sameFlag names the flag of a field that has the same name.
func sameFlag(field string) string { return "--" + strings.ReplaceAll(field, "_", "-") }

// unjoin gives the errors that errors.Join put together.
func unjoin(err error) []error {
	var joined interface{ Unwrap() []error }
	if !errors.As(err, &joined) {
		return []error{err}
	}
	var all []error
	for _, one := range joined.Unwrap() {
		all = append(all, unjoin(one)...)
	}
	return all
}
