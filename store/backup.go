package store

import (
	"context"
	"errors"
	"os"
)

// Backup writes a copy of the property file, as it is at one moment, while the
// file may be in use. The copy comes to its name whole; a file that has that
// name already is left alone and the error is ErrExists.
func (s *Store) Backup(ctx context.Context, path string) error {
	if _, err := os.Lstat(path); err == nil {
		return faultOf(ErrExists, path, "the name of a file that does not exist yet", "", "exists already")
	}
	temporary, err := temporaryBeside(path)
	if err != nil {
		return faultOf(ErrReadOnly, path, "a name in a folder that exists and may be written", "", "cannot be made (%v)", plainCause(err))
	}
	defer os.Remove(temporary)
	// VACUUM INTO takes an empty file for its target.
	if _, err := s.db.ExecContext(ctx, "VACUUM INTO ?", temporary); err != nil {
		if of := s.explain(err); errors.Is(of, ErrDamaged) || errors.Is(of, ErrBusy) {
			return of // it is the file that cannot be read, not the copy that cannot be written
		}
		return explain(path, err)
	}
	return moveNew(temporary, path)
}
