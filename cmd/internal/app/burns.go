package app

import (
	"context"
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/store"
)

// BurnChange is what a caller says of a burn; nil leaves as it is what stands.
// Readings, notices and files are added to those that are there.
type BurnChange struct {
	// On moves the last day with it where the burn took one day.
	On, Through *date.Day
	Kind        *habitat.RecordKind
	Acres       *quantity.Acres
	// Outline is what burned, in place of Acres.
	Outline *Outline

	Purpose, Ignition, Start, End, FuelMoisture, SoilMoisture *string
	Crew, Permit, Escapes, MopUpEnd, Notes                    *string
	Consumed, TopKilled                                       *quantity.Share

	Readings []habitat.Reading
	Notified []habitat.Notification
	Files    []habitat.Attachment
}

// Outline is what burned, drawn on the ground.
type Outline struct {
	// File is where it came from; it is kept with the record. Name is what the
	// caller calls it.
	File  habitat.Attachment
	Name  string
	Shape ground.Shape
}

// OverlapError refuses a record whose days overlap with those of another fire of the
// unit: the two may be the same.
type OverlapError struct{ Other habitat.BurnRecord }

// Error says which fire is on record.
func (e *OverlapError) Error() string { return view.OverlapWords(&e.Other) }

// onto puts the change over a record; shape is that of its unit.
func (c *BurnChange) onto(r *habitat.BurnRecord, shape ground.Shape) error {
	if c.On != nil {
		if r.Through == r.On {
			r.Through = *c.On
		}
		r.On = *c.On
	}
	if c.Through != nil {
		r.Through = *c.Through
	}
	if c.Kind != nil {
		r.Kind = *c.Kind
	}
	if c.Acres != nil {
		if !r.HasAcres || r.Acres != *c.Acres {
			r.Outline = "" // it shows other acres
		}
		r.Acres, r.HasAcres = *c.Acres, true
	}
	for _, text := range []struct{ from, to *string }{
		{c.Purpose, &r.Purpose}, {c.Ignition, &r.Ignition}, {c.Start, &r.Start}, {c.End, &r.End}, {c.FuelMoisture, &r.FuelMoisture},
		{c.SoilMoisture, &r.SoilMoisture}, {c.Crew, &r.Crew}, {c.Permit, &r.Permit}, {c.Escapes, &r.Escapes}, {c.MopUpEnd, &r.MopUpEnd}, {c.Notes, &r.Notes},
	} {
		if text.from != nil {
			*text.to = *text.from
		}
	}
	for _, share := range []struct {
		option string
		from   *quantity.Share
		to     **quantity.Share
	}{{"consumed", c.Consumed, &r.Consumed}, {"top-killed", c.TopKilled, &r.TopKilled}} {
		if share.from == nil {
			continue
		}
		if v := float64(*share.from); !(v >= 0 && v <= 1) {
			return badOption(share.option, "a share from 0 to 1", "%v is not a share", v)
		}
		*share.to = share.from
	}
	r.Readings = append(slices.Clip(r.Readings), c.Readings...)
	r.Notified = append(slices.Clip(r.Notified), c.Notified...)
	r.Files = append(slices.Clip(r.Files), c.Files...)
	if c.Outline != nil {
		return c.Outline.onto(r, shape)
	}
	return nil
}

// onto takes the acres from the outline: what of it lies within the unit, or all of
// it where the unit has no shape.
func (o *Outline) onto(r *habitat.BurnRecord, unit ground.Shape) error {
	bad := func(found, accepts string) error {
		return &source.Error{Position: source.Position{File: o.Name}, Found: found, Accepts: accepts}
	}
	if o.Shape.IsEmpty() {
		return bad("holds no outline with an area", "the outline that burned, as one polygon or more")
	}
	r.Acres, r.HasAcres = o.Shape.Acres(), true
	if !unit.IsEmpty() {
		within, ok := ground.CommonAcres(o.Shape, unit)
		switch {
		case !ok:
			return &AdvisedError{Advice: StateAcres, Fault: &source.Error{Position: source.Position{File: o.Name},
				Found: "its lines cross so wildly that it cannot be measured against the unit", Accepts: "an outline that does not cross itself"}}
		case within <= 0:
			return bad("lies outside "+source.Quote(r.Unit), "an outline within the unit")
		}
		r.Acres = within
	}
	outline, err := o.Shape.MarshalJSON()
	if err != nil {
		return err
	}
	r.Outline = string(outline)
	r.Files = append(r.Files, o.File)
	return nil
}

