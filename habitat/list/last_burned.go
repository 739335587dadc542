package list

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
)

// lastBurned is a column of a list of units: the day on which each last burned, or
// its year.
const lastBurned = "last_burned"

// neverBurned are words for a unit of which nobody knows when it burned.
var neverBurned = []string{"never", "unknown", "not known", "?", "-", "none", "n/a", "na"}

// yearAlone finds "2024", "about 2024", "spring 2024", "March 2024" and "Mar-24" is
// not one of them: it may be a day.
var yearAlone = regexp.MustCompile(`(?i)^(?:about |~|ca\.? )?(?:[a-z]+\.? )?((?:19|20)\d\d)$`)

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
		if m := yearAlone.FindStringSubmatch(text); m != nil {
			if u.has["estimated_age"] && u.V.EstimatedAge != nil {
				continue
			}
			year, _ := strconv.Atoi(m[1])
			age := 0
			u.V.EstimatedAge, u.V.EstimatedIn = &age, date.ProgramYear(year)
			u.has["estimated_age"], u.has["estimated_in"] = true, true
			years++
			continue
		}
		c := cell{text: text, dates: l.options.Dates, serial: s.serial, comma: s.comma, at: u.row.at(s.file, lastBurned), faults: faults}
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
	say(years, "years in which units last burned were taken as the burn year, an estimate: a record with its day replaces it")
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
		b := &stagedBurn{list: l, v: v, rows: []*row{v.row}}
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
