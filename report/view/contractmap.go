package view

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
)

// ContractMap is the map of a contract's units: where work remains, where it is done,
// and what of the property is not in the contract.
type ContractMap struct {
	// Units are those of the contract, in the order of the property's.
	Units []ContractUnit `json:"units"`
	Map   *Map           `json:"-"`
	// Notes say what is not drawn.
	Notes []string `json:"notes"`
}

// ContractUnit is how a unit stands in a contract.
type ContractUnit struct {
	Unit string `json:"unit"`
	// State is "remains", "done", "closed" or "canceled".
	State string `json:"state"`
	// Says is what the map shows, such as "10.3 acres remain"; where work of more
	// practices remains, it names them, and the map says how many there are.
	Says  string `json:"says"`
	Lines []int  `json:"lines"`
	// short is what stands on the map.
	short string
}

// Patterns of the contract's map, as indexes of Map.Marks and one more.
const (
	remainsMark = iota + 1
	doneMark
	closedMark
)

// contractMarks are its patterns in the order of the constants.
func contractMarks() []MapMark {
	return []MapMark{
		{Hatched, "in the contract, work remains"},
		{Filled, "in the contract, done"},
		{Ruled, "in the contract, closed"},
	}
}

// newContractMap draws the units of the contract; nil where no unit has a shape.
func (v *Packet) newContractMap(in *PacketInput) *ContractMap {
	c := &ContractMap{Units: []ContractUnit{}, Notes: []string{}}
	year := MapYear{Title: v.Stamp.On.String()}
	c.Map = &Map{
		Caption:     "Where work of the contract remains",
		Description: "Which units are in the contract, and what of its work remains there. The schedule says the same, line by line.",
		Marks:       contractMarks(),
	}
	count := map[string]int{}
	var without []string
	for i := range in.Units {
		id := in.Units[i].ID
		unit, mark := v.contractUnit(id)
		if unit.State != "" {
			c.Units = append(c.Units, unit)
			count[unit.State]++
		}
		shape, ok := in.Shapes[id]
		switch {
		case ok && !shape.IsEmpty():
			c.Map.Units = append(c.Map.Units, MapUnit{id, shape})
			year.States = append(year.States, MapState{Season: -1, Class: -1, Mark: mark, Detail: unit.short})
		case unit.State != "":
			without = append(without, id)
		}
	}
	if len(c.Map.Units) == 0 {
		return nil
	}
	words := []string{"no work remains"}
	wide, open := v.wideLines()
	switch n := count["remains"]; {
	case n > 0:
		words[0] = "work remains on " + quantity.Count(n, "unit")
	case len(c.Units) == 0 && len(wide) > 0:
		words[0] = "no unit has a line of its own"
	case len(wide) > 0:
		words[0] = "no work remains of lines of units"
	}
	for _, state := range []string{"done", "closed", "canceled"} {
		if n := count[state]; n > 0 {
			words = append(words, fmt.Sprintf("%d %s", n, state))
		}
	}
	if open > 0 {
		words = append(words, fmt.Sprintf("work remains on %s of the %s", quantity.Count(open, "line"), habitat.WholeProperty))
	}
	year.Note = strings.Join(words, ", ")
	c.Map.Years = []MapYear{year}
	c.Notes = append(c.Notes, wide...)
	if len(without) > 0 {
		c.Notes = append(c.Notes, "Without a shape, and so not drawn: "+strings.Join(without, ", ")+".")
	}
	return c
}

// wideLines says of each line of the whole property what it is, since the map cannot
// draw it, and counts those of which something remains.
func (v *Packet) wideLines() (notes []string, open int) {
	for k := range v.Practices {
		p := &v.Practices[k]
		for i := range v.Schedule {
			r := &v.Schedule[i]
			if !r.PropertyWide || r.Line == 0 || r.Practice != p.Code {
				continue
			}
			if r.Remaining > 0 {
				open++
			}
			notes = append(notes, fmt.Sprintf("Line %d, %s in %s, is of the %s: work on every unit counts for it, after the lines of the unit itself. Of %s %s, %s remain; it is %s.",
				r.Line, r.Practice, r.FiscalYear, habitat.WholeProperty, quantity.Group(r.Planned, 1), r.Measure, quantity.Group(r.Remaining, 1), r.State))
		}
	}
	return notes, open
}

// contractUnit says how a unit stands by the lines of the schedule; its state is empty
// where it has none.
func (v *Packet) contractUnit(id string) (ContractUnit, int) {
	u := ContractUnit{Unit: id, Lines: []int{}}
	remaining := map[string]quantity.Exact{}
	open, closed := 0, 0
	for i := range v.Schedule {
		r := &v.Schedule[i]
		if r.PropertyWide || r.Unit != id || r.Line == 0 {
			continue
		}
		u.Lines = append(u.Lines, r.Line)
		switch r.State {
		case Canceled:
			continue
		case Closed:
			closed++
		default:
			open++
		}
		remaining[r.Practice] += quantity.ExactOf(r.Remaining)
	}
	slices.Sort(u.Lines)
	maps.DeleteFunc(remaining, func(_ string, left quantity.Exact) bool { return left <= 0 })
	var left []string
	for i := range v.Practices {
		p := &v.Practices[i]
		if remaining[p.Code] == 0 {
			continue
		}
		text := fmt.Sprintf("%s %s", quantity.Group(remaining[p.Code].Float(), 1), p.Measure)
		if len(remaining) > 1 {
			text += " of " + p.Code
		}
		left = append(left, text)
	}
	switch {
	case len(left) > 0:
		u.State, u.Says = "remains", quantity.List(left)+" remain"
		if u.short = u.Says; len(left) > 1 {
			u.short = fmt.Sprintf("%d practices remain", len(left))
		}
		return u, remainsMark
	case closed > 0:
		u.State, u.Says, u.short = "closed", "closed", "closed"
		return u, closedMark
	case open > 0:
		u.State, u.Says, u.short = "done", "done", "done"
		return u, doneMark
	case len(u.Lines) > 0:
		u.State, u.Says, u.short = "canceled", "canceled", "canceled"
	}
	return u, noMark
}
