package list

import (
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
)

// lastBurned is a column of a list of units: the day on which each last burned, or about
// when.
const lastBurned = "last_burned"

// neverBurned are words for a unit of which nobody knows when it burned.
var neverBurned = []string{"never", "unknown", "not known", "?", "-", "none", "n/a", "na"}

const acceptsLastBurned = "a day (2023-03-28, 3/28/2023), a month (March 2023), a season (spring 2023), a year (2023), 3 years ago, or never"

// takeLastBurned makes of the days on which units last burned burns on record, and of
// years alone ages that rest on an estimate.
func (l *List) takeLastBurned(s *sheet, units []value[habitat.Unit], faults *source.List) {
	at, has := s.columns[lastBurned]
	if !has {
		return
	}
	l.Ignored = slices.DeleteFunc(l.Ignored, func(h string) bool { return h == s.header[at] })
	days, years := 0, 0
	for i := range units {
		u := &units[i]
		text, ok := s.text(u.row, lastBurned, &l.options)
		text = strings.TrimSpace(text)
		if !ok || text == "" || slices.Contains(neverBurned, strings.ToLower(text)) {
			continue
		}
		if when, ok := parseAboutWhen(text); ok {
			if u.has["estimated_age"] && u.V.EstimatedAge != nil {
				continue
			}
			if l.lastYears == nil {
				l.lastYears = map[*row]aboutWhen{}
			}
			l.lastYears[u.row] = when
			years++
			continue
		}
		c := cell{text: text, dates: s.dateForm(&l.options), serial: s.serial, comma: s.comma, at: u.row.at(s.file, lastBurned), faults: faults, accepts: acceptsLastBurned}
		on, ok := c.day()
		if !ok {
			continue
		}
		days++
		l.lastBurns = append(l.lastBurns, value[habitat.BurnRecord]{row: u.row, V: habitat.BurnRecord{Unit: u.V.ID, On: on},
			has: map[string]bool{"unit": true, "date": true}})
	}
	say := func(count int, text string) {
		if count > 0 {
			l.Notes = append(l.Notes, ground.Note{Position: source.Position{File: s.file, Line: s.headerLine, Field: s.header[at]}, Kind: ground.Assumed, Text: text})
		}
	}
	say(days, "the days on which units last burned were taken as prescribed burns of the whole unit")
	say(years, "years, seasons and months in which units last burned were taken as the burn year, an estimate: a record with its day replaces it")
}

// estimate gives a unit the age that follows from about when it last burned; it counts
// as long as no record says more.
func (m *maker) estimate(u *stagedUnit, when aboutWhen) {
	age := 0
	u.now.EstimatedAge, u.now.EstimatedIn = &age, when.burnYear(m.cur.Property.YearStart, m.settings.Today)
	u.has["estimated_age"], u.has["estimated_in"] = true, true
}

// checkYears refuses times that are yet to come, and says where a burn on record goes
// before a later time of which no day is known.
func (m *maker) checkYears(l *List) {
	this := m.cur.Property.YearStart.Of(m.settings.Today)
	for i := range l.units {
		v := &l.units[i]
		when, ok := l.lastYears[v.row]
		if !ok || m.broken[v.V.ID] {
			continue
		}
		year, at := when.burnYear(m.cur.Property.YearStart, m.settings.Today), v.row.at(l.File, lastBurned)
		if year > this || !when.isAgo && when.month == 0 && when.year > m.settings.Today.Year {
			m.bad(l, at, acceptsLastBurned, "", "burn year %d is yet to come", year)
			continue
		}
		var last date.Day
		consider := func(r *habitat.BurnRecord) {
			if r.Unit == v.V.ID && r.Kind != habitat.Attempt && !r.Kind.IsTreatment() && later(r.On, r.Through).After(last) {
				last = later(r.On, r.Through)
			}
		}
		for _, r := range m.records[v.V.ID] {
			consider(r)
		}
		for _, b := range m.burnOrder {
			consider(&b.v.V)
		}
		if !last.IsZero() && m.cur.Property.YearStart.Of(last) < year {
			m.note(
				at,
				ground.Assumed,
				"%s counts from its burn of %s, which is on record, and not from burn year %d: emberquilt record %s DATE puts the later burn on record",
				v.V.ID,
				last,
				year,
				source.ShellQuote(v.V.ID),
			)
		}
	}
}

// stageLastBurned takes the burns that stand beside units; one that a list of burns
// has too is that burn.
func (m *maker) stageLastBurned(l *List) {
	for _, v := range l.lastBurns {
		r := &v.V
		r.Through, r.Kind = r.On, habitat.Prescribed
		if slices.ContainsFunc(m.burnOrder, func(b *stagedBurn) bool { return b.v.V.Unit == r.Unit && holdsDay(&b.v.V, r.On) }) ||
			slices.ContainsFunc(m.records[r.Unit], func(o *habitat.BurnRecord) bool { return holdsDay(o, r.On) }) {
			continue
		}
		b := &stagedBurn{list: l, v: &v, rows: []*row{v.row}}
		m.burns[burnKey{r.Unit, r.On, r.Kind}] = b
		m.burnOrder = append(m.burnOrder, b)
	}
}

// holdsDay reports whether a burn that set fire to a unit burned on a day.
func holdsDay(r *habitat.BurnRecord, day date.Day) bool {
	return r.Kind != habitat.Attempt && !r.Kind.IsTreatment() && !r.On.After(day) && !day.After(later(r.On, r.Through))
}

func later(a, b date.Day) date.Day {
	if b.After(a) {
		return b
	}
	return a
}
