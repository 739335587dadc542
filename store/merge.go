package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"emberquilt/habitat"
)

// Side is one of two files of a property.
type Side int

// The sides; Undecided is neither.
const (
	Undecided Side = iota
	Ours
	Theirs
)

// Contradiction is a value that both files changed since the change that they have in
// common, to two things.
type Contradiction struct {
	// Kind and Name say which value; Fields what differs, with ours in Was and theirs in
	// Is.
	Kind, Name string
	Fields     []FieldChange
	// Kept is the side that was chosen.
	Kept Side
}

// ContradictionError says that two files contradict each other and nobody has chosen.
type ContradictionError struct{ All []Contradiction }

// Error names the values.
func (e *ContradictionError) Error() string {
	names := make([]string, len(e.All))
	for i, c := range e.All {
		names[i] = strings.TrimSpace(c.Kind + " " + c.Name)
	}
	return "both files changed " + strings.Join(names, ", ")
}

// UnfitError says that what two files hold does not make sense together.
type UnfitError struct{ Faults []string }

// Error lists what does not.
func (e *UnfitError) Error() string {
	return "the two files do not fit together: " + strings.Join(e.Faults, "; ")
}

// ErrOtherProperty means that a file is of another property.
var ErrOtherProperty = errors.New("another property")

// Received says what a file took from another one of its property.
type Received struct {
	// Common is the newest change that both have, Changes counts those that came.
	Common, Changes int
	// Follows says that the other file only went on from where this one stood: this one
	// is now the same, change by change.
	Follows bool
	// Contradictions are those that were decided.
	Contradictions []Contradiction
	// Joined names contracts that both changed, part by part.
	Joined []string
}

// Receive takes from another file of the property what it changed since the newest
// change that both have. Where this file stood still since, its journal goes on as the
// other's. Where both went on, the other's changes are made again after ours, each with
// its reason and who made it, so that every version of both stays readable; choose says
// of each value that both changed to two things which one is to hold, and with Undecided
// the error is a *ContradictionError. The current values are the same from whichever
// side it is done, but for the numbers of burns and plans that both added.
//
// Nothing is changed where there is an error: ErrOtherProperty, or an *UnfitError where
// the result would not make sense.
func (s *Store) Receive(ctx context.Context, theirs *Store, at time.Time, by string, choose func(*Contradiction) Side) (r *Received, err error) {
	err = s.run(ctx, nil, func(tx *Tx) error {
		return theirs.View(ctx, func(from *Tx) error {
			m := &merge{tx: tx, from: from, at: at, by: by, choose: choose, tables: mergeTables()}
			r, err = m.run()
			return err
		})
	})
	return r, err
}

// merge is the work of one Receive.
type merge struct {
	tx, from *Tx
	at       time.Time
	by       string
	choose   func(*Contradiction) Side
	common   int
	tables   []*mergeTable
	// burns and plans give the numbers here of what was added there.
	burns, plans map[int64]int64
	// joined are contracts of which both changed parts.
	joined []string
	// meant are the acres, here and there, of burns that were recorded without any: those
	// that the unit had then.
	meant map[*Tx]map[int64]float64
}

// mergeTable reads and writes versions without knowing what they say.
type mergeTable struct {
	*table[mergeRow]
	kind string
}

// mergeRow is one version.
type mergeRow struct {
	keys, other []any
	version     int
	removed     bool
}

// mergeTables are those of everything that has versions.
func mergeTables() (all []*mergeTable) {
	for _, l := range layouts {
		all = append(all, &mergeTable{kind: l.kind, table: define(table[mergeRow]{
			name: l.name, from: l.from, keys: l.keys, columns: l.columns,
			key:    func(r *mergeRow) []any { return r.keys },
			encode: func(r *mergeRow) []any { return r.other },
			decode: func(scan scanner) (mergeRow, error) {
				r := mergeRow{keys: make([]any, len(l.keys)), other: make([]any, len(l.columns))}
				var dest []any
				for _, values := range [][]any{r.keys, r.other} {
					for i := range values {
						dest = append(dest, &values[i])
					}
				}
				return r, scan(dest...)
			},
		})})
	}
	return all
}

