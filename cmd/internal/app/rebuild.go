package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/store"
)

// rebuild is one change of units on its way: within one transaction everything
// that names the units before comes to name those after.
type rebuild struct {
	tx    *store.Tx
	now   *store.Snapshot
	today date.Day
	units []newUnit
	// renamed is the unit whose own name a rename may take again.
	renamed string
	done    string
	notes   []string
}

// newUnit is a unit after the change, with its shape and firing.
type newUnit struct {
	unit   habitat.Unit
	shape  *store.UnitShape
	firing habitat.Firing
}

func (b *rebuild) say(note string) { b.notes = append(b.notes, note) }

// changeUnits runs one change of units, all of it or nothing.
func (s *Session) changeUnits(ctx context.Context, why, because string, do func(*rebuild) error) (*view.UnitsChanged, error) {
	b := &rebuild{today: s.Today}
	err := s.update(ctx, reason(why, because), func(tx *store.Tx) (err error) {
		b.tx = tx
		if b.now, err = tx.Snapshot(); err != nil {
			return err
		}
		return do(b)
	})
	if err != nil {
		return nil, err
	}
	if len(s.Plans) > 0 {
		b.say(view.PlansKnowUnitsBefore)
	}
	return &view.UnitsChanged{Done: b.done, Notes: b.notes}, nil
}

// checkName refuses a name that is none, or that is or was a unit's.
func (b *rebuild) checkName(name, where string) error {
	fault := func(found, accepts string) error {
		return &source.Error{Position: source.Position{File: where}, Found: found, Accepts: accepts}
	}
	var field *habitat.FieldError
	if err := habitat.ValidateUnitName(where, name); errors.As(err, &field) {
		return fault(field.Found, field.Accepts)
	}
	for i := range b.now.Units {
		if id := b.now.Units[i].ID; source.FoldName(id) == source.FoldName(name) && id != b.renamed {
			return fault(source.Quote(id)+" is a unit already", "a name that no unit bears")
		}
	}
	if c := b.now.Lineage.Last(name); c != nil {
		if now := b.now.Lineage.Now(name, 0); b.renamed != "" && c.Kind == habitat.Renamed && slices.Equal(now, []string{b.renamed}) {
			return nil // its own name of before
		}
		return fault(fmt.Sprintf("%s was a unit's name until %s (%s), and its records keep it", source.Quote(name), c.On, c.Words()), "a name that no unit bore")
	}
	for i := range b.now.Former {
		if b.now.Former[i].Unit == name {
			return fault(fmt.Sprintf("%s is the name of a former unit: burn %d is on record for it", source.Quote(name), b.now.Former[i].ID), "a name that no unit bore")
		}
	}
	return nil
}

// carry puts the units after the change in place of those before.
func (b *rebuild) carry(c habitat.UnitChange) error {
	became := map[string][]string{}
	for _, p := range c.From {
		for _, q := range c.To {
			became[p.Unit] = append(became[p.Unit], q.Unit)
		}
	}
	next := func(unit string) []string {
		if names, ok := became[unit]; ok {
			return names
		}
		return []string{unit}
	}
	if err := b.tx.PutUnitChange(c); err != nil {
		return err
	}
	for _, one := range b.units {
		if err := b.tx.PutUnit(one.unit); err != nil {
			return err
		}
		if one.shape != nil {
			if err := b.tx.PutShape(*one.shape); err != nil {
				return err
			}
		}
		if err := b.tx.PutFiring(one.unit.ID, one.firing); err != nil {
			return err
		}
	}
	for _, step := range []func() error{
		func() error { return b.pairs(next) },
		func() error { return b.locks(&c, next) },
		func() error { return b.tasksDone(&c, next) },
		func() error { return b.contracts(&c) },
		func() error {
			return b.mentions(next, slices.Collect(maps.Keys(became))...)
		},
	} {
		if err := step(); err != nil {
			return err
		}
	}
	for _, p := range c.From {
		if err := b.tx.RemoveUnit(p.Unit); err != nil {
			return err
		}
	}
	b.done = c.Words()
	return nil
}

// pairs lets what a unit became border, or be kept apart from, what the unit did.
// Parts of one unit are no pair of themselves.
func (b *rebuild) pairs(next func(string) []string) error {
	all := map[[2]string]habitat.Pair{}
	count := 0
	for _, p := range b.now.Pairs {
		as, bs := next(p.A), next(p.B)
		if len(as) == 1 && len(bs) == 1 && as[0] == p.A && bs[0] == p.B {
			continue
		}
		for _, x := range as {
			for _, y := range bs {
				if x == y {
					continue
				}
				one := habitat.NewPair(x, y, p.Kind)
				if len(as)*len(bs) == 1 { // of a split unit it is not known which part has how much of it
					one.SharedFeet = p.SharedFeet
				}
				key := [2]string{one.A, one.B}
				if other, ok := all[key]; ok {
					one.SharedFeet += other.SharedFeet
					if other.Kind == habitat.Apart {
						one.Kind = habitat.Apart
					}
				}
				all[key] = one
			}
		}
	}
	for _, key := range slices.SortedFunc(maps.Keys(all), func(a, b [2]string) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) }) {
		if err := b.tx.PutPair(all[key]); err != nil {
			return err
		}
		count++
	}
	if count > 0 && len(b.units) > 1 {
		b.say(view.PartsHavePairs)
	}
	return nil
}

