package cli

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"emberquilt/cmd/internal/app"
)

// extension ends the names of property files.
const extension = app.Extension

// findProperty gives the property file to use: that of --property, else the
// only one in the current folder, which it then names on standard error.
func (a *terminal) findProperty() (string, error) {
	if a.property != "" {
		return a.property, nil
	}
	found, err := filepath.Glob("*" + extension)
	if err != nil {
		return "", err
	}
	switch len(found) {
	case 0:
		return "", usagef("--property: there is no property file in this folder; accepts the name of one, or a folder with exactly one\nhint: emberquilt new makes one")
	case 1:
		fmt.Fprintln(a.Err, "property file:", found[0])
		return found[0], nil
	}
	return "", usagef("--property: this folder holds %d property files; accepts one of %s", len(found), strings.Join(found, ", "))
}

// moment is the time of a change. Where today is given from outside, it is
// noon of that day, so that the same commands make the same file.
func (a *terminal) moment() (time.Time, error) {
	today, err := a.day()
	if err != nil {
		return time.Time{}, err
	}
	if a.today.IsZero() && a.Getenv("EMBERQUILT_TODAY") == "" {
		return a.Now(), nil
	}
	return today.Time().Add(12 * time.Hour), nil
}

// session opens the property file and hands over all that it holds.
func (a *terminal) session(ctx context.Context, access app.Access, do func(*app.Session) error) error {
	from, err := a.environment()
	if err != nil {
		return err
	}
	path, err := a.findProperty()
	if err != nil {
		return err
	}
	s, err := app.Open(ctx, path, access, from)
	if err != nil {
		return err
	}
	return errors.Join(do(s), s.Close())
}

// environment is what the commands' work takes from outside.
func (a *terminal) environment() (app.Environment, error) {
	today, err := a.day()
	if err != nil {
		return app.Environment{}, err
	}
	moment, err := a.moment()
	if err != nil {
		return app.Environment{}, err
	}
	by, err := a.who()
	return app.Environment{Today: today, Moment: moment, By: by, Version: version, Progress: a.showProgress()}, err
}
