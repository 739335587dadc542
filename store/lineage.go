package store

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"emberquilt/habitat"
)

// unitChange documents say what became of units, by the number of the change.
const unitChange DocumentKind = "unit change"

// seasonRename documents say which seasons bear other names now, by the number of
// the change.
const seasonRename DocumentKind = "season rename"

// SeasonRename says that a season bears another name.
type SeasonRename struct {
	// Change is the number of the change of the property file that did it.
	Change int    `json:"change"`
	From   string `json:"from"`
	To     string `json:"to"`
}

// SeasonNow gives the name that a season of a moment bears now: after is the number
// of the last change that the moment knows.
func (s *Snapshot) SeasonNow(name string, after int) string {
	for _, r := range s.SeasonRenames {
		if r.Change > after && r.From == name {
			name = r.To
		}
	}
	return name
}

// PutSeasonRename notes that a season bears another name. What names it is
// rewritten by the caller.
func (tx *Tx) PutSeasonRename(from, to string) error {
	return tx.putJSON(seasonRename, fmt.Sprintf("%09d %s", tx.change, from), SeasonRename{tx.change, from, to})
}

// ErrNameTaken means that a name was that of another unit, whose records it keeps.
var ErrNameTaken = errors.New("name taken")

// PutUnitChange says that units became others. It writes neither the units that
// are there nor takes those away that are not: the caller does. Its Change is
// that of this transaction, of which it is the only one.
func (tx *Tx) PutUnitChange(c habitat.UnitChange) error {
	if len(c.From) == 0 || len(c.To) == 0 {
		panic("store: a change of units needs units before and after")
	}
	c.Change, tx.lineage = tx.change, nil
	return tx.putJSON(unitChange, fmt.Sprintf("%09d", tx.change), c)
}

// Lineage gives all changes of units, the oldest first.
func (tx *Tx) Lineage() (habitat.Lineage, error) {
	if tx.lineage != nil {
		return *tx.lineage, nil
	}
	kept, err := headsOnly.current(tx, "v.kind = ?", string(unitChange))
	if err != nil {
		return nil, err
	}
	var all habitat.Lineage
	for _, d := range kept {
		if all, err = appendJSON(all, d); err != nil {
			return nil, err
		}
	}
	tx.lineage = &all
	return all, nil
}

// refuseFormerName refuses a new unit whose name was that of a unit that became
// another: its records would be taken for those of the new one.
func (tx *Tx) refuseFormerName(name string) error {
	all, err := tx.Lineage()
	if err != nil {
		return err
	}
	if c := all.Last(name); c != nil && (c.Change != tx.change || c.Kind != habitat.Renamed) {
		now := all.Now(name, 0)
		if slices.Equal(now, []string{name}) {
			return nil // it is the same ground again
		}
		return fmt.Errorf("unit %q: %w: so was a unit called until %s, and its records keep the name", name, ErrNameTaken, c.On)
	}
	return nil
}

// order puts units where those stood that they came from.
func (tx *Tx) order(l habitat.Lineage, all []habitat.Unit) error {
	if len(l) == 0 {
		return nil
	}
	rank := map[string]float64{}
	err := tx.each("SELECT name FROM unit ORDER BY id", nil, func(scan scanner) error {
		var name string
		err := scan(&name)
		rank[name] = float64(len(rank))
		return err
	})
	if err != nil {
		return err
	}
	for i := range l {
		c := &l[i]
		first := rank[c.From[0].Unit]
		for _, p := range c.From {
			first = min(first, rank[p.Unit])
		}
		for _, p := range c.To {
			rank[p.Unit] = first // those of one change stay in the order in which they came
		}
	}
	slices.SortStableFunc(all, func(a, b habitat.Unit) int { return cmp.Compare(rank[a.ID], rank[b.ID]) })
	return nil
}
