package store

import (
	"encoding/json"
	"fmt"

	"emberquilt/habitat"
)

// rehearsal keeps what the newest rehearsal of a plan found, by the plan's number.
const rehearsal DocumentKind = "rehearsal"

// PutRehearsal keeps a rehearsal with its plan, in place of one before.
func (tx *Tx) PutRehearsal(r *habitat.Rehearsal) error {
	if err := r.Validate(); err != nil {
		return fmt.Errorf("rehearsal of plan %d: %w", r.Plan, err)
	}
	return tx.putJSON(rehearsal, fmt.Sprint(r.Plan), r)
}

// readRehearsal puts a kept rehearsal among those by plan number.
func readRehearsal(all *map[int]*habitat.Rehearsal, d Document) error {
	var r habitat.Rehearsal
	if err := json.Unmarshal(d.Body, &r); err != nil {
		return fmt.Errorf("%s %q: %w", d.Kind, d.Name, err)
	}
	if err := r.Validate(); err != nil {
		return fmt.Errorf("%s %q: %w", d.Kind, d.Name, err)
	}
	if *all == nil {
		*all = map[int]*habitat.Rehearsal{}
	}
	(*all)[r.Plan] = &r
	return nil
}
