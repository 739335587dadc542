package app

import (
	"context"
	"errors"
	"slices"
	"strings"

	"emberquilt/habitat/date"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/store"
)

// ChangesOptions say which changes are listed; the zero value lists all.
type ChangesOptions struct {
	// Unit keeps those that speak of a unit, also under the names that it or what it
	// came from had; of plans and settings, which speak of all units, none.
	Unit string
	// Contract keeps those of a contract.
	Contract string
	// Since keeps those of a day and after it.
	Since date.Day
}

// Changes lists who changed what, when and why, the oldest change first.
func (s *Session) Changes(ctx context.Context, o ChangesOptions) ([]view.JournalEntry, error) {
	if o.Contract != "" {
		c, err := s.contract(o.Contract)
		if err != nil {
			return nil, err
		}
		o.Contract = c.Name
	}
	journal, err := s.Store.Journal(ctx)
	if err != nil {
		return nil, err
	}
	all := []view.JournalEntry{}
	var known []string
	for _, entry := range journal {
		e := view.NewJournalEntry(entry.Number, string(entry.Stamp()), entry.At, entry.By, entry.Reason)
		for _, t := range entry.Touched {
			one := view.JournalTouch{Kind: t.Kind, Name: t.Name, Version: t.Version, Removed: t.Removed, Units: append([]string{}, t.Units...), Fields: []view.JournalField{}}
			for _, f := range t.Fields {
				one.Fields = append(one.Fields, view.JournalField{Field: f.Name, Was: f.Was, Is: f.Is})
			}
			e.Touched = append(e.Touched, one)
			known = append(known, t.Units...)
		}
		all = append(all, e)
	}
	names, err := s.namesOf(o.Unit, known)
	if err != nil {
		return nil, err
	}
	if o.Unit != "" || o.Contract != "" {
		for i := range all {
			all[i].Touched = slices.DeleteFunc(all[i].Touched, func(t view.JournalTouch) bool {
				ofUnit := o.Unit == "" || slices.ContainsFunc(t.Units, func(unit string) bool { return slices.Contains(names, unit) })
				ofContract := o.Contract == "" || t.Kind == "contract" && t.Name == o.Contract
				return !ofUnit || !ofContract
			})
		}
		all = slices.DeleteFunc(all, func(e view.JournalEntry) bool { return len(e.Touched) == 0 })
	}
	return slices.DeleteFunc(all, func(e view.JournalEntry) bool { return e.On.Before(o.Since) }), nil
}

// namesOf gives the names that a unit and what it came from had; also of a unit that
// is gone, as long as the journal knows the name.
func (s *Session) namesOf(unit string, known []string) ([]string, error) {
	if unit == "" {
		return nil, nil
	}
	names := []string{unit}
	if !slices.Contains(known, unit) {
		found, err := FindUnit(s.Snapshot, unit)
		if err != nil {
			return nil, err
		}
		names[0] = found.ID
	}
	for i := len(s.Lineage) - 1; i >= 0; i-- {
		c := &s.Lineage[i]
		for _, part := range c.To {
			if slices.Contains(names, part.Unit) {
				for _, from := range c.From {
					names = append(names, from.Unit)
				}
				break
			}
		}
	}
	return names, nil
}

// AsOf is a moment in the life of a property file.
type AsOf struct {
	// Change is a change of the file; 0 means the last one by On.
	Change int
	// Seal is the beginning of the change's seal, where it was named with it.
	Seal string
	// On is the day that counts as today; zero means that of the change.
	On date.Day
}

// ParseAsOf reads a moment: a change, with the beginning of its seal or without, or a
// date. on is the day that counts as today, where it is said; a date is that day already.
func ParseAsOf(text string, on date.Day) (AsOf, error) {
	if day, err := date.ParseDay(text); err == nil {
		if !on.IsZero() {
			return AsOf{}, badOption("on", "a day beside a change; a date is the day already", "%s is said beside the date %s", on, text)
		}
		return AsOf{On: day}, nil
	}
	number, seal, ok := view.ParseStamp(text)
	if !ok {
		return AsOf{}, badOption("as-of", "a change, such as 5 or \"change 5 (b9dd05c4)\", or a date as YYYY-MM-DD", "%s is neither a change nor a date", source.Quote(text))
	}
	return AsOf{Change: number, Seal: seal, On: on}, nil
}

// OpenAsOf opens a property file as it was at a moment, to write papers of it: its
// seals are checked first, all of them. The day of the moment counts as today.
func OpenAsOf(ctx context.Context, path string, at AsOf, from Environment) (*Session, error) {
	whole, err := Open(ctx, path, ToRead, from)
	if err != nil {
		return nil, err
	}
	defer whole.Close()
	changes, err := whole.Store.Changes(ctx)
	if err != nil {
		return nil, err
	}
	if at.Change == 0 {
		for _, c := range changes {
			if !date.DayOf(c.At).After(at.On) {
				at.Change = c.Number
			}
		}
		if at.Change == 0 {
			return nil, badOption("as-of", "a date from "+date.DayOf(changes[0].At).String()+" on, when the file was made", "there was no property file on %s", at.On)
		}
	}
	if at.Change > len(changes) {
		return nil, badOption("as-of", "the number of a change of this file, or a date", "there is no change %d; the last one is %d", at.Change, len(changes))
	}
	change := changes[at.Change-1]
	if !strings.HasPrefix(change.SHA256, at.Seal) {
		return nil, badOption(
			"as-of",
			"the stamp of a change of this file",
			"change %d of this file is %s, not %s",
			at.Change,
			view.ChangeWords(string(change.Stamp())),
			source.Quote(at.Seal),
		)
	}
	if at.On.IsZero() {
		at.On = date.DayOf(change.At)
	}
	if at.On.After(from.Today) {
		return nil, badOption("as-of", "a date up to "+from.Today.String(), "%s is in the future", at.On)
	}
	if at.On.Before(date.DayOf(change.At)) {
		return nil, badOption("on", "a date from "+date.DayOf(change.At).String()+" on, the day of the change", "%s is before change %d was made", at.On, at.Change)
	}
	old, err := store.OpenAsOf(ctx, path, at.Change)
	if err != nil {
		return nil, err
	}
	printed := from.Today
	from.Today = at.On
	session, err := NewSession(ctx, old, from)
	if err != nil {
		return nil, errors.Join(err, old.Close())
	}
	session.asOf = view.AsOfWords(view.AsOf{On: at.On, Change: view.ChangeWords(string(change.Stamp())), Now: view.ChangeWords(string(whole.Change.Stamp())), Printed: printed})
	return session, nil
}
