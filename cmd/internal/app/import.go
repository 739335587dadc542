package app

import (
	"context"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/list"
	"emberquilt/store"
)

// ImportOptions say what is taken in, and how.
type ImportOptions struct {
	// Lists were read from files in any order; What names them for the journal.
	Lists []*list.List
	What  string
	// Doubles says what becomes of burns that may be one already on record.
	Doubles list.Doubles
	// Contracts says what becomes of a contract's number, client or first month where a
	// list says another.
	Contracts list.Differing
	// NewUnit gives what new units have where their list does not say it; often nil.
	NewUnit *habitat.Unit
	// DryRun changes nothing.
	DryRun  bool
	Because string
	// Last says that the session ends with this import: of what came, only the units are
	// brought into it. Reading 50,000 burns again takes a fifth of the time of the import.
	Last bool
}

// Import holds lists against the property and, unless it is a dry run, carries the
// change out: all of it, or, where something is wrong, nothing.
func (s *Session) Import(ctx context.Context, o ImportOptions) (plan *list.Plan, err error) {
	settings := list.PlanSettings{Doubles: o.Doubles, Contracts: o.Contracts, Today: s.Today, NewUnit: o.NewUnit}
	if o.DryRun {
		return list.MakePlan(s.Current(), o.Lists, settings)
	}
	err = s.Store.Update(ctx, s.Moment, s.By, reason("import "+o.What, o.Because), func(tx *store.Tx) error {
		snapshot, err := tx.Snapshot()
		if err != nil {
			return err
		}
		if plan, err = list.MakePlan(snapshot.Current(), o.Lists, settings); err != nil {
			return err
		}
		return tx.Apply(plan)
	})
	switch {
	case err != nil:
		return plan, err
	case o.Last:
		s.noteUnits(plan)
		return plan, nil
	}
	return plan, s.refresh(ctx)
}

// noteUnits brings the units that an import added or changed into the session.
func (s *Session) noteUnits(plan *list.Plan) {
	at := make(map[string]int, len(s.Units))
	for i := range s.Units {
		at[s.Units[i].ID] = i
	}
	s.Units = slices.Grow(s.Units, plan.Count(list.Units, list.Added))
	for i := range plan.Changes {
		c := &plan.Changes[i]
		if c.Unit == nil || c.Action != list.Added && c.Action != list.Changed {
			continue
		}
		if k, ok := at[c.Unit.ID]; ok {
			s.Units[k] = *c.Unit
		} else {
			s.Units = append(s.Units, *c.Unit)
		}
	}
}

// MissingPrescriptions names the prescriptions that units name and that are not
// loaded: the windows of those units follow from dates only.
func (s *Session) MissingPrescriptions() []string {
	loaded := map[string]bool{}
	for _, doc := range s.Prescriptions {
		loaded[doc.Name] = true
	}
	var missing []string
	for i := range s.Units {
		u := &s.Units[i]
		if loaded[u.Prescription] {
			continue
		}
		for _, name := range u.Prescriptions() {
			if !loaded[name] && !slices.Contains(missing, name) {
				missing = append(missing, name)
			}
		}
	}
	return missing
}
