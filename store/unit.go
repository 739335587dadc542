package store

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"
	"sync"

	"emberquilt/habitat"
	"emberquilt/habitat/alias"
	"emberquilt/habitat/date"
	"emberquilt/habitat/list"
)

var units = define(table[habitat.Unit]{
	name: "unit_version", keys: []string{"unit"},
	columns: []string{"acres", "stated_acres", "min_interval", "max_interval", "seasons", "burn_days", "cost_cents",
		"cover", "mix", "refuge", "prescription", "estimated_age", "estimated_in", "notes", "owned_from", "owned_until",
		"farm", "tract", "field_number", "section"},
	join: "JOIN unit ON unit.name = v.unit", order: "unit.id",
	key: func(u *habitat.Unit) []any { return []any{u.ID} },
	encode: func(u *habitat.Unit) []any {
		return []any{float64(u.Acres), float64(u.StatedAcres), u.Interval.Min, u.Interval.Max, encodeSeasons(u.Seasons), u.BurnDays, int64(u.Cost),
			u.Cover, u.Mix, u.Refuge, u.Prescription, optionalInt(u.EstimatedAge), int(u.EstimatedIn), u.Notes, optionalDay(u.Owned.From), optionalDay(u.Owned.Until),
			optionalText(u.Land.Farm), optionalText(u.Land.Tract), optionalText(u.Land.Field), optionalText(u.Land.Section)}
	},
	decode: func(scan scanner) (u habitat.Unit, err error) {
		var seasons string
		var age sql.NullInt64
		var from, until, farm, tract, field, section sql.NullString
		err = scan(&u.ID, &u.Acres, &u.StatedAcres, &u.Interval.Min, &u.Interval.Max, &seasons, &u.BurnDays, &u.Cost,
			&u.Cover, &u.Mix, &u.Refuge, &u.Prescription, &age, &u.EstimatedIn, &u.Notes, &from, &until, &farm, &tract, &field, &section)
		if err != nil {
			return u, err
		}
		if age.Valid {
			years := int(age.Int64)
			u.EstimatedAge = &years
		}
		if u.Owned.From, err = dayOf(from); err != nil {
			return u, err
		}
		if u.Owned.Until, err = dayOf(until); err != nil {
			return u, err
		}
		u.Land = habitat.LandNumbers{Farm: farm.String, Tract: tract.String, Field: field.String, Section: section.String}
		u.Seasons, err = decodeSeasons(seasons)
		return u, err
	},
})

func optionalInt(v *int) any {
	if v == nil {
		return nil
	}
	return *v
}

// optionalText gives NULL for no text.
func optionalText(text string) any {
	if text == "" {
		return nil
	}
	return text
}

func optionalDay(d date.Day) any {
	if d.IsZero() {
		return nil
	}
	return d.String()
}

func dayOf(v sql.NullString) (date.Day, error) {
	if !v.Valid {
		return date.Day{}, nil
	}
	return date.ParseDay(v.String)
}

// seasonChoice is how a season of a unit lies in the file.
type seasonChoice struct {
	Season  string  `json:"season"`
	Penalty float64 `json:"penalty"`
}

func encodeSeasons(choices []habitat.SeasonChoice) string {
	all := make([]seasonChoice, len(choices))
	for i, c := range choices {
		all[i] = seasonChoice(c)
	}
	return encodeJSON(all)
}

// decoded holds seasons by their texts: thousands of units have few.
var decoded struct {
	sync.Mutex
	seasons map[string][]habitat.SeasonChoice
}

func decodeSeasons(text string) ([]habitat.SeasonChoice, error) {
	const most = 256
	if text == "[]" {
		return nil, nil
	}
	decoded.Lock()
	defer decoded.Unlock()
	if known, ok := decoded.seasons[text]; ok {
		return slices.Clone(known), nil
	}
	var all []seasonChoice
	if err := json.Unmarshal([]byte(text), &all); err != nil {
		return nil, err
	}
	choices := make([]habitat.SeasonChoice, len(all))
	for i, c := range all {
		choices[i] = habitat.SeasonChoice(c)
	}
	if len(decoded.seasons) >= most || decoded.seasons == nil {
		decoded.seasons = map[string][]habitat.SeasonChoice{}
	}
	decoded.seasons[text] = slices.Clone(choices)
	return choices, nil
}

// encodeJSON gives the text of a value that always encodes.
func encodeJSON(v any) string {
	text, err := json.Marshal(v)
	if err != nil {
		panic("store: a value that passed Validate does not encode: " + err.Error())
	}
	return string(text)
}

// PutUnit adds a unit or writes a new version of it. A unit that is the same
// already writes nothing. New units come after those that are there. The error is
// ErrNameTaken where a new unit has the name of one that became another.
func (tx *Tx) PutUnit(u habitat.Unit) error {
	if tx.change == 0 {
		return errView
	}
	if tx.fresh[u.ID] {
		return tx.addFresh(u)
	}
	statement, err := tx.prepare("INSERT INTO unit (name) VALUES (?) ON CONFLICT (name) DO NOTHING")
	if err != nil {
		return err
	}
	if err := tx.exec(statement, []any{u.ID}, 0); err != nil {
		return err
	}
	last, err := units.last(tx, []any{u.ID})
	if err != nil {
		return err
	}
	if last.Number == 0 || last.Removed {
		if err := tx.refuseFormerName(u.ID); err != nil {
			return err
		}
		// Files of schema 1 kept the firing of a unit that went. One that comes
		// again does not find it.
		if _, err := documents.remove(tx, string(firing), u.ID); err != nil {
			return err
		}
	}
	return units.putAfter(tx, last, u)
}

