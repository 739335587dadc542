package problem

import (
	"slices"
	"strings"

	"emberquilt/habitat/source"
)

// rowKinds are all kinds in their documented order.
var rowKinds = []RowKind{RowAcres, RowBurns, RowCost, RowBurnDays, RowRefuge, RowApart,
	RowMixLow, RowMixHigh, RowEvenLow, RowEvenHigh, RowNeighbors}

// rowKeys are the keys that name a row besides "row" and "year".
func rowKeys(kind RowKind) []string {
	switch kind {
	case RowBurnDays:
		return []string{"season"}
	case RowRefuge:
		return []string{"refuge"}
	case RowApart, RowNeighbors:
		return []string{"pair"}
	case RowMixLow, RowMixHigh:
		return []string{"mix", "class"}
	}
	return nil
}

// row writes the fields that name a row.
func (f *fields) row(p *Problem, r Row) {
	f.key("row")
	f.raw(`"`, string(r.Kind), `"`)
	switch r.Kind {
	case RowBurnDays:
		f.key("season")
		f.text(p.Seasons[r.Season])
	case RowRefuge:
		f.key("refuge")
		f.text(p.Refuges[r.Refuge].Name)
	case RowApart, RowNeighbors:
		f.key("pair")
		f.list(2, ", ", func(end int) { f.text(p.Units[r.Pair[end]].ID) })
	case RowMixLow, RowMixHigh:
		f.key("mix")
		f.text(p.Mixes[r.Mix].Name)
		f.key("class")
		f.text(p.Mixes[r.Mix].Classes[r.Class].Name)
	}
	if r.Year != EveryYear {
		f.key("year")
		f.integer(r.Year)
	}
}

// names finds the indices of a problem's names.
type names struct {
	p                              *Problem
	seasons, units, refuges, mixes *nameSet
}

func newNames(p *Problem) *names {
	n := &names{p: p, seasons: newNameSet(), units: newNameSet(), refuges: newNameSet(), mixes: newNameSet()}
	for i, name := range p.Seasons {
		n.seasons.index[name] = i
	}
	for i := range p.Units {
		n.units.index[p.Units[i].ID] = i
	}
	for i := range p.Refuges {
		n.refuges.index[p.Refuges[i].Name] = i
	}
	for i := range p.Mixes {
		n.mixes.index[p.Mixes[i].Name] = i
	}
	return n
}

// class finds an age class of a mix.
func (n *names) class(mix int, name string) int {
	return slices.IndexFunc(n.p.Mixes[mix].Classes, func(c Class) bool { return c.Name == name })
}

// sheet reads files that speak of a problem: answers and certificates.
type sheet struct {
	complaints
	*names
}

// row takes an object as a row and some keys more. A key that its kind does
// not need is unknown.
func (s *sheet) row(pl *place, more ...string) (Row, object, bool) {
	var r Row
	kind := RowKind("")
	for i := range pl.value.Fields {
		if f := &pl.value.Fields[i]; f.Name == "row" {
			kind = RowKind(f.Value.Text)
		}
	}
	o, ok := s.object(pl, append(append([]string{"row", "year"}, rowKeys(kind)...), more...)...)
	if !ok {
		return r, o, false
	}
	at := o.need("row", "a kind of row")
	if at == nil {
		return r, o, false
	}
	text, ok := s.text(at, "a kind of row")
	if !ok {
		return r, o, false
	}
	if !slices.Contains(rowKinds, RowKind(text)) {
		s.bad(at, kindList(), "%s is not a kind of row", source.Quote(text))
		return r, o, false
	}
	r.Kind = RowKind(text)
	good := true
	if at := o.get("year"); at != nil {
		r.Year, good = s.year(at)
	} else if !slices.Contains(more, "saves") { // a saving may speak of every year
		o.need("year", "a program year of the plan")
		good = false
	}
	for _, key := range rowKeys(r.Kind) {
		at := o.need(key, "the "+key+" of the row")
		good = at != nil && s.rowKey(&r, key, at) && good
	}
	return r, o, good
}

func kindList() string {
	words := make([]string, len(rowKinds))
	for i, kind := range rowKinds {
		words[i] = string(kind)
	}
	return strings.Join(words, ", ")
}

func (s *sheet) rowKey(r *Row, key string, at *place) (ok bool) {
	switch key {
	case "season":
		r.Season, ok = s.reference(at, "a season", s.seasons)
	case "refuge":
		r.Refuge, ok = s.reference(at, "a refuge", s.refuges)
	case "mix":
		r.Mix, ok = s.reference(at, "a mix", s.mixes)
	case "class":
		var name string
		if name, ok = s.text(at, "the name of an age class"); ok {
			if r.Class = s.class(r.Mix, name); r.Class < 0 {
				s.bad(at, "the name of an age class of the mix", "%s is unknown", source.Quote(name))
				return false
			}
		}
	case "pair":
		r.Pair, ok = s.pair(at)
	}
	return ok
}

// pair takes a list of two units, in either order.
func (s *sheet) pair(at *place) ([2]int, bool) {
	ends := s.items(at, "a list of two units")
	if len(ends) != 2 {
		s.bad(at, "a list of two units", "a list of %d", len(ends))
		return [2]int{}, false
	}
	i, first := s.reference(ends[0], "a unit", s.units)
	j, second := s.reference(ends[1], "a unit", s.units)
	return [2]int{min(i, j), max(i, j)}, first && second
}

// year takes a place as one of the program years of the problem.
func (s *sheet) year(at *place) (int, bool) {
	year, ok := s.integer(at, -MaxYear, 2*MaxYear, s.p.yearsText())
	if ok && !s.p.inPlan(year) {
		s.bad(at, s.p.yearsText(), "%d is outside the plan", year)
		return 0, false
	}
	return year, ok
}
