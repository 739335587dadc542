package store

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"modernc.org/sqlite"
)

// Version is one version of a value.
type Version[V any] struct {
	// Number counts the versions of the value from 1.
	Number int
	// Change says when and why it was written.
	Change Change
	// Removed means that this version took the value away; Value is then what
	// it was before.
	Removed bool
	Value   V
}

// table says how values of one kind lie in their version table. Every such
// table has, beside its keys and columns, row, version, change and removed.
type table[V any] struct {
	name string
	// from is the view that is read in place of the table; empty reads the table.
	from          string
	keys, columns []string
	// key and encode give the values of keys and columns: int64, float64,
	// string, []byte or nil.
	key, encode func(*V) []any
	// decode reads keys, then columns.
	decode func(scan scanner) (V, error)
	// order is the ORDER BY of current, after a join where it needs one.
	join, order string
	// insertQuery and lastQuery are made by define.
	insertQuery, lastQuery string
}

// define makes the queries of a table.
func define[V any](t table[V]) *table[V] {
	names := append(append([]string{"version", "change", "removed"}, t.keys...), t.columns...)
	if t.from == "" {
		t.from = t.name
	}
	t.insertQuery = fmt.Sprintf("INSERT INTO %s (%s) VALUES (?%s)", t.name, strings.Join(names, ", "), strings.Repeat(", ?", len(names)-1))
	t.lastQuery = fmt.Sprintf("SELECT version, removed, %s FROM %s WHERE %s ORDER BY version DESC LIMIT 1", t.selection(""), t.from, t.match())
	return &t
}

// layout is how the versions of values of one kind lie in the file.
type layout struct {
	// kind is what people call such a value; empty where the first key says it.
	kind          string
	name, from    string
	keys, columns []string
}

func layoutOf[V any](kind string, t *table[V]) layout {
	return layout{kind, t.name, t.from, t.keys, t.columns}
}

// layouts are those of everything that has versions.
var layouts = []layout{
	layoutOf("settings", properties), layoutOf("unit", units), layoutOf("outline", shapes), layoutOf("pair", pairs),
	layoutOf("lock", locks), layoutOf("burn", burns), layoutOf("", documents),
}

// put writes a new version of a value unless the current one is the same.
func (t *table[V]) put(tx *Tx, value V) error {
	last, err := t.last(tx, t.key(&value))
	if err != nil {
		return err
	}
	return t.putAfter(tx, last, value)
}

// putAfter is put where the newest version was read already.
func (t *table[V]) putAfter(tx *Tx, last Version[V], value V) error {
	columns := t.encode(&value)
	if last.Number > 0 && !last.Removed && sameValues(t.encode(&last.Value), columns) {
		return nil
	}
	return t.insert(tx, last.Number+1, false, t.key(&value), columns)
}

// remove writes a version that takes the value away. It reports whether there
// was one.
func (t *table[V]) remove(tx *Tx, key ...any) (bool, error) {
	last, err := t.last(tx, key)
	if err != nil || last.Number == 0 || last.Removed {
		return false, err
	}
	return true, t.insert(tx, last.Number+1, true, key, t.encode(&last.Value))
}

func (t *table[V]) insert(tx *Tx, version int, removed bool, key, columns []any) error {
	return tx.write(t.insertQuery, t.row(tx, version, removed, key, columns)...)
}

// insertSoon is insert for the first versions of many values, which wait for each other.
func (t *table[V]) insertSoon(tx *Tx, key, columns []any) error {
	return tx.writeSoon(t.insertQuery, t.row(tx, 1, false, key, columns))
}

func (t *table[V]) row(tx *Tx, version int, removed bool, key, columns []any) []any {
	return slices.Concat([]any{version, tx.change, removed}, key, columns)
}

// last gives the newest version of a value, with Number 0 where there is none.
// Its Change is not read.
func (t *table[V]) last(tx *Tx, key []any) (last Version[V], err error) {
	err = tx.lookUp(t.lastQuery, key, func(scan scanner) error {
		last.Value, err = t.decode(func(dest ...any) error {
			return scan(append([]any{&last.Number, &last.Removed}, dest...)...)
		})
		return err
	})
	return last, err
}

// current gives all values that are not removed; where is an extra condition on
// the table v, or empty.
func (t *table[V]) current(tx *Tx, where string, args ...any) ([]V, error) {
	same := make([]string, len(t.keys))
	for i, k := range t.keys {
		same[i] = fmt.Sprintf("l.%s = v.%s", k, k)
	}
	if where != "" {
		where = " AND " + where
	}
	query := fmt.Sprintf("SELECT %s FROM %s AS v %s WHERE v.removed = 0 AND v.version = (SELECT max(l.version) FROM %s AS l WHERE %s)%s ORDER BY %s",
		t.selection("v."), t.from, t.join, t.from, strings.Join(same, " AND "), where, t.order)
	var all []V
	err := tx.each(query, args, func(scan scanner) error {
		v, err := t.decode(scan)
		all = append(all, v)
		return t.misread(&v, err)
	})
	return all, err
}

// misread says of which value an error speaks that decode gave.
func (t *table[V]) misread(v *V, err error) error {
	var dbErr *sqlite.Error
	if err == nil || len(t.keys) == 0 || errors.As(err, &dbErr) || errors.Is(err, ErrSettings) {
		return err
	}
	return fmt.Errorf("%s of %s: %w", t.name, strings.TrimSuffix(fmt.Sprintln(t.key(v)...), "\n"), err)
}

// history gives all versions of a value, the oldest first.
func (t *table[V]) history(tx *Tx, key ...any) ([]Version[V], error) {
	query := fmt.Sprintf("SELECT "+changeColumns+", version, removed, %s FROM %s AS v JOIN change AS c ON c.id = v.change WHERE %s ORDER BY version",
		t.selection("v."), t.from, t.match())
	var all []Version[V]
	err := tx.each(query, key, func(scan scanner) error {
		var v Version[V]
		var err error
		v.Value, err = t.decode(func(dest ...any) error {
			v.Change, err = scanChange(func(change ...any) error {
				return scan(append(append(change, &v.Number, &v.Removed), dest...)...)
			})
			return err
		})
		all = append(all, v)
		return err
	})
	return all, err
}

func (t *table[V]) selection(prefix string) string {
	return prefix + strings.Join(append(append([]string(nil), t.keys...), t.columns...), ", "+prefix)
}

func (t *table[V]) match() string { return strings.Join(t.keys, " = ? AND ") + " = ?" }

func sameValues(a, b []any) bool {
	for i := range a {
		x, isBytes := a[i].([]byte)
		y, otherIs := b[i].([]byte)
		if isBytes && otherIs {
			if !bytes.Equal(x, y) {
				return false
			}
		} else if isBytes != otherIs || a[i] != b[i] {
			return false
		}
	}
	return true
}
