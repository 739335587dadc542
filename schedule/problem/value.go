package problem

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"emberquilt/habitat/source"
	"emberquilt/habitat/source/jsonscan"
)

// place is a value of a file and the way to it, from which its path is made
// when a message needs it.
type place struct {
	value *jsonscan.Value
	up    *place
	key   string // of a field
	index int    // of an item, where key is empty
	// offset is where a message about the place points.
	offset int
}

// path gives the way to the place as in units[3].max_interval. Keys that are
// no plain words stand in quotes and brackets.
func (pl *place) path() string {
	var b strings.Builder
	pl.write(&b)
	return b.String()
}

func (pl *place) write(b *strings.Builder) {
	if pl.up == nil {
		return
	}
	pl.up.write(b)
	if pl.up.value.Kind == jsonscan.Array {
		fmt.Fprintf(b, "[%d]", pl.index)
		return
	}
	for _, r := range pl.key {
		if r != '_' && r != '-' && !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			fmt.Fprintf(b, "[%s]", source.Quote(pl.key))
			return
		}
	}
	if b.Len() > 0 {
		b.WriteByte('.')
	}
	b.WriteString(pl.key)
}

// item gives the place of the i-th item of a list.
func (pl *place) item(i int) *place {
	v := &pl.value.Items[i]
	return &place{value: v, up: pl, index: i, offset: v.Offset}
}

// field gives the place of a field of an object.
func (pl *place) field(f *jsonscan.Field) *place {
	return &place{value: &f.Value, up: pl, key: f.Name, offset: f.Value.Offset}
}

// complaint is one piece of bad input before its line is known.
type complaint struct {
	offset int
	path   string
	err    source.Error
}

// complaints gathers bad input in any order.
type complaints struct {
	name string
	data []byte
	all  []complaint
}

// bad notes bad input at a place.
func (c *complaints) bad(pl *place, accepts, format string, args ...any) {
	c.all = append(c.all, complaint{pl.offset, pl.path(), source.Error{Found: fmt.Sprintf(format, args...), Accepts: accepts}})
}

// err gives the complaints in file order, each with its line, or nil.
func (c *complaints) err() error {
	slices.SortStableFunc(c.all, func(a, b complaint) int { return a.offset - b.offset })
	var list source.List
	lines := jsonscan.Lines{Data: c.data}
	for _, one := range c.all {
		e := one.err
		e.Position = source.Position{File: c.name, Line: lines.At(one.offset), Field: one.path}
		list.Add(&e)
	}
	return list.Err()
}

// syntax turns an error of the scanner into bad input with its line.
func syntax(name string, data []byte, err error) error {
	bad, ok := err.(*jsonscan.SyntaxError)
	if !ok {
		return err
	}
	lines := jsonscan.Lines{Data: data}
	return &source.Error{
		Position: source.Position{File: name, Line: lines.At(bad.Offset)},
		Found:    bad.Found, Accepts: bad.Accepts, Hint: bad.Hint,
	}
}

// describe says what a value is, for a message about its kind.
func describe(v *jsonscan.Value) string {
	switch v.Kind {
	case jsonscan.String:
		return source.Quote(v.Text)
	case jsonscan.Number:
		return shorten(v.Text)
	}
	return v.Kind.String()
}

// shorten cuts a number of absurd length.
func shorten(digits string) string {
	if len(digits) > 40 {
		return digits[:40] + "…"
	}
	return digits
}

// object is an object of which each key is known and named once.
type object struct {
	*place
	read   *complaints
	fields []*place
}

// get gives the place of a field, nil where it is absent.
func (o object) get(key string) *place {
	for _, at := range o.fields {
		if at.key == key {
			return at
		}
	}
	return nil
}

// object takes a place as an object with the keys that are known; missing keys
// are the caller's to ask for. It reports a value of another kind, unknown keys
// and repeated ones.
func (c *complaints) object(pl *place, known ...string) (object, bool) {
	o := object{place: pl, read: c}
	if pl.value.Kind != jsonscan.Object {
		c.bad(pl, "an object with the keys "+strings.Join(known, ", "), "%s is not an object", describe(pl.value))
		return o, false
	}
	for i := range pl.value.Fields {
		f := &pl.value.Fields[i]
		at := pl.field(f)
		switch {
		case !slices.Contains(known, f.Name):
			at.offset = f.Offset
			c.bad(at, strings.Join(known, ", "), "unknown key %s", source.Quote(f.Name))
		case o.get(f.Name) != nil:
			at.offset = f.Offset
			c.bad(at, "each key once", "key %s is named twice", source.Quote(f.Name))
		default:
			o.fields = append(o.fields, at)
		}
	}
	return o, true
}

// need gives the place of a field, and reports it where it is missing.
func (o object) need(key, accepts string) *place {
	if at := o.get(key); at != nil {
		return at
	}
	o.read.bad(&place{up: o.place, key: key, offset: o.offset}, accepts, "the key is missing")
	return nil
}

// entries takes a place as an object whose keys are the user's own names, and
// gives the fields whose names are good and new.
func (c *complaints) entries(pl *place, accepts string) []*place {
	if pl.value.Kind != jsonscan.Object {
		c.bad(pl, accepts, "%s is not an object", describe(pl.value))
		return nil
	}
	seen := make(map[string]bool, len(pl.value.Fields))
	var good []*place
	for i := range pl.value.Fields {
		f := &pl.value.Fields[i]
		at := pl.field(f)
		at.offset = f.Offset
		switch reason := badName(f.Name); {
		case reason != "":
			c.bad(at, nameAccepts, "%s", reason)
		case seen[f.Name]:
			c.bad(at, "each name once", "%s is named twice", source.Quote(f.Name))
		default:
			seen[f.Name] = true
			at.offset = f.Value.Offset
			good = append(good, at)
		}
	}
	return good
}

