package app

import (
	"context"
	"errors"
	"fmt"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/settings"
	"emberquilt/habitat/source"
	"emberquilt/store"
)

// Create makes a property file with the starter list of preparation tasks. The
// caller closes it.
func Create(ctx context.Context, path string, p habitat.Property, from Environment) (*Session, error) {
	s, err := store.Create(ctx, path, p, from.Moment)
	if err != nil {
		return nil, err
	}
	err = s.Update(ctx, from.Moment, "begin with the starter list of tasks", func(tx *store.Tx) error {
		for _, task := range preparation.Starter() {
			if err := tx.PutTask(task); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	session, err := NewSession(ctx, s, from)
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return session, nil
}

// ExampleSettings is what a new user begins with: every default, two seasons.
func ExampleSettings() habitat.Property {
	p := habitat.NewProperty("Oak Hill")
	span := func(fromMonth time.Month, from int, toMonth time.Month, to int) date.AnnualSpan {
		return date.AnnualSpan{First: date.Annual{Month: fromMonth, Dom: from}, Last: date.Annual{Month: toMonth, Dom: to}}
	}
	p.Seasons = []habitat.Season{
		{Name: "dormant", Span: span(time.November, 15, time.March, 15)},
		{Name: "early-growing", Span: span(time.March, 16, time.May, 10)},
	}
	return p
}

// ChangeSettings changes the settings, unless it is a dry run, and says what is
// different. Settings with which a stored unit or lock makes no sense are refused.
func (s *Session) ChangeSettings(ctx context.Context, p habitat.Property, because string, dryRun bool) ([]settings.Difference, error) {
	if dryRun {
		return settings.Diff(&s.Property, &p), stillGood(s.Snapshot, &p)
	}
	var changes []settings.Difference
	err := s.update(ctx, reason("change the settings", because), func(tx *store.Tx) error {
		snapshot, err := tx.Snapshot()
		if err != nil {
			return err
		}
		changes = settings.Diff(&snapshot.Property, &p)
		if err := stillGood(snapshot, &p); err != nil {
			return err
		}
		return tx.SetProperty(p)
	})
	return changes, err
}

// stillGood refuses settings with which a stored unit or lock makes no sense.
func stillGood(snapshot *store.Snapshot, p *habitat.Property) error {
	var list source.List
	check := func(what string, err error) {
		for _, one := range unjoin(err) {
			var fault *habitat.FieldError
			if errors.As(one, &fault) {
				list.Addf(source.Position{File: what, Field: fault.Field}, fault.Accepts, "with these settings, %s", fault.Found)
			} else if one != nil {
				list.Addf(source.Position{File: what}, "", "with these settings, %v", one)
			}
		}
	}
	for i := range snapshot.Units {
		u := &snapshot.Units[i]
		check("unit "+u.ID, u.Validate(p))
	}
	for i := range snapshot.Locks {
		l := &snapshot.Locks[i]
		check(fmt.Sprintf("lock of %s in %d", l.Unit, l.Year), l.Validate(p))
	}
	return list.Err()
}

// unjoin gives the errors that errors.Join put together.
func unjoin(err error) []error {
	var joined interface{ Unwrap() []error }
	if !errors.As(err, &joined) {
		return []error{err}
	}
	var all []error
	for _, one := range joined.Unwrap() {
		all = append(all, unjoin(one)...)
	}
	return all
}
