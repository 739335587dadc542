package store

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"emberquilt/habitat"
)

// ApplicationID marks our SQLite files; it is "EmbQ" in ASCII.
const ApplicationID = 0x456d6251

// busyMillis is how long a transaction waits for another program's.
const busyMillis = 5000

// cacheKilobytes is how many pages a connection keeps: those that an import of 10,000
// units and 50,000 burns writes, without writing any of them twice.
const cacheKilobytes = 16 << 10

const acceptsProperty = "a property file, made by emberquilt new"

// Store is an open property file. It may be used by several goroutines at once.
type Store struct {
	db   *sql.DB
	path string
	// isToRead says that the file was opened to be read only.
	isToRead bool
}

// Path gives the file's name as it was given to Create or Open.
func (s *Store) Path() string { return s.path }

// Close lets the file go.
func (s *Store) Close() error { return s.explain(s.db.Close()) }

// Making says more of how a property file is made.
type Making struct {
	// ID has 16 characters or more, for properties that are made again and again and
	// are to be the same; empty makes one that no other property has.
	ID string
	// By is who makes the file; empty where it is not known.
	By string
}

// Create makes the file of a new property, as making says, and opens it. The property
// has passed Validate; at is the time of its first change. A file that exists already
// is left alone: the error is ErrExists.
//
// The file is made under another name and comes to its own name whole.
func Create(ctx context.Context, path string, making Making, p habitat.Property, at time.Time) (*Store, error) {
	if making.ID == "" {
		making.ID = newID()
	}
	if _, err := os.Lstat(path); err == nil {
		return nil, faultOf(ErrExists, path, "the name of a file that does not exist yet", "", "exists already")
	}
	temporary, err := temporaryBeside(path)
	if err != nil {
		return nil, faultOf(ErrReadOnly, path, "a name in a folder that exists and may be written", "", "cannot be made (%v)", plainCause(err))
	}
	defer os.Remove(temporary)
	if err := fill(ctx, temporary, making, p, at); err != nil {
		return nil, renamed(err, temporary, path)
	}
	if err := moveNew(temporary, path); err != nil {
		return nil, err
	}
	return Open(ctx, path)
}

// fill makes a whole property file at the place of an empty file.
func fill(ctx context.Context, path string, making Making, p habitat.Property, at time.Time) error {
	s, err := connect(path, "rwc")
	if err != nil {
		return err
	}
	defer s.db.Close()
	if err := s.migrate(ctx); err != nil {
		return err
	}
	if _, err := s.db.ExecContext(ctx, "INSERT INTO identity (one, id, sha256) VALUES (1, ?, ?)", making.ID, sumOf(making.ID)); err != nil {
		return err
	}
	if err := s.Update(ctx, at, making.By, "made", func(tx *Tx) error { return tx.SetProperty(p) }); err != nil {
		return err
	}
	// The steps of the schema leave unused pages behind, of which no check speaks.
	if _, err := s.db.ExecContext(ctx, "VACUUM"); err != nil {
		return err
	}
	return s.db.Close()
}

// Open opens a property file and brings its schema up to date. A file that is
// missing, foreign, newer, read-only or damaged is refused with ErrMissing,
// ErrNotProperty, ErrNewerSchema, ErrReadOnly or ErrDamaged, and not touched.
func Open(ctx context.Context, path string) (*Store, error) {
	return open(ctx, path, "rw")
}

// OpenToRead opens a property file that may lie where nothing can be written.
// Updates then fail; a schema that is not up to date is refused with
// ErrOlderSchema.
//
// Where a command was stopped in the middle of a change, the change is taken
// back first; only that writes.
func OpenToRead(ctx context.Context, path string) (*Store, error) {
	s, err := open(ctx, path, "ro")
	if !errors.Is(err, ErrReadOnly) || !hasJournal(path) {
		return s, err
	}
	healed, err := open(ctx, path, "rw")
	if err != nil {
		return nil, err
	}
	if err := healed.Close(); err != nil {
		return nil, err
	}
	return open(ctx, path, "ro")
}

// hasJournal reports whether SQLite's journal lies beside a file.
func hasJournal(path string) bool {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	info, err := os.Stat(path + "-journal")
	return err == nil && info.Size() > 0
}

func open(ctx context.Context, path, mode string) (*Store, error) {
	if err := inspect(path); err != nil {
		return nil, err
	}
	s, err := connect(path, mode)
	if err != nil {
		return nil, err
	}
	if err := s.ready(ctx, mode); err != nil {
		s.db.Close()
		return nil, s.explain(err)
	}
	return s, nil
}

