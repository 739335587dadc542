package app

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/settings"
	"emberquilt/habitat/source"
	"emberquilt/habitat/template"
	"emberquilt/store"
)

// Create makes a property file with the starter list of preparation tasks. The
// caller closes it.
func Create(ctx context.Context, path string, p habitat.Property, from Environment) (*Session, error) {
	s, err := store.Create(ctx, path, store.Making{ID: from.PropertyID, By: from.By}, p, from.Moment)
	if err != nil {
		return nil, err
	}
	err = s.Update(ctx, from.Moment, from.By, "begin with the starter list of tasks", func(tx *store.Tx) error {
		for _, task := range preparation.Starter() {
			if err := tx.PutTask(task); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	session, err := NewSession(ctx, s, from)
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return session, nil
}

// ExampleSettings is what a new user begins with: every default, two seasons.
func ExampleSettings() habitat.Property {
	p := habitat.NewProperty("Oak Hill")
	span := func(fromMonth time.Month, from int, toMonth time.Month, to int) date.AnnualSpan {
		return date.AnnualSpan{First: date.Annual{Month: fromMonth, Dom: from}, Last: date.Annual{Month: toMonth, Dom: to}}
	}
	p.Seasons = []habitat.Season{
		{Name: "dormant", Span: span(time.November, 15, time.March, 15)},
		{Name: "early-growing", Span: span(time.March, 16, time.May, 10)},
	}
	return p
}

// SettingsChange is what becomes of the settings.
type SettingsChange struct {
	// To are the new settings; nil leaves them, but for what Renames says.
	To *habitat.Property
	// Template is laid over the settings in place of To; nil for none.
	Template *template.Template
	// Closures take the place of those that stand, and everything else stays; nil leaves
	// them. To and Template are nil then.
	Closures *[]habitat.Closure
	// Renames gives seasons of the settings as they stand other names. To bears the
	// new ones.
	Renames []SeasonName
	Because string
	// DryRun changes nothing.
	DryRun bool
}

// SeasonName is a season's name and the one that it gets.
type SeasonName struct{ From, To string }

// ChangeSettingsOf opens a property file and changes its settings as
// Session.ChangeSettings does. Whole settings are also taken by a file whose own cannot
// be read, or whose seals do not hold: broken then says what is wrong with the file, and
// nothing is said of what was different. Its seals hold no more than before.
func ChangeSettingsOf(ctx context.Context, path string, c SettingsChange, from Environment) (changes []settings.Difference, broken, err error) {
	access := ToChange
	if c.DryRun {
		access = ToRead
	}
	s, err := Open(ctx, path, access, from)
	var unsealed *UnsealedError
	isBroken := errors.As(err, &unsealed) || errors.Is(err, store.ErrSettings)
	if isBroken && c.To != nil && len(c.Renames) == 0 && !c.DryRun {
		return nil, err, c.mend(ctx, path, from, err)
	}
	if err != nil {
		return nil, nil, err
	}
	changes, err = s.ChangeSettings(ctx, c)
	return changes, nil, errors.Join(err, s.Close())
}

// mend puts whole settings into a file that does not open as a Session, for which broken
// says why.
func (c *SettingsChange) mend(ctx context.Context, path string, from Environment, broken error) error {
	s, err := store.Open(ctx, path)
	if err != nil {
		return err
	}
	isOwn, err := s.HasOwnTables(ctx)
	if err == nil && !isOwn {
		err = broken // what others put in place of its tables is not read
	}
	if err != nil {
		return errors.Join(err, s.Close())
	}
	err = s.Update(ctx, from.Moment, from.By, reason("change the settings", c.Because), func(tx *store.Tx) error {
		if err := tx.SetProperty(*c.To); err != nil {
			return err
		}
		now, err := tx.Snapshot()
		if err != nil {
			return err
		}
		return stillGood(now, &now.Property)
	})
	return errors.Join(err, s.Close())
}

// ChangeSettings changes the settings, unless it is a dry run, and says what is
// different. A season that is renamed is renamed wherever it is named. Settings with
// which a stored unit or lock makes no sense are refused.
func (s *Session) ChangeSettings(ctx context.Context, c SettingsChange) (changes []settings.Difference, err error) {
	if c.DryRun {
		_, changes, err = c.over(s.Snapshot)
		return changes, err
	}
	what := "change the settings"
	if c.Template != nil {
		what = "load the " + c.Template.Words()
	}
	err = s.update(ctx, reason(what, c.Because), func(tx *store.Tx) error {
		was, err := tx.Snapshot()
		if err != nil {
			return err
		}
		next, differences, err := c.over(was)
		if err != nil {
			return err
		}
		changes = differences
		if err := tx.SetProperty(next.Property); err != nil {
			return err
		}
		if err := c.rename(tx, next); err != nil || c.Template == nil {
			return err
		}
		return putTemplate(tx, c.Template)
	})
	return changes, err
}

// putTemplate keeps the tasks and prescriptions of a template, each in place of the one
// of its name.
func putTemplate(tx *store.Tx, t *template.Template) error {
	for _, task := range t.Tasks {
		if err := tx.PutTask(task); err != nil {
			return err
		}
	}
	return PutPrescriptions(tx, t.Prescriptions)
}

// loadTemplate keeps the tasks and prescriptions of a template whose settings the
// property has; nil does nothing.
func (s *Session) loadTemplate(ctx context.Context, t *template.Template) error {
	if t == nil {
		return nil
	}
	return s.update(ctx, "load the "+t.Words(), func(tx *store.Tx) error { return putTemplate(tx, t) })
}

// CreateUnder is Create with a template laid over the settings; nil for none. Where it
// fails there is no file.
func CreateUnder(ctx context.Context, path string, p habitat.Property, t *template.Template, from Environment) (*Session, error) {
	if t == nil {
		return Create(ctx, path, p, from)
	}
	p, err := t.Over(&p)
	if err != nil {
		return nil, err
	}
	part, err := store.Begin(path)
	if err != nil {
		return nil, err
	}
	defer part.Discard()
	s, err := Create(ctx, part.Path(), p, from)
	if err != nil {
		return nil, err
	}
	if err := errors.Join(s.loadTemplate(ctx, t), s.Close()); err != nil {
		return nil, err
	}
	if err := part.Publish(); err != nil {
		return nil, err
	}
	return Open(ctx, path, ToChange, from)
}

// templateDifferences says which tasks and prescriptions of a template are new or other
// than those that are there.
func (c *SettingsChange) templateDifferences(now *store.Snapshot) (all []settings.Difference) {
	for _, t := range c.Template.Tasks {
		at := slices.IndexFunc(now.Tasks, func(o habitat.Task) bool { return o.Name == t.Name })
		switch {
		case at < 0:
			all = append(all, settings.Difference{Setting: "task " + t.Name, New: "of the template"})
		case !reflect.DeepEqual(now.Tasks[at], t):
			all = append(all, settings.Difference{Setting: "task " + t.Name, Old: "as it was", New: "of the template"})
		}
	}
	for _, p := range c.Template.Prescriptions {
		body, _ := json.Marshal(p)
		at := slices.IndexFunc(now.Prescriptions, func(o store.Document) bool { return o.Name == p.Name })
		switch {
		case at < 0:
			all = append(all, settings.Difference{Setting: "prescription " + p.Name, New: "of the template"})
		case string(now.Prescriptions[at].Body) != string(body):
			all = append(all, settings.Difference{Setting: "prescription " + p.Name, Old: "as it was", New: "of the template"})
		}
	}
	return all
}

// Template gives what the property has that holds for its county too.
func (s *Session) Template(name, from string) (*template.Template, error) {
	if name = cmp.Or(name, s.Property.Place); name == "" {
		return nil, badOption("template", "the county for which it holds", "%s names no place", s.Property.Name)
	}
	if from == "" {
		return nil, badOption("source", "who says so, such as an office and its guide", "it is missing")
	}
	all, err := s.LoadedPrescriptions()
	if err != nil {
		return nil, err
	}
	t := &template.Template{TemplateOrigin: habitat.TemplateOrigin{Name: name, Source: from, On: s.Today}, Tasks: s.Tasks, Prescriptions: all}
	for _, fault := range unjoin(t.Validate("")) {
		if fault != nil {
			return nil, optionFaults(fault)
		}
	}
	return t, nil
}

// over gives the property as it would be, and what is different.
func (c *SettingsChange) over(was *store.Snapshot) (*store.Snapshot, []settings.Difference, error) {
	next := *was
	next.Units, next.Locks, next.Tasks = slices.Clone(was.AllUnits()), slices.Clone(was.Locks), slices.Clone(was.Tasks)
	for _, r := range c.Renames {
		if next.Property.SeasonIndex(r.From) < 0 {
			return nil, nil, unknownName(
				"rename-season",
				"a season of the property and its new name, as OLD=NEW",
				r.From,
				seasonNames(&was.Property),
				"%q is not a season of %s",
				r.From,
				was.Property.Name,
			)
		}
		if next.Property.SeasonIndex(r.To) >= 0 {
			return nil, nil, badOption("rename-season", "a name that no season bears", "%q is a season already", r.To)
		}
		next.Property.RenameSeason(r.From, r.To)
		for i := range next.Units {
			next.Units[i].RenameSeason(r.From, r.To)
		}
		for i := range next.Locks {
			if next.Locks[i].Season == r.From {
				next.Locks[i].Season = r.To
			}
		}
		for i := range next.Tasks {
			next.Tasks[i].Seasons = slices.Clone(next.Tasks[i].Seasons)
			for k, season := range next.Tasks[i].Seasons {
				if season == r.From {
					next.Tasks[i].Seasons[k] = r.To
				}
			}
		}
	}
	if err := optionFaults(next.Property.Validate()); err != nil {
		return nil, nil, err
	}
	var changes []settings.Difference
	for _, r := range c.Renames {
		changes = append(changes, settings.Difference{Setting: "name of season " + r.From, Old: r.From, New: r.To})
	}
	if c.Template != nil {
		to, err := c.Template.Over(&next.Property)
		if err != nil {
			return nil, nil, err
		}
		c.To = &to
	}
	if c.Closures != nil {
		to := next.Property
		to.Closures = *c.Closures
		c.To = &to
	}
	if c.To != nil {
		if err := c.goneSeason(&next); err != nil {
			return nil, nil, err
		}
		to := *c.To
		if err := settleUnits(&to, was); err != nil {
			return nil, nil, err
		}
		changes = append(changes, settings.Diff(&next.Property, &to)...)
		owned := next.Property.Owned
		next.Property = to
		next.Property.Owned = owned
	}
	if c.Template != nil {
		changes = append(changes, c.templateDifferences(was)...)
	}
	return &next, changes, stillGood(&next, &next.Property)
}

// goneSeason refuses settings that drop a season which units name and bring another:
// it is likely the same under a new name.
func (c *SettingsChange) goneSeason(now *store.Snapshot) error {
	var fresh []string
	for _, season := range c.To.Seasons {
		if now.Property.SeasonIndex(season.Name) < 0 {
			fresh = append(fresh, season.Name)
		}
	}
	if len(fresh) == 0 {
		return nil
	}
	for _, season := range now.Property.Seasons {
		if c.To.SeasonIndex(season.Name) >= 0 {
			continue
		}
		count := 0
		for i := range now.Units {
			if slices.ContainsFunc(now.Units[i].Seasons, func(s habitat.SeasonChoice) bool { return s.Season == season.Name }) {
				count++
			}
		}
		if count > 0 {
			return &OptionError{
				Option: "rename-season",
				Found: fmt.Sprintf(
					"the settings have no season %s anymore, which %s, and a new one, %s",
					source.Quote(season.Name),
					quantity.Count(count, "unit names", "units name"),
					quotedList(fresh),
				),
				Accepts:   "which season got which name, as OLD=NEW; or units that do not name the season",
				IsUnknown: true,
			}
		}
	}
	return nil
}

// rename writes what names the seasons.
func (c *SettingsChange) rename(tx *store.Tx, next *store.Snapshot) error {
	if len(c.Renames) == 0 {
		return nil
	}
	for i := range next.Units {
		if err := tx.PutUnit(next.Units[i]); err != nil {
			return err
		}
	}
	for _, l := range next.Locks {
		if err := tx.PutLock(l); err != nil {
			return err
		}
	}
	for _, t := range next.Tasks {
		if err := tx.PutTask(t); err != nil {
			return err
		}
	}
	for _, r := range c.Renames {
		if err := tx.PutSeasonRename(r.From, r.To); err != nil {
			return err
		}
	}
	return nil
}

// stillGood refuses settings with which a stored unit or lock makes no sense.
func stillGood(snapshot *store.Snapshot, p *habitat.Property) error {
	var list source.List
	check := func(what string, err error) {
		for _, one := range unjoin(err) {
			var fault *habitat.FieldError
			if errors.As(one, &fault) {
				list.Addf(source.Position{File: what, Field: fault.Field}, fault.Accepts, "with these settings, %s", fault.Found)
			} else if one != nil {
				list.Addf(source.Position{File: what}, "", "with these settings, %v", one)
			}
		}
	}
	for i := range snapshot.Units {
		u := &snapshot.Units[i]
		check("unit "+u.ID, u.Validate(p))
	}
	for i := range snapshot.Locks {
		l := &snapshot.Locks[i]
		check(fmt.Sprintf("lock of %s in %d", l.Unit, l.Year), l.Validate(p))
	}
	return list.Err()
}

// unjoin gives the errors that errors.Join put together.
func unjoin(err error) []error {
	var joined interface{ Unwrap() []error }
	if !errors.As(err, &joined) {
		return []error{err}
	}
	var all []error
	for _, one := range joined.Unwrap() {
		all = append(all, unjoin(one)...)
	}
	return all
}
