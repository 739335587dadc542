package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

var burns = define(table[habitat.BurnRecord]{
	name: "burn_version", keys: []string{"burn"},
	columns: []string{"unit", "first_on", "last_on", "kind", "acres", "purpose", "ignition", "start_time", "end_time", "readings",
		"fuel_moisture", "soil_moisture", "crew", "permit", "notified", "consumed", "top_killed", "escapes", "mop_up_end", "files", "notes", "outline"},
	order: "v.last_on, v.unit, v.burn",
	key:   func(r *habitat.BurnRecord) []any { return []any{r.ID} },
	encode: func(r *habitat.BurnRecord) []any {
		var acres any
		if r.HasAcres {
			acres = float64(r.Acres)
		}
		return []any{r.Unit, r.On.String(), r.Through.String(), string(r.Kind), acres, r.Purpose, r.Ignition, r.Start, r.End, encodeReadings(r.Readings),
			r.FuelMoisture, r.SoilMoisture, r.Crew, r.Permit, encodeNotified(r.Notified), optionalShare(r.Consumed), optionalShare(r.TopKilled),
			r.Escapes, r.MopUpEnd, encodeFiles(r.Files), r.Notes, optionalText(r.Outline)}
	},
	decode: decodeBurn,
})

func optionalShare(s *quantity.Share) any {
	if s == nil {
		return nil
	}
	return float64(*s)
}

func shareOf(v sql.NullFloat64) *quantity.Share {
	if !v.Valid {
		return nil
	}
	s := quantity.Share(v.Float64)
	return &s
}

func decodeBurn(scan scanner) (r habitat.BurnRecord, err error) {
	var on, through, readings, notified, files string
	var acres, consumed, topKilled sql.NullFloat64
	var outline sql.NullString
	err = scan(&r.ID, &r.Unit, &on, &through, &r.Kind, &acres, &r.Purpose, &r.Ignition, &r.Start, &r.End, &readings,
		&r.FuelMoisture, &r.SoilMoisture, &r.Crew, &r.Permit, &notified, &consumed, &topKilled, &r.Escapes, &r.MopUpEnd, &files, &r.Notes, &outline)
	if err != nil {
		return r, err
	}
	r.Acres, r.HasAcres, r.Outline = quantity.Acres(acres.Float64), acres.Valid, outline.String
	r.Consumed, r.TopKilled = shareOf(consumed), shareOf(topKilled)
	if r.On, err = date.ParseDay(on); err != nil {
		return r, err
	}
	if r.Through, err = date.ParseDay(through); err != nil {
		return r, err
	}
	if r.Readings, err = decodeReadings(readings); err != nil {
		return r, err
	}
	if r.Notified, err = decodeNotified(notified); err != nil {
		return r, err
	}
	r.Files, err = decodeFiles(files)
	return r, err
}

// AddBurn puts a burn on record and gives it its id; r.ID is not read. Where a
// burn of the same unit, first day and kind is on record the error is
// *SameBurn: one burn must not be counted twice.
func (tx *Tx) AddBurn(r habitat.BurnRecord) (id int64, err error) {
	if tx.taken != nil {
		return tx.addOneOfMany(r)
	}
	if err := tx.refuseSame(&r, 0); err != nil {
		return 0, err
	}
	if err := tx.each("SELECT coalesce(max(burn), 0) + 1 FROM burn_version", nil, func(scan scanner) error { return scan(&id) }); err != nil {
		return 0, err
	}
	r.ID = id
	return id, burns.put(tx, r)
}

// sameKey is what makes two burns the same: the unit by the name that it bears now.
type sameKey struct{ unit, on, kind string }

// addMany reads once what adding each of many burns would look up. What else changes
// burns ends it.
func (tx *Tx) addMany() error {
	l, err := tx.Lineage()
	if err != nil {
		return err
	}
	all, err := burns.current(tx, "")
	if err != nil {
		return err
	}
	taken := make(map[sameKey]int64, len(all))
	for i := range all {
		taken[sameKey{l.RenamedTo(all[i].Unit, 0), all[i].On.String(), string(all[i].Kind)}] = all[i].ID
	}
	if err := tx.each("SELECT coalesce(max(burn), 0) + 1 FROM burn_version", nil, func(scan scanner) error { return scan(&tx.nextBurn) }); err != nil {
		return err
	}
	tx.taken = taken
	return nil
}

// addOneOfMany is AddBurn after addMany.
func (tx *Tx) addOneOfMany(r habitat.BurnRecord) (id int64, err error) {
	l, err := tx.Lineage()
	if err != nil {
		return 0, err
	}
	key := sameKey{l.RenamedTo(r.Unit, 0), r.On.String(), string(r.Kind)}
	if _, ok := tx.taken[key]; ok {
		if err := tx.refuseSame(&r, 0); err != nil {
			return 0, err
		}
	}
	r.ID = tx.nextBurn
	if err := burns.insertSoon(tx, burns.key(&r), burns.encode(&r)); err != nil {
		return 0, err
	}
	tx.taken[key] = r.ID
	tx.nextBurn++
	return r.ID, nil
}