// RecordBurn puts a burn of a unit on record; on is its first day. Unless it is
// another fire, one whose days overlap with a fire on record is an OverlapError.
func (s *Session) RecordBurn(ctx context.Context, unit string, on date.Day, c BurnChange, another bool) (*view.NotedBurn, error) {
	kind := habitat.Prescribed
	if c.Kind != nil {
		kind = *c.Kind
	}
	return s.changeBurn(ctx, recordReason(kind, unit), func(tx *store.Tx, now *Session) (r habitat.BurnRecord, err error) {
		u, err := FindUnit(now.Snapshot, unit)
		if err != nil {
			return r, err
		}
		r = habitat.BurnRecord{Unit: u.ID, On: on, Through: on, Kind: habitat.Prescribed}
		if err := c.onto(&r, now.Current().Shapes[u.ID]); err != nil {
			return r, err
		}
		if err := optionFaults(r.Validate(u, s.Today)); err != nil {
			return r, err
		}
		if o := now.Overlapping(&r); o != nil && !another && (o.On != r.On || o.Kind != r.Kind || o.Of != nil && o.Of.IsShare) { // of the very same one the store itself says so
			return r, &OverlapError{*o}
		}
		r.ID, err = tx.AddBurn(r)
		return r, err
	})
}

// recordReason words the change that puts a record on record: a treatment is no burn.
func recordReason(kind habitat.RecordKind, unit string) string {
	if kind.IsTreatment() {
		return fmt.Sprintf("record %s of %s", kind, unit)
	}
	return "record a burn of " + unit
}

// AddBurn puts a record on record that a caller has filled and checked.
func (s *Session) AddBurn(ctx context.Context, r habitat.BurnRecord) (*view.NotedBurn, error) {
	return s.changeBurn(ctx, recordReason(r.Kind, r.Unit), func(tx *store.Tx, now *Session) (_ habitat.BurnRecord, err error) {
		u, err := FindUnit(now.Snapshot, r.Unit)
		if err != nil {
			return r, err
		}
		if err := optionFaults(r.Validate(u, s.Today)); err != nil {
			return r, err
		}
		r.ID, err = tx.AddBurn(r)
		return r, err
	})
}

// CorrectBurn writes a new version of a record with what the change says.
func (s *Session) CorrectBurn(ctx context.Context, id int64, c BurnChange, because string) (*view.NotedBurn, error) {
	return s.correct(ctx, id, because, func(r *habitat.BurnRecord, shape ground.Shape) error { return c.onto(r, shape) })
}

// ReplaceBurn writes a new version of a record that a caller has filled and checked.
func (s *Session) ReplaceBurn(ctx context.Context, r habitat.BurnRecord, because string) (*view.NotedBurn, error) {
	return s.correct(ctx, r.ID, because, func(was *habitat.BurnRecord, _ ground.Shape) error {
		*was = r
		return nil
	})
}

func (s *Session) correct(ctx context.Context, id int64, because string, change func(*habitat.BurnRecord, ground.Shape) error) (*view.NotedBurn, error) {
	if because == "" {
		return nil, badOption("because", "the reason of the correction, which is kept with it", "it is missing")
	}
	return s.changeBurn(ctx, fmt.Sprintf("correct burn %d: %s", id, because), func(tx *store.Tx, now *Session) (habitat.BurnRecord, error) {
		r, unit, err := now.Burn(id)
		if err != nil {
			return r, err
		}
		if err := change(&r, now.Current().Shapes[unit.ID]); err != nil {
			return r, err
		}
		if err := optionFaults(r.Validate(unit, s.Today)); err != nil {
			return r, err
		}
		return r, tx.CorrectBurn(r)
	})
}

// WithdrawBurn takes a burn that never was from the record; its versions stay.
func (s *Session) WithdrawBurn(ctx context.Context, id int64, because string) error {
	if because == "" {
		return badOption("because", "the reason, which is kept with the record", "it is missing")
	}
	return s.update(ctx, fmt.Sprintf("withdraw burn %d: %s", id, because), func(tx *store.Tx) error { return tx.WithdrawBurn(id) })
}

// changeBurn runs one change of a record, on the property as it is within the
// change, and says what came of it.
func (s *Session) changeBurn(ctx context.Context, why string, do func(*store.Tx, *Session) (habitat.BurnRecord, error)) (*view.NotedBurn, error) {
	var record habitat.BurnRecord
	err := s.update(ctx, why, func(tx *store.Tx) error {
		snapshot, err := tx.Snapshot()
		if err != nil {
			return err
		}
		record, err = do(tx, &Session{Snapshot: snapshot, Environment: s.Environment, Store: s.Store})
		return err
	})
	if err != nil {
		return nil, err
	}
	return s.noted(&record)
}

// noted says what a record means for the plan.
func (s *Session) noted(r *habitat.BurnRecord) (*view.NotedBurn, error) {
	season, year, inSeason := s.Property.SeasonOf(r.Through)
	v := &view.NotedBurn{Record: *r, Year: year}
	if inSeason {
		v.Season = s.Property.Seasons[season].Name
	}
	unit, records, err := s.unitThen(r.Unit)
	if err != nil {
		return nil, err
	}
	reset, ok := s.Property.LastReset(unit, records, year, r.Through)
	v.Resets = ok && reset.Year == year
	v.LaterReset = s.laterReset(unit, records, r)
	return v, nil
}

