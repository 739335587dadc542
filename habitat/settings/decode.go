package settings

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"unicode"

	"github.com/pelletier/go-toml/v2"

	"emberquilt/habitat/alias"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// decoder gathers the faults of one file.
type decoder struct {
	file   string
	places Places
	faults []fault
}

type fault struct {
	place
	*source.Error
}

// bad notes a fault of a path.
func (d *decoder) bad(path, accepts, hint, format string, args ...any) {
	at := d.places.at(path)
	d.faults = append(d.faults, fault{at, &source.Error{
		Position: source.Position{File: d.file, Line: at.line, Field: path}, Found: fmt.Sprintf(format, args...), Accepts: accepts, Hint: hint}})
}

// err gives all faults in the order of the file.
func (d *decoder) err() error {
	slices.SortStableFunc(d.faults, func(a, b fault) int {
		return cmp.Or(cmp.Compare(a.line, b.line), cmp.Compare(a.column, b.column))
	})
	var list source.List
	for _, f := range d.faults {
		list.Add(f.Error)
	}
	return list.Err()
}

// table is one TOML table that is being read: what was asked for is known, and
// the rest is refused by close.
type table struct {
	*decoder
	path   string
	values map[string]any
	known  []string
	// aliases are the keys that were read in an old spelling.
	aliases []string
}

func (t *table) get(key string) (value any, path string, ok bool) {
	if !slices.Contains(t.known, key) {
		t.known = append(t.known, key)
	}
	if value, ok = t.values[key]; ok {
		return value, join(t.path, key), true
	}
	for _, old := range alias.Old(key) {
		if value, ok = t.values[old]; ok {
			t.aliases = append(t.aliases, old)
			return value, join(t.path, old), true
		}
	}
	return nil, join(t.path, key), false
}

// close refuses the keys that nobody asked for.
func (t *table) close() {
	for _, key := range slices.Sorted(maps.Keys(t.values)) {
		if slices.Contains(t.known, key) || slices.Contains(t.aliases, key) {
			continue
		}
		path := join(t.path, key)
		hint := ""
		if near := source.DidYouMean(key, t.known); near != "" {
			hint = near
		}
		t.bad(path, strings.Join(t.known, ", "), hint, "%s (column %d) is not a key of %s", source.Quote(key), t.places.at(path).column, tableName(t.path))
	}
}

func tableName(path string) string {
	if path == "" {
		return "the settings"
	}
	return path
}

func (t *table) text(key string, into *string) bool {
	v, path, ok := t.get(key)
	if !ok {
		return false
	}
	text, isText := v.(string)
	switch {
	case !isText:
		t.bad(path, "text in quotes", "", "%s is not text", shown(v))
	case strings.ContainsFunc(text, unicode.IsControl):
		t.bad(path, "text on one line without control characters", "", "%s holds a control character", source.Quote(text))
	default:
		*into = text
		return true
	}
	return false
}

func (t *table) number(key, accepts string, into *float64) bool {
	v, path, ok := t.get(key)
	if !ok {
		return false
	}
	n, isNumber := asNumber(v)
	if !isNumber {
		t.bad(path, accepts, numberHint(v), "%s is not a number", shown(v))
		return false
	}
	*into = n
	return true
}

func asNumber(v any) (float64, bool) {
	switch n := v.(type) {
	case int64:
		return float64(n), true
	case float64:
		return n, !math.IsNaN(n) && !math.IsInf(n, 0)
	}
	return 0, false
}

// numberHint helps where a number stands in quotes.
func numberHint(v any) string {
	if text, ok := v.(string); ok {
		if _, err := quantity.Parse(text); err == nil {
			return "leave the quotes away"
		}
	}
	return ""
}

func (t *table) whole(key, accepts string, into *int) bool {
	v, path, ok := t.get(key)
	if !ok {
		return false
	}
	n, isWhole := v.(int64)
	if f, isFloat := v.(float64); isFloat && f == math.Trunc(f) && math.Abs(f) < 1e9 {
		n, isWhole = int64(f), true
	}
	if !isWhole || n > 1e9 || n < -1e9 {
		t.bad(path, accepts, numberHint(v), "%s is not a whole number", shown(v))
		return false
	}
	*into = int(n)
	return true
}

func (t *table) flag(key string, into *bool) {
	v, path, ok := t.get(key)
	if !ok {
		return
	}
	if b, isFlag := v.(bool); isFlag {
		*into = b
		return
	}
	t.bad(path, "true or false", "", "%s is neither true nor false", shown(v))
}

