package list

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"emberquilt/habitat/alias"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// cell is one value of a list while it is read.
type cell struct {
	text  string
	dates DateForm
	// serial is that of the sheet.
	serial func(days float64) (time.Time, bool)
	at     source.Position
	faults *source.List
	failed bool
	// comma says that a number may have a decimal comma.
	comma bool
	// accepts says in place of the usual words what a day may be; often empty.
	accepts string
}

// plainText gives the text of a number as quantity.Parse reads it.
func (c *cell) plainText() string {
	text, _ := about(c.text)
	if c.comma {
		text = pointed(text)
	}
	return text
}

func (c *cell) bad(accepts, hint, format string, args ...any) {
	c.failed = true
	c.faults.Add(&source.Error{Position: c.at, Found: fmt.Sprintf(format, args...), Accepts: accepts, Hint: hint})
}

// number reads a finite number.
func (c *cell) number(accepts string) (float64, bool) {
	v, err := quantity.Parse(c.plainText())
	if err != nil {
		c.bad(accepts, c.numberHint(), "%s %v", source.Quote(c.text), err)
		return 0, false
	}
	return v, true
}

// numberHint says what is likely wrong with a number.
func (c *cell) numberHint() string {
	if !strings.ContainsFunc(c.text, unicode.IsDigit) {
		return fmt.Sprintf("if it stands for nothing, say --values %s:%s=", c.at.Field, strings.TrimSpace(c.text))
	}
	plain := func(text string) bool { _, err := quantity.Parse(text); return err == nil }
	if whole, rest, ok := strings.Cut(c.text, ","); ok {
		if len(rest) == 3 && len(whole) <= 3 && plain(whole+rest) || plain(strings.ReplaceAll(c.text, ",", "")) && strings.Count(c.text, ",") > 1 || strings.Contains(rest, ".") {
			return "leave the commas between thousands away"
		}
		if plain(whole + "." + rest) {
			return "write a decimal point: " + whole + "." + rest
		}
	}
	closed := strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == '\'' || r == '’' || r == '_' {
			return -1
		}
		return r
	}, c.text)
	if closed != c.text && plain(closed) {
		return "leave what parts the thousands away: " + closed
	}
	trimmedText := strings.TrimFunc(c.text, func(r rune) bool { return !unicode.IsDigit(r) && r != '.' && r != '-' })
	if trimmedText != c.text && plain(trimmedText) {
		return "leave all but the number away: " + trimmedText
	}
	return ""
}

// whole reads a whole number.
func (c *cell) whole(accepts string) (int, bool) {
	text := strings.TrimSpace(c.text)
	if n, err := strconv.Atoi(text); err == nil && n > -1e9 && n < 1e9 {
		return n, true
	}
	v, err := quantity.Parse(text)
	if err == nil && v == math.Trunc(v) && math.Abs(v) < 1e9 {
		return int(v), true // 3.0, as spreadsheets write it
	}
	c.bad(accepts, c.numberHint(), "%s is not a whole number", source.Quote(c.text))
	return 0, false
}

// dollars reads an amount of money.
func (c *cell) dollars() (quantity.Cents, bool) {
	const accepts = "dollars with at most two decimals, such as 1150 or 1150.50"
	v, err := quantity.Parse(strings.TrimPrefix(strings.TrimSpace(c.plainText()), "$"))
	if err != nil {
		c.bad(accepts, c.numberHint(), "%s %v", source.Quote(c.text), err)
		return 0, false
	}
	cents := math.Round(v * 100)
	if math.Abs(v) > 1e12 || math.Abs(v*100-cents) > 1e-4 {
		c.bad(accepts, "", "%s is not an amount of money", source.Quote(c.text))
		return 0, false
	}
	return quantity.Cents(cents), true
}

// share reads a part of one.
func (c *cell) share() (*quantity.Share, bool) {
	v, ok := c.number("a share of 0 to 1, such as 0.8")
	if ok && !(v >= 0 && v <= 1) {
		hint := ""
		if v > 1 && v <= 100 {
			hint = fmt.Sprintf("if it is a percentage, write %v", v/100)
		}
		c.bad("a share of 0 to 1, such as 0.8", hint, "%s is not a share", source.Quote(c.text))
		return nil, false
	}
	s := quantity.Share(v)
	return &s, ok
}

// word reads one line of text.
func (c *cell) word() string {
	text := unguarded(strings.TrimSpace(c.text))
	if strings.ContainsFunc(text, unicode.IsControl) {
		c.bad("text on one line without control characters", "", "%s holds a control character", source.Quote(text))
		return ""
	}
	return text
}

// unguarded takes off the ' that tables of this program put before text that a
// spreadsheet would take for a formula.
func unguarded(text string) string {
	if rest, ok := strings.CutPrefix(text, "'"); ok && strings.IndexAny(rest, "=+-@＝＋－＠") == 0 {
		return rest
	}
	return text
}

