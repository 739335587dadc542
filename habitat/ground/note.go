package ground

import (
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

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
