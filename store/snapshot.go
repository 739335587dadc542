package store

import (
	"context"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
)

// Snapshot is everything that is current, read at one moment.
type Snapshot struct {
	Property habitat.Property
	// Units are in the order in which they came; Shapes in that of their units.
	Units []habitat.Unit
	// Retired are the units whose time was over by the day that Retire named; they
	// are then no longer among Units.
	Retired []habitat.Unit
	Shapes  []UnitShape
	Pairs   []habitat.Pair
	// Locks are in order of program year, then of units.
	Locks []habitat.Lock
	// Records are those of the current units, with those that they have from the
	// units that they came from; Former are those of units that are gone. Written
	// are all of them as they were written. All are in order of their last day.
	Records, Former, Written []habitat.BurnRecord
	// Lineage says what became of units that were split, merged or renamed.
	Lineage habitat.Lineage
	// SeasonRenames are in the order in which they came.
	SeasonRenames []SeasonRename
	Tasks         []habitat.Task
	TasksDone     []habitat.TaskDone
	Contracts     []habitat.Contract
	// Places are the sensitive places, Standing the standing breaks, both in order
	// of their names.
	Places, Standing []ground.Place
	// Firings holds how the current units are burned.
	Firings habitat.Firings
	// Contacts are in the order of calling; none where the property has no list of
	// its own.
	Contacts []habitat.Contact
	// Prescriptions and Weather are in order of their names, without their Record.
	Prescriptions, Weather []Document
	// Station names the weather record that counts; empty where there is none.
	Station string
	// Plans are the heads of all plans, the oldest first.
	Plans []PlanHead
	// Standings are all that was decided of the plans, in order.
	Standings habitat.PlanStandings
	// Scenarios says by plan number what other burn days would cost.
	Scenarios map[int][]habitat.BurnDayScenario
	// Rehearsals holds the newest rehearsal of each plan that was rehearsed, by its
	// number.
	Rehearsals map[int]*habitat.Rehearsal
	// Change is the newest change; Change.Stamp is the version of the data.
	Change Change
}

// Snapshot reads everything that is current, at one moment.
func (s *Store) Snapshot(ctx context.Context) (snap *Snapshot, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		snap, err = tx.Snapshot()
		return err
	})
	return snap, err
}

// Snapshot reads everything that is current in this transaction; in an Update,
// with what it has put so far.
func (tx *Tx) Snapshot() (*Snapshot, error) {
	var s Snapshot
	for _, read := range []func() error{
		func() (err error) { s.Property, err = tx.Property(); return },
		func() (err error) { s.Units, err = units.current(tx, ""); return },
		func() (err error) { s.Shapes, err = shapes.current(tx, ""); return },
		func() (err error) { s.Pairs, err = pairs.current(tx, ""); return },
		func() (err error) { s.Locks, err = locks.current(tx, ""); return },
		func() (err error) { s.Written, err = tx.Burns(); return },
		func() (err error) { s.Lineage, err = tx.Lineage(); return },
		func() error { return tx.order(s.Lineage, s.Units) },
		func() (err error) { s.Plans, err = tx.Plans(); return },
		func() (err error) { s.Standings, err = tx.Standings(); return },
		func() (err error) { s.Change, err = tx.lastChange(); return },
		func() error { return tx.readDocuments(&s) },
	} {
		if err := read(); err != nil {
			return nil, err
		}
	}
	there := make(map[string]bool, len(s.Units))
	for i := range s.Units {
		u := &s.Units[i]
		there[u.ID] = true
		if u.Owned != (habitat.Ownership{}) {
			if s.Property.Owned == nil {
				s.Property.Owned = map[string]habitat.Ownership{}
			}
			s.Property.Owned[u.ID] = u.Owned
		}
	}
	records := s.Written
	if len(s.Lineage) > 0 {
		records = s.Lineage.Records(s.Written)
	}
	for _, r := range records {
		if there[r.Unit] {
			s.Records = append(s.Records, r)
		} else {
			s.Former = append(s.Former, r)
		}
	}
	for unit := range s.Firings.Of {
		if !there[unit] { // files of schema 1 kept it when the unit went
			delete(s.Firings.Of, unit)
		}
	}
	return &s, nil
}

// Retire takes the units out whose time is over by a day, with their pairs and
// locks, and keeps them as Retired.
func (s *Snapshot) Retire(on date.Day) {
	gone := map[string]bool{}
	s.Units = slices.DeleteFunc(s.Units, func(u habitat.Unit) bool {
		if !u.Owned.EndedBefore(on) {
			return false
		}
		gone[u.ID] = true
		s.Retired = append(s.Retired, u)
		return true
	})
	if len(gone) == 0 {
		return
	}
	s.Pairs = slices.DeleteFunc(s.Pairs, func(p habitat.Pair) bool { return gone[p.A] || gone[p.B] })
	s.Locks = slices.DeleteFunc(s.Locks, func(l habitat.Lock) bool { return gone[l.Unit] })
}

// AllUnits gives the units and those that are retired.
func (s *Snapshot) AllUnits() []habitat.Unit { return slices.Concat(s.Units, s.Retired) }

func (tx *Tx) readDocuments(s *Snapshot) error {
	all, err := headsOnly.current(tx, "")
	if err != nil {
		return err
	}
	for _, d := range all {
		switch d.Kind {
		case Prescription:
			s.Prescriptions = append(s.Prescriptions, d)
		case Weather:
			s.Weather = append(s.Weather, d)
		case place:
			var p ground.Place
			p, err = placeOf(d)
			s.Places = append(s.Places, p)
		case standing:
			var p ground.Place
			p, err = placeOf(d)
			s.Standing = append(s.Standing, p)
		case task:
			s.Tasks, err = appendJSON(s.Tasks, d)
		case taskDone:
			s.TasksDone, err = appendJSON(s.TasksDone, d)
		case contract:
			if s.Contracts, err = appendJSON(s.Contracts, d); err == nil {
				s.Contracts[len(s.Contracts)-1].NumberLines() // files of older programs have none
			}
		case firing, everyFiring:
			err = readFiring(&s.Firings, d)
		case contacts:
			err = readBody(d, &s.Contacts)
		case stationInUse:
			err = readBody(d, &s.Station)
		case scenarios:
			err = readScenarios(&s.Scenarios, d)
		case seasonRename:
			s.SeasonRenames, err = appendJSON(s.SeasonRenames, d)
		case rehearsal:
			err = readRehearsal(&s.Rehearsals, d)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func appendJSON[V any](all []V, d Document) ([]V, error) {
	var v V
	if err := readBody(d, &v); err != nil {
		return all, err
	}
	return append(all, v), nil
}
