package source

import (
	"cmp"
	"errors"
	"fmt"
	"strings"
)

// MaxShown is how many errors of one file are reported at once.
const MaxShown = 20

// Position is a place in the input.
type Position struct {
	// File is the file's name as the user gave it, or the flag.
	File string
	// Line counts from 1; 0 means that the place has no line.
	Line int
	// Field is the column, the JSON path or the key; empty means the whole line.
	Field string
}

// String gives file:line:field, without the parts that are not known.
func (p Position) String() string {
	var b strings.Builder
	b.WriteString(strings.ReplaceAll(p.File, "\n", `\n`)) // or a name would write a line of its own
	if p.Line > 0 {
		fmt.Fprintf(&b, ":%d", p.Line)
	}
	if p.Field != "" {
		if b.Len() > 0 {
			b.WriteByte(':')
		}
		b.WriteString(p.Field)
	}
	return b.String()
}

// Error is one piece of bad input.
type Error struct {
	Position
	// Found says what stands there, with the user's own text in quotes.
	Found string
	// Accepts says what would have been right; empty where nothing would.
	Accepts string
	// Hint names a likely cause, where one is known.
	Hint string
}

// Error gives "where: found; accepts …", and the hint on a line of its own.
func (e *Error) Error() string {
	var b strings.Builder
	if where := e.Position.String(); where != "" {
		b.WriteString(where + ": ")
	}
	b.WriteString(e.Found)
	if e.Accepts != "" {
		b.WriteString("; accepts " + e.Accepts)
	}
	if e.Hint != "" {
		b.WriteString("\nhint: " + e.Hint)
	}
	return b.String()
}

// Line is an Error as a document lists it: the same keys on every screen and in every
// command's JSON.
type Line struct {
	File    string `json:"file,omitempty"`
	Line    int    `json:"line,omitempty"`
	Field   string `json:"field,omitempty"`
	Found   string `json:"found"`
	Accepts string `json:"accepts,omitempty"`
	Hint    string `json:"hint,omitempty"`
}

// Listed gives the error as a Line.
func (e *Error) Listed() Line {
	return Line{e.File, e.Line, e.Field, e.Found, e.Accepts, e.Hint}
}

// Quote puts the user's text in quotes, with control characters and invalid
// bytes escaped, and cuts it after 60 characters.
func Quote(text string) string {
	const most = 60
	runes := []rune(text)
	if len(runes) > most {
		return fmt.Sprintf("%q…", string(runes[:most]))
	}
	return fmt.Sprintf("%q", text)
}

// List gathers the errors of one input. The zero value is ready to use.
type List struct {
	// Most is how many errors are kept; 0 means MaxShown.
	Most int
	// Errors holds the first of them, in the order in which they came.
	Errors []*Error
	// More counts the errors after those.
	More int
}

// Add keeps or counts one error.
func (l *List) Add(e *Error) {
	if len(l.Errors) < cmp.Or(l.Most, MaxShown) {
		l.Errors = append(l.Errors, e)
	} else {
		l.More++
	}
}

// Addf adds an error at a position; accepts may be empty.
func (l *List) Addf(at Position, accepts, format string, args ...any) {
	l.Add(&Error{Position: at, Found: fmt.Sprintf(format, args...), Accepts: accepts})
}

// Cut keeps the first MaxShown errors of a list that keeps more, and counts the others.
func (l *List) Cut() {
	if over := len(l.Errors) - MaxShown; over > 0 {
		l.Errors, l.More = l.Errors[:MaxShown], l.More+over
	}
}

// Len counts all errors that were added.
func (l *List) Len() int { return len(l.Errors) + l.More }

// Err gives nil for an empty list, else the list itself.
func (l *List) Err() error {
	if l.Len() == 0 {
		return nil
	}
	return l
}

// Error gives one error a line, and says how many are not shown.
func (l *List) Error() string {
	lines := make([]string, 0, len(l.Errors)+1)
	for _, e := range l.Errors {
		lines = append(lines, e.Error())
	}
	if l.More > 0 {
		lines = append(lines, fmt.Sprintf("and %d more errors", l.More))
	}
	return strings.Join(lines, "\n")
}

// Unwrap lets errors.As find the single errors.
func (l *List) Unwrap() []error {
	all := make([]error, len(l.Errors))
	for i, e := range l.Errors {
		all[i] = e
	}
	return all
}

// Is reports whether err is about bad input, wherever it was wrapped.
func Is(err error) bool {
	var one *Error
	var many *List
	return errors.As(err, &one) || errors.As(err, &many)
}
