package ground

import (
	"fmt"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// Attribute is one named text that came with a feature.
type Attribute struct{ Key, Value string }

// Attributes are in the order of the file.
type Attributes []Attribute

// Get gives the first value whose key matches, in any case.
func (a Attributes) Get(key string) (value string, ok bool) {
	for _, at := range a {
		if strings.EqualFold(at.Key, key) {
			return at.Value, true
		}
	}
	return "", false
}

// Feature is one record of a file: a unit, a sensitive place, a line of road.
type Feature struct {
	// Position says where the feature stands; its Field holds the feature's
	// number in the file, from 1, and its name where it has one.
	Position source.Position
	// Name is empty where the file gives none.
	Name       string
	Attributes Attributes
	// Shape is empty where the feature has no area.
	Shape Shape
	// Lines and Points hold the rest of the feature's geometry.
	Lines  []Line
	Points []Point
	// Notes says what was odd and what was fixed.
	Notes []Note
}

// Kind tells notes apart.
type Kind string

// The kinds of Note.
const (
	// Mended means that the shape was changed; Moved says by how much.
	Mended Kind = "mended"
	// Sliver means that the shape is too small or too thin to be a unit.
	Sliver Kind = "sliver"
	// Assumed means that the file leaves something open that was filled in.
	Assumed Kind = "assumed"
	// Dropped means that something in the file was not used.
	Dropped Kind = "dropped"
	// Stated means that an area in the file differs from the shape's own.
	Stated Kind = "stated area"
	// Repeated means that a name or a shape stands in the file twice.
	Repeated Kind = "repeated"
	// Overlap means that two features claim the same ground.
	Overlap Kind = "overlap"
	// Missing means that a name or a shape is not there.
	Missing Kind = "missing"
)

// Note is something that a manager should know about a feature or a file. It
// does not stand in the way of using it.
type Note struct {
	// Position is that of the feature, or only a file.
	Position source.Position
	Kind     Kind
	// Text is in plain words.
	Text string
	// Moved is the ground that a repair added or took away.
	Moved quantity.Acres
}

// String gives the place and the text.
func (n Note) String() string {
	if where := n.Position.String(); where != "" {
		return where + ": " + n.Text
	}
	return n.Text
}

// note adds a note to the feature.
func (f *Feature) note(kind Kind, format string, args ...any) {
	f.Notes = append(f.Notes, Note{Position: f.Position, Kind: kind, Text: fmt.Sprintf(format, args...)})
}

// Label names the feature for a reader: its name, or its number in the file.
func (f *Feature) Label() string {
	if f.Name != "" {
		return f.Name
	}
	return f.Position.Field
}

// featureField gives the Field of a feature's position.
func featureField(number int, name string) string {
	if name == "" {
		return fmt.Sprintf("feature %d", number)
	}
	return fmt.Sprintf("feature %d %s", number, source.Quote(name))
}

// cleanText makes text from a file safe to show: no control characters, no
// invalid bytes, no blanks around it.
func cleanText(text string) string {
	text = strings.ToValidUTF8(text, "\uFFFD")
	text = strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			return ' '
		case r < 0x20 || r == 0x7f || (r >= 0x80 && r < 0xa0):
			return -1
		}
		return r
	}, text)
	return strings.TrimSpace(text)
}