// CorrectBurn writes a new version of the burn r.ID; the versions before stay
// readable. The error is ErrUnknown where there is no such burn, *SameBurn where
// the correction makes it the same as another, ErrShare where r is what a unit has
// of a burn of another: the burn is corrected as it was written.
func (tx *Tx) CorrectBurn(r habitat.BurnRecord) error {
	tx.taken = nil
	if err := tx.hasBurn(r.ID); err != nil {
		return err
	}
	if r.Of != nil {
		if r.Of.IsShare {
			return fmt.Errorf("burn %d of %q: %w", r.ID, r.Unit, ErrShare)
		}
		r.Unit = r.Of.Unit
	}
	if err := tx.refuseSame(&r, r.ID); err != nil {
		return err
	}
	return burns.put(tx, r)
}

// ErrShare means that a record is what a unit has of a burn that was written for
// another, which was split or merged since.
var ErrShare = errors.New("the burn was recorded for a unit that was split or merged since; accepts a correction of the burn by its number")

// WithdrawBurn takes a burn from the record, as one that never was; its versions
// stay readable. The error is ErrUnknown where there is no such burn.
func (tx *Tx) WithdrawBurn(id int64) error {
	tx.taken = nil
	if err := tx.hasBurn(id); err != nil {
		return err
	}
	_, err := burns.remove(tx, id)
	return err
}

// Burns gives the current burn records, also those of units that are gone, in
// order of their last day.
func (tx *Tx) Burns() ([]habitat.BurnRecord, error) {
	all, err := burns.current(tx, "")
	if err != nil {
		return nil, err
	}
	return all, tx.unitAcres(all)
}

// unitAcres gives each record the acres that its unit had when it was recorded:
// those of the change that first wrote the burn of that unit without acres. A
// correction of something else, and a later change of the unit, leave them.
func (tx *Tx) unitAcres(all []habitat.BurnRecord) error {
	same, err := tx.unchangedAcres()
	if err != nil {
		return err
	}
	changed := map[string]bool{}
	for i := range all {
		r := &all[i]
		if r.HasAcres {
			continue
		}
		var ok bool
		if r.UnitAcres, ok = same[r.Unit]; !ok {
			changed[r.Unit] = true
		}
	}
	if len(changed) == 0 {
		return nil
	}
	names, err := json.Marshal(slices.Collect(maps.Keys(changed)))
	if err != nil {
		return fmt.Errorf("name units: %w", err)
	}
	type burn struct {
		id   int64
		unit string
	}
	acres := map[burn]quantity.Acres{}
	err = tx.each(`SELECT b.burn, b.unit, coalesce((SELECT u.acres FROM unit_version AS u
			WHERE u.unit = b.unit AND u.change <= b.change ORDER BY u.version DESC LIMIT 1), 0)
		FROM (SELECT burn, unit, min(change) AS change FROM burn_version
			WHERE acres IS NULL AND unit IN (SELECT value FROM json_each(?)) GROUP BY burn, unit) AS b`, []any{string(names)}, func(scan scanner) error {
		var b burn
		var of float64
		err := scan(&b.id, &b.unit, &of)
		acres[b] = quantity.Acres(of)
		return err
	})
	for i := range all {
		if r := &all[i]; !r.HasAcres && changed[r.Unit] {
			r.UnitAcres = acres[burn{r.ID, r.Unit}]
		}
	}
	return err
}

// unchangedAcres gives the acres of units of one version that is older than each of their
// burns: they need no look at the change of a burn.
func (tx *Tx) unchangedAcres() (map[string]quantity.Acres, error) {
	first := map[string]int64{} // change in which a burn of the unit was first written
	err := tx.each("SELECT unit, min(change) FROM burn_version WHERE acres IS NULL GROUP BY unit", nil, func(scan scanner) error {
		var unit string
		var change int64
		err := scan(&unit, &change)
		first[unit] = change
		return err
	})
	if err != nil {
		return nil, err
	}
	same := make(map[string]quantity.Acres, len(first))
	err = tx.each("SELECT unit, acres, change FROM unit_version GROUP BY unit HAVING count(*) = 1", nil, func(scan scanner) error {
		var unit string
		var of *float64
		var change int64
		err := scan(&unit, &of, &change)
		if written, ok := first[unit]; ok && of != nil && change <= written {
			same[unit] = quantity.Acres(*of)
		}
		return err
	})
	return same, err
}

func (tx *Tx) hasBurn(id int64) error {
	last, err := burns.last(tx, []any{id})
	if err == nil && (last.Number == 0 || last.Removed) {
		err = fmt.Errorf("burn %d: %w", id, ErrUnknown)
	}
	return err
}

// SameBurn says which burn on record a new one would double.
type SameBurn struct{ Old, New habitat.BurnRecord }

func (e *SameBurn) Error() string {
	if e.Old.Kind.IsTreatment() {
		return fmt.Sprintf("the %s of unit %q on %s is on record as record %d", e.Old.Kind, e.Old.Unit, e.Old.On, e.Old.ID)
	}
	return fmt.Sprintf("a %s burn of unit %q on %s is on record as burn %d", e.Old.Kind, e.Old.Unit, e.Old.On, e.Old.ID)
}

