package list

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// Action says what an import does with one value.
type Action string

// The actions of a plan.
const (
	Added   Action = "added"
	Changed Action = "changed"
	// Same means that the value is there already, as it stands in the list.
	Same Action = "same"
	// Skipped means that the value is left out: it may be one that is there
	// already under another date or kind.
	Skipped Action = "skipped"
)

// Field is one thing that changes; Old or New is empty where there is nothing.
type Field struct{ Name, Old, New string }

// String gives `acres: 38.5 → 39`.
func (f Field) String() string {
	show := func(v string) string {
		if v == "" {
			return "none"
		}
		return v
	}
	return f.Name + ": " + show(f.Old) + " → " + show(f.New)
}

// Change is what an import does with one value. Exactly one of Unit, Pair, Burn,
// Lock, Contract, Place and Standing is set: the value as it will be. A Burn that is Added
// has no ID yet.
type Change struct {
	Kind   Kind
	Action Action
	// Name is what a reader calls the value, such as "n1 on 2026-03-01".
	Name string
	// At is where the value stands in its file.
	At source.Position
	// Fields says what changes; it is empty unless Action is Changed.
	Fields []Field
	// Why says why the value is skipped.
	Why string

	Unit *habitat.Unit
	// Shape is the unit's new ground; nil where the list has none, or the same.
	Shape    *ground.Shape
	Pair     *habitat.Pair
	Burn     *habitat.BurnRecord
	Lock     *habitat.Lock
	Contract *habitat.Contract
	Place    *ground.Place
	Standing *ground.Place
}

// Plan is what an import would do, in the order in which it is done.
type Plan struct {
	Changes []Change
	// Notes says what was odd, in the lists and in what they say together.
	Notes []ground.Note
	// LeftOut are the faults of values that were left out.
	LeftOut source.List
}

// Count counts the changes of a kind and action.
func (p *Plan) Count(kind Kind, action Action) int {
	count := 0
	for i := range p.Changes {
		if p.Changes[i].Kind == kind && p.Changes[i].Action == action {
			count++
		}
	}
	return count
}

// IsIdle reports whether the plan would change nothing.
func (p *Plan) IsIdle() bool {
	return !slices.ContainsFunc(p.Changes, func(c Change) bool { return c.Action == Added || c.Action == Changed })
}

// Summary gives a line for each kind, such as "units: 24 added, 1 changed".
func (p *Plan) Summary() []string {
	type group struct {
		Kind
		Action
	}
	counts := map[group]int{}
	for i := range p.Changes {
		counts[group{p.Changes[i].Kind, p.Changes[i].Action}]++
	}
	var all []string
	for _, kind := range Kinds() {
		var parts []string
		for _, action := range []Action{Added, Changed, Same, Skipped} {
			if n := counts[group{kind, action}]; n > 0 {
				parts = append(parts, fmt.Sprintf("%s %s", quantity.Group(float64(n), 0), action))
			}
		}
		if len(parts) > 0 {
			all = append(all, string(kind)+": "+strings.Join(parts, ", "))
		}
	}
	return all
}

// Current is what a property has. Nothing of it is changed.
type Current struct {
	Property  habitat.Property
	Units     []habitat.Unit
	Shapes    map[string]ground.Shape
	Pairs     []habitat.Pair
	Locks     []habitat.Lock
	Records   []habitat.BurnRecord
	Contracts []habitat.Contract
	Places    []ground.Place
	// Standing are the standing breaks: roads, water.
	Standing []ground.Place
	// Lineage says which names units bore that became others.
	Lineage habitat.Lineage
}

// Doubles says what becomes of a burn in a list whose days overlap those of
// another burn of the unit, of another date or kind: it may be the same fire.
type Doubles string

// What becomes of doubles.
const (
	// Ask makes doubles a fault, so that the user decides. It is the default.
	Ask Doubles = ""
	// Skip leaves them out.
	Skip Doubles = "skip"
	// Add records them all.
	Add Doubles = "add"
)

// Differing says what becomes of a contract's number, client or first month where a list
// says another than the contract that is there: the rows may be those of another contract.
type Differing string

