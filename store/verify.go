package store

import (
	"context"
	"fmt"
)

// Verify checks that the file is intact: SQLite's own integrity check, the
// tables and triggers that this program makes, all references, rows that no
// change made, every seal of the journal, and that current values still make
// sense together. It gives what it found wrong in plain words, nothing for a
// good file; the error says that the file could not be read to the end.
func (s *Store) Verify(ctx context.Context) (faults []string, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		faults, err = faultsOf(tx.checkPages, tx.checkSchema, tx.checkReferences, tx.checkIdentity, tx.checkGhosts, tx.checkSeals, tx.checkSense)
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

// Unsealed says what of the file is not as this program wrote it: pages and indexes,
// tables and triggers, references, rows that no change made and the seal of every change.
// It is all of Verify but for whether values make sense together; nothing for a good
// file. Seals are over tables: without the check of indexes a name that is read from one
// could be another.
func (s *Store) Unsealed(ctx context.Context) (faults []string, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		faults, err = faultsOf(tx.checkPages, tx.checkSchema, tx.checkReferences, tx.checkIdentity, tx.checkGhosts, tx.checkSeals)
		return err
	})
	return faults, err
}

func (tx *Tx) checkPages(add func(string, ...any)) error {
	return tx.each("PRAGMA integrity_check", nil, func(scan scanner) error {
		var line string
		if err := scan(&line); err != nil {
			return err
		}
		if line != "ok" {
			add("integrity: %s", line)
		}
		return nil
	})
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