// lines reads text that may have several lines.
func (c *cell) lines() string {
	text := strings.ReplaceAll(unguarded(strings.TrimSpace(c.text)), "\r\n", "\n")
	if strings.ContainsFunc(text, func(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\t' }) {
		c.bad("text without control characters", "", "%s holds a control character", source.Quote(text))
		return ""
	}
	if len(text) > maxNotes {
		c.bad(fmt.Sprintf("text of up to %d bytes", maxNotes), "", "a text of %d bytes", len(text))
		return ""
	}
	return text
}

// maxNotes keeps a slip, such as a quote that was never closed, out of the
// notes.
const maxNotes = 20000

// choice reads one of a few words.
func (c *cell) choice(words ...string) (string, bool) {
	text := alias.Current(foldValue(c.text))
	if slices.Contains(words, text) {
		return text, true
	}
	c.bad(strings.Join(words, ", "), source.DidYouMean(text, words), "%s is none of the words for this", source.Quote(c.text))
	return "", false
}

// plainForms are forms of dates that can be read in one way only.
var plainForms = []string{time.DateOnly, "2006-1-2", "2006/1/2", "2006.1.2", "2-Jan-2006", "2 Jan 2006", "2 January 2006", "Jan 2, 2006", "January 2, 2006",
	"Jan 2 2006", "January 2 2006", "Jan. 2, 2006", "Mon, Jan 2, 2006", "Monday, January 2, 2006", "2-Jan-06", "Jan 2, 06", "2006-01-02 15:04"}

// dateHint says what is likely wrong with a date.
func dateHint(text string) string {
	if n, err := strconv.Atoi(text); err == nil && n > 15000 && n < 80000 {
		return "this may be a spreadsheet's number of a day; give the column the form of a date before saving"
	}
	return ""
}

// day reads a date in the list's form.
func (c *cell) day() (date.Day, bool) {
	text := strings.TrimSpace(c.text)
	// A midnight behind the date says nothing.
	for _, midnight := range []string{"T00:00:00Z", "T00:00:00", " 00:00:00", " 00:00", " 0:00"} {
		text = strings.TrimSuffix(text, midnight)
	}
	if t, ok := c.serialTime(); ok {
		return date.DayOf(t), true
	}
	for _, form := range plainForms {
		if t, err := time.Parse(form, text); err == nil {
			if d, err := date.NewDay(t.Year(), t.Month(), t.Day()); err == nil {
				return d, true
			}
		}
	}
	first, second, year, numeric := slashed(text)
	switch form := c.dates; {
	case numeric && form != MonthFirst && form != DayFirst && (first > 12) != (second > 12):
		// Only one reading is a date.
		month, dom := first, second
		if first > 12 {
			month, dom = second, first
		}
		if d, err := date.NewDay(year, time.Month(month), dom); err == nil {
			return d, true
		}
	case numeric && c.dates == MonthFirst:
		if d, err := date.NewDay(year, time.Month(first), second); err == nil {
			return d, true
		}
	case numeric && c.dates == DayFirst:
		if d, err := date.NewDay(year, time.Month(second), first); err == nil {
			return d, true
		}
	}
	accepts, hint := "a date as YYYY-MM-DD", ""
	switch c.dates {
	case MonthFirst:
		accepts = "a date as M/D/YYYY or YYYY-MM-DD"
	case DayFirst:
		accepts = "a date as D/M/YYYY or YYYY-MM-DD"
	default:
		if numeric {
			hint = "say with --dates mdy or --dates dmy which of month and day comes first"
		}
	}
	if hint == "" {
		hint = dateHint(text)
	}
	if c.accepts != "" {
		accepts = c.accepts
	}
	c.bad(accepts, hint, "%s is not a date", source.Quote(c.text))
	return date.Day{}, false
}

// slashed parts 3/15/2024 or 15.3.2024 into its numbers.
func slashed(text string) (first, second, year int, ok bool) {
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == '/' || r == '.' || r == '-' })
	if len(parts) != 3 || len(parts[2]) != 4 && len(parts[2]) != 2 || len(parts[0]) > 2 || len(parts[1]) > 2 {
		return 0, 0, 0, false
	}
	var n [3]int
	for i, p := range parts {
		v, err := strconv.Atoi(p)
		if err != nil || v < 0 {
			return 0, 0, 0, false
		}
		n[i] = v
	}
	if len(parts[2]) == 2 {
		n[2] = turned(n[2])
	}
	return n[0], n[1], n[2], true
}

