package app

import (
	"context"
	"errors"

	"emberquilt/store"
)

// Verified is what was found of a property file.
type Verified struct {
	Path  string
	Stamp store.Stamp
	// Faults is empty where the file is intact.
	Faults []string
}

// Verify checks the database of a property file, its references, the seal of every
// change and that its values make sense together. It asks the file itself: one that
// is not intact may not open as a Session.
func Verify(ctx context.Context, path string) (v *Verified, err error) {
	err = reading(ctx, path, func(s *store.Store) error {
		v = &Verified{Path: s.Path(), Faults: []string{}}
		faults, err := s.Verify(ctx)
		if err != nil {
			return err
		}
		v.Faults = append(v.Faults, faults...)
		v.Stamp, err = s.Stamp(ctx)
		return err
	})
	return v, err
}

// Backup writes a copy of a property file as it is at one moment. A file of the
// copy's name that exists is left alone.
func Backup(ctx context.Context, path, copied string) error {
	return reading(ctx, path, func(s *store.Store) error { return s.Backup(ctx, copied) })
}

func reading(ctx context.Context, path string, do func(*store.Store) error) error {
	s, err := openStore(ctx, path, ToRead)
	if err != nil {
		return err
	}
	return errors.Join(do(s), s.Close())
}
