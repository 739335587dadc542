package settings

import (
	"bytes"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"emberquilt/habitat"
)

// What the properties of a county share: keys of the top, of [crew], of [[season]] and
// [[crew.off]], and of [[closure]].
var (
	sharedKeys    = []string{"program_year_starts", "reset_share", "treatments_reset_age", "window_chance", "season", "crew", "closure"}
	sharedOfCrew  = []string{"weekends", "federal_holidays", "off"}
	sharedOfSpans = []string{"name", "first", "last"}
)

// ParseOver reads a text with some of the keys that the properties of a county share over
// the settings of a property: what it leaves away stays. Its seasons take the place of
// those that are there, but for their burn days; its closures and days off come to
// those that are there, closures in place of those of their names. Any other key is
// refused, but for others, which another reader reads.
func ParseOver(text []byte, file string, over *habitat.Property, others ...string) (habitat.Property, error) {
	given, places, err := Values(text, file, accepts)
	if err != nil {
		return habitat.Property{}, err
	}
	values := map[string]any{}
	if err := toml.Unmarshal(Format(over), &values); err != nil {
		return habitat.Property{}, err
	}
	d := &decoder{file: file, places: places}
	d.share(given, "", slices.Concat(sharedKeys, others))
	d.shareAll(given["season"], "season")
	d.shareAll(given["closure"], "closure")
	if crew, ok := given["crew"].(map[string]any); ok {
		d.share(crew, "crew", sharedOfCrew)
		d.shareAll(crew["off"], "crew.off")
	}
	for _, key := range sharedKeys {
		value, ok := given[key]
		if !ok {
			continue
		}
		switch key {
		case "season":
			value = withBurnDays(value, values[key])
		case "closure":
			value = before(value, values[key], func(a, b map[string]any) bool { return a["name"] == b["name"] })
		case "crew":
			if part, ok := value.(map[string]any); ok {
				was, _ := values[key].(map[string]any)
				whole := maps.Clone(was)
				maps.Copy(whole, part)
				if off, ok := part["off"]; ok {
					whole["off"] = before(off, was["off"], func(a, b map[string]any) bool { return reflect.DeepEqual(a, b) })
				}
				value = whole
			}
		}
		values[key] = value
	}
	p := (&table{decoder: d, values: values}).property()
	if len(d.faults) == 0 {
		d.validate(&p)
	}
	p.Owned, p.KeepUnasked = over.Owned, over.KeepUnasked
	return p, d.err()
}

// ParseUnder is Parse of settings that leave away what the properties of a county share:
// a shared key that the text does not have is that of another property.
func ParseUnder(text []byte, file string, shared *habitat.Property) (habitat.Property, error) {
	given := map[string]any{}
	if err := toml.Unmarshal(Format(shared), &given); err != nil {
		return habitat.Property{}, err
	}
	maps.DeleteFunc(given, func(key string, _ any) bool { return !slices.Contains(sharedKeys, key) })
	return parse(text, file, true, given)
}

// share refuses the keys of a table that are not shared.
func (d *decoder) share(given map[string]any, path string, shared []string) {
	for key := range given {
		if !slices.Contains(shared, key) {
			d.bad(join(path, key), strings.Join(shared, ", "), "", "is not what the properties of a county share")
		}
	}
}

// shareAll is share for a list of spans.
func (d *decoder) shareAll(given any, path string) {
	for i, one := range tablesOf(given) {
		d.share(one, fmt.Sprintf("%s[%d]", path, i), sharedOfSpans)
	}
}

func tablesOf(list any) (all []map[string]any) {
	items, _ := list.([]any)
	for _, one := range items {
		of, _ := one.(map[string]any)
		all = append(all, of)
	}
	return all
}

// withBurnDays gives the seasons of a list the burn days of those of their names.
func withBurnDays(given, there any) any {
	for _, season := range tablesOf(given) {
		for _, was := range tablesOf(there) {
			if days, ok := was["burn_days"]; ok && season != nil && was["name"] == season["name"] {
				season["burn_days"] = days
			}
		}
	}
	return given
}

// before puts the tables of a list before those that are there and not the same.
func before(given, there any, same func(a, b map[string]any) bool) any {
	all, ok := given.([]any)
	if !ok {
		return given
	}
	all = slices.Clone(all)
	for _, was := range tablesOf(there) {
		if !slices.ContainsFunc(tablesOf(given), func(is map[string]any) bool { return same(is, was) }) {
			all = append(all, was)
		}
	}
	return all
}

// Sections gives a text in which all but the tables of one top key are blank lines, so
// that what is read from it keeps its place.
func Sections(text []byte, key string) []byte {
	lines := bytes.SplitAfter(text, []byte("\n"))
	owner := make(map[int]string)
	for path, at := range FindPlaces(text) {
		if at.line >= 1 && at.line <= len(lines) && bytes.HasPrefix(bytes.TrimSpace(lines[at.line-1]), []byte("[")) {
			first, _, _ := strings.Cut(path, ".")
			owner[at.line] = withoutIndexes(first)
		}
	}
	now := ""
	var out bytes.Buffer
	for i, line := range lines {
		if next, ok := owner[i+1]; ok {
			now = next
		}
		if now == key {
			out.Write(line)
		} else if bytes.HasSuffix(line, []byte("\n")) {
			out.WriteByte('\n')
		}
	}
	return out.Bytes()
}

// Values reads the keys of a TOML text and says where they stand. accepts says in errors
// what the text should be.
func Values(text []byte, file, accepts string) (map[string]any, Places, error) {
	text, err := boundedText(text, file, accepts)
	if err != nil {
		return nil, nil, err
	}
	values := map[string]any{}
	if err := toml.Unmarshal(text, &values); err != nil {
		return nil, nil, syntaxError(err, file)
	}
	return values, FindPlaces(text), nil
}
