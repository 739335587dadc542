package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
)

// heldSchema says what a file's tables, indexes and triggers are beside those that the
// migrations make.
type heldSchema struct {
	// isOwn says that every table and view of ours is there as this program makes it.
	isOwn bool
	// hasMore says that there are tables, views or indexes that it does not make.
	hasMore bool
	// tables are the statements of the file's tables by their names.
	tables map[string]string
}

// checkSchema holds the file's tables, indexes and triggers against those that
// the migrations make. A trigger too many could write rows that no command
// wrote; one too few leaves them open to be overwritten.
func (tx *Tx) checkSchema(add func(string, ...any)) (heldSchema, error) {
	held := heldSchema{isOwn: true, tables: map[string]string{}}
	type object struct{ name, text string }
	var there []object
	h := sha256.New()
	err := tx.each(selectObjects, nil, func(scan scanner) error {
		name, text, err := scanObject(scan)
		addTo(h, name, text)
		there = append(there, object{name, text})
		if table, is := strings.CutPrefix(name, "table "); is {
			held.tables[table] = text
		}
		return err
	})
	if err != nil || hex.EncodeToString(h.Sum(nil)) == schemaSHA256 {
		return held, err
	}
	made, err := schemaObjects()
	if err != nil {
		return held, err
	}
	isRead := func(object string) bool {
		return !strings.HasPrefix(object, "trigger ") && !strings.HasPrefix(object, "index ")
	}
	want := maps.Clone(made)
	for _, o := range there {
		switch expected, known := want[o.name]; {
		case !known:
			add("the file holds a %s, which this program did not make", o.name)
			held.hasMore = held.hasMore || !strings.HasPrefix(o.name, "trigger ")
		case expected != o.text:
			add("the %s was altered", o.name)
			held.isOwn = held.isOwn && !isRead(o.name)
			held.hasMore = held.hasMore || strings.HasPrefix(o.name, "index ")
		}
		delete(want, o.name)
	}
	for _, name := range slices.Sorted(maps.Keys(want)) {
		add("the %s is missing", name)
		held.isOwn = held.isOwn && !isRead(name)
	}
	return held, nil
}

// checkOwnTables says what is wrong with the schema where its tables cannot be read.
func (tx *Tx) checkOwnTables(add func(string, ...any)) error {
	var held heldSchema
	faults, err := faultsOf(func(add func(string, ...any)) (err error) {
		held, err = tx.checkSchema(add)
		return err
	})
	if err != nil || held.isOwn {
		return err
	}
	for _, fault := range faults {
		add("%s", fault)
	}
	return nil
}

// schemaSHA256 is over the names and statements of schemaObjects, in their order: making
// them takes longer than what most commands do. A test says what it is after a migration;
// until it is put here, files are held against the objects themselves.
const schemaSHA256 = "1c95af874bfe6e28ca076558d083aaec5fb5a665989035e395c2d441235c730c"

const selectObjects = "SELECT type, name, coalesce(sql, '') FROM sqlite_schema ORDER BY type, name"

func scanObject(scan scanner) (name, text string, err error) {
	var kind string
	err = scan(&kind, &name, &text)
	return kind + " " + name, text, err
}

// schemaObjects gives the statements of a database that has every migration, by
// kind and name.
func schemaObjects() (map[string]string, error) {
	made, err := madeSchemas()
	if err != nil {
		return nil, err
	}
	return made[len(migrations)], nil
}

// madeSchemas gives the statements after each number of migrations, by kind and name,
// beginning with none. They are made once.
var madeSchemas = sync.OnceValues(func() ([]map[string]string, error) {
	ctx := context.Background()
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		return nil, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1) // a database in memory belongs to its connection
	made := []map[string]string{{}}
	for i, step := range migrations {
		if _, err := db.ExecContext(ctx, step); err != nil {
			return nil, fmt.Errorf("apply migration %d: %w", i+1, err)
		}
		objects, err := objectsOf(ctx, db)
		if err != nil {
			return nil, err
		}
		made = append(made, objects)
	}
	return made, nil
})

func objectsOf(ctx context.Context, db *sql.DB) (map[string]string, error) {
	rows, err := db.QueryContext(ctx, selectObjects)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	all := map[string]string{}
	for rows.Next() {
		name, text, err := scanObject(rows.Scan)
		if err != nil {
			return nil, err
		}
		all[name] = text
	}
	return all, rows.Err()
}

// checkGhosts looks for rows that no change explains: names of units without a
// version, names in another order than that of their first versions, which seals cover
// and which is that of all lists, and versions of a thing that do not count up from 1.
func (tx *Tx) checkGhosts(add func(string, ...any)) error {
	err := tx.each("SELECT name FROM unit WHERE name NOT IN (SELECT unit FROM unit_version) ORDER BY id", nil, func(scan scanner) error {
		var name string
		err := scan(&name)
		add("a unit %q is named that no change made", name)
		return err
	})
	if err != nil {
		return err
	}
	if err := tx.checkOrder(add); err != nil {
		return err
	}
	for _, t := range layouts {
		query := fmt.Sprintf("SELECT count(*) FROM (SELECT 1 FROM %s GROUP BY %s HAVING count(*) <> max(version) OR min(version) <> 1)", t.from, strings.Join(t.keys, ", "))
		err := tx.each(query, nil, func(scan scanner) error {
			var count int
			err := scan(&count)
			if count > 0 {
				add("%s: the versions of %d rows do not count up from 1", t.from, count)
			}
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// checkOrder holds the numbers of the names of units against their first versions: both
// count up together.
func (tx *Tx) checkOrder(add func(string, ...any)) error {
	next := int64(0)
	return tx.each(
		"SELECT u.id, u.name FROM unit AS u JOIN (SELECT unit, min(row) AS first FROM unit_version GROUP BY unit) AS v ON v.unit = u.name ORDER BY v.first",
		nil,
		func(scan scanner) error {
			var id int64
			var name string
			err := scan(&id, &name)
			if next++; id != next {
				add("unit %q is number %d of the names, and its first version says %d", name, id, next)
				next = id
			}
			return err
		},
	)
}
