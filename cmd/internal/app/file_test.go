package app

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"emberquilt/store"
)

func TestVerifyAndBackup(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "pennywhistle-place")
	path, copied := s.Store.Path(), filepath.Join(t.TempDir(), "copy.emberquilt")
	if err := Backup(ctx, path, copied); err != nil {
		t.Fatal(err)
	}
	for _, file := range []string{path, copied} {
		if v, err := Verify(ctx, file, KeptSeals{}); err != nil || len(v.Faults) != 0 || v.Stamp != s.Change.Stamp() {
			t.Errorf("%s: %+v %v", file, v, err)
		}
	}
	if err := Backup(ctx, path, copied); !errors.Is(err, store.ErrExists) {
		t.Errorf("over a file that exists: %v", err)
	}
	// A copy of which a part is lost is not intact, or does not open at all.
	data, err := os.ReadFile(copied)
	if err != nil {
		t.Fatal(err)
	}
	broken := filepath.Join(t.TempDir(), "broken.emberquilt")
	for i := len(data) / 2; i < len(data)/2+8192; i++ {
		data[i] = 0
	}
	if err := os.WriteFile(broken, data, 0o666); err != nil {
		t.Fatal(err)
	}
	if v, err := Verify(ctx, broken, KeptSeals{}); err == nil && len(v.Faults) == 0 {
		t.Error("a broken file is called intact")
	}
}