// locks lets a lock hold what its unit became. Units that are merged must not be
// locked to burn and to rest in one year.
func (b *rebuild) locks(c *habitat.UnitChange, next func(string) []string) error {
	now := b.now.Property.YearStart.Of(b.today)
	put := map[string]habitat.Lock{}
	for _, l := range b.now.Locks {
		for _, name := range next(l.Unit) {
			if name == l.Unit {
				continue
			}
			one := l
			one.Unit = name
			key := fmt.Sprint(name, "\n", l.Year)
			other, ok := put[key]
			if ok && other != one && l.Year >= now {
				return unitFault(fmt.Sprintf("the units are locked to different things in %d", l.Year), "units whose locks agree")
			}
			put[key] = one
		}
	}
	for _, key := range slices.Sorted(maps.Keys(put)) {
		l := put[key]
		if err := b.tx.PutLock(l); err != nil {
			return err
		}
		if c.Kind != habitat.Renamed && l.Year >= now {
			b.say(view.LockWords(l))
		}
	}
	return nil
}

// tasksDone lets what was done for a unit be done for its parts, and what was done
// for every unit of a merge for the one that they became.
func (b *rebuild) tasksDone(c *habitat.UnitChange, next func(string) []string) error {
	type key struct {
		task string
		year date.ProgramYear
		unit string
	}
	count := map[key]int{}
	for _, d := range b.now.TasksDone {
		for _, name := range next(d.Unit) {
			if name == d.Unit {
				continue
			}
			k := key{d.Task, d.Year, name}
			count[k]++
			if c.Kind == habitat.Merged && count[k] < len(c.From) {
				continue
			}
			d.Unit = name
			if err := b.tx.PutTaskDone(d); err != nil {
				return err
			}
		}
	}
	return nil
}

// contracts lets contract lines and completions follow: shared out by acres to the
// parts of a split unit, added up for a merged one. What became of each line stays with
// its contract as a modification.
func (b *rebuild) contracts(c *habitat.UnitChange) error {
	for _, contract := range b.now.Contracts {
		items, completions := contract.Items, contract.Completions
		contract.Items, contract.Completions = nil, nil
		contract.Modifications = slices.Clone(contract.Modifications)
		touched, newest := false, 0
		for _, item := range items {
			newest = max(newest, item.ID)
		}
		for _, item := range items {
			if !c.Uses(item.Unit) {
				contract.Items = append(contract.Items, item)
				continue
			}
			touched = true
			measure := habitat.InAcres
			if p := contract.Practice(item.Practice); p != nil {
				measure = p.Measure
			}
			note := func(line int, is string) {
				contract.Modifications = append(
					contract.Modifications,
					habitat.Modification{On: b.today, Kind: habitat.ModificationKind(c.Kind), Line: line, Was: item.Words(measure), Is: is, Reason: c.Words()},
				)
			}
			for i, planned := range shareOut(item.Planned, c.To, 0.01) {
				one := item
				one.Unit, one.Planned = c.To[i].Unit, decimal(planned)
				if i > 0 { // a line of its own, which gets the next number
					newest++
					one.ID, one.Was = newest, nil
				} else if one.Was == nil {
					one.Was = &habitat.LinePlace{Unit: item.Unit, FiscalYear: item.FiscalYear, Planned: item.Planned}
				}
				at := slices.IndexFunc(contract.Items, func(o habitat.ContractItem) bool {
					return o.Unit == one.Unit && o.Practice == one.Practice && o.FiscalYear == one.FiscalYear && o.Until == one.Until && o.Status == one.Status
				})
				switch {
				case at >= 0:
					into := &contract.Items[at]
					into.Planned = decimal(into.Planned + one.Planned)
					note(item.ID, fmt.Sprintf("part of line %d: %s", into.ID, into.Words(measure)))
				case one.Planned > 0:
					contract.Items = append(contract.Items, one)
					note(one.ID, one.Words(measure))
				}
			}
		}
		for _, done := range completions {
			if !c.Uses(done.Unit) {
				contract.Completions = append(contract.Completions, done)
				continue
			}
			touched = true
			for i, applied := range shareOut(done.Applied, c.To, 0.01) {
				one := done
				one.Unit, one.Applied = c.To[i].Unit, decimal(applied)
				contract.Completions = append(contract.Completions, one)
			}
		}
		if !touched {
			continue
		}
		if err := b.tx.PutContract(contract); err != nil {
			return err
		}
		if c.Kind != habitat.Renamed {
			b.say(view.LinesFollow(contract.Name))
		}
	}
	return nil
}

// decimal takes off what adding and sharing out leaves behind the sixth decimal.
func decimal(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// mentions rewrites the lists of units in closures and tasks. A list of which
// nothing is left would mean every unit: its closure or task goes.
func (b *rebuild) mentions(next func(string) []string, units ...string) error {
	replaced := func(names []string) (all []string, touched bool) {
		for _, name := range names {
			if !slices.Contains(units, name) {
				all = append(all, name)
				continue
			}
			touched = true
			for _, n := range next(name) {
				if !slices.Contains(all, n) {
					all = append(all, n)
				}
			}
		}
		return all, touched
	}
	p := b.now.Property
	p.Closures = nil
	var changed bool
	p.GrazedUnits, changed = replaced(p.GrazedUnits)
	for _, c := range b.now.Property.Closures {
		names, touched := replaced(c.Units)
		changed = changed || touched
		if touched && len(names) == 0 {
			b.say(view.NamedNothingElse("closure", c.Name))
			continue
		}
		c.Units = names
		p.Closures = append(p.Closures, c)
	}
	if changed {
		if err := b.tx.SetProperty(p); err != nil {
			return err
		}
	}
	for _, t := range b.now.Tasks {
		names, touched := replaced(t.Units)
		if !touched {
			continue
		}
		if len(names) == 0 {
			b.say(view.NamedNothingElse("task", t.Name))
			if err := b.tx.RemoveTask(t.Name); err != nil {
				return err
			}
			continue
		}
		t.Units = names
		if err := b.tx.PutTask(t); err != nil {
			return err
		}
	}
	return nil
}
