package store

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// FuzzOpen reads any bytes as a property file: nothing panics, and what passes the seals
// can be read.
func FuzzOpen(f *testing.F) {
	files, err := filepath.Glob("testdata/*.emberquilt")
	if err != nil || len(files) == 0 {
		f.Fatalf("there are no seeds: %v", err)
	}
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		path := filepath.Join(t.TempDir(), "p.emberquilt")
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		s, err := OpenToRead(t.Context(), path)
		if errors.Is(err, ErrOlderSchema) {
			s, err = Open(t.Context(), path)
		}
		if err != nil {
			return
		}
		defer s.Close()
		faults, err := s.Unsealed(t.Context())
		if _, unread := s.Snapshot(t.Context()); err == nil && len(faults) == 0 && unread != nil {
			t.Errorf("the seals hold, and the file cannot be read: %v", unread)
		}
	})
}
