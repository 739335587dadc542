package store

import (
	"fmt"
	"slices"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/list"
)

// Current gives what an import plan is held against. The values are shared with
// the snapshot.
func (s *Snapshot) Current() *list.Current {
	shapes := make(map[string]ground.Shape, len(s.Shapes))
	for _, u := range s.Shapes {
		shapes[u.Unit] = u.Shape
	}
	return &list.Current{Property: s.Property, Units: s.AllUnits(), Shapes: shapes, Pairs: s.Pairs, Locks: s.Locks,
		// Records of units that are gone count too: the units may come again.
		Records: slices.Concat(s.Records, s.Former), Contracts: s.Contracts, Places: s.Places, Standing: s.Standing, Lineage: s.Lineage}
}

// Apply carries out the plan of an import. The plan was made from a snapshot of
// this transaction, or of one after which nothing has changed.
func (tx *Tx) Apply(plan *list.Plan) error {
	const many = 100 // from so many units or burns on, what each looks up is read once
	added := plan.Count(list.Burns, list.Added)
	defer func() { tx.taken, tx.fresh = nil, nil }()
	if plan.Count(list.Units, list.Added) >= many {
		if err := tx.nameMany(plan); err != nil {
			return err
		}
	}
	for i := range plan.Changes {
		c := &plan.Changes[i]
		if c.Burn != nil && c.Action == list.Added && added >= many && tx.taken == nil {
			if err := tx.addMany(); err != nil {
				return err
			}
			added = 0 // after a correction, one by one
		}
		if c.Action != list.Added && c.Action != list.Changed {
			continue
		}
		if err := tx.apply(c); err != nil {
			return fmt.Errorf("%s: %w", c.Name, err)
		}
	}
	return nil
}

func (tx *Tx) apply(c *list.Change) error {
	switch {
	case c.Unit != nil:
		if err := tx.PutUnit(*c.Unit); err != nil || c.Shape == nil {
			return err
		}
		return tx.PutShape(UnitShape{Unit: c.Unit.ID, Shape: *c.Shape, File: c.At.File})
	case c.Pair != nil:
		return tx.PutPair(*c.Pair)
	case c.Burn != nil && c.Action == list.Changed:
		return tx.CorrectBurn(*c.Burn)
	case c.Burn != nil:
		_, err := tx.AddBurn(*c.Burn)
		return err
	case c.Lock != nil:
		return tx.PutLock(*c.Lock)
	case c.Contract != nil:
		return tx.PutContract(*c.Contract)
	case c.Place != nil:
		return tx.PutPlace(*c.Place)
	case c.Standing != nil:
		return tx.PutStanding(*c.Standing)
	}
	panic("store: an import plan holds a change of nothing")
}