// nameMany names the units that a plan adds, in their order, and notes which of the names
// are new: nothing in the file is of such a unit.
func (tx *Tx) nameMany(plan *list.Plan) error {
	if tx.change == 0 {
		return errView
	}
	named := map[string]bool{}
	for _, query := range []string{"SELECT name FROM unit", "SELECT name FROM document WHERE kind = '" + string(firing) + "'"} {
		err := tx.each(query, nil, func(scan scanner) error {
			var name string
			err := scan(&name)
			named[name] = true
			return err
		})
		if err != nil {
			return err
		}
	}
	fresh := map[string]bool{}
	for i := range plan.Changes {
		c := &plan.Changes[i]
		if c.Unit == nil || c.Action != list.Added || named[c.Unit.ID] {
			continue
		}
		named[c.Unit.ID], fresh[c.Unit.ID] = true, true
		if err := tx.writeSoon("INSERT INTO unit (name) VALUES (?)", []any{c.Unit.ID}); err != nil {
			return err
		}
	}
	tx.fresh = fresh
	return nil
}

// addFresh is PutUnit for a unit whose name is new.
func (tx *Tx) addFresh(u habitat.Unit) error {
	delete(tx.fresh, u.ID)
	if err := tx.refuseFormerName(u.ID); err != nil {
		return err
	}
	return units.insertSoon(tx, units.key(&u), units.encode(&u))
}

// RemoveUnit takes a unit away, with all that hangs on it: shape, pairs, locks,
// how it is burned and which tasks were done for it. Its burn records stay. The
// error is ErrUnknown where there is no such unit.
func (tx *Tx) RemoveUnit(name string) error {
	there, err := units.remove(tx, name)
	if err != nil {
		return err
	}
	if !there {
		return fmt.Errorf("unit %q: %w", name, ErrUnknown)
	}
	if _, err := shapes.remove(tx, name); err != nil {
		return err
	}
	ofUnit, err := pairs.current(tx, "? IN (v.unit_a, v.unit_b)", name)
	if err != nil {
		return err
	}
	for _, p := range ofUnit {
		if _, err := pairs.remove(tx, p.A, p.B); err != nil {
			return err
		}
	}
	locked, err := locks.current(tx, "v.unit = ?", name)
	if err != nil {
		return err
	}
	for _, l := range locked {
		if _, err := locks.remove(tx, l.Unit, int(l.Year)); err != nil {
			return err
		}
	}
	if _, err := documents.remove(tx, string(firing), name); err != nil {
		return err
	}
	done, err := headsOnly.current(tx, "v.kind = ?", string(taskDone))
	if err != nil {
		return err
	}
	for _, d := range done {
		var of habitat.TaskDone
		if err := readBody(d, &of); err != nil {
			return err
		}
		if of.Unit != name {
			continue
		}
		if _, err := documents.remove(tx, string(taskDone), d.Name); err != nil {
			return err
		}
	}
	return nil
}

var pairs = define(table[habitat.Pair]{
	name: "pair_version", keys: []string{"unit_a", "unit_b"}, columns: []string{"kind", "shared_feet"}, order: "v.unit_a, v.unit_b",
	key:    func(p *habitat.Pair) []any { return []any{p.A, p.B} },
	encode: func(p *habitat.Pair) []any { return []any{storedKind(p.Kind), float64(p.SharedFeet)} },
	decode: func(scan scanner) (p habitat.Pair, err error) {
		var kind string
		err = scan(&p.A, &p.B, &kind, &p.SharedFeet)
		p.Kind = habitat.PairKind(alias.Current(kind))
		return p, err
	},
})

// storedKind is the spelling of a kind of pair that the schema accepts, which
// is older than the word that is shown.
func storedKind(k habitat.PairKind) string {
	if k == habitat.Neighbors {
		return "neighbours"
	}
	return string(k)
}

// PutPair adds a pair or changes its kind and length.
func (tx *Tx) PutPair(p habitat.Pair) error {
	if p.B < p.A {
		p.A, p.B = p.B, p.A
	}
	return pairs.put(tx, p)
}

// RemovePair takes the pair of two units away, in whatever order they are
// named. The error is ErrUnknown where there is none.
func (tx *Tx) RemovePair(a, b string) error {
	there, err := pairs.remove(tx, min(a, b), max(a, b))
	if err == nil && !there {
		err = fmt.Errorf("pair %q and %q: %w", a, b, ErrUnknown)
	}
	return err
}

var locks = define(table[habitat.Lock]{
	name: "lock_version", keys: []string{"unit", "program_year"}, columns: []string{"burn", "season"},
	join: "JOIN unit ON unit.name = v.unit", order: "v.program_year, unit.id",
	key:    func(l *habitat.Lock) []any { return []any{l.Unit, int(l.Year)} },
	encode: func(l *habitat.Lock) []any { return []any{l.Burn, l.Season} },
	decode: func(scan scanner) (l habitat.Lock, err error) {
		return l, scan(&l.Unit, &l.Year, &l.Burn, &l.Season)
	},
})

// PutLock locks a burn or a rest; it replaces a lock of the same unit and
// program year.
func (tx *Tx) PutLock(l habitat.Lock) error { return locks.put(tx, l) }

// RemoveLock lifts the lock of a unit in a program year. The error is
// ErrUnknown where there is none.
func (tx *Tx) RemoveLock(unit string, year date.ProgramYear) error {
	there, err := locks.remove(tx, unit, int(year))
	if err == nil && !there {
		err = fmt.Errorf("lock of %q in %s: %w", unit, year, ErrUnknown)
	}
	return err
}
