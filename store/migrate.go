package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
)

//go:embed migration/*.sql
var migrationFiles embed.FS

// migrations are the steps of the schema in order; user_version counts those
// that a file has. A step is never edited after a release.
var migrations = readMigrations()

func readMigrations() []string {
	entries, err := migrationFiles.ReadDir("migration")
	if err != nil {
		panic("store: " + err.Error())
	}
	var steps []string
	for _, e := range entries {
		text, err := migrationFiles.ReadFile("migration/" + e.Name())
		if err != nil {
			panic("store: " + err.Error())
		}
		steps = append(steps, string(text))
	}
	return steps
}

// migrate applies the steps that the file lacks, in one transaction. A step that
// fails leaves the file as it was.
func (s *Store) migrate(ctx context.Context) error { return s.migrateBy(ctx, migrations) }

func (s *Store) migrateBy(ctx context.Context, steps []string) (err error) {
	conn, err := s.db.Conn(ctx)
	if err != nil {
		return s.explain(err)
	}
	defer conn.Close()
	exec := func(query string) error {
		_, err := conn.ExecContext(ctx, query)
		return s.explain(err)
	}
	// Foreign keys can be switched only outside a transaction.
	if err := exec("PRAGMA foreign_keys = OFF"); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, exec("PRAGMA foreign_keys = ON")) }()
	if err := exec("BEGIN IMMEDIATE"); err != nil {
		return err
	}
	if err := applySteps(ctx, conn, steps, exec); err != nil {
		_, rollback := conn.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
		if _, isDone := asRefusal(rollback); isDone {
			rollback = nil // where the disk is full, SQLite has taken all of it back already
		}
		return errors.Join(err, rollback)
	}
	return exec("COMMIT")
}

func applySteps(ctx context.Context, conn *sql.Conn, steps []string, exec func(string) error) error {
	// Another program may have migrated the file in the meantime.
	var version int
	if err := conn.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	for ; version < len(steps); version++ {
		if err := exec(steps[version]); err != nil {
			return fmt.Errorf("apply migration %d: %w", version+1, err)
		}
	}
	var broken int
	if err := conn.QueryRowContext(ctx, "SELECT count(*) FROM pragma_foreign_key_check").Scan(&broken); err != nil {
		return err
	}
	if broken > 0 {
		return fmt.Errorf("migrations left %d broken references", broken)
	}
	return exec(fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", ApplicationID, len(steps)))
}