// What becomes of what differs.
const (
	// AskDiffering makes it a fault, so that the user decides. It is the default.
	AskDiffering Differing = ""
	// KeepDiffering leaves the contract as it is, and takes the lines.
	KeepDiffering Differing = "keep"
	// ChangeDiffering takes what the list says.
	ChangeDiffering Differing = "change"
)

// PlanSettings say how a plan is made.
type PlanSettings struct {
	// Today bounds the dates of burns.
	Today   date.Day
	Doubles Doubles
	// Contracts settles what lists say of contracts that are there.
	Contracts Differing
	// NewUnit gives what new units have where their list does not say it; nil asks
	// the list for how often each burns.
	NewUnit *habitat.Unit
}

// MakePlan holds lists against what the property has. The lists may be given in
// any order; units count before what speaks of them. Faults are a *source.List.
func MakePlan(cur *Current, lists []*List, settings PlanSettings) (*Plan, error) {
	m := newMaker(cur, settings)
	for _, l := range lists {
		m.plan.Notes = append(m.plan.Notes, l.Notes...)
		for _, e := range l.LeftOut.Errors {
			m.plan.LeftOut.Add(e)
		}
		m.plan.LeftOut.More += l.LeftOut.More
	}
	lists = m.named(lists)
	each := func(do func(l *List)) { // a file with shapes may hold several kinds
		for _, l := range lists {
			do(l)
		}
	}
	each(m.stageUnits)
	m.finishUnits()
	each(m.pairs)
	each(m.stageBurns)
	each(m.stageLastBurned)
	m.finishBurns()
	each(m.checkYears)
	each(m.locks)
	each(m.contracts)
	each(m.places)
	each(m.standing)
	m.farOff(lists)
	if err := m.faults.Err(); err != nil {
		return nil, err
	}
	return &m.plan, nil
}

// FarMiles is how far shapes may lie from the property's place before it is said.
const FarMiles = 60

const metersInMile = 1609.344

// farOff notes lists whose shapes lie far from the property: a wrong coordinate system,
// or a file of somewhere else.
func (m *maker) farOff(lists []*List) {
	p := &m.cur.Property
	if !p.HasPlace {
		return
	}
	said := map[string]bool{}
	for _, l := range lists {
		center, ok := l.Center()
		if !ok || said[l.File] {
			continue
		}
		said[l.File] = true
		if miles := ground.MetersBetween(center, ground.Point{Lon: p.Longitude, Lat: p.Latitude}) / metersInMile; miles > FarMiles {
			m.note(source.Position{File: l.File}, ground.Stated, "its shapes lie at %.3f, %.3f, %.0f miles from the property's place, %.3f, %.3f: is that right?",
				center.Lat, center.Lon, miles, p.Latitude, p.Longitude)
		}
	}
}

// mostLeftOut is how many rows that were left out are named: a list beyond it is no
// list of units.
const mostLeftOut = 100_000

// maker makes one plan.
type maker struct {
	cur      *Current
	settings PlanSettings
	plan     Plan
	faults   source.List
	// units holds the units as they will be, by name.
	units map[string]*stagedUnit
	// order holds the staged units in the order in which they were named.
	order []*stagedUnit
	// broken names units that a fault keeps out; what speaks of them is not
	// complained about again.
	broken map[string]bool
	names  []string

	burns     map[burnKey]*stagedBurn
	burnOrder []*stagedBurn
	records   map[string][]*habitat.BurnRecord
	// contractSeen has what rows said of a contract so far, by its name.
	contractSeen map[string]*contractRow
	// practiceSeen has the names of practices that rows gave, by contract and code.
	practiceSeen map[[2]string]string
	// differs has the contracts and columns of which it was said that they differ.
	differs map[[2]string]bool
}

func newMaker(cur *Current, settings PlanSettings) *maker {
	m := &maker{cur: cur, plan: Plan{LeftOut: source.List{Most: mostLeftOut}}, settings: settings, units: map[string]*stagedUnit{}, broken: map[string]bool{},
		burns: map[burnKey]*stagedBurn{}, records: map[string][]*habitat.BurnRecord{}, contractSeen: map[string]*contractRow{}, practiceSeen: map[[2]string]string{}, differs: map[[2]string]bool{}}
	for i := range cur.Units {
		u := &cur.Units[i]
		m.units[u.ID] = &stagedUnit{old: u, now: *u}
	}
	for i := range cur.Records {
		r := &cur.Records[i]
		m.records[r.Unit] = append(m.records[r.Unit], r)
	}
	return m
}

