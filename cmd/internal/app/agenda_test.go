package app

import (
	"context"
	"slices"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/store"
)

// follower is a calendar that imports one file after another: of two events of one UID
// the one of the higher sequence counts (RFC 5546, 2.1.5).
type follower map[string]view.Event

func (f follower) take(t *testing.T, v *view.Agenda) {
	t.Helper()
	inFile := map[string]bool{}
	for _, e := range v.Events {
		if inFile[e.UID] {
			t.Errorf("one file holds %s twice (%s)", e.UID, e.Summary)
		}
		inFile[e.UID] = true
		if was, known := f[e.UID]; known && (e.Sequence < was.Sequence || e.Sequence == was.Sequence && e.Summary != was.Summary) {
			t.Errorf("%q has the sequence %d, %q of before %d", e.Summary, e.Sequence, was.Summary, was.Sequence)
		}
		f[e.UID] = e
	}
}

// shown gives the UIDs of the events of units, by what they are, and complains about one
// that stands twice.
func (f follower) shown(t *testing.T, units ...string) map[string]string {
	t.Helper()
	all := map[string]string{}
	for id, e := range f {
		if e.Canceled || !slices.Contains(units, e.Unit) {
			continue
		}
		what := e.Year.String() + " " + e.Name
		if e.Kind == view.WindowEvent {
			what = e.Year.String() + " window " + e.Name
		}
		if all[what] != "" {
			t.Errorf("%s of %q stands twice", what, units)
		}
		all[what] = id
	}
	return all
}

func publish(t *testing.T, s *Session, day string, o AgendaOptions) *view.Agenda {
	t.Helper()
	ctx := context.Background()
	later := on(day)
	s.Today, s.Moment = later.Today, later.Moment
	c, err := s.Contents(ctx, 0)
	if err != nil {
		t.Fatal(err)
	}
	v, err := c.Agenda(o)
	if err != nil {
		t.Fatal(err)
	}
	if kept, err := s.Publish(ctx, v); err != nil || !kept {
		t.Fatal(kept, err)
	}
	return v
}

// withTasks is a property with a plan and the tasks of the starter list.
func withTasks(t *testing.T) *Session {
	t.Helper()
	s := planned(t, "tamsel-bend")
	if _, err := s.AddStarterTasks(context.Background()); err != nil {
		t.Fatal(err)
	}
	return s
}

// overUnit gives a unit of whose tasks some are over and some are not.
func overUnit(t *testing.T, s *Session, v *view.Agenda) string {
	t.Helper()
	over, ahead := map[string]bool{}, map[string]bool{}
	for _, e := range v.Events {
		if e.Kind == view.PreparationEvent && e.Last.Before(s.Today) {
			over[e.Unit] = true
		} else if e.Kind == view.PreparationEvent {
			ahead[e.Unit] = true
		}
	}
	for _, e := range v.Events {
		if over[e.Unit] && ahead[e.Unit] {
			return e.Unit
		}
	}
	t.Fatal("no unit has tasks that are over and others that are not: the check says nothing")
	return ""
}

// A unit that is renamed is the same: a calendar knows its events again, those that are
// over among them.
func TestCalendarsFollowARename(t *testing.T) {
	ctx := context.Background()
	s := withTasks(t)
	calendar := follower{}
	first := publish(t, s, "2027-02-20", AgendaOptions{})
	calendar.take(t, first)
	unit := overUnit(t, s, first)
	names := []string{unit}
	before := calendar.shown(t, unit)
	// Back to its own name, too, and by a file of the unit alone.
	for i, name := range []string{unit + " new", unit + " newer", unit} {
		if _, err := s.Rename(ctx, unit, name, "signs"); err != nil {
			t.Fatal(err)
		}
		unit, names = name, append(names, name)
		var o AgendaOptions
		if i == 1 {
			o.Units = []string{name}
		}
		v := publish(t, s, []string{"2027-02-20", "2027-02-21", "2027-02-21"}[i], o)
		for _, e := range v.Events {
			if e.Unit == unit && (e.Sequence != i+1 || e.Canceled || !strings.Contains(e.Summary, unit)) {
				t.Errorf("renamed %d times: %q has the sequence %d", i+1, e.Summary, e.Sequence)
			}
		}
		calendar.take(t, v)
		after := calendar.shown(t, names...)
		for what, id := range before {
			if after[what] != id {
				t.Errorf("%s: %s was %s", what, after[what], id)
			}
		}
		if len(after) != len(before) {
			t.Errorf("%d events of %s were %d", len(after), unit, len(before))
		}
	}
}

