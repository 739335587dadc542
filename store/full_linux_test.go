package store

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// TestAFullDiskChangesNothing fills a small disk in memory.
func TestAFullDiskChangesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "small disk")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=1m"); err != nil {
		t.Skipf("no small disk can be mounted here: %v", err)
	}
	defer syscall.Unmount(dir, 0)
	path := filepath.Join(dir, "a.emberquilt")
	s, err := Create(context.Background(), path, Making{}, oakHill(), noon)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	update(t, s, func(tx *Tx) error { return tx.PutUnit(n1()) })
	before := snapshot(t, s)
	tooMuch := func(tx *Tx) error {
		for _, u := range manyUnits(20000) {
			if err := tx.PutUnit(u); err != nil {
				return err
			}
		}
		return nil
	}
	err = s.Update(context.Background(), noon, "", "test", tooMuch)
	if !errors.Is(err, ErrFull) {
		t.Fatalf("%v", err)
	}
	t.Log(err)
	if after := snapshot(t, s); after.Change != before.Change || len(after.Units) != 1 {
		t.Errorf("%+v", after)
	}
	wantWhole(t, s)
	// What does fit still goes in.
	update(t, s, func(tx *Tx) error { return tx.PutUnit(unit("small")) })

	// A copy and a new file that do not fit leave nothing behind.
	filler := filepath.Join(dir, "filler")
	fillUp(t, filler)
	if err := s.Backup(context.Background(), filepath.Join(dir, "copy")); err == nil {
		t.Error("a copy fitted on a full disk")
	} else {
		t.Log(err)
	}
	if _, err := Create(context.Background(), filepath.Join(dir, "b.emberquilt"), Making{}, oakHill(), noon); err == nil {
		t.Error("a new file fitted on a full disk")
	} else {
		t.Log(err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 2 {
		t.Errorf("left behind: %v %v", entries, err)
	}
	if err := os.Remove(filler); err != nil {
		t.Fatal(err)
	}
	if err := s.Backup(context.Background(), filepath.Join(dir, "copy")); err != nil {
		t.Error(err)
	}
}

func fillUp(t *testing.T, path string) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for {
		if _, err := f.Write(make([]byte, 4096)); err != nil {
			return
		}
	}
}
