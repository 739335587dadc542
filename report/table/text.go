package table

import (
	"encoding/json"
	"fmt"
	"io"
	"reflect"
	"strings"

	"charm.land/lipgloss/v2"

	"emberquilt/report/view"
)

// Format says how a table is written.
type Format string

// The formats that every function of this package accepts.
const (
	// Text is for people, in a terminal or a pipe.
	Text Format = "text"
	// CSV is for spreadsheets: one table with a header row.
	CSV Format = "csv"
	// JSON holds the whole view.
	JSON Format = "json"
)

// Options say how to write. The zero value writes sentences 100 columns wide, and
// tables as wide as they are.
type Options struct {
	Format Format
	// Width is that of the terminal in columns; 0 means that there is none.
	Width int
}

// newPage begins a page of the options' width.
func newPage(o Options) *page {
	p := &page{width: o.width(), tableWidth: unlimited}
	if o.Width > 0 {
		p.tableWidth = p.width
	}
	return p
}

func (o Options) width() int {
	if o.Width <= 0 {
		return 100
	}
	return max(o.Width, 40)
}

// page gathers the parts of a text and writes them at once.
type page struct {
	parts []string
	// width is that of sentences, tableWidth that of tables: in a pipe nothing of
	// them gives way.
	width, tableWidth int
}

func (p *page) line(format string, args ...any) {
	p.parts = append(p.parts, fmt.Sprintf(format, args...))
}

// heading sets a blank line and a bold title.
func (p *page) heading(text string) { p.parts = append(p.parts, "", bold.render(text)) }

// note sets a paragraph, wrapped to the page.
func (p *page) note(text string) {
	p.parts = append(p.parts, wrap(view.Plain(text), p.width, "")...)
}

// key explains the marks of a table below it.
func (p *page) key(text string) {
	for _, line := range wrap(text, p.width, "") {
		p.parts = append(p.parts, faint.render(line))
	}
}

// items sets a list, one item a paragraph.
func (p *page) items(items []string) {
	for _, text := range items {
		p.parts = append(p.parts, wrap(view.Plain(text), p.width, "- ")...)
	}
}

// writeTo prints the page.
func (p *page) writeTo(w io.Writer) error { return writeMarked(w, strings.Join(p.parts, "\n")+"\n") }

// wrap breaks a text at blanks into lines of a width, the first with a mark in
// front and the others set in below it.
func wrap(text string, width int, mark string) []string {
	text = unmarked(text)
	var lines []string
	indent := strings.Repeat(" ", lipgloss.Width(mark))
	line := mark
	empty := true
	for _, word := range strings.Fields(text) {
		if !empty && lipgloss.Width(line)+1+lipgloss.Width(word) > width {
			lines = append(lines, line)
			line, empty = indent, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	return append(lines, line)
}

// cell is a text with the style that a terminal may show it in.
type cell struct {
	text  string
	style style
}

func plain(text string) cell           { return styled(text, none) }
func styled(text string, s style) cell { return cell{unmarked(text), s} }

// longestName bounds the names of units, seasons and the like in columns.
const longestName = 120

// name prepares a user's name for a column.
func name(text string, most int) string {
	text = unmarked(view.Plain(text))
	for n := most; lipgloss.Width(text) > most && n > 1; n-- {
		text = view.Cut(text, n)
	}
	return text
}

// WriteJSON writes a value of views as the tables write theirs: keys in the order of
// the fields, a list without entries as [].
func WriteJSON(w io.Writer, v any) error { return writeJSON(w, v) }

// writeJSON writes a view with its keys in the order of its fields; a list
// without entries is [], not null.
func writeJSON(w io.Writer, v any) error {
	fill(reflect.ValueOf(v))
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// fill makes every list that is nil an empty one.
func fill(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			fill(v.Elem())
		}
	case reflect.Map:
		for _, key := range v.MapKeys() {
			fill(v.MapIndex(key))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				fill(v.Field(i))
			}
		}
	case reflect.Slice:
		if v.IsNil() && v.CanSet() {
			v.Set(reflect.MakeSlice(v.Type(), 0, 0))
		}
		for i := range v.Len() {
			fill(v.Index(i))
		}
	}
}
