package app

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"emberquilt/report/view"
	"emberquilt/store"
)

// Verified is what was found of a property file.
type Verified struct {
	Path string
	// Property is the property's name; empty where the file is too broken to tell.
	Property string
	Stamp    store.Stamp
	// Faults is empty where the file is intact.
	Faults []string
	// Files says of every file of the records and contracts whether it is where and
	// what it was; none where the property file itself is not intact.
	Files []view.FileState
	// Seals say whether what was kept of the seals holds; empty where nothing was.
	Seals []view.SealCheck
}

// IsIntact reports whether neither the property file nor a file that belongs to it
// is other than it was, and all that was kept of its seals holds. A file that was moved
// is as it was.
func (v *Verified) IsIntact() bool {
	return len(v.Faults) == 0 && len(view.FilesLost(v.Files)) == 0 && !slices.ContainsFunc(v.Seals, func(c view.SealCheck) bool { return !c.Holds })
}

// Words say what was found, a line each.
func (v *Verified) Words() []string {
	var all []string
	if len(v.Faults) == 0 {
		all = append(all, fmt.Sprintf("the property file is intact; %s", view.ChangeWords(string(v.Stamp))))
	}
	for _, fault := range v.Faults {
		all = append(all, "not intact: "+fault)
	}
	all = append(all, view.FileWarnings(v.Files)...)
	for _, c := range v.Seals {
		if c.Holds {
			all = append(all, c.Words)
		} else {
			all = append(all, "does not hold: "+c.Words)
		}
	}
	return all
}

// Verify checks the database of a property file, its references, the seal of every
// change, that its values make sense together, the files that belong to it, and what
// was kept elsewhere of its seals. It asks the file itself: one that is not intact may
// not open as a Session.
func Verify(ctx context.Context, path string, kept KeptSeals) (v *Verified, err error) {
	err = reading(ctx, path, func(s *store.Store) error {
		v = &Verified{Path: s.Path(), Faults: []string{}}
		faults, err := s.Verify(ctx)
		if err != nil {
			return err
		}
		v.Faults = append(v.Faults, faults...)
		if isOwn, err := s.HasOwnTables(ctx); err != nil || !isOwn {
			return err // neither its seals nor its values can be read
		}
		session, unread := NewSession(ctx, s, Environment{})
		if unread == nil {
			v.Property = session.Property.Name
			if len(v.Faults) == 0 {
				v.Faults = append(v.Faults, session.misfits(ctx)...)
			}
		}
		if v.Seals, err = kept.check(ctx, s, len(v.Faults) == 0); err != nil {
			return err
		}
		if v.Stamp, err = s.Stamp(ctx); err != nil {
			return err
		}
		if unread != nil || len(v.Faults) > 0 {
			if len(v.Faults) > 0 && ctx.Err() == nil {
				return nil // what is wrong is known
			}
			return errors.Join(unread, ctx.Err())
		}
		v.Files = session.RecordFiles()
		for i := range session.Contracts {
			v.Files = append(v.Files, session.ContractFiles(&session.Contracts[i])...)
		}
		return nil
	})
	return v, err
}

// misfits says what of the stored plans, prescriptions and weather records cannot be
// read, or is not of the one that it is kept as: values that the store keeps as it gets
// them.
func (s *Session) misfits(ctx context.Context) (all []string) {
	if _, err := s.LoadedPrescriptions(); err != nil {
		all = append(all, err.Error())
	}
	for i := range s.Weather {
		if _, err := s.WeatherRecord(ctx, s.Weather[i].Name); err != nil {
			all = append(all, err.Error())
		}
	}
	for i := range s.Plans {
		if _, err := s.Plan(ctx, s.Plans[i].Number); err != nil {
			all = append(all, err.Error())
		}
	}
	return all
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