// Files of programs that took a new name for a new unit, and of a copy that did not know
// of it: what was told under both names stands once.
func TestCalendarsThatToldTwoNames(t *testing.T) {
	ctx := context.Background()
	s := withTasks(t)
	first := publish(t, s, "2027-02-20", AgendaOptions{})
	unit := overUnit(t, s, first)
	if _, err := s.Rename(ctx, unit, "its new name", ""); err != nil {
		t.Fatal(err)
	}
	said, err := s.Store.Published(ctx)
	if err != nil {
		t.Fatal(err)
	}
	err = s.Store.Publish(ctx, func(tx *store.Tx) error {
		for _, e := range said {
			if e.Unit != unit {
				continue
			}
			again := e
			again.Unit = "its new name"
			if !e.Last.Before(s.Today) { // those that are over were left as they stood
				e.Canceled, e.Sequence = true, e.Sequence+1
			}
			for _, one := range []habitat.PublishedEvent{e, again} {
				if err := tx.PutPublished(one); err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	calendar := follower{}
	calendar.take(t, first)
	was := calendar.shown(t, unit)
	second := publish(t, s, "2027-02-21", AgendaOptions{})
	calendar.take(t, second)
	if is := calendar.shown(t, unit, "its new name"); len(is) != len(was) {
		t.Errorf("%d events were %d", len(is), len(was))
	}
	third := publish(t, s, "2027-02-22", AgendaOptions{})
	for i := range third.Events {
		if a, b := &second.Events[i], &third.Events[i]; a.UID != b.UID || a.Sequence != b.Sequence {
			t.Errorf("%q changed again", b.Summary)
		}
	}
}

// Of units that became others nothing is left beside what those have: neither of the
// whole of a unit that was split nor of the parts of one that was merged.
func TestCalendarsFollowASplitAndAMerge(t *testing.T) {
	ctx := context.Background()
	s := withTasks(t)
	calendar := follower{}
	first := publish(t, s, "2027-02-20", AgendaOptions{})
	calendar.take(t, first)
	whole := overUnit(t, s, first)
	replan := func(o AgendaOptions) {
		t.Helper()
		if _, err := s.MakePlan(ctx, PlanOptions{Solver: quick, Note: "next"}); err != nil {
			t.Fatal(err)
		}
		calendar.take(t, publish(t, s, "2027-02-21", o))
	}
	acres := s.unitsByName()[whole].Acres
	half := quantity.Acres(int(acres) / 2)
	if _, err := s.Split(ctx, SplitOptions{Unit: whole, Parts: []UnitPiece{{Name: "east", Acres: half}, {Name: "west", Acres: acres - half}}}); err != nil {
		t.Fatal(err)
	}
	replan(AgendaOptions{})
	twice := func(gone []string, there ...string) {
		t.Helper()
		is := map[string]string{}
		for _, unit := range there {
			for what := range calendar.shown(t, unit) {
				is[what] = unit
			}
		}
		if len(is) == 0 {
			t.Fatalf("%q have no events: the check says nothing", there)
		}
		for _, unit := range gone {
			for what := range calendar.shown(t, unit) {
				if is[what] != "" {
					t.Errorf("%s stands of %s, which is no unit anymore, and of %s", what, unit, is[what])
				}
			}
		}
		for _, e := range calendar {
			if slices.Contains(gone, e.Unit) && !e.Canceled && !e.Last.Before(s.Today) {
				t.Errorf("%s is neither over nor canceled", e.Summary)
			}
		}
	}
	twice([]string{whole}, "east", "west")
	if _, err := s.Merge(ctx, MergeOptions{Units: []string{"east", "west"}, Into: "both"}); err != nil {
		t.Fatal(err)
	}
	replan(AgendaOptions{Units: []string{"both"}}) // a file of it alone says so as well
	twice([]string{whole, "east", "west"}, "both")
}