// sub gives an inner table, nil where it is absent or wrong.
func (t *table) sub(key string) *table {
	v, path, ok := t.get(key)
	if !ok {
		return nil
	}
	values, isTable := v.(map[string]any)
	if !isTable {
		t.bad(path, "a table ["+path+"]", "", "%s is not a table", shown(v))
		return nil
	}
	return &table{decoder: t.decoder, path: path, values: values}
}

// mostTables keeps what is compared pair by pair, such as seasons, to a number
// that takes no time.
const mostTables = 1000

// list gives the tables of an array of tables.
func (t *table) list(key string) []*table {
	v, path, ok := t.get(key)
	if !ok {
		return nil
	}
	accepts := "tables that each begin with [[" + withoutIndexes(path) + "]]"
	items, isList := v.([]any)
	if !isList {
		hint := ""
		if _, one := v.(map[string]any); one {
			hint = "write two brackets on each side"
		}
		t.bad(path, accepts, hint, "%s is not a list of tables", shown(v))
		return nil
	}
	if len(items) > mostTables {
		t.bad(path, fmt.Sprintf("at most %d of them", mostTables), "", "there are %d", len(items))
		return nil
	}
	var all []*table
	for i, item := range items {
		at := fmt.Sprintf("%s[%d]", path, i)
		values, isTable := item.(map[string]any)
		if !isTable {
			t.bad(at, accepts, "", "%s is not a table", shown(item))
			continue
		}
		all = append(all, &table{decoder: t.decoder, path: at, values: values})
	}
	return all
}

func withoutIndexes(path string) string {
	var b strings.Builder
	inside := false
	for _, r := range path {
		switch {
		case r == '[':
			inside = true
		case r == ']':
			inside = false
		case !inside:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// names reads a list of texts.
func (t *table) names(key string) []string {
	v, path, ok := t.get(key)
	if !ok {
		return nil
	}
	items, isList := v.([]any)
	if !isList {
		t.bad(path, `names such as ["n1", "n2"]`, "", "%s is not a list", shown(v))
		return nil
	}
	var all []string
	for i, item := range items {
		name, isText := item.(string)
		at := fmt.Sprintf("%s[%d]", path, i)
		if !isText {
			t.bad(at, "names in quotes", "", "%s is not text", shown(item))
		} else if !utf8Name(name) {
			t.bad(at, "a name without control characters", "", "%s is not a name", source.Quote(name))
		} else {
			all = append(all, name)
		}
	}
	return all
}

func utf8Name(name string) bool { return name != "" && !strings.ContainsFunc(name, unicode.IsControl) }

// dayText gives a date as text: TOML's own dates are dates too.
func (t *table) dayText(key string) (text, path string, ok bool) {
	v, path, ok := t.get(key)
	if !ok {
		return "", path, false
	}
	switch v := v.(type) {
	case string:
		return v, path, true
	case toml.LocalDate:
		return v.String(), path, true
	}
	t.bad(path, `a date in quotes, "MM-DD" or "YYYY-MM-DD"`, "", "%s is not a date", shown(v))
	return "", path, false
}

const acceptsAnnual = `a day of every year as "MM-DD", such as "11-15"`

func (t *table) annual(key string, into *date.Annual) bool {
	text, path, ok := t.dayText(key)
	if !ok {
		return false
	}
	a, err := date.ParseAnnual(text)
	if err != nil {
		t.bad(path, acceptsAnnual, annualHint(text), "%s %v", source.Quote(text), err)
		return false
	}
	*into = a
	return true
}

func annualHint(text string) string {
	if _, err := date.ParseDay(text); err == nil {
		return "leave the year away"
	}
	return ""
}

func (t *table) day(key string, into *date.Day) bool {
	text, path, ok := t.dayText(key)
	if !ok {
		return false
	}
	d, err := date.ParseDay(text)
	if err != nil {
		t.bad(path, `a date as "YYYY-MM-DD"`, "", "%s %v", source.Quote(text), err)
		return false
	}
	*into = d
	return true
}

// need complains about a key that is absent.
func (t *table) need(accepts string, keys ...string) {
	for _, key := range keys {
		if _, ok := t.values[key]; !ok {
			t.bad(join(t.path, key), accepts, "", "is missing")
		}
	}
}

// shown gives a value as the user's own text.
func shown(v any) string {
	switch v := v.(type) {
	case string:
		return source.Quote(v)
	case map[string]any:
		return "a table"
	case []any:
		return "a list"
	}
	return source.Quote(fmt.Sprint(v))
}
