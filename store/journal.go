package store

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"hash"
	"math"
	"time"
)

// Change is one entry of the journal.
type Change struct {
	Number int
	At     time.Time
	Reason string
	// By says who made it, as they said; empty where nobody did.
	By string
	// SHA256 seals the change: it is over the change before, the time, the
	// reason, who made it and every row that was written, in hex.
	SHA256 string
}

// Stamp is the version of the data that papers print: how many changes there
// were, and the first eight digits of the last one's seal.
type Stamp string

// Stamp gives the version of the data as of the change.
func (c Change) Stamp() Stamp {
	if c.Number == 0 {
		return "0"
	}
	return Stamp(fmt.Sprintf("%d-%s", c.Number, c.SHA256[:8]))
}

// Changes gives the journal, the oldest change first.
func (s *Store) Changes(ctx context.Context) (all []Change, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		all, err = tx.changes()
		return err
	})
	return all, err
}

// Stamp gives the version of the data as it is now.
func (s *Store) Stamp(ctx context.Context) (stamp Stamp, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		last, err := tx.lastChange()
		stamp = last.Stamp()
		return err
	})
	return stamp, err
}

func (tx *Tx) changes() ([]Change, error) {
	var all []Change
	err := tx.each("SELECT "+changeColumns+" FROM change AS c ORDER BY id", nil, func(scan scanner) error {
		c, err := scanChange(scan)
		all = append(all, c)
		return err
	})
	return all, err
}

// lastChange gives the newest change, with Number 0 where there is none.
func (tx *Tx) lastChange() (last Change, err error) {
	err = tx.each("SELECT "+changeColumns+" FROM change AS c ORDER BY id DESC LIMIT 1", nil, func(scan scanner) error {
		last, err = scanChange(scan)
		return err
	})
	return last, err
}

// changeColumns are what scanChange reads.
const changeColumns = "c.id, c.made_at, c.reason, c.sha256, coalesce(c.made_by, '')"

func scanChange(scan scanner) (c Change, err error) {
	var at string
	if err := scan(&c.Number, &at, &c.Reason, &c.SHA256, &c.By); err != nil {
		return c, err
	}
	c.At, err = time.Parse(time.RFC3339, at)
	return c, err
}

// seal writes the journal entry of this transaction.
func (tx *Tx) seal(before Change, at time.Time, reason string) error {
	c := Change{Number: tx.change, At: at.UTC().Truncate(time.Second), Reason: reason, By: tx.by}
	var err error
	if c.SHA256, err = tx.sealOf(before, c); err != nil {
		return err
	}
	var by any
	if c.By != "" {
		by = c.By
	}
	return tx.write("INSERT INTO change (id, made_at, reason, sha256, made_by) VALUES (?, ?, ?, ?, ?)",
		c.Number, c.At.Format(time.RFC3339), c.Reason, c.SHA256, by)
}

// sealed lists the tables whose rows a seal covers, in their order in it. New
// tables go to the end.
var sealed = []string{"property_version", "unit_version", "shape_version", "pair_version", "lock_version", "burn_version", "document_version", "plan"}

// sealOf computes the seal of a change from the rows that it wrote. A column
// that is NULL is left out, so that a later migration may add columns.
func (tx *Tx) sealOf(before, c Change) (string, error) {
	h := sha256.New()
	addTo(h, before.SHA256, int64(c.Number), c.At.Format(time.RFC3339), c.Reason)
	if c.By != "" {
		addTo(h, "by", c.By)
	}
	for _, table := range sealed {
		if err := tx.sealTable(h, table, c.Number); err != nil {
			return "", err
		}
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

func (tx *Tx) sealTable(h hash.Hash, table string, change int) error {
	statement, err := tx.prepare("SELECT * FROM " + table + " WHERE change = ? ORDER BY 1")
	if err != nil {
		return err
	}
	rows, err := statement.QueryContext(tx.ctx, change)
	if err != nil {
		return tx.ended(err)
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	values := make([]cell, len(columns))
	dest := make([]any, len(columns))
	names := make([][]byte, len(columns))
	for i := range values {
		dest[i], names[i] = &values[i], appendValue(nil, columns[i])
	}
	head := appendValue(nil, table)
	row := tx.sealRow
	defer func() { tx.sealRow = row }()
	for rows.Next() {
		if err := rows.Scan(dest...); err != nil {
			return tx.ended(err)
		}
		row = append(row[:0], head...)
		for i, v := range values {
			if v.value != nil {
				row = appendValue(append(row, names[i]...), v.value)
			}
		}
		h.Write(row)
	}
	return tx.ended(rows.Err())
}

// cell is the value of a column as the driver hands it over, good until the next row: to
// copy it costs more than its seal.
type cell struct{ value any }

// Scan takes the value.
func (c *cell) Scan(value any) error {
	c.value = value
	return nil
}

// addTo feeds values to a hash.
func addTo(h hash.Hash, values ...any) {
	for _, v := range values {
		h.Write(appendValue(nil, v))
	}
}

// appendValue appends a value with its kind and length, so that no two lists of values
// give the same bytes.
func appendValue(to []byte, value any) []byte {
	number := func(kind byte, n uint64) { to = binary.BigEndian.AppendUint64(append(to, kind), n) }
	switch v := value.(type) {
	case int64:
		number('i', uint64(v))
	case float64:
		number('f', math.Float64bits(v))
	case string:
		number('s', uint64(len(v)))
		to = append(to, v...)
	case []byte:
		number('b', uint64(len(v)))
		to = append(to, v...)
	default:
		panic(fmt.Sprintf("store: a column holds a %T", v))
	}
	return to
}
