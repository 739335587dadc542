package store

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"

	"emberquilt/habitat"
)

// Tx is one transaction on the property file. It is good only inside the
// function that Update or View called, and for one goroutine.
type Tx struct {
	ctx   context.Context
	store *Store
	sql   *sql.Tx
	// statements are prepared once a transaction, by their text.
	statements map[string]*sql.Stmt
	// sealRow is room for a row that is sealed, used again for the next one.
	sealRow []byte
	// change is the number of the change that is being made; 0 in a View.
	change int
	// by says who makes it.
	by string
	// lineage is that of the file, once it was read.
	lineage *habitat.Lineage
	// taken holds the burns on record by what makes two of them the same, and nextBurn
	// the next number, while an import adds many; nil otherwise.
	taken    map[sameKey]int64
	nextBurn int64
	// fresh are the names of units that an import adds and that no unit had before; nil
	// otherwise.
	fresh map[string]bool
	// waiting are rows of one table that are not written yet: any statement that is
	// prepared after them writes them first.
	waiting waitingRows
	// written counts the rows that this transaction wrote.
	written int
	// isView says that nothing may be written at all.
	isView bool
}

// errView is the answer to a write where only reading was asked for.
var errView = errors.New("store: a View cannot write")

// Update makes one change: either all that do puts into the file is there when
// it returns nil, or none of it. at, by and reason stand in the journal, and the seal
// covers them; by names who makes the change and is empty where that is not known.
// Where do writes nothing, the journal gets no entry.
//
// An error of do is returned as it is, and nothing is changed.
func (s *Store) Update(ctx context.Context, at time.Time, by, reason string, do func(tx *Tx) error) error {
	if at.IsZero() || reason == "" {
		panic("store: a change needs a time and a reason")
	}
	return s.run(ctx, nil, func(tx *Tx) error {
		last, err := tx.lastChange()
		if err != nil {
			return err
		}
		tx.change, tx.by = last.Number+1, by
		if err := do(tx); err != nil {
			return err
		}
		if tx.written == 0 {
			return nil
		}
		return tx.seal(last, at, reason)
	})
}

// View reads at one moment: no change of another program comes between what do
// reads.
func (s *Store) View(ctx context.Context, do func(tx *Tx) error) error {
	return s.run(ctx, &sql.TxOptions{ReadOnly: true}, do)
}

func (s *Store) run(ctx context.Context, options *sql.TxOptions, do func(tx *Tx) error) error {
	sqlTx, err := s.db.BeginTx(ctx, options)
	if err != nil {
		return s.explain(err)
	}
	tx := &Tx{ctx: ctx, store: s, sql: sqlTx, statements: map[string]*sql.Stmt{}, isView: options != nil}
	// After a commit this does nothing; after an error or a panic it undoes.
	defer func() {
		for _, statement := range tx.statements {
			statement.Close()
		}
		sqlTx.Rollback()
	}()
	if err := do(tx); err != nil {
		return s.explain(err)
	}
	if options != nil {
		return nil
	}
	if err := tx.writeWaiting(); err != nil {
		return s.explain(err)
	}
	return s.explain(tx.ended(sqlTx.Commit()))
}

// prepare gives the statement of a query, prepared once. Rows that wait are written
// before it can see that they are not there.
func (tx *Tx) prepare(query string) (*sql.Stmt, error) {
	if err := tx.writeWaiting(); err != nil {
		return nil, err
	}
	if statement, ok := tx.statements[query]; ok {
		return statement, nil
	}
	statement, err := tx.sql.PrepareContext(tx.ctx, query)
	if err != nil {
		return nil, tx.ended(err)
	}
	tx.statements[query] = statement
	return statement, nil
}

// ended gives the reason for which the transaction's context ended, where it did, in place
// of an error of the driver: database/sql then undoes the transaction and closes its
// statements at a moment of its own, and what is asked next finds a closed statement, a
// transaction that is done or a query that was interrupted. None of these is what happened.
func (tx *Tx) ended(err error) error {
	if reason := tx.ctx.Err(); err != nil && reason != nil {
		return reason
	}
	return err
}

// write runs a statement that adds a row.
func (tx *Tx) write(query string, args ...any) error {
	if tx.change == 0 {
		return errView
	}
	statement, err := tx.prepare(query)
	if err != nil {
		return err
	}
	return tx.exec(statement, args, 1)
}

// exec runs a statement that adds rows. It is too short to be interrupted: to watch for
// that takes SQLite's driver a goroutine a statement, a third of the time of an import.
func (tx *Tx) exec(statement *sql.Stmt, args []any, rows int) error {
	if err := tx.ctx.Err(); err != nil {
		return err
	}
	if _, err := statement.ExecContext(context.WithoutCancel(tx.ctx), args...); err != nil {
		return tx.ended(err)
	}
	tx.written += rows
	return nil
}