// ready checks the connection and the schema.
func (s *Store) ready(ctx context.Context, mode string) error {
	if mode == "rw" {
		readOnly, err := s.isReadOnly(ctx)
		if err != nil {
			return err
		}
		if readOnly {
			return faultOf(ErrReadOnly, s.path, "a file that may be written", "", "is read-only")
		}
	}
	if err := s.checkPragmas(ctx); err != nil {
		return err
	}
	said, err := s.schema(ctx)
	if err != nil {
		return err
	}
	version := said.version
	if version <= len(migrations) {
		if err := s.checkVersion(said); err != nil {
			return err
		}
	}
	switch {
	case version > len(migrations):
		return faultOf(ErrNewerSchema, s.path, "a copy saved by this version, or a newer emberquilt", "",
			"schema %d is newer than this program, which knows up to %d", version, len(migrations))
	case version == len(migrations):
		return nil
	case mode == "ro":
		return faultOf(ErrOlderSchema, s.path, "a file that may be written, to be brought up to date", "",
			"schema %d is older than this program's %d", version, len(migrations))
	}
	return s.explainStep(s.migrate(ctx), version)
}

// inspect reads the file's first bytes before SQLite opens it, so that a
// foreign file is never touched. Offsets are those of SQLite's published file
// format: magic at 0, application id at 68.
func inspect(path string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return faultOf(ErrMissing, path, acceptsProperty, "", "does not exist")
	case err != nil:
		return faultOf(ErrReadOnly, path, "a file that may be read", "", "cannot be read (%v)", plainCause(err))
	case info.IsDir():
		return faultOf(ErrNotProperty, path, acceptsProperty, "", "is a folder")
	case !info.Mode().IsRegular():
		return faultOf(ErrNotProperty, path, acceptsProperty, "", "is not a regular file")
	case info.Size() == 0:
		return faultOf(ErrNotProperty, path, acceptsProperty, "", "is empty")
	}
	f, err := os.Open(path)
	if err != nil {
		return faultOf(ErrReadOnly, path, "a file that may be read", "", "cannot be read (%v)", plainCause(err))
	}
	defer f.Close()
	var header [100]byte
	n, _ := f.Read(header[:])
	if n < len(header) || string(header[:16]) != "SQLite format 3\x00" {
		return faultOf(ErrNotProperty, path, acceptsProperty, "", "is not a property file")
	}
	if id := binary.BigEndian.Uint32(header[68:]); id != ApplicationID {
		return faultOf(ErrNotProperty, path, acceptsProperty, "", "is a database of another program")
	}
	return nil
}

// connect opens the database without reading it.
func connect(path, mode string) (*Store, error) { return connectAsOf(path, mode, 0) }

// connectAsOf is connect for a database that is seen as it was after a change; 0 shows
// all of it.
func connectAsOf(path, mode string, change int) (*Store, error) {
	name, err := dataSource(path, mode)
	if change > 0 {
		name += fmt.Sprintf("&%s=%d", asOfParameter, change)
	}
	if err != nil {
		return nil, err
	}
	db, err := sql.Open("sqlite", name)
	if err != nil {
		return nil, explain(path, err)
	}
	db.SetMaxOpenConns(4)
	return &Store{db: db, path: path, isToRead: mode == "ro"}, nil
}

// dataSource gives the URI of a file. A plain "file:" + path would open another
// file where the path holds #, ? or %.
func dataSource(path, mode string) (string, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", fmt.Errorf("%s: %w", path, err)
	}
	slashed := filepath.ToSlash(abs)
	if slashed[0] != '/' {
		slashed = "/" + slashed // a drive letter: file:///C:/…
	}
	q := url.Values{"mode": {mode}, "_txlock": {"immediate"}, "_pragma": {
		fmt.Sprintf("busy_timeout(%d)", busyMillis), "foreign_keys(1)", "synchronous(full)",
		// What a statement may have to take back, and the pages of an import, stay in memory.
		"temp_store(memory)", fmt.Sprintf("cache_size(-%d)", cacheKilobytes),
	}}
	if mode != "ro" {
		q.Add("_pragma", "journal_mode(delete)")
	}
	return (&url.URL{Scheme: "file", Path: slashed, RawQuery: q.Encode()}).String(), nil
}

// checkPragmas reads back what dataSource asked for: SQLite ignores a misspelled
// pragma without a word.
func (s *Store) checkPragmas(ctx context.Context) error {
	for _, p := range []struct{ name, want string }{
		{"foreign_keys", "1"}, {"synchronous", "2"}, {"journal_mode", "delete"}, {"busy_timeout", fmt.Sprint(busyMillis)},
	} {
		var got string
		if err := s.db.QueryRowContext(ctx, "PRAGMA "+p.name).Scan(&got); err != nil {
			return err
		}
		if got != p.want {
			return fmt.Errorf("%s: pragma %s is %s instead of %s", s.path, p.name, got, p.want)
		}
	}
	return nil
}

func (s *Store) isReadOnly(ctx context.Context) (readOnly bool, err error) {
	conn, err := s.db.Conn(ctx)
	if err != nil {
		return false, err
	}
	defer conn.Close()
	err = conn.Raw(func(driver any) error {
		asker, ok := driver.(interface{ IsReadOnly(string) (bool, error) })
		if !ok {
			return errors.New("the SQLite driver does not say whether a file is read-only")
		}
		readOnly, err = asker.IsReadOnly("main")
		return err
	})
	return readOnly, err
}
