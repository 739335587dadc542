package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"slices"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// schema is what a file says of its schema: the number of migrations that it has had,
// by its user_version, and the objects that it holds, by kind and name.
type schema struct {
	version int
	objects map[string]string
	sha256  string
}

// schema reads both with one statement, so that a program which migrates the file in the
// meantime cannot come between them.
func (s *Store) schema(ctx context.Context) (schema, error) {
	said := schema{objects: map[string]string{}}
	rows, err := s.db.QueryContext(ctx, `SELECT v.user_version, coalesce(o.type, ''), coalesce(o.name, ''), coalesce(o.sql, '')
		FROM pragma_user_version AS v LEFT JOIN sqlite_schema AS o ORDER BY o.type, o.name`)
	if err != nil {
		return said, err
	}
	defer rows.Close()
	h := sha256.New()
	for rows.Next() {
		var kind, name, text string
		if err := rows.Scan(&said.version, &kind, &name, &text); err != nil {
			return said, err
		}
		if kind != "" {
			addTo(h, kind+" "+name, text)
			said.objects[kind+" "+name] = text
		}
	}
	said.sha256 = hex.EncodeToString(h.Sum(nil))
	return said, rows.Err()
}

// checkVersion refuses a file whose user_version another program altered: migrations of
// a schema that the file has not would fail halfway, or pass and leave tables out. Objects
// that are those of no schema say nothing of its number: Verify names them where nothing
// has to be brought up to date.
func (s *Store) checkVersion(said schema) error {
	if said.version == len(migrations) && said.sha256 == schemaSHA256 {
		return nil
	}
	made, err := madeSchemas()
	if err != nil {
		return err
	}
	if v := said.version; v >= 0 && v < len(made) && maps.Equal(made[v], said.objects) {
		return nil
	}
	for v, objects := range made {
		if maps.Equal(objects, said.objects) {
			return faultOf(ErrDamaged, s.path, fmt.Sprintf("user_version %d", v),
				fmt.Sprintf(alteredHint+", or have it set to %d and run emberquilt verify", v),
				"user_version says schema %d, and the tables are those of schema %d", said.version, v)
		}
	}
	switch {
	case said.version < 0:
		return faultOf(ErrDamaged, s.path, acceptsOwn, alteredHint, "user_version says schema %d, which there is not", said.version)
	case said.version < len(migrations):
		// Its steps would read tables that may be views without end.
		return faultOf(ErrDamaged, s.path, acceptsOwn, alteredHint, "schema %d cannot be brought up to date (the %s is not as a step of it left it)", said.version, said.differs(made[said.version]))
	}
	return nil
}

// differs names the first object, by name, that is not as it was made.
func (said *schema) differs(made map[string]string) string {
	names := slices.Concat(slices.Collect(maps.Keys(said.objects)), slices.Collect(maps.Keys(made)))
	slices.Sort(names)
	for _, name := range names {
		text, isThere := said.objects[name]
		if own, isOwn := made[name]; text != own || isThere != isOwn {
			return name
		}
	}
	return ""
}

// What to say of a file that is not as this program wrote it.
const (
	acceptsOwn  = "a property file as this program wrote it"
	alteredHint = "another program altered it: use the last backup"
)

// explainStep says what follows of a step of the schema that does not fit the file's
// tables or rows; other errors pass.
func (s *Store) explainStep(err error, version int) error {
	var dbErr *sqlite.Error
	if !errors.As(err, &dbErr) {
		return err
	}
	switch dbErr.Code() & 0xff {
	case sqlite3.SQLITE_ERROR, sqlite3.SQLITE_CONSTRAINT:
		return faultOf(ErrDamaged, s.path, acceptsOwn, alteredHint, "schema %d cannot be brought up to date (%v)", version, dbErr)
	}
	return err
}
