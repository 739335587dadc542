package store

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"emberquilt/habitat/alias"
	"emberquilt/habitat/settings"
)

// Entry is a change with all that it wrote.
type Entry struct {
	Change
	Touched []Touched
}

// Touched is a value of which a change wrote a version.
type Touched struct {
	// Kind says what it is: "settings", "unit", "outline", "pair", "lock", "burn",
	// "plan", or the kind of a document; Name which one.
	Kind, Name string
	Version    int
	// Removed says that the version took the value away.
	Removed bool
	// Units are those that it speaks of, sorted.
	Units []string
	// Fields are what differs from the version before; of a first version, all that
	// it holds.
	Fields []FieldChange
}

// FieldChange is what became of one field of a value; Was is empty where it is new, Is
// where it is gone.
type FieldChange struct{ Name, Was, Is string }

// Journal gives every change with all that it wrote, the oldest first.
func (s *Store) Journal(ctx context.Context) (all []Entry, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		changes, err := tx.changes()
		if err != nil {
			return err
		}
		at := map[int]int{}
		for i, c := range changes {
			all, at[c.Number] = append(all, Entry{Change: c}), i
		}
		note := func(change int, t Touched) {
			if i, ok := at[change]; ok {
				all[i].Touched = append(all[i].Touched, t)
			}
		}
		for _, t := range append(slices.Clip(layouts), plansAsVersions) {
			if err := tx.audit(t, note); err != nil {
				return err
			}
		}
		return nil
	})
	return all, err
}

// plansAsVersions are the plans, each the only version of itself.
var plansAsVersions = layout{kind: "plan", from: "(SELECT *, 1 AS version, 0 AS removed FROM plan)", keys: []string{"number"},
	columns: []string{"made_for", "first_year", "years", "status", "note"}}

// unitColumns name units; hiddenColumns are only said to differ.
var (
	unitColumns   = []string{"unit", "unit_a", "unit_b"}
	hiddenColumns = []string{"geometry", "record", "outline"}
)

// audit reads the versions of one kind in their order.
func (tx *Tx) audit(t layout, note func(change int, one Touched)) error {
	columns := slices.Concat(t.keys, t.columns)
	query := "SELECT change, version, removed, " + strings.Join(columns, ", ") + " FROM " + t.from + " AS v ORDER BY " + strings.Join(t.keys, ", ") + ", version"
	before := map[string]map[string]field{}
	return tx.each(query, nil, func(scan scanner) error {
		one := Touched{Kind: t.kind}
		var change int
		values, dest := make([]any, len(columns)), []any{&change, &one.Version, &one.Removed}
		for i := range values {
			dest = append(dest, &values[i])
		}
		if err := scan(dest...); err != nil {
			return err
		}
		text := map[string]string{}
		for i, column := range columns {
			text[column] = plainValue(values[i])
		}
		var names []string
		for _, key := range t.keys {
			names = append(names, text[key])
		}
		if one.Kind == "" {
			one.Kind, names = names[0], names[1:]
		}
		one.Name = strings.Join(names, " and ")
		fields := map[string]field{}
		for _, column := range t.columns {
			spread(fields, one.Kind, column, text[column])
		}
		units := map[string]bool{}
		for _, column := range unitColumns {
			units[text[column]] = true
		}
		key := one.Kind + "\x00" + one.Name
		one.Fields = differences(before[key], fields, one.Removed, units)
		if one.Kind == "settings" {
			one.Fields, one.Name = settingsDifferences(before[key], fields), ""
		}
		if one.Kind == string(firing) {
			units[one.Name] = true
		}
		before[key] = fields
		delete(units, "")
		one.Units = slices.Sorted(maps.Keys(units))
		note(change, one)
		return nil
	})
}

// field is the text of a field and the unit that it speaks of, if any.
type field struct{ text, unit string }

// spread puts a column into fields: a list or an object of JSON as one field for each
// of its values.
func spread(into map[string]field, kind, column, text string) {
	switch {
	case slices.Contains(hiddenColumns, column):
		if text != "" {
			into[column] = field{text: fmt.Sprintf("%d characters, checksum %s…", len(text), sumOf(text)[:8])}
		}
	case column == "body" || strings.HasPrefix(text, "[") && kind != "settings":
		var v any
		decoder := json.NewDecoder(strings.NewReader(text))
		decoder.UseNumber()
		if decoder.Decode(&v) != nil {
			into[column] = field{text: text}
			return
		}
		if column == "body" {
			column = ""
		}
		flatten(into, column, "", v)
	case text != "":
		into[column] = field{text: alias.Current(text)} // the first schema spells a kind of pair the old way
	}
}

// flatten names every value of a JSON text by the way to it. Elements of a list are
// named by what tells them apart, where something does.
func flatten(into map[string]field, path, unit string, v any) {
	join := func(name string) string { return strings.TrimSpace(path + " " + name) }
	switch v := v.(type) {
	case map[string]any:
		if name, ok := v["unit"].(string); ok {
			unit = name
		}
		for _, name := range slices.Sorted(maps.Keys(v)) {
			flatten(into, join(name), unit, v[name])
		}
	case []any:
		for i, name := range elementNames(v) {
			flatten(into, join(name), unit, v[i])
		}
	case nil:
	default:
		text := fmt.Sprint(v)
		if text != "" {
			into[cmp.Or(path, "value")] = field{text, unit}
		}
	}
}

// elementNames tells the elements of a list apart: by a value that each has of its own,
// else by their places.
func elementNames(list []any) []string {
	for _, key := range []string{"line", "code", "name", "path", "role", "at"} {
		names, seen := []string{}, map[string]bool{}
		for _, v := range list {
			object, _ := v.(map[string]any)
			name := fmt.Sprint(object[key])
			if object == nil || object[key] == nil || seen[name] {
				break
			}
			seen[name] = true
			names = append(names, name)
		}
		if len(names) == len(list) {
			return names
		}
	}
	names := make([]string, len(list))
	for i := range names {
		names[i] = strconv.Itoa(i + 1)
	}
	return names
}

// differences lists the fields that differ, by name, and adds the units that they
// speak of. A version that takes the value away has none, and speaks of all its units.
func differences(was, is map[string]field, removed bool, units map[string]bool) []FieldChange {
	names := map[string]bool{}
	for name := range was {
		names[name] = true
	}
	for name := range is {
		names[name] = true
	}
	var all []FieldChange
	for _, name := range slices.Sorted(maps.Keys(names)) {
		if removed {
			units[is[name].unit] = true
			continue
		}
		if was[name].text != is[name].text {
			units[was[name].unit], units[is[name].unit] = true, true
			all = append(all, FieldChange{name, was[name].text, is[name].text})
		}
	}
	return all
}

// settingsDifferences says it in the words of the settings; of the first ones nothing.
func settingsDifferences(was, is map[string]field) []FieldChange {
	old, err := settings.ParseStored([]byte(was["settings"].text))
	now, other := settings.ParseStored([]byte(is["settings"].text))
	if len(was) == 0 || err != nil || other != nil {
		return nil
	}
	var all []FieldChange
	for _, d := range settings.Diff(&old, &now) {
		all = append(all, FieldChange{d.Setting, d.Old, d.New})
	}
	return all
}

// plainValue gives the text of a column; empty for NULL.
func plainValue(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case []byte:
		return string(v)
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return fmt.Sprint(v)
}
