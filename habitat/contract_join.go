package habitat

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
)

// ChoosePart decides a part of a contract that two sides changed to two things, with the
// words for both; true takes theirs.
type ChoosePart func(part, ours, theirs string) bool

// JoinContracts brings together what two sides made of one contract since base, the zero
// Contract where they had none in common: line by line, practice by practice, file by
// file. What one side changed holds; choose is asked of what both changed to two things.
// Two lines that were added under one number are two lines, one of which gets another
// number. Of a line that choose decided, the modifications of the chosen side alone stay.
// The result is the same from whichever side it is made, where choose decides the same.
func JoinContracts(base, ours, theirs *Contract, choose ChoosePart) *Contract {
	ours, theirs = numberedApart(base, ours, theirs)
	return joinParts(base, ours, theirs, choose)
}

// joinParts is JoinContracts with lines that bear their last numbers.
func joinParts(base, ours, theirs *Contract, choose ChoosePart) *Contract {
	out := *ours
	out.Number = joinedValue("number", base.Number, ours.Number, theirs.Number, choose)
	out.Client = joinedValue("client", base.Client, ours.Client, theirs.Client, choose)
	out.FiscalStart = joinedValue("first month of its fiscal years", base.FiscalStart, ours.FiscalStart, theirs.FiscalStart, choose)
	out.Early = joinedValue("early work", base.Early, ours.Early, theirs.Early, choose)
	out.Notes = joinedValue("notes", base.Notes, ours.Notes, theirs.Notes, choose)
	out.Hold = joinedValue("hold in the plan", base.Hold, ours.Hold, theirs.Hold, choose)
	out.Practices = joinedList("practice", base.Practices, ours.Practices, theirs.Practices, func(p *Practice) string { return p.Code },
		func(_ *Contract, p *Practice) string {
			return fmt.Sprintf("%s, in %s, standard of %q", p.Name, p.Measure, p.Standard)
		}, ours, theirs, choose, nil)
	decided := map[string]bool{}
	out.Items = joinedList("line", base.Items, ours.Items, theirs.Items, func(i *ContractItem) string { return strconv.Itoa(i.ID) },
		func(c *Contract, i *ContractItem) string { return i.allWords(c) }, ours, theirs, choose, decided)
	slices.SortStableFunc(out.Items, func(a, b ContractItem) int { return cmp.Compare(a.ID, b.ID) })
	out.Completions = joinedList("work", base.Completions, ours.Completions, theirs.Completions, func(d *Completion) string { return fmt.Sprintf("%s on %s of %s", d.Practice, d.OnPlace(), d.On) },
		func(c *Contract, d *Completion) string { return d.allWords(c) }, ours, theirs, choose, nil)
	out.Files = joinedList("file", base.Files, ours.Files, theirs.Files, func(f *Attachment) string { return f.Path },
		func(_ *Contract, f *Attachment) string { return "checksum " + f.SHA256[:min(8, len(f.SHA256))] }, ours, theirs, choose, nil)
	out.Modifications = joinedModifications(base, ours, theirs, decided)
	return &out
}

// HasUnitsChanged reports that lines of the contract follow units that were split, merged
// or renamed since base: such lines belong together.
func (c *Contract) HasUnitsChanged(base *Contract) bool {
	kinds := []ModificationKind{Amend, Move, Extend, CancelLine, CloseLine}
	return slices.ContainsFunc(c.Modifications, func(m Modification) bool {
		return !slices.Contains(kinds, m.Kind) && !slices.Contains(base.Modifications, m)
	})
}

// DiffContracts tells each part that differs in two contracts, in words.
func DiffContracts(ours, theirs *Contract, tell func(part, ours, theirs string)) {
	ask := func(part, here, there string) bool {
		tell(part, here, there)
		return false
	}
	// Without a common ground, what both have is asked; what one has alone is told below.
	joinParts(&Contract{}, ours, theirs, ask)
	alone := func(c, other *Contract, tell func(part, words string)) {
		for i := range c.Items {
			if line := &c.Items[i]; other.Line(line.ID) == nil {
				tell(fmt.Sprintf("line %d", line.ID), line.allWords(c))
			}
		}
	}
	alone(ours, theirs, func(part, words string) { tell(part, words, "none") })
	alone(theirs, ours, func(part, words string) { tell(part, "none", words) })
}

// joinedValue gives one value of three.
func joinedValue[T comparable](part string, base, ours, theirs T, choose ChoosePart) T {
	switch {
	case ours == theirs || theirs == base:
		return ours
	case ours == base:
		return theirs
	}
	if choose(part, fmt.Sprint(ours), fmt.Sprint(theirs)) {
		return theirs
	}
	return ours
}

