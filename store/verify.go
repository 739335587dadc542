package store

import (
	"context"
	"fmt"
)

// Verify checks that the file is intact: the tables and triggers that this program
// makes, SQLite's own integrity check, all references, rows that no change made, every
// seal of the journal, and that current values still make sense together. It gives what
// it found wrong in plain words, nothing for a good file; the error says that the file
// could not be read to the end. Of tables that are not this program's own nothing more is
// said.
func (s *Store) Verify(ctx context.Context) (faults []string, err error) {
	return s.check(ctx, true)
}

// Unsealed says what of the file is not as this program wrote it: tables and triggers,
// pages and indexes, references, rows that no change made and the seal of every change.
// It is all of Verify but for whether values make sense together, and texts, which whoever
// reads them refuses; nothing for a good file. Seals are over tables: without the check of
// indexes a name that is read from one could be another.
func (s *Store) Unsealed(ctx context.Context) (faults []string, err error) {
	return s.check(ctx, false)
}

// HasOwnTables reports whether the tables and views of the file are those that this
// program makes. Others are not read: a view in the place of a table may be without end.
func (s *Store) HasOwnTables(ctx context.Context) (isOwn bool, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		held, err := tx.checkSchema(func(string, ...any) {})
		isOwn = held.isOwn
		return err
	})
	return isOwn, err
}

// check gives what is wrong in plain words, of the values too where it is of all. What the
// schema does not allow to be read safely is not read.
func (s *Store) check(ctx context.Context, ofAll bool) (faults []string, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		faults, err = faultsOf(func(add func(string, ...any)) error {
			held, err := tx.checkSchema(add)
			if err != nil || !held.isOwn {
				return err
			}
			checks := []func(*Tx, func(string, ...any)) error{(*Tx).checkIdentity, (*Tx).checkGhosts, (*Tx).checkSeals}
			if ofAll {
				checks = append(checks, (*Tx).checkSense)
			}
			if !held.hasMore { // these go through every table that there is
				pages := func(tx *Tx, add func(string, ...any)) error {
					return tx.checkPages(constraints(held.tables, ofAll), add)
				}
				checks = append([]func(*Tx, func(string, ...any)) error{pages, (*Tx).checkReferences}, checks...)
			}
			for _, check := range checks {
				if err := check(tx, add); err != nil {
					return err
				}
			}
			return nil
		})
		return err
	})
	return faults, err
}

// faultsOf gives what checks find wrong, in plain words.
func faultsOf(checks ...func(add func(format string, args ...any)) error) (faults []string, err error) {
	for _, check := range checks {
		if err := check(func(format string, args ...any) { faults = append(faults, fmt.Sprintf(format, args...)) }); err != nil {
			return faults, err
		}
	}
	return faults, nil
}

func (tx *Tx) checkPages(constraints map[string][]string, add func(string, ...any)) error {
	err := tx.each("PRAGMA integrity_check", nil, func(scan scanner) error {
		var line string
		if err := scan(&line); err != nil {
			return err
		}
		if line != "ok" {
			add("integrity: %s", line)
		}
		return nil
	})
	if refusal, is := asRefusal(err); is {
		add("integrity: %s", refusal)
		err = nil
	}
	if err != nil || !tx.store.isToRead {
		return err
	}
	return tx.checkConstraints(constraints, add)
}

func (tx *Tx) checkReferences(add func(string, ...any)) error {
	return tx.each(`SELECT "table", parent, count(*) FROM pragma_foreign_key_check GROUP BY 1, 2`, nil, func(scan scanner) error {
		var child, parent string
		var count int
		if err := scan(&child, &parent, &count); err != nil {
			return err
		}
		add("%d rows of %s name a %s that is not there", count, child, parent)
		return nil
	})
}

// checkSeals computes every seal anew and looks for rows of no change.
func (tx *Tx) checkSeals(add func(string, ...any)) error {
	changes, err := tx.changes()
	if err != nil {
		return err
	}
	var before Change
	for _, c := range changes {
		if c.Number != before.Number+1 {
			add("change %d follows on change %d", c.Number, before.Number)
		}
		seal, err := tx.sealOf(before, c)
		if err != nil {
			return err
		}
		if seal != c.SHA256 {
			add("change %d (%s) was altered after it was made", c.Number, c.At.Format("2006-01-02"))
		}
		before = c
	}
	return nil
}

// checkSense validates what is current.
func (tx *Tx) checkSense(add func(string, ...any)) error {
	snap, err := tx.Snapshot()
	if err != nil {
		add("current values cannot be read: %v", err)
		return nil
	}
	if err := snap.Property.Validate(); err != nil {
		add("settings: %v", err)
	}
	there := map[string]bool{}
	for i := range snap.Units {
		u := &snap.Units[i]
		there[u.ID] = true
		if err := u.Validate(&snap.Property); err != nil {
			add("unit %q: %v", u.ID, err)
		}
	}
	for _, s := range snap.Shapes {
		if !there[s.Unit] {
			add("a shape is kept for unit %q, which is not there", s.Unit)
		}
	}
	for _, p := range snap.Pairs {
		if !there[p.A] || !there[p.B] {
			add("a pair is kept for units %q and %q, of which one is not there", p.A, p.B)
		}
	}
	for _, l := range snap.Locks {
		if !there[l.Unit] {
			add("a lock is kept for unit %q, which is not there", l.Unit)
		}
	}
	snap.checkFiring(add)
	if d, _, err := tx.Draft(); err != nil {
		add("%v", err)
	} else if d != nil && d.Plan > len(snap.Plans) {
		add("a draft is kept of plan %d, which is not there", d.Plan)
	}
	type burn struct{ unit, on, kind string }
	seen := map[burn]int64{}
	for _, r := range snap.Written {
		key := burn{r.Unit, r.On.String(), string(r.Kind)}
		if other, ok := seen[key]; ok {
			add("burns %d and %d are one burn of unit %q on %s", other, r.ID, r.Unit, r.On)
		}
		seen[key] = r.ID
	}
	return nil
}