func (m *merge) run() (*Received, error) {
	ours, err := m.tx.changes()
	if err != nil {
		return nil, err
	}
	// Theirs comes from somebody else: a view in the place of a table may be without end.
	if err := fit(m.from.checkOwnTables); err != nil {
		return nil, err
	}
	theirs, err := m.from.changes()
	if err != nil {
		return nil, err
	}
	for _, side := range []*Tx{m.tx, m.from} {
		if err := fit(side.checkSeals); err != nil {
			return nil, err
		}
	}
	for m.common < min(len(ours), len(theirs)) && ours[m.common].SHA256 == theirs[m.common].SHA256 {
		m.common++
	}
	idHere, err := m.tx.id()
	if err != nil {
		return nil, err
	}
	if idThere, err := m.from.id(); err != nil || idThere != idHere || m.common == 0 {
		return nil, errors.Join(err, ErrOtherProperty)
	}
	r := &Received{Common: m.common, Changes: len(theirs) - m.common, Follows: m.common == len(ours)}
	switch {
	case r.Changes == 0:
	case r.Follows:
		err = m.follow(theirs[m.common:])
	default:
		r.Contradictions, err = m.join(theirs[m.common:])
		r.Joined = m.joined
	}
	if err != nil {
		return nil, err
	}
	if err := m.published(); err != nil {
		return nil, err
	}
	if err := fit(m.tx.checkReferences, m.tx.checkSense); err != nil {
		return nil, err
	}
	return r, nil
}

// fit is an *UnfitError where checks find something.
func fit(checks ...func(add func(format string, args ...any)) error) error {
	faults, err := faultsOf(checks...)
	if err == nil && len(faults) > 0 {
		err = &UnfitError{faults}
	}
	return err
}

// columns lists the columns of a table.
func (tx *Tx) columns(table string) (all []string, err error) {
	err = tx.each("SELECT name FROM pragma_table_info(?) ORDER BY cid", []any{table}, func(scan scanner) error {
		var name string
		err := scan(&name)
		all = append(all, name)
		return err
	})
	return all, err
}

// rows gives the rows that a condition holds of, in the order in which they were
// written. They are read from the table's from, or from the table itself, where
// documents of old files have other kinds and names.
func (t *mergeTable) rows(tx *Tx, from, where string, args ...any) (all []mergeRow, err error) {
	err = tx.each(fmt.Sprintf("SELECT version, removed, %s FROM %s WHERE %s ORDER BY row", t.selection(""), from, where), args, func(scan scanner) error {
		var version int
		var removed bool
		r, err := t.decode(func(dest ...any) error { return scan(append([]any{&version, &removed}, dest...)...) })
		r.version, r.removed = version, removed
		all = append(all, r)
		return err
	})
	return all, err
}

// putRow writes a version after the newest one, unless that says the same.
func (t *mergeTable) putRow(tx *Tx, r mergeRow) error {
	last, err := t.last(tx, r.keys)
	if err != nil || last.Number == 0 && r.removed {
		return err
	}
	if last.Number > 0 && last.Removed == r.removed && sameValues(last.Value.other, r.other) {
		return nil
	}
	return t.insert(tx, last.Number+1, r.removed, r.keys, r.other)
}

// newest gives the newest version of every value that was written after the common
// change.
func (m *merge) newest(tx *Tx, t *mergeTable) (map[string]mergeRow, error) {
	all, err := t.rows(tx, t.from, "change > ?", m.common)
	if err != nil {
		return nil, err
	}
	last := map[string]mergeRow{}
	for _, r := range all {
		last[encodeJSON(r.keys)] = r
	}
	return last, nil
}