// serialTime reads a workbook's number of a day, whose fraction is a time.
func (c *cell) serialTime() (time.Time, bool) {
	if c.serial == nil {
		return time.Time{}, false
	}
	days, err := quantity.Parse(c.text)
	if err != nil || days < 0 || days > 3e6 { // year 9999
		return time.Time{}, false
	}
	return c.serial(days)
}

// clock reads a time of day as HH:MM.
func (c *cell) clock() string {
	text := strings.TrimSpace(c.text)
	if t, ok := c.serialTime(); ok {
		return t.Round(time.Minute).Format("15:04")
	}
	for _, form := range []string{"15:04", "15:04:05", "3:04 PM", "3:04PM"} {
		if t, err := time.Parse(form, strings.ToUpper(text)); err == nil {
			return t.Format("15:04")
		}
	}
	c.bad("a time of day as HH:MM, such as 13:30", "", "%s is not a time", source.Quote(c.text))
	return ""
}

// moment reads a local time as YYYY-MM-DD HH:MM.
func (c *cell) moment() string {
	const form = "2006-01-02 15:04"
	if t, ok := c.serialTime(); ok {
		return t.Round(time.Minute).Format(form)
	}
	for _, f := range []string{form, "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02T15:04:05"} {
		if t, err := time.Parse(f, strings.TrimSpace(c.text)); err == nil {
			return t.Format(form)
		}
	}
	c.bad("a local time as YYYY-MM-DD HH:MM", "", "%s is not a time", source.Quote(c.text))
	return ""
}

// column is one column of a list of V.
type column[V any] struct {
	name string
	// read reads a cell that is not empty.
	read func(c *cell, v *V)
	// clears says that an empty cell means an empty value; else it means that
	// nothing is said.
	clears bool
	// copy takes the column's value over from another V.
	copy func(to, from *V)
	// show gives the value in words, empty for none.
	show func(v *V) string
}

// value is one row as a value, with the columns that it has.
type value[V any] struct {
	row *row
	V   V
	has map[string]bool
}

// readValues reads the rows of a sheet. Rows with faults are left out.
func readValues[V any](s *sheet, columns []column[V], opts *Options, faults *source.List) []value[V] {
	all := make([]value[V], 0, len(s.rows))
	var c cell // one of all: each is a value of many words
	for i := range s.rows {
		r := &s.rows[i]
		all = append(all, value[V]{row: r, has: map[string]bool{}}) // of the columns that there are, few lists have most
		v := &all[len(all)-1]
		good := true
		for _, col := range columns {
			text, ok := s.text(r, col.name, opts)
			if !ok {
				continue
			}
			if strings.TrimSpace(text) == "" {
				v.has[col.name] = col.clears
				continue
			}
			c = cell{text: text, dates: s.dateForm(opts), serial: s.serial, comma: s.comma, at: r.at(s.file, col.name), faults: faults}
			col.read(&c, &v.V)
			v.has[col.name] = true
			good = good && !c.failed
		}
		if !good {
			all = slices.Delete(all, len(all)-1, len(all))
		}
	}
	return all
}

// text gives the text of our column in a row, after mapping of its words.
func (s *sheet) text(r *row, name string, opts *Options) (string, bool) {
	i, ok := s.columns[name]
	if !ok || r.none != nil && r.none[i] {
		set, isSet := opts.Set[name]
		return set, isSet
	}
	text := r.values[i]
	if mapped, ok := opts.Values[name][foldValue(text)]; ok {
		text = mapped
	}
	return text, true
}

// names gives the names of columns.
func names[V any](columns []column[V]) []string {
	all := make([]string, len(columns))
	for i, c := range columns {
		all[i] = c.name
	}
	return all
}

// checkOptions refuses options that name columns that a kind of list has not.
func checkOptions(kind Kind, known []string, opts *Options) error {
	if kind == Units {
		known = append(slices.Clone(known), "every", lastBurned)
	}
	for _, option := range []struct {
		flag  string
		given []string
	}{
		{"--columns", slices.Sorted(maps.Keys(opts.Columns))}, {"--values", slices.Sorted(maps.Keys(opts.Values))}, {"--set", slices.Sorted(maps.Keys(opts.Set))},
	} {
		for _, name := range option.given {
			if slices.Contains(known, name) || kind == Units && name == interval {
				continue
			}
			return &source.Error{Position: source.Position{File: option.flag}, Found: fmt.Sprintf("%s is not a column of a list of %s", source.Quote(name), kind),
				Accepts: strings.Join(known, ", "), Hint: source.DidYouMean(name, known)}
		}
	}
	switch opts.Dates {
	case "", YearFirst, MonthFirst, DayFirst:
		return nil
	}
	return &source.Error{Position: source.Position{File: "--dates"}, Found: source.Quote(string(opts.Dates)) + " is not a form of dates", Accepts: "ymd, mdy or dmy"}
}
