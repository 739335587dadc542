package store

import (
	"errors"
	"fmt"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"emberquilt/habitat/source"
)

// What may be wrong with a property file; errors.Is finds them.
var (
	// ErrMissing means that there is no such file.
	ErrMissing = errors.New("no such file")
	// ErrExists means that Create or Backup would have replaced a file.
	ErrExists = errors.New("file exists")
	// ErrNotProperty means that the file is something else.
	ErrNotProperty = errors.New("not a property file")
	// ErrNewerSchema means that a newer program wrote the file.
	ErrNewerSchema = errors.New("newer schema")
	// ErrOlderSchema means that the file must be brought up to date, which
	// needs a file that can be written.
	ErrOlderSchema = errors.New("older schema")
	// ErrReadOnly means that the file or its folder cannot be written.
	ErrReadOnly = errors.New("read-only")
	// ErrBusy means that another program kept the file locked.
	ErrBusy = errors.New("in use")
	// ErrFull means that the disk is full; the file is as it was.
	ErrFull = errors.New("disk full")
	// ErrDamaged means that the file is not whole.
	ErrDamaged = errors.New("damaged")
	// ErrSettings means that the settings in the file cannot be read; SetProperty puts
	// others in their place.
	ErrSettings = errors.New("the settings cannot be read")
	// ErrUnknown means that something named is not in the file: a unit, a
	// burn, a plan.
	ErrUnknown = errors.New("not in the property file")
	// ErrSameBurn means that a burn of the unit, day and kind is on record.
	ErrSameBurn = errors.New("burn is on record")
)

// fault is a complaint about a place together with its sentinel.
type fault struct {
	place *source.Error
	why   error
}

// Error gives the complaint; the sentinel is for errors.Is alone.
func (f *fault) Error() string { return f.place.Error() }

// Unwrap lets errors.As find the place and errors.Is the sentinel.
func (f *fault) Unwrap() []error { return []error{f.place, f.why} }

func faultOf(why error, file, accepts, hint, format string, args ...any) error {
	return &fault{&source.Error{Position: source.Position{File: file}, Found: fmt.Sprintf(format, args...), Accepts: accepts, Hint: hint}, why}
}

// explain turns SQLite's errors into ours, by code; others pass.
func (s *Store) explain(err error) error { return explain(s.path, err) }

func explain(path string, err error) error {
	var dbErr *sqlite.Error
	if err == nil || !errors.As(err, &dbErr) {
		return err
	}
	switch dbErr.Code() & 0xff {
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return faultOf(ErrBusy, path, "", "wait until the other program has finished, then try again", "is in use by another program")
	case sqlite3.SQLITE_READONLY:
		return faultOf(ErrReadOnly, path, "a file and a folder that may be written", "", "cannot be written")
	case sqlite3.SQLITE_CANTOPEN:
		return faultOf(
			ErrReadOnly,
			path,
			"a file and a folder that may be read and written",
			"a journal is kept beside the file while it changes",
			"cannot be opened, or its folder cannot be written",
		)
	case sqlite3.SQLITE_FULL:
		return faultOf(ErrFull, path, "", "", "the disk is full; nothing was changed")
	case sqlite3.SQLITE_IOERR:
		return faultOf(ErrFull, path, "", "the disk may be full or gone", "cannot be read or written (%s); nothing was changed", sqlite.ErrorCodeString[dbErr.Code()])
	case sqlite3.SQLITE_CORRUPT:
		return faultOf(ErrDamaged, path, "a whole property file", "use the last backup", "is damaged")
	case sqlite3.SQLITE_NOTADB:
		return faultOf(ErrNotProperty, path, "a property file, made by emberquilt new", "", "is not a property file")
	}
	return fmt.Errorf("%s: %w", path, err)
}