// bad notes a fault of the current list, or leaves the value out.
func (m *maker) bad(l *List, at source.Position, accepts, hint, format string, args ...any) {
	e := &source.Error{Position: at, Found: fmt.Sprintf(format, args...), Accepts: accepts, Hint: hint}
	if l.options.LeaveOut {
		m.plan.LeftOut.Add(e)
	} else {
		m.faults.Add(e)
	}
}

// badFields notes what Validate found, each at its column, with a hint where
// there is one for it. It reports whether there was anything.
func (m *maker) badFields(l *List, r *row, err error, hints map[string]string) bool {
	if err == nil {
		return false
	}
	for _, e := range flatten(err) {
		var f *habitat.FieldError
		if !errors.As(e, &f) {
			m.bad(l, r.at(l.File, ""), "", "", "%v", e)
			continue
		}
		column := f.Field[strings.LastIndexByte(f.Field, '.')+1:]
		if strings.HasPrefix(f.Field, "practice[") {
			column = "practice_" + column // of a list of contracts, which has a name of its own
		}
		m.bad(l, r.at(l.File, column), f.Accepts, hints[column], "%s", f.Found)
	}
	return true
}

func flatten(err error) []error {
	joined, ok := err.(interface{ Unwrap() []error })
	if !ok {
		return []error{err}
	}
	var all []error
	for _, e := range joined.Unwrap() {
		all = append(all, flatten(e)...)
	}
	return all
}

// unit finds a unit that will be there, or complains about the column that
// names it.
func (m *maker) unit(l *List, r *row, column, name string) *habitat.Unit {
	if u, ok := m.units[name]; ok && !m.broken[name] {
		return &u.now
	}
	if m.broken[name] {
		if l.options.LeaveOut {
			m.bad(l, r.at(l.File, column), "", "", "unit %s was left out", source.Quote(name))
		}
		return nil
	}
	m.bad(l, r.at(l.File, column), "a unit of the property", m.unitHint(name), "there is no unit %s", source.Quote(name))
	return nil
}

// unitHint finds the unit that was meant. It is not worth its time for faults
// that nobody sees.
func (m *maker) unitHint(name string) string {
	if m.faults.Len() >= source.MaxShown || m.plan.LeftOut.Len() >= 10*source.MaxShown {
		return ""
	}
	if m.names == nil {
		for known := range m.units {
			m.names = append(m.names, known)
		}
		slices.SortFunc(m.names, natural)
	}
	if len(m.names) == 0 {
		return "import the units first"
	}
	hint := ""
	if len(m.names) <= 2000 {
		hint = source.DidYouMean(name, m.names)
	}
	if slices.ContainsFunc(m.names, func(known string) bool { return strings.EqualFold(known, name) }) {
		hint += " names keep their case"
	}
	return strings.TrimSpace(hint)
}

// note adds a note of our own.
func (m *maker) note(at source.Position, kind ground.Kind, format string, args ...any) {
	m.plan.Notes = append(m.plan.Notes, ground.Note{Position: at, Kind: kind, Text: fmt.Sprintf(format, args...)})
}

// change adds a change: Added without an old value, else Changed or Same by its
// fields.
func (m *maker) change(c Change, isNew bool) {
	switch {
	case isNew:
		c.Action, c.Fields = Added, nil
	case len(c.Fields) > 0:
		c.Action = Changed
	default:
		c.Action = Same
	}
	m.plan.Changes = append(m.plan.Changes, c)
}

// differences compares two values column by column.
func differences[V any](columns []column[V], old, now *V) []Field {
	var all []Field
	for _, c := range columns {
		if c.show == nil {
			continue
		}
		if a, b := c.show(old), c.show(now); a != b {
			all = append(all, Field{c.name, a, b})
		}
	}
	return all
}

// patch copies the columns that a value has.
func patch[V any](columns []column[V], to *V, from *value[V]) {
	for _, c := range columns {
		if from.has[c.name] && c.copy != nil {
			c.copy(to, &from.V)
		}
	}
}