// unitThen gives the unit that a record was written for and the records that count
// for it. Of a unit that has become others it gives what it was, and what was
// written for it.
func (s *Session) unitThen(name string) (*habitat.Unit, []habitat.BurnRecord, error) {
	if c := s.Lineage.Last(name); c != nil && !slices.Equal(s.Lineage.Now(name, 0), []string{name}) {
		at := slices.IndexFunc(c.From, func(p habitat.UnitPart) bool { return p.Unit == name })
		return &habitat.Unit{ID: name, Acres: c.From[at].Acres, Interval: habitat.Interval{Min: 1, Max: 1}}, s.Written, nil
	}
	unit, err := FindUnit(s.Snapshot, name)
	return unit, s.Records, err
}

// laterReset gives the program year of the last burn on record after a day that set
// the unit's stand age back; 0 where there is none.
func (s *Session) laterReset(unit *habitat.Unit, records []habitat.BurnRecord, r *habitat.BurnRecord) date.ProgramYear {
	last := r.Through
	for i := range records {
		if o := &records[i]; o.Unit == unit.ID && o.Through.After(last) {
			last = o.Through
		}
	}
	reset, ok := s.Property.LastReset(unit, records, s.Property.YearOf(last), last)
	if !ok || reset.Year <= s.Property.YearOf(r.Through) {
		return 0
	}
	return reset.Year
}

// Overlapping finds another fire of the unit on record whose days overlap: it may be
// the same one; nil where there is none. Attempts are not doubles: the burn may have
// followed.
func (s *Session) Overlapping(r *habitat.BurnRecord) *habitat.BurnRecord {
	if r.Kind == habitat.Attempt {
		return nil
	}
	for i := range s.Records {
		o := &s.Records[i]
		if o.Unit == r.Unit && o.ID != r.ID && o.Kind != habitat.Attempt && o.Kind.IsTreatment() == r.Kind.IsTreatment() && (!o.Kind.IsTreatment() || o.Kind == r.Kind) &&
			!o.On.After(r.Through) &&
			!r.On.After(o.Through) {
			return o
		}
	}
	return nil
}

// Burn gives a record that is current as it was written, and the unit that it was
// written for.
func (s *Session) Burn(id int64) (habitat.BurnRecord, *habitat.Unit, error) {
	for _, r := range s.Written {
		if r.ID == id && !slices.ContainsFunc(s.Former, func(f habitat.BurnRecord) bool { return f.ID == id }) {
			unit, _, err := s.unitThen(r.Unit)
			return r, unit, err
		}
	}
	return habitat.BurnRecord{}, nil, noBurn(id)
}

// BurnHistory gives every version of a record, the first one first.
func (s *Session) BurnHistory(ctx context.Context, id int64) ([]view.BurnVersion, error) {
	versions, err := s.Store.BurnHistory(ctx, id)
	if err != nil {
		return nil, err
	}
	if len(versions) == 0 {
		return nil, noBurn(id)
	}
	all := make([]view.BurnVersion, len(versions))
	for i := range versions {
		v := &versions[i]
		all[i] = view.NewBurnVersion(v.Number, v.Change.At, v.Change.Reason, v.Removed, &v.Value)
	}
	return all, nil
}

// BurnsOf gives the records of a unit; an empty unit means all.
func (s *Session) BurnsOf(unit string) ([]habitat.BurnRecord, error) {
	if unit == "" {
		return together(s.Records), nil
	}
	u, err := FindUnit(s.Snapshot, unit)
	if err != nil {
		return nil, err
	}
	var all []habitat.BurnRecord
	for _, r := range s.Records {
		if r.Unit == u.ID {
			all = append(all, r)
		}
	}
	return together(all), nil
}

// together makes one row of the shares that a unit has of one burn, as after parts
// of a unit were merged again.
func together(records []habitat.BurnRecord) []habitat.BurnRecord {
	var all []habitat.BurnRecord
	for _, r := range records {
		at := -1
		if r.Of != nil && r.Of.IsShare && r.HasAcres {
			at = slices.IndexFunc(all, func(o habitat.BurnRecord) bool { return o.ID == r.ID && o.Unit == r.Unit && o.HasAcres })
		}
		if at >= 0 {
			all[at].Acres += r.Acres
			continue
		}
		all = append(all, r)
	}
	return all
}

func noBurn(id int64) error {
	return &AdvisedError{
		Fault:  &source.Error{Position: source.Position{File: "NUMBER"}, Found: fmt.Sprintf("there is no burn %d", id), Accepts: "the number of one on record"},
		Advice: ListBurns,
	}
}