// items takes a place as a list.
func (c *complaints) items(pl *place, accepts string) []*place {
	if pl.value.Kind != jsonscan.Array {
		c.bad(pl, accepts, "%s is not a list", describe(pl.value))
		return nil
	}
	all := make([]*place, len(pl.value.Items))
	for i := range all {
		all[i] = pl.item(i)
	}
	return all
}

// number takes a place as a number from lo to hi, where lo itself is refused
// if above is set.
func (c *complaints) number(pl *place, lo, hi float64, above bool, accepts string) (float64, bool) {
	if pl.value.Kind != jsonscan.Number {
		c.bad(pl, accepts, "%s is not a number", describe(pl.value))
		return 0, false
	}
	x, _ := strconv.ParseFloat(pl.value.Text, 64)
	switch {
	case x > hi:
		c.bad(pl, accepts, "%s is above %s", shorten(pl.value.Text), plain(hi))
	case x < 0 && lo == 0:
		c.bad(pl, accepts, "%s is negative", shorten(pl.value.Text))
	case x < lo:
		c.bad(pl, accepts, "%s is below %s", shorten(pl.value.Text), plain(lo))
	case above && x == lo:
		c.bad(pl, accepts, "%s is not above %s", shorten(pl.value.Text), plain(lo))
	default:
		return x + 0, true // -0 becomes 0
	}
	return 0, false
}

// integer takes a place as a whole number from lo to hi. 2.0 and 2e0 are whole.
func (c *complaints) integer(pl *place, lo, hi int, accepts string) (int, bool) {
	if pl.value.Kind != jsonscan.Number {
		c.bad(pl, accepts, "%s is not a number", describe(pl.value))
		return 0, false
	}
	x, _ := strconv.ParseFloat(pl.value.Text, 64)
	if x != math.Trunc(x) && !math.IsInf(x, 0) {
		c.bad(pl, accepts, "%s is not a whole number", shorten(pl.value.Text))
		return 0, false
	}
	if x, ok := c.number(pl, float64(lo), float64(hi), false, accepts); ok {
		return int(x), true
	}
	return 0, false
}

const nameAccepts = "a name of at least one character, without control characters"

// badName says what is wrong with a name, or nothing.
func badName(text string) string {
	if strings.TrimSpace(text) == "" {
		return "a name without characters"
	}
	for _, r := range text {
		if unicode.IsControl(r) {
			return fmt.Sprintf("%s holds a control character", source.Quote(text))
		}
	}
	return ""
}

// text takes a place as text.
func (c *complaints) text(pl *place, accepts string) (string, bool) {
	if pl.value.Kind != jsonscan.String {
		c.bad(pl, accepts, "%s is not text", describe(pl.value))
		return "", false
	}
	return pl.value.Text, true
}

// newName takes a place as a name that may be defined here.
func (c *complaints) newName(pl *place) (string, bool) {
	text, ok := c.text(pl, nameAccepts)
	if reason := badName(text); ok && reason != "" {
		c.bad(pl, nameAccepts, "%s", reason)
		return "", false
	}
	return text, ok
}

// nameSet holds the names of one kind that a file defines, with their indices.
type nameSet struct {
	index map[string]int
	// broken is set when a name could not be read, so that a name which is not
	// found may be that one, and has been complained of already.
	broken bool
}

func newNameSet() *nameSet { return &nameSet{index: map[string]int{}} }

// list names the members in order, where they are few.
func (n *nameSet) list() string {
	if len(n.index) > 8 {
		return ""
	}
	return strings.Join(slices.SortedFunc(maps.Keys(n.index), func(a, b string) int { return n.index[a] - n.index[b] }), ", ")
}

// define takes a place as a new name with an index. again says what is wrong
// with a name that is there already.
func (c *complaints) define(pl *place, names *nameSet, i int, again string) (string, bool) {
	name, ok := c.newName(pl)
	if _, twice := names.index[name]; ok && twice {
		c.bad(pl, again, "%s is named twice", source.Quote(name))
		ok = false
	}
	if !ok {
		names.broken = true
		return "", false
	}
	names.index[name] = i
	return name, true
}

// reference takes a place as a name that is defined elsewhere.
func (c *complaints) reference(pl *place, what string, names *nameSet) (int, bool) {
	accepts := strings.TrimRight("the name of "+what+" "+names.list(), " ")
	text, ok := c.text(pl, accepts)
	if !ok {
		return 0, false
	}
	i, ok := names.index[text]
	if !ok && !names.broken {
		c.bad(pl, accepts, "%s is unknown", source.Quote(text))
	}
	return i, ok
}

// flag takes a place as true or false.
func (c *complaints) flag(pl *place) (value, ok bool) {
	switch pl.value.Kind {
	case jsonscan.True, jsonscan.False:
		return pl.value.Kind == jsonscan.True, true
	}
	c.bad(pl, "true or false", "%s is neither true nor false", describe(pl.value))
	return false, false
}

// plain writes a number without an exponent where that is short.
func plain(x float64) string {
	if math.Abs(x) < 1e15 {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}