// Is makes errors.Is find ErrSameBurn.
func (e *SameBurn) Is(target error) bool { return target == ErrSameBurn }

func (tx *Tx) refuseSame(r *habitat.BurnRecord, but int64) error {
	l, err := tx.Lineage()
	if err != nil {
		return err
	}
	unit := l.RenamedTo(r.Unit, 0)
	for _, name := range namesOf(l, r.Unit, unit) {
		same, err := burns.current(tx, "v.unit = ? AND v.first_on = ? AND v.kind = ? AND v.burn <> ?", name, r.On.String(), string(r.Kind), but)
		if err != nil {
			return err
		}
		if len(same) > 0 {
			return &SameBurn{Old: same[0], New: *r}
		}
	}
	return nil
}

// namesOf lists the names that a unit has borne, the one of a record first.
func namesOf(l habitat.Lineage, written, now string) []string {
	names := []string{written}
	for i := range l {
		for _, part := range slices.Concat(l[i].From, l[i].To) {
			if l.RenamedTo(part.Unit, 0) == now && !slices.Contains(names, part.Unit) {
				names = append(names, part.Unit)
			}
		}
	}
	return names
}

// BurnHistory gives all versions of a burn record, the oldest first; none where
// there never was one of the id.
func (s *Store) BurnHistory(ctx context.Context, id int64) (all []Version[habitat.BurnRecord], err error) {
	err = s.View(ctx, func(tx *Tx) error {
		if all, err = burns.history(tx, id); err != nil {
			return err
		}
		values := make([]habitat.BurnRecord, len(all))
		for i := range all {
			values[i] = all[i].Value
			values[i].ID = id
		}
		if err := tx.unitAcres(values); err != nil {
			return err
		}
		for i := range all {
			all[i].Value.UnitAcres = values[i].UnitAcres
		}
		return nil
	})
	return all, err
}

// The forms in which the lists of a record lie in the file.
type (
	reading struct {
		At          string                 `json:"at"`
		Temperature *quantity.Fahrenheit   `json:"temp_f,omitempty"`
		Humidity    *quantity.Percent      `json:"rh_pct,omitempty"`
		Wind        *quantity.MilesPerHour `json:"wind_mph,omitempty"`
		WindFrom    *quantity.Bearing      `json:"wind_from_deg,omitempty"`
	}
	notification struct {
		Who string `json:"who"`
		At  string `json:"at"`
	}
	attachment struct {
		Path   string `json:"path"`
		SHA256 string `json:"sha256"`
	}
)

func encodeReadings(in []habitat.Reading) string {
	return encodeList(in, func(r habitat.Reading) reading { return reading(r) })
}
func decodeReadings(text string) ([]habitat.Reading, error) {
	return decodeList(text, func(r reading) habitat.Reading { return habitat.Reading(r) })
}
func encodeNotified(in []habitat.Notification) string {
	return encodeList(in, func(n habitat.Notification) notification { return notification(n) })
}
func decodeNotified(text string) ([]habitat.Notification, error) {
	return decodeList(text, func(n notification) habitat.Notification { return habitat.Notification(n) })
}
func encodeFiles(in []habitat.Attachment) string {
	return encodeList(in, func(f habitat.Attachment) attachment { return attachment(f) })
}
func decodeFiles(text string) ([]habitat.Attachment, error) {
	return decodeList(text, func(f attachment) habitat.Attachment { return habitat.Attachment(f) })
}

func encodeList[V, J any](in []V, one func(V) J) string {
	if len(in) == 0 {
		return "[]"
	}
	out := make([]J, len(in))
	for i, v := range in {
		out[i] = one(v)
	}
	return encodeJSON(out)
}

func decodeList[V, J any](text string, one func(J) V) ([]V, error) {
	if text == "[]" {
		return nil, nil
	}
	var in []J
	if err := json.Unmarshal([]byte(text), &in); err != nil {
		return nil, err
	}
	out := make([]V, len(in))
	for i, j := range in {
		out[i] = one(j)
	}
	return out, nil
}

// RecordVersions gives every version of every burn record by its id, the oldest
// first.
func (s *Store) RecordVersions(ctx context.Context) (all map[int64][]Version[habitat.BurnRecord], err error) {
	all = map[int64][]Version[habitat.BurnRecord]{}
	err = s.View(ctx, func(tx *Tx) error {
		return tx.each(
			fmt.Sprintf(
				"SELECT %s, version, removed, %s FROM burn_version AS v JOIN change AS c ON c.id = v.change ORDER BY v.burn, v.version",
				changeColumns,
				burns.selection("v."),
			),
			nil,
			func(scan scanner) error {
				var v Version[habitat.BurnRecord]
				var err error
				v.Value, err = burns.decode(func(dest ...any) error {
					v.Change, err = scanChange(func(change ...any) error {
						return scan(append(append(change, &v.Number, &v.Removed), dest...)...)
					})
					return err
				})
				all[v.Value.ID] = append(all[v.Value.ID], v)
				return err
			},
		)
	})
	return all, err
}