// follow copies changes as they are: the file stands where the other one stood.
func (m *merge) follow(changes []Change) error {
	for _, c := range changes {
		m.tx.change, m.tx.by = c.Number, c.By
		if err := m.names(c.Number); err != nil {
			return err
		}
		for _, t := range m.tables {
			rows, err := t.rows(m.from, t.name, "change = ?", c.Number)
			if err != nil {
				return err
			}
			for _, r := range rows {
				if err := t.insert(m.tx, r.version, r.removed, r.keys, r.other); err != nil {
					return err
				}
			}
		}
		if err := m.copyPlans(c.Number, func(row map[string]any) {}); err != nil {
			return err
		}
		var by any
		if c.By != "" {
			by = c.By
		}
		if err := m.tx.write("INSERT INTO change (id, made_at, reason, sha256, made_by) VALUES (?, ?, ?, ?, ?)", c.Number, c.At.Format(time.RFC3339), c.Reason, c.SHA256, by); err != nil {
			return err
		}
	}
	m.tx.lineage = nil
	faults, err := faultsOf(m.tx.checkSeals)
	if err == nil && len(faults) > 0 {
		err = fmt.Errorf("store: copied changes do not carry their seals: %s", strings.Join(faults, "; "))
	}
	return err
}

// names makes the names of units that a change of the other file first wrote.
func (m *merge) names(change int) error {
	return m.from.each("SELECT u.name FROM unit AS u JOIN unit_version AS v ON v.unit = u.name WHERE v.change = ? ORDER BY u.id", []any{change}, func(scan scanner) error {
		var name string
		if err := scan(&name); err != nil {
			return err
		}
		return m.tx.write("INSERT INTO unit (name) VALUES (?) ON CONFLICT DO NOTHING", name)
	})
}

// copyPlans copies the plans of a change; edit may alter their rows.
func (m *merge) copyPlans(change int, edit func(row map[string]any)) error {
	columns, err := m.tx.columns("plan")
	if err != nil {
		return err
	}
	return m.from.each("SELECT "+strings.Join(columns, ", ")+" FROM plan WHERE change = ? ORDER BY number", []any{change}, func(scan scanner) error {
		values, into := make([]any, len(columns)), make([]any, len(columns))
		for i := range values {
			into[i] = &values[i]
		}
		if err := scan(into...); err != nil {
			return err
		}
		row := map[string]any{}
		for i, c := range columns {
			row[c] = values[i]
		}
		for _, blob := range []string{"problem", "answer"} { // an empty one is read as nothing
			if text, _ := row[blob].([]byte); len(text) == 0 {
				row[blob] = []byte{}
			}
		}
		row["change"] = m.tx.change
		edit(row)
		for i, c := range columns {
			values[i] = row[c]
		}
		return m.tx.write(fmt.Sprintf("INSERT INTO plan (%s) VALUES (?%s)", strings.Join(columns, ", "), strings.Repeat(", ?", len(columns)-1)), values...)
	})
}

// join makes the other's changes again after ours, and puts ours back where they are to
// hold.
func (m *merge) join(changes []Change) ([]Contradiction, error) {
	if err := m.refuseUnitChanges(); err != nil {
		return nil, err
	}
	if err := m.number(); err != nil {
		return nil, err
	}
	if err := m.readAcres(); err != nil {
		return nil, err
	}
	type again struct {
		table *mergeTable
		row   mergeRow
	}
	var found []Contradiction
	var back []again
	for _, t := range m.tables {
		ours, err := m.newest(m.tx, t)
		if err != nil {
			return nil, err
		}
		theirs, err := m.newest(m.from, t)
		if err != nil {
			return nil, err
		}
		for _, key := range slices.Sorted(maps.Keys(theirs)) {
			there := m.here(t, theirs[key])
			mine, both := ours[encodeJSON(there.keys)]
			if !both || isNumbered(t, there) ||
				mine.removed == there.removed && (mine.removed || sameValues(m.withAcres(m.tx, t, mine, mine.keys), m.withAcres(m.from, t, there, theirs[key].keys))) {
				continue
			}
			row, parts, err := m.joinContracts(t, mine, there)
			if err != nil {
				return nil, err
			}
			if row != nil {
				found = append(found, parts...)
				back = append(back, again{t, *row})
				continue
			}
			c := t.contradiction(mine, there)
			if c.Kept = m.choose(&c); c.Kept == Ours {
				back = append(back, again{t, mine})
			}
			found = append(found, c)
		}
	}
	adopted, c, err := m.adoption()
	if err != nil {
		return nil, err
	}
	if c != nil {
		c.Kept = m.choose(c)
		found = append(found, *c)
	}
	if open := slices.DeleteFunc(slices.Clone(found), func(c Contradiction) bool { return c.Kept != Undecided }); len(open) > 0 {
		return nil, &ContradictionError{open}
	}
	for _, c := range changes {
		reason := fmt.Sprintf("received: %s (%s)", c.Reason, c.At.Format("2006-01-02"))
		if err := m.change(reason, c.By, func() error { return m.replay(c.Number) }); err != nil {
			return nil, err
		}
	}
	kept := "kept what this file says"
	if len(m.joined) > 0 {
		kept = "joined what both files say of contracts"
		if len(back) > len(m.joined) || c != nil && c.Kept == Ours {
			kept += ", and kept what this file says"
		}
	}
	err = m.change("received: "+kept, m.by, func() error {
		for _, a := range back {
			if err := a.table.putRow(m.tx, a.row); err != nil {
				return err
			}
		}
		if c != nil && c.Kept == Ours {
			// The standings are a history, in which the last adoption counts: it must be
			// written anew.
			was := adopted
			was.Standing = habitat.SupersededPlan
			if err := m.tx.PutPlanStanding(was); err != nil {
				return err
			}
			return m.tx.Adopt(adopted)
		}
		return nil
	})
	return found, err
}

