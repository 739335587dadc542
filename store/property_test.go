package store

import (
	"errors"
	"strings"
	"testing"
)

// A file of an older program may hold settings that nothing reads, under seals that
// hold: others take their place.
func TestSettingsThatCannotBeReadAreReplaced(t *testing.T) {
	ctx := t.Context()
	s := create(t, unit("a"))
	update(t, s, func(tx *Tx) error {
		return properties.insert(tx, 2, false, []any{1}, []any{"name = \"Oak Hill\"\n[caps]\nacres = 10000000000000000000\n"})
	})
	if _, err := s.Snapshot(ctx); !errors.Is(err, ErrSettings) || !strings.Contains(err.Error(), "settings") {
		t.Fatalf("the snapshot gives %v", err)
	}
	update(t, s, func(tx *Tx) error { return tx.SetProperty(oakHill()) })
	snapshot, err := s.Snapshot(ctx)
	if err != nil || snapshot.Property.Name != oakHill().Name || len(snapshot.Units) != 1 {
		t.Fatalf("%v, %+v", err, snapshot)
	}
	if faults, err := s.Verify(ctx); err != nil || len(faults) > 0 {
		t.Errorf("%v, %v", faults, err)
	}
	changes, err := s.Changes(ctx)
	if err != nil || len(changes) < 3 {
		t.Errorf("%d changes, %v", len(changes), err)
	}
}
