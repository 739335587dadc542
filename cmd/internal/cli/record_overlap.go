package cli

import (
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/source"
	"emberquilt/store"
)

// overlapping finds another fire of the unit on record whose days overlap: it
// may be the same one. Attempts are not doubles: the burn may have followed.
func overlapping(snapshot *store.Snapshot, r *habitat.BurnRecord) *habitat.BurnRecord {
	if r.Kind == habitat.Attempt {
		return nil
	}
	for i := range snapshot.Records {
		o := &snapshot.Records[i]
		if o.Unit == r.Unit && o.ID != r.ID && o.Kind != habitat.Attempt && !o.On.After(r.Through) && !r.On.After(o.Through) {
			return o
		}
	}
	return nil
}

// overlapWords says which fire a record may repeat.
func overlapWords(o *habitat.BurnRecord) string {
	days := "on " + o.On.String()
	if o.Through != o.On {
		days = fmt.Sprintf("from %s to %s", o.On, o.Through)
	}
	return fmt.Sprintf("burn %d, a %s burn of %s %s, may be the same fire", o.ID, o.Kind, quote(o.Unit), days)
}

// refuseOverlap refuses a record that may be of a fire that is on record.
func refuseOverlap(snapshot *store.Snapshot, r *habitat.BurnRecord) error {
	o := overlapping(snapshot, r)
	if o == nil || o.On == r.On && o.Kind == r.Kind {
		return nil // of the very same one the property file itself says so
	}
	return &source.Error{Position: source.Position{File: "DATE"}, Found: overlapWords(o), Accepts: "a fire whose days do not overlap with one on record",
		Hint: fmt.Sprintf("emberquilt record correct %d changes the one on record; --another says that this is a fire of its own", o.ID)}
}

// laterReset gives the last burn on record after a day that set the unit's stand
// age back, in words; empty where there is none.
func laterReset(snapshot *store.Snapshot, unit *habitat.Unit, r *habitat.BurnRecord) string {
	last := r.Through
	for i := range snapshot.Records {
		if o := &snapshot.Records[i]; o.Unit == unit.ID && o.Through.After(last) {
			last = o.Through
		}
	}
	p := &snapshot.Property
	reset, ok := p.LastReset(unit, snapshot.Records, p.YearOf(last), last)
	if !ok || reset.Year <= p.YearOf(r.Through) {
		return ""
	}
	return fmt.Sprintf("; the unit burned later, in %d, and its stand age is counted from that", reset.Year)
}
