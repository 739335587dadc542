package store

import (
	"errors"
	"io/fs"
	"os"
)

// Part is the place of a property file that is being made: it lies beside its target
// and takes the target's name when it is complete.
type Part struct{ held, path, target string }

// Begin finds the place for a property file that is to be made at a path. One that
// exists already is ErrExists.
func Begin(path string) (*Part, error) {
	if _, err := os.Lstat(path); err == nil {
		return nil, faultOf(ErrExists, path, "the name of a file that does not exist yet", "", "exists already")
	}
	held, err := temporaryBeside(path)
	if err != nil {
		return nil, faultOf(ErrReadOnly, path, "a name in a folder that exists and may be written", "", "cannot be made (%v)", plainCause(err))
	}
	// The held name keeps others away; Create makes the file beside it.
	return &Part{held, held + "ial", path}, nil
}

// Path is the name to make the file under.
func (p *Part) Path() string { return p.path }

// Publish gives the closed file its name, unless something has that name.
func (p *Part) Publish() error {
	if err := moveNew(p.path, p.target); err != nil {
		return err
	}
	return p.Discard()
}

// Discard takes away what is left beside the target.
func (p *Part) Discard() error {
	var errs []error
	for _, name := range []string{p.held, p.path, p.path + "-journal"} {
		if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}
