package habitat

import (
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// UnitChangeKind says what became of units.
type UnitChangeKind string

// The kinds of changes of units.
const (
	// Split units became several.
	Split UnitChangeKind = "split"
	// Merged units became one.
	Merged UnitChangeKind = "merge"
	// Renamed is one unit under another name.
	Renamed UnitChangeKind = "rename"
)

// UnitChange says that units became others. Their records keep the names that
// the units bore; Lineage.Records gives them to what the units became.
//
// The JSON keys are those of property files: they do not change.
type UnitChange struct {
	Kind UnitChangeKind `json:"kind"`
	// Change is the number of the change of the property file that did it.
	Change int      `json:"change"`
	On     date.Day `json:"on"`
	// From and To are the units before and after, with their acres then.
	From []UnitPart `json:"from"`
	To   []UnitPart `json:"to"`
}

// isAmong reports whether a unit is one of the parts.
func isAmong(parts []UnitPart, unit string) bool {
	return slices.ContainsFunc(parts, func(p UnitPart) bool { return p.Unit == unit })
}

// Uses reports whether a unit is one of those that became others.
func (c *UnitChange) Uses(unit string) bool { return isAmong(c.From, unit) }

// Makes reports whether a unit is one of those that they became.
func (c *UnitChange) Makes(unit string) bool { return isAmong(c.To, unit) }

// UnitPart is a unit by its name and its acres.
type UnitPart struct {
	Unit  string         `json:"unit"`
	Acres quantity.Acres `json:"acres"`
}

// Lineage holds the changes of units in the order in which they came.
type Lineage []UnitChange

// Origin is what a record says of the unit that it was written for, where that
// unit has become another.
type Origin struct {
	// Unit and Acres are as they were written, and HasAcres of the record then.
	Unit     string
	Acres    quantity.Acres
	HasAcres bool
	// Ground is the part of the unit that the record speaks of, the larger first:
	// a unit that was merged, then one that was merged into that one. It is empty
	// where the record speaks of the whole unit.
	Ground []UnitPart
	// IsShare says that the record's acres are not those that were written: the
	// unit was split or merged since.
	IsShare bool
}

func (c *UnitChange) from(unit string) (UnitPart, bool) {
	at := slices.IndexFunc(c.From, func(p UnitPart) bool { return p.Unit == unit })
	if at < 0 {
		return UnitPart{}, false
	}
	return c.From[at], true
}

// Records gives every record to the unit, or the units, that its own has become:
// to the parts of a split unit by their acres, to a merged unit as burns of a part
// of it. The acres of all of them stay the same. The records handed in are not
// changed; the result is in the order of SortRecords.
func (l Lineage) Records(written []BurnRecord) []BurnRecord {
	all := slices.Clone(written)
	for i := range l {
		c := &l[i]
		next := all[:0:0]
		for _, r := range all {
			part, ok := c.from(r.Unit)
			if !ok {
				next = append(next, r)
				continue
			}
			next = append(next, c.follow(r, part)...)
		}
		all = next
	}
	SortRecords(all)
	return all
}

// Words gives "North was split into North A and North B", with "and" before the
// last of several.
func (c *UnitChange) Words() string {
	names := func(all []UnitPart) string {
		words := make([]string, len(all))
		for i, p := range all {
			words[i] = p.Unit
		}
		return quantity.List(words)
	}
	switch c.Kind {
	case Split:
		return names(c.From) + " was split into " + names(c.To)
	case Merged:
		return names(c.From) + " were merged into " + names(c.To)
	}
	return names(c.From) + " was renamed " + names(c.To)
}

// follow gives a record of one of the units before to those after.
func (c *UnitChange) follow(r BurnRecord, part UnitPart) []BurnRecord {
	origin := Origin{Unit: r.Unit, Acres: r.Acres, HasAcres: r.HasAcres}
	if r.Of != nil {
		origin = *r.Of
		origin.Ground = slices.Clone(r.Of.Ground)
	}
	whole := quantity.Acres(0)
	for _, p := range c.To {
		whole += p.Acres
	}
	if c.Kind == Merged {
		origin.Ground = append([]UnitPart{part}, origin.Ground...)
		if !r.HasAcres {
			r.Acres, r.HasAcres = part.Acres, true
			if r.UnitAcres > 0 { // as they were on the day
				r.Acres = r.UnitAcres
			}
		}
	}
	origin.IsShare = origin.IsShare || c.Kind != Renamed
	var all []BurnRecord
	left := r.Acres
	for i, p := range c.To {
		one, of := r, origin
		one.Unit = p.Unit
		if c.Kind == Split {
			share := float64(p.Acres / whole)
			one.UnitAcres = quantity.Acres(float64(r.UnitAcres) * share)
			if one.HasAcres {
				one.Acres = quantity.Acres(float64(r.Acres) * share)
				if i == len(c.To)-1 { // so that they add up to the bit
					one.Acres = left
				}
				left -= one.Acres
			}
			of.Ground = slices.Clone(origin.Ground)
			for g := range of.Ground {
				of.Ground[g].Acres = quantity.Acres(float64(of.Ground[g].Acres) * share)
			}
		}
		one.Of = &of
		all = append(all, one)
	}
	return all
}

// Now gives what a unit of a moment has become: after says which changes came
// since, as the number of the last change of the file that the moment knows. A
// unit that nothing happened to is itself.
func (l Lineage) Now(unit string, after int) []string {
	names := []string{unit}
	for i := range l {
		c := &l[i]
		if c.Change <= after {
			continue
		}
		var next []string
		for _, name := range names {
			if _, ok := c.from(name); !ok {
				next = append(next, name)
				continue
			}
			for _, p := range c.To {
				next = append(next, p.Unit)
			}
		}
		names = next
	}
	return names
}

// Names gives the names that a unit of now has borne, its own first and the oldest
// last. They end where it was made: by an import, a split or a merge.
func (l Lineage) Names(unit string) []string {
	names := []string{unit}
	for i := len(l) - 1; i >= 0; i-- {
		c := &l[i]
		if !c.Makes(unit) {
			continue
		}
		if c.Kind != Renamed {
			break
		}
		unit = c.From[0].Unit
		names = append(names, unit)
	}
	return names
}

// RenamedTo gives the name that a unit bears now, where renaming is all that
// came since.
func (l Lineage) RenamedTo(unit string, after int) string {
	for i := range l {
		if c := &l[i]; c.Change > after && c.Kind == Renamed && c.From[0].Unit == unit {
			unit = c.To[0].Unit
		}
	}
	return unit
}

// Last finds the last change that took a name away; nil where none did. The
// unit itself may bear the name again.
func (l Lineage) Last(unit string) *UnitChange {
	for i := len(l) - 1; i >= 0; i-- {
		if _, ok := l[i].from(unit); ok {
			return &l[i]
		}
	}
	return nil
}

// Planned gives the burns that were planned at a moment to what their units have
// become since: to each part of a split unit, and to a merged unit where every
// part of it was planned in that year.
func (l Lineage) Planned(burns []PlannedBurn, after int) []PlannedBurn {
	all := burns
	for i := range l {
		c := &l[i]
		if c.Change <= after {
			continue
		}
		next := make([]PlannedBurn, 0, len(all))
		merged := map[PlannedBurn]int{} // by year: how many parts burn
		for _, b := range all {
			if _, ok := c.from(b.Unit); !ok {
				next = append(next, b)
				continue
			}
			if c.Kind == Merged {
				one := PlannedBurn{Unit: c.To[0].Unit, Year: b.Year}
				if merged[one]++; merged[one] == len(c.From) {
					next = append(next, PlannedBurn{c.To[0].Unit, b.Year, b.Season})
				}
				continue
			}
			for _, p := range c.To {
				next = append(next, PlannedBurn{p.Unit, b.Year, b.Season})
			}
		}
		all = next
	}
	return all
}