// joinContracts brings a contract together that both changed: the row that then holds,
// with what both changed to two things, part by part; no row where the parts do not make
// a contract, or where it is none.
func (m *merge) joinContracts(t *mergeTable, mine, there mergeRow) (row *mergeRow, parts []Contradiction, err error) {
	if kindOf(t, mine) != contract || mine.removed || there.removed {
		return nil, nil, nil
	}
	common, err := t.rows(m.tx, t.from, "kind = ? AND name = ? AND change <= ?", append(slices.Clone(mine.keys), m.common)...)
	if err != nil {
		return nil, nil, err
	}
	var base, ours, theirs habitat.Contract
	if last := len(common) - 1; last >= 0 && !common[last].removed {
		if err := bodyInto(common[last], &base); err != nil {
			return nil, nil, err
		}
	}
	if err := errors.Join(bodyInto(mine, &ours), bodyInto(there, &theirs)); err != nil {
		return nil, nil, err
	}
	joined := habitat.JoinContracts(&base, &ours, &theirs, func(part, here, archive string) bool {
		c := Contradiction{Kind: string(contract), Name: ours.Name + ", " + part, Fields: []FieldChange{{"", here, archive}}}
		c.Kept = m.choose(&c)
		parts = append(parts, c)
		return c.Kept == Theirs
	})
	isOpen := slices.ContainsFunc(parts, func(c Contradiction) bool { return c.Kept == Undecided })
	// It is asked whole where the lines of a unit that was divided belong together, and
	// where the parts make no contract, such as with one line that both added.
	isDivided := len(parts) > 0 && (ours.HasUnitsChanged(&base) || theirs.HasUnitsChanged(&base))
	if isDivided || !isOpen && joined.Validate() != nil {
		return nil, nil, nil
	}
	m.joined = append(m.joined, ours.Name)
	out := mine
	out.other = slices.Clone(mine.other)
	out.other[0] = encodeJSON(joined)
	return &out, parts, nil
}

// bodyInto reads the JSON of a document.
func bodyInto(r mergeRow, into any) error {
	text, _ := r.other[0].(string)
	return json.Unmarshal([]byte(text), into)
}

// change makes one change of the journal, where do writes something.
func (m *merge) change(reason, by string, do func() error) error {
	last, err := m.tx.lastChange()
	if err != nil {
		return err
	}
	m.tx.change, m.tx.by, m.tx.lineage = last.Number+1, by, nil
	before := m.tx.written
	if err := do(); err != nil || m.tx.written == before {
		return err
	}
	return m.tx.seal(last, m.at, reason)
}

