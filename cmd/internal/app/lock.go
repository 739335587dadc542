package app

import (
	"context"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/store"
)

// Lock fixes what a unit does in a program year, in place of the lock of the same
// unit and year. It gives the lock with the unit's name as it is stored.
func (s *Session) Lock(ctx context.Context, lock habitat.Lock, because string) (habitat.Lock, error) {
	err := s.update(ctx, reason("lock "+lock.Unit, because), func(tx *store.Tx) error {
		snapshot, err := tx.Snapshot()
		if err != nil {
			return err
		}
		unit, err := FindUnit(snapshot, lock.Unit)
		if err != nil {
			return err
		}
		lock.Unit = unit.ID
		if lock.Season != "" {
			if err := knowsSeason(&snapshot.Property, "season", lock.Season); err != nil {
				return err
			}
		}
		if err := optionFaults(lock.Validate(&snapshot.Property)); err != nil {
			return err
		}
		return tx.PutLock(lock)
	})
	return lock, err
}

// Unlock lifts the lock of a unit in a program year.
func (s *Session) Unlock(ctx context.Context, unit string, year date.ProgramYear, because string) error {
	return s.update(ctx, reason("unlock "+unit, because), func(tx *store.Tx) error { return tx.RemoveLock(unit, year) })
}

// reason words a change for the journal.
func reason(what, because string) string {
	if because != "" {
		return what + ": " + because
	}
	return what
}