// joinedList gives the elements of three lists, each known by its key: those of base in
// their order, then those that were added in order of their keys. decided, where it is
// there, takes the keys that choose was asked of, with its answer.
func joinedList[T any](
	kind string,
	base, ours, theirs []T,
	key func(*T) string,
	words func(*Contract, *T) string,
	here, there *Contract,
	choose ChoosePart,
	decided map[string]bool,
) (all []T) {
	byKey := func(list []T) map[string]*T {
		m := map[string]*T{}
		for i := range list {
			m[key(&list[i])] = &list[i]
		}
		return m
	}
	b, o, t := byKey(base), byKey(ours), byKey(theirs)
	said := func(c *Contract, v *T) string {
		if v == nil {
			return "none"
		}
		return words(c, v)
	}
	take := func(k string) {
		was, mine, other := b[k], o[k], t[k]
		one := mine
		switch {
		case reflect.DeepEqual(mine, other) || reflect.DeepEqual(other, was):
		case reflect.DeepEqual(mine, was):
			one = other
		default:
			takesTheirs := choose(kind+" "+k, said(here, mine), said(there, other))
			if takesTheirs {
				one = other
			}
			if decided != nil {
				decided[k] = takesTheirs
			}
		}
		if one != nil {
			all = append(all, *one)
		}
	}
	for i := range base {
		take(key(&base[i]))
	}
	added := map[string]bool{}
	for _, m := range []map[string]*T{o, t} {
		for k := range m {
			if b[k] == nil {
				added[k] = true
			}
		}
	}
	for _, k := range slices.Sorted(maps.Keys(added)) {
		take(k)
	}
	return all
}

// joinedModifications gives those of base, then those that were added, each side's in
// its own order. Of lines that were decided, those of the other side are left out.
func joinedModifications(base, ours, theirs *Contract, decided map[string]bool) []Modification {
	type added struct {
		Modification
		at   int
		text string
	}
	var all []added
	for isTheirs, c := range map[bool]*Contract{false: ours, true: theirs} {
		at := 0
		for _, m := range c.Modifications {
			takesTheirs, isDecided := decided[strconv.Itoa(m.Line)]
			if slices.Contains(base.Modifications, m) || isDecided && takesTheirs != isTheirs {
				continue
			}
			all = append(all, added{m, at, textOf(m)})
			at++
		}
	}
	slices.SortFunc(all, func(a, b added) int {
		return cmp.Or(cmp.Compare(a.at, b.at), a.On.Compare(b.On), cmp.Compare(a.Line, b.Line), cmp.Compare(a.text, b.text))
	})
	out := slices.Clone(base.Modifications)
	for _, a := range all {
		if !slices.Contains(out[len(base.Modifications):], a.Modification) {
			out = append(out, a.Modification)
		}
	}
	return out
}

// numberedApart gives both sides with other numbers for lines that they added under one
// number and that plan other things: the line whose text comes second gets a new one.
func numberedApart(base, ours, theirs *Contract) (*Contract, *Contract) {
	next := 0
	for _, c := range []*Contract{base, ours, theirs} {
		for _, i := range c.Items {
			next = max(next, i.ID)
		}
	}
	var moved [2]map[int]int
	for i := range ours.Items {
		mine := &ours.Items[i]
		other := theirs.Line(mine.ID)
		if base.Line(mine.ID) != nil || other == nil || mine.Unit == other.Unit && mine.Practice == other.Practice && mine.FiscalYear == other.FiscalYear {
			continue
		}
		side := 0
		if textOf(mine) < textOf(other) {
			side = 1
		}
		if moved[side] == nil {
			moved[side] = map[int]int{}
		}
		next++
		moved[side][mine.ID] = next
	}
	return ours.renumbered(moved[0]), theirs.renumbered(moved[1])
}

// renumbered gives the contract with other numbers of lines.
func (c *Contract) renumbered(to map[int]int) *Contract {
	if len(to) == 0 {
		return c
	}
	out := *c
	out.Items, out.Modifications = slices.Clone(c.Items), slices.Clone(c.Modifications)
	for i := range out.Items {
		out.Items[i].ID = cmp.Or(to[out.Items[i].ID], out.Items[i].ID)
	}
	for i := range out.Modifications {
		out.Modifications[i].Line = cmp.Or(to[out.Modifications[i].Line], out.Modifications[i].Line)
	}
	return &out
}

// allWords says what the line plans, with its number and how plans hold to it.
func (i *ContractItem) allWords(c *Contract) string {
	measure := InAcres
	if p := c.Practice(i.Practice); p != nil {
		measure = p.Measure
	}
	text := fmt.Sprintf("%s: %s", i.Practice, i.Words(measure))
	if i.Item != "" {
		text += ", item " + i.Item
	}
	if i.Hold != AsContract {
		text += ", in the plan: " + string(i.Hold)
	}
	return text
}

func textOf(v any) string {
	text, err := json.Marshal(v)
	if err != nil {
		panic("habitat: " + err.Error())
	}
	return string(text)
}

// allWords says how much was done, and what was noted of it.
func (d *Completion) allWords(c *Contract) string {
	text := fmt.Sprint(d.Applied)
	if p := c.Practice(d.Practice); p != nil {
		text += " " + string(p.Measure)
	}
	if d.Notes != "" {
		text += ", " + d.Notes
	}
	return text
}
