package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"testing"
)

// TestAskingAfterAnInterruptSaysInterrupted: once the context has ended, database/sql
// closes the statements of the transaction behind its back. Whatever is asked then says
// that it was interrupted, not that a statement is closed.
func TestAskingAfterAnInterruptSaysInterrupted(t *testing.T) {
	asks := map[string]func(tx *Tx) error{
		"rows":       func(tx *Tx) error { _, err := tx.Published(); return err },
		"one row":    func(tx *Tx) error { _, _, err := tx.Draft(); return err },
		"a row more": func(tx *Tx) error { return tx.PutUnit(unit("b")) },
		"a draft":    func(tx *Tx) error { return tx.PutDraft(nil) },
		"a seal":     func(tx *Tx) error { return tx.sealTable(sha256.New(), "unit_version", 1) },
	}
	for name, ask := range asks {
		for _, isAskedBefore := range []bool{true, false} {
			s := create(t)
			ctx, cancel := context.WithCancel(context.Background())
			err := s.Update(ctx, noon, "", "test", func(tx *Tx) error {
				if isAskedBefore {
					if err := ask(tx); err != nil {
						t.Errorf("%s: %v", name, err)
					}
				}
				cancel()
				for { // until the transaction was undone
					if _, err := tx.sql.Exec("SELECT 1"); errors.Is(err, sql.ErrTxDone) {
						break
					}
				}
				return ask(tx)
			})
			if !errors.Is(err, context.Canceled) {
				t.Errorf("%s, asked before: %t: %v", name, isAskedBefore, err)
			}
			wantWhole(t, s)
		}
	}
}