// replay makes one change of the other file again.
func (m *merge) replay(change int) error {
	if err := m.names(change); err != nil {
		return err
	}
	for _, t := range m.tables {
		rows, err := t.rows(m.from, t.from, "change = ?", change)
		if err != nil {
			return err
		}
		for _, r := range rows {
			there := m.here(t, r)
			if there.other, err = m.keepAcres(t, r, there.other); err != nil {
				return err
			}
			if err := t.putRow(m.tx, there); err != nil {
				return err
			}
		}
	}
	stamp, err := m.commonStamp()
	if err != nil {
		return err
	}
	return m.copyPlans(change, func(row map[string]any) {
		number, _ := row["number"].(int64)
		row["number"] = m.plans[number]
		// It knew nothing of what this file changed since.
		row["data"] = string(stamp)
	})
}

func (m *merge) commonStamp() (stamp Stamp, err error) {
	err = m.tx.each("SELECT "+changeColumns+" FROM change AS c WHERE c.id = ?", []any{m.common}, func(scan scanner) error {
		c, err := scanChange(scan)
		stamp = c.Stamp()
		return err
	})
	return stamp, err
}

// number gives numbers here to the burns and plans that the other file added. A burn
// that this file has too, of the unit, day and kind, is that one.
func (m *merge) number() error {
	m.burns, m.plans = map[int64]int64{}, map[int64]int64{}
	var common, next int64
	if err := m.tx.each("SELECT coalesce(max(burn), 0), (SELECT coalesce(max(burn), 0) FROM burn_version) FROM burn_version WHERE change <= ?", []any{m.common}, func(scan scanner) error { return scan(&common, &next) }); err != nil {
		return err
	}
	const newest = `SELECT burn, json_array(unit, first_on, kind) FROM burn_version AS v WHERE burn > ? AND version = (SELECT max(version) FROM burn_version AS l WHERE l.burn = v.burn) ORDER BY burn`
	same := map[string]int64{}
	if err := m.tx.each(newest, []any{common}, func(scan scanner) error {
		var id int64
		var key string
		err := scan(&id, &key)
		same[key] = id
		return err
	}); err != nil {
		return err
	}
	if err := m.from.each(newest, []any{common}, func(scan scanner) error {
		var id int64
		var key string
		if err := scan(&id, &key); err != nil {
			return err
		}
		if m.burns[id] = same[key]; m.burns[id] == 0 {
			next++
			m.burns[id] = next
		}
		delete(same, key)
		return nil
	}); err != nil {
		return err
	}
	var plan int64
	if err := m.tx.each("SELECT coalesce(max(number), 0) FROM plan", nil, func(scan scanner) error { return scan(&plan) }); err != nil {
		return err
	}
	return m.from.each("SELECT number FROM plan WHERE change > ? ORDER BY number", []any{m.common}, func(scan scanner) error {
		var number int64
		err := scan(&number)
		plan++
		m.plans[number] = plan
		return err
	})
}

// readAcres reads what burns without acres mean, on both sides.
func (m *merge) readAcres() error {
	m.meant = map[*Tx]map[int64]float64{m.tx: {}, m.from: {}}
	for side, meant := range m.meant {
		all, err := side.Burns()
		if err != nil {
			return err
		}
		for i := range all {
			if !all[i].HasAcres {
				meant[all[i].ID] = float64(all[i].UnitAcres)
			}
		}
	}
	return nil
}

// withAcres gives the columns of a burn with the acres that it means.
func (m *merge) withAcres(side *Tx, t *mergeTable, r mergeRow, keys []any) []any {
	at := slices.Index(t.columns, "acres")
	if t.name != burns.name || r.other[at] != nil {
		return r.other
	}
	id, _ := keys[0].(int64)
	meant, ok := m.meant[side][id]
	if !ok {
		return r.other
	}
	out := slices.Clone(r.other)
	out[at] = meant
	return out
}

// keepAcres writes the acres of a burn that was recorded without any where the unit has
// others here: a record goes on meaning what it meant.
func (m *merge) keepAcres(t *mergeTable, r mergeRow, columns []any) ([]any, error) {
	if t.name != burns.name {
		return columns, nil
	}
	filled := m.withAcres(m.from, t, r, r.keys)
	at := slices.Index(t.columns, "acres")
	if r.other[at] != nil || filled[at] == nil {
		return columns, nil
	}
	var here float64
	unit := r.other[slices.Index(t.columns, "unit")]
	err := m.tx.each("SELECT acres FROM unit_version WHERE unit = ? ORDER BY version DESC LIMIT 1", []any{unit}, func(scan scanner) error { return scan(&here) })
	if err != nil || here == filled[at] {
		return columns, err
	}
	columns = slices.Clone(columns)
	columns[at] = filled[at]
	return columns, nil
}