// waitingRows are rows that one statement will write.
type waitingRows struct {
	// query adds one row; its last brackets hold the row.
	query string
	rows  int
	args  []any
	// bound are those of args that do not stand in the statement itself.
	bound []any
	// same holds, by the query, what each column of all its rows was so far, as SQL; empty
	// where rows differ.
	same map[string][]string
}

// mostWaiting is how many rows one statement writes: enough that what SQLite does once a
// statement no longer counts, and far below the 32,766 values that one may have.
const mostWaiting = 100

// writeSoon is write for many rows of one table: they are written together, at the
// latest before the next other statement.
func (tx *Tx) writeSoon(query string, args []any) error {
	if tx.change == 0 {
		return errView
	}
	w := &tx.waiting
	if w.rows > 0 && w.query != query || w.rows == mostWaiting {
		if err := tx.writeWaiting(); err != nil {
			return err
		}
	}
	w.query = query
	w.rows++
	w.args = append(w.args, args...)
	return nil
}

func (tx *Tx) writeWaiting() error {
	w := &tx.waiting
	rows, args := w.rows, w.args
	if rows == 0 {
		return nil
	}
	w.rows, w.args = 0, w.args[:0] // before prepare, which comes back here
	start := strings.LastIndexByte(w.query, '(')
	row := w.query[start:]
	if rows == mostWaiting { // a statement that comes again and again
		row, args = w.alike(args)
	}
	statement, err := tx.prepare(w.query[:start] + row + strings.Repeat(", "+row, rows-1))
	if err != nil {
		return err
	}
	return tx.exec(statement, args, rows)
}

// alike gives the brackets of a statement in which stands what all rows so far have alike,
// and what is left to be bound. Most columns of most lists are empty: to hand each over
// takes as long as to write it. What rows have alike only becomes less, so that statements
// are few.
func (w *waitingRows) alike(args []any) (row string, bound []any) {
	columns := len(args) / mostWaiting
	same, ok := w.same[w.query]
	if !ok {
		if w.same == nil {
			w.same = map[string][]string{}
		}
		same = make([]string, columns)
		for i := range same {
			same[i] = literal(args[i])
		}
		w.same[w.query] = same
	}
	first := args[:columns]
	for i := range same {
		if same[i] != "" && same[i] != literal(first[i]) {
			same[i] = ""
		}
		for at := i + columns; at < len(args) && same[i] != ""; at += columns {
			if args[at] != first[i] {
				same[i] = ""
			}
		}
	}
	w.bound = w.bound[:0]
	for at := 0; at < len(args); at += columns {
		for i, text := range same {
			if text == "" {
				w.bound = append(w.bound, args[at+i])
			}
		}
	}
	values := slices.Clone(same)
	for i, text := range values {
		if text == "" {
			values[i] = "?"
		}
	}
	return "(" + strings.Join(values, ", ") + ")", w.bound
}

// literal gives a value as SQL; empty where it is one that is better bound.
func literal(value any) string {
	const longest = 100
	switch v := value.(type) {
	case nil:
		return "NULL"
	case int:
		return strconv.Itoa(v)
	case int64:
		return strconv.FormatInt(v, 10)
	case bool:
		if v {
			return "1"
		}
		return "0"
	case string:
		isPlain := func(r rune) bool { return r >= ' ' && r <= '~' && r != '\'' }
		if len(v) <= longest && !strings.ContainsFunc(v, func(r rune) bool { return !isPlain(r) }) {
			return "'" + v + "'"
		}
	}
	return ""
}

// each calls do for every row of a query.
func (tx *Tx) each(query string, args []any, do func(scan scanner) error) error {
	return tx.eachIn(tx.ctx, query, args, do)
}

// lookUp is each for a query that finds at most a row or two by an index, too short to
// be interrupted; see exec.
func (tx *Tx) lookUp(query string, args []any, do func(scan scanner) error) error {
	if err := tx.ctx.Err(); err != nil {
		return err
	}
	return tx.eachIn(context.WithoutCancel(tx.ctx), query, args, do)
}

func (tx *Tx) eachIn(ctx context.Context, query string, args []any, do func(scan scanner) error) error {
	statement, err := tx.prepare(query)
	if err != nil {
		return err
	}
	rows, err := statement.QueryContext(ctx, args...)
	if err != nil {
		return tx.ended(err)
	}
	defer rows.Close()
	for rows.Next() {
		if err := do(rows.Scan); err != nil {
			return tx.ended(err)
		}
	}
	return tx.ended(rows.Err())
}

// scanner reads the columns of one row.
type scanner func(dest ...any) error
