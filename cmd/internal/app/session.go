package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/schedule/rotation"
	"emberquilt/store"
)

// Environment is what comes in from outside: the date, the clock, the program's
// version, and whom to tell how far long work has come.
type Environment struct {
	// Today is the date that counts as today.
	Today date.Day
	// Moment is the time that a change bears.
	Moment time.Time
	// Version is that of the program, stamped on papers and plans.
	Version string
	// By is who makes changes, as they said; empty where nobody did.
	By string
	// PropertyID is that of a property that Create makes, where it is to be the same
	// each time; empty makes one that no other property has.
	PropertyID string
	// Progress, where it is not nil, is told how far long work has come. A solve
	// calls it from a goroutine of its own, one call at a time.
	Progress func(Progress)
	// shelf holds what the properties of one run share; nil where each stands alone.
	shelf *shelf
}

// Progress is how far long work has come.
type Progress struct {
	// Doing says what is being done; it is empty when the work is over.
	Doing string
	// Done of so many Things are done, where Of is above 0; At is the one under way, and
	// may be empty. KeepsDone says that what is done is kept where the work is ended.
	Done, Of   int
	Things, At string
	KeepsDone  bool
	// Solve is how far a solve has come; nil in other work.
	Solve *rotation.Progress
}

// begin says that long work begins; the caller calls what it gives when the work
// is over.
func (e *Environment) begin(doing string) (end func()) {
	e.tell(Progress{Doing: doing})
	return func() { e.tell(Progress{}) }
}

func (e *Environment) tell(p Progress) {
	if e.Progress != nil {
		e.Progress(p)
	}
}

// Stamp says from which program and on which day a paper is made, from the data
// of a change.
func (e *Environment) stamp(data string) view.Stamp {
	return view.Stamp{On: e.Today, Data: data, Program: "emberquilt " + e.Version}
}

// Extension ends the names of property files.
const Extension = ".emberquilt"

// Access says what a property file is opened for.
type Access int

// A file that is opened ToRead may lie where nothing can be written; one of an
// older schema is brought up to date where it can be.
//
// Either way the seals are checked first: a file that was altered past this program is
// refused with an *UnsealedError before anything says, or builds on, what it holds. What
// must work on such a file asks it in another way: Verify, Backup, MendSettings.
const (
	ToRead Access = iota
	ToChange
)

// acceptsOwn is what to say where values do not fit together that one command writes.
const acceptsOwn = "a property file as emberquilt wrote it; use the last backup"

// UnsealedError says that a property file is not as this program wrote it.
type UnsealedError struct {
	Path   string
	Faults []string
}

// Error names the first places that fail.
func (e *UnsealedError) Error() string {
	const most = 5
	shown := e.Faults[:min(len(e.Faults), most)]
	more := ""
	if len(e.Faults) > most {
		more = fmt.Sprintf("; and %d more", len(e.Faults)-most)
	}
	return fmt.Sprintf("%s: is not as emberquilt wrote it: %s%s; accepts a file whose seals hold, such as a backup", e.Path, strings.Join(shown, "; "), more)
}

// Session is an open property with all that it holds at one moment.
type Session struct {
	*store.Snapshot
	Environment
	// Store is the open file.
	Store *store.Store
	// ID tells the property from every other, also from one of its name.
	ID string
	// asOf says as of which moment the property is read; empty where it is as it is.
	asOf string
	// now is today where Today is another day, of which is asked.
	now date.Day
	// byUnit holds the snapshot's records by their units; nil in a session that was made
	// of another, with records of its own.
	byUnit map[string][]habitat.BurnRecord
	// outlook is that of the data at the change outlookAt.
	outlook   *Outlook
	outlookAt store.Stamp
}

// Open opens a property file whose seals hold and reads what it holds. The caller closes
// it.
func Open(ctx context.Context, path string, access Access, from Environment) (*Session, error) {
	s, err := openStore(ctx, path, access)
	if err != nil {
		return nil, err
	}
	if err := CheckSeals(ctx, s); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	session, err := NewSession(ctx, s, from)
	if err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", path, err), s.Close())
	}
	return session, nil
}

// CheckSeals refuses a file that was altered past this program with an *UnsealedError.
// Open has done so; whoever keeps a file open asks again before each paper, and where the
// file is not as it was when it was checked.
func CheckSeals(ctx context.Context, s *store.Store) error {
	faults, err := s.Unsealed(ctx)
	if err == nil && len(faults) > 0 {
		err = &UnsealedError{s.Path(), faults}
	}
	return err
}

func openStore(ctx context.Context, path string, access Access) (*store.Store, error) {
	if access == ToChange {
		return store.Open(ctx, path)
	}
	s, err := store.OpenToRead(ctx, path)
	if errors.Is(err, store.ErrOlderSchema) {
		return store.Open(ctx, path)
	}
	return s, err
}

// NewSession reads what an open file holds.
func NewSession(ctx context.Context, s *store.Store, from Environment) (*Session, error) {
	session := &Session{Environment: from, Store: s}
	return session, session.refresh(ctx)
}

// at gives the session on another day, with what is known today.
func (s *Session) at(on date.Day) *Session {
	other, snapshot := *s, *s.Snapshot
	snapshot.Units, snapshot.Retired = s.AllUnits(), nil
	snapshot.Pairs, snapshot.Locks = slices.Clone(s.Pairs), slices.Clone(s.Locks)
	snapshot.Retire(on)
	other.Snapshot, other.outlook = &snapshot, nil // what was read for today may hold today's reasons
	other.now, other.Today = s.known(), on
	return &other
}

// known is the day up to which records are known.
func (s *Session) known() date.Day {
	if !s.now.IsZero() && s.now.Before(s.Today) {
		return s.now
	}
	return s.Today
}

// Close closes the file.
func (s *Session) Close() error { return s.Store.Close() }

// refresh reads again what the file holds, after a change.
func (s *Session) refresh(ctx context.Context) (err error) {
	if s.ID == "" {
		if s.ID, err = s.Store.ID(ctx); err != nil {
			return err
		}
	}
	if s.Snapshot, err = s.Store.Snapshot(ctx); err == nil {
		s.Retire(s.Today)
		s.byUnit = make(map[string][]habitat.BurnRecord, len(s.Units))
		for i := range s.Records {
			unit := s.Records[i].Unit
			s.byUnit[unit] = append(s.byUnit[unit], s.Records[i])
		}
	}
	return err
}

// recordsOf gives the records of a unit, in their order.
func (s *Session) recordsOf(unit string) []habitat.BurnRecord {
	if s.byUnit == nil { // a session that was made of another
		return s.Records
	}
	return s.byUnit[unit]
}

// update changes the file in one transaction, and reads again what it holds.
func (s *Session) update(ctx context.Context, reason string, do func(*store.Tx) error) error {
	if err := s.Store.Update(ctx, s.Moment, s.By, reason, do); err != nil {
		return err
	}
	return s.refresh(ctx)
}

// Stamp says from what and when a paper of the property is made.
func (s *Session) Stamp() view.Stamp {
	stamp := s.stamp(string(s.Change.Stamp()))
	stamp.ID, stamp.AsOf = s.ID, s.asOf
	return stamp
}
