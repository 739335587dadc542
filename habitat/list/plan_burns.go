package list

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
)

// burnKey tells burns apart: one fire of a kind on a unit begins once a day.
type burnKey struct {
	unit string
	on   date.Day
	kind habitat.RecordKind
}

// stagedBurn is a burn on its way; parts of it may be in several rows.
type stagedBurn struct {
	list *List
	v    *value[habitat.BurnRecord]
	// rows are the rows of the parts.
	rows []*row
}

// repeats reports whether a row says, also in columns that are not read, what
// one of the burn's rows says.
func (b *stagedBurn) repeats(l *List, r *row) bool {
	return b.list == l && slices.ContainsFunc(b.rows, func(o *row) bool { return slices.Equal(o.values, r.values) })
}

// stageBurns takes the burns of one list.
func (m *maker) stageBurns(l *List) {
	staged := make([]stagedBurn, len(l.burns)) // together: one by one they take longer
	rows := make([]*row, len(l.burns))
	for i := range l.burns {
		v := &l.burns[i] // of the maker's own list, see named
		r := &v.V
		if r.Through.IsZero() {
			r.Through = r.On
		}
		if r.Kind == "" {
			r.Kind = habitat.Prescribed
		}
		key := burnKey{r.Unit, r.On, r.Kind}
		first, again := m.burns[key]
		switch {
		case !again:
			b := &staged[i]
			rows[i] = v.row
			*b = stagedBurn{list: l, v: v, rows: rows[i : i+1 : i+1]}
			m.burns[key] = b
			m.burnOrder = append(m.burnOrder, b)
		case l.options.Merge && first.repeats(l, v.row):
			m.note(v.row.at(l.File, ""), ground.Repeated, "the row repeats another word for word; it counts once")
		case l.options.Merge:
			first.add(r, v.has)
			first.rows = append(first.rows, v.row)
		default:
			m.bad(l, v.row.at(l.File, "date"), "each burn once", "if these are parts of one burn, --merge adds their acres up",
				"a %s burn of %s on %s stands in the list already%s", r.Kind, source.Quote(r.Unit), r.On, lineWords(first.v.row))
		}
	}
}

// add takes another row as a part of the burn.
func (b *stagedBurn) add(r *habitat.BurnRecord, has map[string]bool) {
	into := &b.v.V
	// A part without acres covered the unit, and so did the whole.
	into.HasAcres = into.HasAcres && r.HasAcres
	into.Acres += r.Acres
	if !into.HasAcres {
		into.Acres = 0
	}
	if r.Through.After(into.Through) {
		into.Through = r.Through
	}
	into.Readings = append(into.Readings, r.Readings...)
	if r.Notes != "" && !strings.Contains(into.Notes, r.Notes) {
		into.Notes = strings.TrimPrefix(into.Notes+"; "+r.Notes, "; ")
	}
	for name, is := range has {
		b.v.has[name] = b.v.has[name] || is
	}
}

// finishBurns checks the burns and plans their changes.
func (m *maker) finishBurns() {
	staged := map[string][]*habitat.BurnRecord{}
	m.plan.Changes = slices.Grow(m.plan.Changes, len(m.burnOrder))
	finished := make([]habitat.BurnRecord, len(m.burnOrder))
	for i, b := range m.burnOrder {
		r, l := &b.v.V, b.list
		u := m.unit(l, b.v.row, "unit", r.Unit)
		if u == nil {
			continue
		}
		now, old := &finished[i], m.recorded(r)
		*now = *r
		if old != nil {
			*now = *old
			patch(burnColumns, now, b.v)
			if !b.v.has["through"] && now.Through.Before(now.On) {
				now.Through = now.On
			}
		}
		if now.HasAcres && now.Acres > u.Acres && (l.options.CapAcres || len(b.rows) > 1) {
			// Parts are measured one by one; together they cannot be more.
			m.note(b.v.row.at(l.File, "acres"), ground.Mended, "%s acres are more than unit %s has; taken as all %s of it",
				acresNumber(now.Acres), source.Quote(u.ID), acresNumber(u.Acres))
			now.Acres = u.Acres
		}
		if m.badFields(l, b.v.row, now.Validate(u, m.settings.Today), burnHints) {
			continue
		}
		c := Change{Kind: Burns, Name: r.Unit + " on " + r.On.String(), At: b.v.row.at(l.File, ""), Burn: now}
		if old == nil {
			if double := overlapping(now, m.records[r.Unit], staged[r.Unit]); double != nil && m.settings.Doubles != Add {
				m.double(c, b, double)
				continue
			}
			staged[r.Unit] = append(staged[r.Unit], now)
		} else {
			c.Fields = differences(burnColumns, old, now)
		}
		m.change(c, old == nil)
	}
}

var burnHints = map[string]string{"acres": "where the unit was larger once, --cap-acres takes it as the whole unit"}

// recorded finds the burn on record that a row speaks of.
func (m *maker) recorded(r *habitat.BurnRecord) *habitat.BurnRecord {
	for _, old := range m.records[r.Unit] {
		if old.On == r.On && old.Kind == r.Kind {
			return old
		}
	}
	return nil
}

// overlapping finds another burn of the unit whose days overlap. Failed attempts
// are not doubles: the burn may have followed on the same day.
func overlapping(r *habitat.BurnRecord, sets ...[]*habitat.BurnRecord) *habitat.BurnRecord {
	if r.Kind == habitat.Attempt {
		return nil
	}
	for _, set := range sets {
		for _, o := range set {
			if o.Kind != habitat.Attempt && o.Kind.IsTreatment() == r.Kind.IsTreatment() && (!o.Kind.IsTreatment() || o.Kind == r.Kind) && !o.On.After(r.Through) &&
				!r.On.After(o.Through) {
				return o
			}
		}
	}
	return nil
}

func (m *maker) double(c Change, b *stagedBurn, other *habitat.BurnRecord) {
	why := fmt.Sprintf("a %s burn of %s from %s to %s may be the same fire", other.Kind, source.Quote(other.Unit), other.On, other.Through)
	if other.On == other.Through {
		why = fmt.Sprintf("a %s burn of %s on %s may be the same fire", other.Kind, source.Quote(other.Unit), other.On)
	}
	if m.settings.Doubles == Skip {
		c.Action, c.Why = Skipped, why
		m.plan.Changes = append(m.plan.Changes, c)
		return
	}
	m.bad(b.list, b.v.row.at(b.list.File, "date"), "burns of one unit that do not overlap", "say --doubles skip or --doubles add to settle it", "%s", why)
}
