package list

import (
	"fmt"
	"math"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// stagedUnit is a unit on its way: lists patch it one after the other.
type stagedUnit struct {
	// old is nil for a unit that the property does not have yet.
	old *habitat.Unit
	now habitat.Unit
	// list and row are where the unit was named last; nil for one that no list
	// names.
	list *List
	row  *row
	has  map[string]bool
	// shape is the ground that a list gave.
	shape *ground.Shape
}

// stageUnits patches the units with one list.
func (m *maker) stageUnits(l *List) {
	seen := make(map[string]*row, len(l.units))
	for i := range l.units {
		v := &l.units[i]
		name := v.V.ID
		if first, ok := seen[name]; ok {
			m.sameUnit(l, v, first)
			continue
		}
		seen[name] = v.row
		u := m.units[name]
		if u == nil {
			u = &stagedUnit{now: habitat.Unit{BurnDays: 1}}
			if m.settings.NewUnit != nil {
				u.now = *m.settings.NewUnit
			}
			m.units[name] = u
		}
		if u.list == nil {
			m.order = append(m.order, u)
			u.has = map[string]bool{}
		}
		u.list, u.row = l, v.row
		patch(unitColumns, &u.now, v)
		if when, ok := l.lastYears[v.row]; ok {
			m.estimate(u, when)
		}
		for name, has := range v.has {
			u.has[name] = u.has[name] || has
		}
		if f := v.row.feature; f != nil {
			u.shape = &f.Shape
		}
	}
	if absent := len(m.cur.Units) - len(seen); absent > 0 && len(m.cur.Units) > 0 && l.Kind == Units {
		gone := slices.DeleteFunc(slices.Clone(m.cur.Units), func(u habitat.Unit) bool { return seen[u.ID] != nil })
		if len(gone) > 0 {
			m.note(source.Position{File: l.File}, ground.Missing, "%s", stayText(gone))
		}
	}
}

func stayText(units []habitat.Unit) string {
	if len(units) == 1 {
		return fmt.Sprintf("unit %s of the property is not in the list; it stays as it is", source.Quote(units[0].ID))
	}
	return fmt.Sprintf("%d units of the property are not in the list; they stay as they are", len(units))
}

// sameUnit handles a second row of one unit: a part of it, or a fault.
func (m *maker) sameUnit(l *List, v *value[habitat.Unit], first *row) {
	at := v.row.at(l.File, "unit")
	if !l.options.Merge || v.row.feature != nil {
		m.bad(l, at, "each unit once", "if these are parts of one unit, --merge adds them up", "unit %s stands in the list already%s", source.Quote(v.V.ID), lineWords(first))
		return
	}
	m.units[v.V.ID].now.StatedAcres += v.V.StatedAcres
}

func lineWords(r *row) string {
	if r.line > 0 {
		return fmt.Sprintf(", on line %d", r.line)
	}
	return ""
}

// finishUnits settles areas, checks the units and plans their changes.
func (m *maker) finishUnits() {
	lacking := m.lacking()
	for _, u := range m.order {
		m.settleAcres(u)
		if u.has["estimated_age"] && !u.has["estimated_in"] {
			m.settleEstimate(u)
		}
		if u.now.EstimatedAge == nil {
			u.now.EstimatedIn = 0
		}
		bad := false
		for _, need := range []struct {
			column string
			has    bool
		}{{"acres", u.now.Acres != 0}, {"min_interval", u.now.Interval.Min != 0 || u.has["min_interval"]}, {"max_interval", u.now.Interval.Max != 0 || u.has["max_interval"]}} {
			if need.has || u.old != nil {
				continue
			}
			bad = true
			if !lacking[missingColumn{u.list, need.column}] {
				m.bad(u.list, u.row.at(u.list.File, need.column), "a value", "", "is empty, and unit %s is new", source.Quote(u.now.ID))
			}
		}
		if c := m.cur.Lineage.Last(u.now.ID); u.old == nil && c != nil {
			m.bad(u.list, u.row.at(u.list.File, "unit"), "the names of the units as they are now, or a new name", "units as they are now: emberquilt units",
				"%s was a unit's name until %s (%s); its records keep it", source.Quote(u.now.ID), c.On, c.Words())
			bad = true
		}
		if bad || m.badFields(u.list, u.row, u.now.Validate(&m.cur.Property), nil) {
			m.broken[u.now.ID] = true
			continue
		}
		m.unitChange(u)
	}
	m.noteNearNames()
}

// noteNearNames tells of new units whose names differ from others in case, blanks or
// the spelling of letters alone: they are likely the same.
func (m *maker) noteNearNames() {
	known := map[string]string{}
	near := func(name string) string { return key(source.FoldName(name)) }
	for i := range m.cur.Units {
		known[near(m.cur.Units[i].ID)] = m.cur.Units[i].ID
	}
	for _, u := range m.order {
		k := near(u.now.ID)
		other, ok := known[k]
		if ok && other != u.now.ID && u.old == nil && !m.broken[u.now.ID] {
			how := "in case, blanks or dashes alone"
			if source.SameLetters(other, u.now.ID) {
				how = "only in how Unicode spells their letters"
			}
			m.note(u.row.at(u.list.File, "unit"), ground.Repeated, "units %s and %s differ %s; are they one?", source.Quote(other), source.Quote(u.now.ID), how)
		}
		if !ok {
			known[k] = u.now.ID
		}
	}
}

type missingColumn struct {
	list   *List
	column string
}

// lacking complains once for each list about a column that no new unit of it
// has, instead of once for each unit.
func (m *maker) lacking() map[missingColumn]bool {
	type tally struct{ new, with int }
	count := map[missingColumn]*tally{}
	var order []missingColumn
	for _, u := range m.order {
		if u.old != nil {
			continue
		}
		for _, column := range []string{"acres", "min_interval", "max_interval"} {
			key := missingColumn{u.list, column}
			if count[key] == nil {
				count[key] = &tally{}
				order = append(order, key)
			}
			count[key].new++
			if u.has[column] || column == "acres" && u.shape != nil || column != "acres" && u.now.Interval.Max > 0 {
				count[key].with++
			}
		}
	}
	lacking := map[missingColumn]bool{}
	for _, key := range order {
		if t := count[key]; t.with == 0 && t.new > 0 {
			lacking[key] = true
		}
	}
	for _, key := range order {
		other := missingColumn{key.list, "min_interval"}
		switch isBoth := lacking[other] && lacking[missingColumn{key.list, "max_interval"}]; {
		case !lacking[key], isBoth && key.column == "max_interval":
		case isBoth && key == other:
			m.bad(key.list, source.Position{File: key.list.File, Line: key.list.headerLine}, "a column every, such as 2-3, or min_interval and max_interval",
				lackHint(key.list, "every", "2-3"), "%s, and the list does not say how often they burn", newUnits(count[key].new))
		default:
			m.bad(key.list, source.Position{File: key.list.File, Line: key.list.headerLine, Field: key.column}, "this column for units that are not there yet",
				lackHint(key.list, key.column, map[string]string{"acres": "40", "min_interval": "2", "max_interval": "3"}[key.column]),
				"%s, and the list does not say their %s", newUnits(count[key].new), key.column)
		}
	}
	return lacking
}

// lackHint says how a column that a list lacks can be said, and of shapes that they may
// be no units.
func lackHint(l *List, column, such string) string {
	hint := fmt.Sprintf("--set %s=%s says it of all of them", column, such)
	if i := slices.IndexFunc(l.Drawn, func(d Drawn) bool { return d.As == Units && d.Name != "" }); i >= 0 && l.options.Kind == "" {
		hint += fmt.Sprintf("; %s says that a shape is no unit", asFlag(l.Drawn[i].Name, Places))
	}
	return hint
}

func newUnits(count int) string {
	return quantity.Count(count, "unit is new", "units are new")
}

// settleAcres decides between the shape's area and the stated one.
func (m *maker) settleAcres(u *stagedUnit) {
	stored, isStored := m.cur.Shapes[u.now.ID]
	if u.shape != nil && isStored && stored.Same(*u.shape) {
		u.shape = nil // the same ground, perhaps with fewer decimals
	}
	switch {
	case u.shape != nil:
		u.now.Acres = u.shape.Acres().Kept()
	case isStored:
		// A table that this program wrote states the shape's own acres.
		if u.old != nil && u.has["acres"] && math.Abs(float64(u.now.StatedAcres-u.now.Acres)) < acresRounding {
			u.now.StatedAcres = u.old.StatedAcres
		}
	case u.has["acres"]:
		u.now.Acres, u.now.StatedAcres = u.now.StatedAcres, 0
	}
	// What a feature states about itself was said when its file was read.
	if statedApart(u.now.StatedAcres, u.now.Acres) > statedTolerance && u.has["acres"] && !u.statesItself() {
		m.note(u.row.at(u.list.File, "acres"), ground.Stated, "%s", apartText(&u.now))
	}
}

// acresRounding is above what rounding an area to three decimals takes off.
const acresRounding = 0.0006

// statesItself reports whether the stated acres came with the shape.
func (u *stagedUnit) statesItself() bool {
	if u.row.feature == nil {
		return false
	}
	_, ok := u.row.feature.StatedAcres()
	return ok
}

// settleEstimate says for which program year an estimated age is meant where
// the list does not: for the last that is over, unless it is the age that is
// there already.
func (m *maker) settleEstimate(u *stagedUnit) {
	if u.now.EstimatedAge == nil {
		return
	}
	if u.old != nil && u.old.EstimatedAge != nil && *u.old.EstimatedAge == *u.now.EstimatedAge {
		u.now.EstimatedIn = u.old.EstimatedIn
		return
	}
	u.now.EstimatedIn = m.cur.Property.YearStart.Of(m.settings.Today) - 1
}

func (m *maker) unitChange(u *stagedUnit) {
	c := Change{Kind: Units, Name: u.now.ID, At: u.row.at(u.list.File, ""), Unit: &u.now, Shape: u.shape}
	if u.old != nil {
		c.Fields = differences(unitColumns, u.old, &u.now)
		if a, b := statedText(u.old), statedText(&u.now); a != b {
			c.Fields = append(c.Fields, Field{"stated acres", a, b})
		}
		if c.Shape != nil {
			stored, isStored := m.cur.Shapes[u.now.ID]
			c.Fields = append(c.Fields, shapeField(stored, isStored, *c.Shape))
		}
	}
	m.change(c, u.old == nil)
}

func shapeField(old ground.Shape, had bool, now ground.Shape) Field {
	f := Field{Name: "shape", New: shapeText(now)}
	if had {
		f.Old = shapeText(old)
	}
	if f.Old == f.New {
		f.New += ", drawn anew"
	}
	return f
}

func statedText(u *habitat.Unit) string {
	if u.StatedAcres == 0 {
		return ""
	}
	return acresNumber(u.StatedAcres)
}

func shapeText(s ground.Shape) string {
	return fmt.Sprintf("%d corners, %s acres", s.Vertices(), acresText(s.Acres()))
}