// numberedKinds are documents that are known by the number of a plan; changeKinds by
// that of their own change.
var (
	numberedKinds = []DocumentKind{planStanding, scenarios, rehearsal}
	changeKinds   = []DocumentKind{unitChange, seasonRename}
)

func kindOf(t *mergeTable, r mergeRow) DocumentKind {
	if t.name != documents.name {
		return ""
	}
	kind, _ := r.keys[0].(string)
	return DocumentKind(kind)
}

// isNumbered reports whether a document follows a plan or a change, so that two of one
// name are two things, and do not contradict each other.
func isNumbered(t *mergeTable, r mergeRow) bool {
	kind := kindOf(t, r)
	return slices.Contains(changeKinds, kind) || slices.Contains(numberedKinds, kind)
}

// here gives a row of the other file with the numbers that hold in this one.
func (m *merge) here(t *mergeTable, r mergeRow) mergeRow {
	out := mergeRow{keys: slices.Clone(r.keys), other: slices.Clone(r.other), removed: r.removed}
	kind := kindOf(t, r)
	switch {
	case t.name == burns.name:
		if id, _ := r.keys[0].(int64); m.burns[id] != 0 {
			out.keys[0] = m.burns[id]
		}
	case slices.Contains(numberedKinds, kind):
		name, _ := r.keys[1].(string)
		if number, err := strconv.ParseInt(name, 10, 64); err == nil && m.plans[number] != 0 {
			out.keys[1] = strconv.FormatInt(m.plans[number], 10)
			out.other[0] = withNumber(r.other[0], "plan", m.plans[number])
		}
	case slices.Contains(changeKinds, kind):
		name, _ := r.keys[1].(string)
		if _, rest, ok := strings.Cut(name, " "); ok {
			out.keys[1] = fmt.Sprintf("%09d %s", m.tx.change, rest)
		} else {
			out.keys[1] = fmt.Sprintf("%09d", m.tx.change)
		}
		out.other[0] = withNumber(r.other[0], "change", int64(m.tx.change))
	}
	return out
}

// withNumber sets a number in a JSON object that has it.
func withNumber(body any, key string, number int64) any {
	text, _ := body.(string)
	var object map[string]json.RawMessage
	if json.Unmarshal([]byte(text), &object) != nil || object[key] == nil {
		return body
	}
	object[key] = json.RawMessage(strconv.FormatInt(number, 10))
	return encodeJSON(object)
}

// refuseUnitChanges refuses files that both made other units of one unit: which of them
// its records count for cannot be decided value by value.
func (m *merge) refuseUnitChanges() error {
	from := func(tx *Tx) (map[string]bool, error) {
		units := map[string]bool{}
		err := tx.each("SELECT body FROM document_version WHERE kind = ? AND change > ?", []any{string(unitChange), m.common}, func(scan scanner) error {
			var body string
			var c habitat.UnitChange
			if err := scan(&body); err != nil {
				return err
			}
			err := json.Unmarshal([]byte(body), &c)
			for _, unit := range c.From {
				units[unit.Unit] = true
			}
			return err
		})
		return units, err
	}
	ours, err := from(m.tx)
	if err != nil {
		return err
	}
	theirs, err := from(m.from)
	if err != nil {
		return err
	}
	var faults []string
	for _, unit := range slices.Sorted(maps.Keys(theirs)) {
		if ours[unit] {
			faults = append(faults, fmt.Sprintf("both made other units of %q", unit))
		}
	}
	if len(faults) > 0 {
		return &UnfitError{faults}
	}
	return nil
}

