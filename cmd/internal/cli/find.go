package cli

import (
	"errors"
	"fmt"
	"strings"

	"emberquilt/cmd/internal/app"
)

// namedAs words the options that the layer refuses as the flags and arguments from
// which they came.
func namedAs(err error, flagOf func(option string) string) error {
	var option *app.OptionError
	if !errors.As(err, &option) || option.IsUnknown {
		return err
	}
	var all []error
	for _, one := range unjoin(err) {
		if errors.As(one, &option) {
			one = fmt.Errorf("%s: %s; accepts %s%s", flagOf(option.Option), option.Found, option.Accepts, hintOf(option))
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

// nameFlag is a flag that holds a name, which may be given and empty.
type nameFlag struct {
	text    string
	isGiven bool
}

// Set takes the name.
func (f *nameFlag) Set(text string) error {
	f.text, f.isGiven = text, true
	return nil
}

// String gives the name.
func (f *nameFlag) String() string { return f.text }

// Type names the value in help texts.
func (f *nameFlag) Type() string { return "string" }
