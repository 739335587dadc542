package store

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestABackupHoldsEverything(t *testing.T) {
	s := full(t)
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "copy.emberquilt")
	if err := s.Backup(ctx, path); err != nil {
		t.Fatal(err)
	}
	again, err := Open(ctx, path)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if diff := cmp.Diff(snapshot(t, s), snapshot(t, again)); diff != "" {
		t.Error(diff)
	}
	wantWhole(t, again)
	// History comes along, and the copy goes its own way.
	if h, err := again.BurnHistory(ctx, 1); err != nil || len(h) != 1 {
		t.Errorf("%v %v", h, err)
	}
	update(t, again, func(tx *Tx) error { return tx.PutUnit(unit("only in the copy")) })
	if len(snapshot(t, s).Units) == len(snapshot(t, again).Units) {
		t.Error("the copy is the file itself")
	}
	if err := s.Backup(ctx, path); !errors.Is(err, ErrExists) {
		t.Errorf("a copy was replaced: %v", err)
	}
	if err := s.Backup(ctx, filepath.Join(filepath.Dir(path), "none", "copy")); !errors.Is(err, ErrReadOnly) {
		t.Errorf("%v", err)
	}
	if entries, _ := os.ReadDir(filepath.Dir(path)); len(entries) != 1 {
		t.Errorf("left behind: %v", entries)
	}
}

// TestABackupOfAFileInUse copies while another update is under way: the copy has
// the state before it.
func TestABackupOfAFileInUse(t *testing.T) {
	s := create(t, unit("a"))
	path := filepath.Join(t.TempDir(), "copy.emberquilt")
	update(t, s, func(tx *Tx) error {
		if err := tx.PutUnit(unit("b")); err != nil {
			return err
		}
		return s.Backup(context.Background(), path)
	})
	again, err := Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if units := snapshot(t, again).Units; len(units) != 1 {
		t.Errorf("%v", units)
	}
}

func TestReadingNeedsNoRightToWrite(t *testing.T) {
	s := full(t)
	want := snapshot(t, s)
	path := s.Path()
	s.Close()
	again, err := OpenToRead(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if diff := cmp.Diff(want, snapshot(t, again)); diff != "" {
		t.Error(diff)
	}
	wantWhole(t, again)
	err = again.Update(context.Background(), noon, "", "test", func(tx *Tx) error { return tx.PutUnit(unit("x")) })
	if !errors.Is(err, ErrReadOnly) {
		t.Errorf("%v", err)
	}
}
