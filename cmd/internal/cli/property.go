package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/source"
)

// extension ends the names of property files.
const extension = app.Extension

// findProperty gives the property file to use: that of --property, else the
// only one in the current folder, which it then names on standard error.
func (a *terminal) findProperty() (string, error) {
	if a.property != "" {
		return a.namedProperty()
	}
	found, err := filepath.Glob("*" + extension)
	if err != nil {
		return "", err
	}
	switch len(found) {
	case 0:
		const none = "--property: there is no property file in this folder; accepts the name of one, or a folder with exactly one\nhint: "
		if below, _ := filepath.Glob(filepath.Join("*", "*"+extension)); len(below) > 0 {
			return "", usagef(none+"%s", a.again("--property", below[0]))
		}
		return "", usagef(none + "emberquilt new makes one")
	case 1:
		fmt.Fprintln(a.Err, "property file:", found[0])
		return found[0], nil
	}
	return "", usagef("--property: this folder holds %d property files; accepts one of %s\nhint: %s", len(found), strings.Join(found, ", "), a.again("--property", found[0]))
}

// namedProperty gives the file of --property, whose ending may be left out.
func (a *terminal) namedProperty() (string, error) {
	if _, err := os.Stat(a.property); !errors.Is(err, fs.ErrNotExist) {
		return a.property, nil
	}
	if _, err := os.Stat(a.property + extension); err == nil {
		return a.property + extension, nil
	}
	found, _ := filepath.Glob(filepath.Join(filepath.Dir(a.property), "*"+extension))
	e := &source.Error{Position: source.Position{File: a.property}, Found: "does not exist", Accepts: "a property file, made by emberquilt new"}
	if near := source.Nearest(a.property, found); near != "" {
		e.Hint = a.again("--property", near)
	} else if len(found) > 0 {
		e.Hint = "there are " + strings.Join(found, ", ")
	}
	return "", e
}

// again gives the command as it was typed, with a flag that it lacked or had otherwise,
// to be typed next.
func (a *terminal) again(flag, value string) string {
	words := []string{"emberquilt"}
	isSkipped := false
	var rest []string
	for i, arg := range a.Args {
		switch {
		case isSkipped:
			isSkipped = false
		case arg == "--":
			rest = a.Args[i:]
		case arg == flag:
			isSkipped = true
		case strings.HasPrefix(arg, flag+"="):
		default:
			words = append(words, source.ShellQuote(arg))
		}
		if rest != nil {
			break
		}
	}
	words = append(words, flag, source.ShellQuote(value))
	for _, arg := range rest {
		words = append(words, source.ShellQuote(arg))
	}
	return strings.Join(words, " ")
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

// propertyFile gives the property file that a command works on, and what it works in.
func (a *terminal) propertyFile() (path string, from app.Environment, err error) {
	if from, err = a.environment(); err != nil {
		return "", from, err
	}
	path, err = a.findProperty()
	return path, from, err
}

// session opens the property file and hands over all that it holds.
func (a *terminal) session(ctx context.Context, access app.Access, do func(*app.Session) error) error {
	path, from, err := a.propertyFile()
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