// adoption gives the plan that this file adopted and, where both adopted one since the
// common change, the contradiction.
func (m *merge) adoption() (ours habitat.PlanStanding, c *Contradiction, err error) {
	decided := func(tx *Tx) (bool, error) {
		n := 0
		err := tx.each("SELECT count(*) FROM document_version WHERE kind = ? AND change > ?", []any{string(planStanding), m.common}, func(scan scanner) error { return scan(&n) })
		return n > 0, err
	}
	for _, side := range []*Tx{m.tx, m.from} {
		if any, err := decided(side); err != nil || !any {
			return ours, nil, err
		}
	}
	here, err := m.tx.Standings()
	if err != nil {
		return ours, nil, err
	}
	there, err := m.from.Standings()
	if err != nil {
		return ours, nil, err
	}
	number := int64(there.Adopted())
	if m.plans[number] != 0 {
		number = m.plans[number]
	}
	if ours = here.Of(here.Adopted()); ours.Plan == 0 || number == 0 || int64(ours.Plan) == number {
		return ours, nil, nil
	}
	return ours, &Contradiction{Kind: "adopted plan", Fields: []FieldChange{{"plan", strconv.Itoa(ours.Plan), fmt.Sprintf("%d, which is %d there", number, there.Adopted())}}}, nil
}

// contradiction says what differs between two newest versions.
func (t *mergeTable) contradiction(ours, theirs mergeRow) Contradiction {
	c := Contradiction{Kind: t.kind}
	keys := ours.keys
	switch t.name {
	case documents.name:
		c.Kind, _ = keys[0].(string)
		keys = keys[1:]
	case properties.name:
		keys = nil
	}
	var names []string
	for _, key := range keys {
		names = append(names, fmt.Sprint(key))
	}
	c.Name = strings.Join(names, " ")
	if ours.removed != theirs.removed {
		words := map[bool]string{true: "taken away", false: "there"}
		c.Fields = []FieldChange{{"", words[ours.removed], words[theirs.removed]}}
		return c
	}
	if kindOf(t, ours) == contract {
		var a, b habitat.Contract
		if bodyInto(ours, &a) == nil && bodyInto(theirs, &b) == nil {
			habitat.DiffContracts(&a, &b, func(part, here, there string) { c.Fields = append(c.Fields, FieldChange{part, here, there}) })
			return c
		}
	}
	for i, column := range t.columns {
		if sameValues(ours.other[i:i+1], theirs.other[i:i+1]) {
			continue
		}
		c.Fields = append(c.Fields, fieldsOf(column, ours.other[i], theirs.other[i])...)
	}
	return c
}

// fieldsOf compares two values of a column; objects in JSON key by key.
func fieldsOf(column string, ours, theirs any) []FieldChange {
	a, b := map[string]json.RawMessage{}, map[string]json.RawMessage{}
	was, isText := ours.(string)
	is, otherIsText := theirs.(string)
	if isText && otherIsText && json.Unmarshal([]byte(was), &a) == nil && json.Unmarshal([]byte(is), &b) == nil {
		var all []FieldChange
		for _, key := range slices.Sorted(maps.Keys(a)) {
			if string(a[key]) != string(b[key]) {
				all = append(all, FieldChange{key, string(a[key]), string(b[key])})
			}
		}
		for _, key := range slices.Sorted(maps.Keys(b)) {
			if a[key] == nil {
				all = append(all, FieldChange{key, "", string(b[key])})
			}
		}
		return all
	}
	return []FieldChange{{column, fmt.Sprint(ours), fmt.Sprint(theirs)}}
}

// published takes the newer of what calendars were told.
func (m *merge) published() error {
	ours, err := m.tx.Published()
	if err != nil {
		return err
	}
	theirs, err := m.from.Published()
	if err != nil {
		return err
	}
	type key struct {
		unit       string
		year       int
		kind, name string
	}
	known := map[key]int{}
	for _, e := range ours {
		known[key{e.Unit, int(e.Year), e.Kind, e.Name}] = e.Sequence
	}
	for _, e := range theirs {
		if n, ok := known[key{e.Unit, int(e.Year), e.Kind, e.Name}]; ok && n >= e.Sequence {
			continue
		}
		if err := m.tx.PutPublished(e); err != nil {
			return err
		}
	}
	return nil
}
