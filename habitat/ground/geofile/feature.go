package geofile

import (
	"fmt"
	"strings"

	"emberquilt/habitat/ground"
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
	Shape ground.Shape
	// Lines and Points hold the rest of the feature's geometry.
	Lines  []ground.Line
	Points []ground.Point
	// Notes says what was odd and what was fixed.
	Notes []ground.Note
}

// note adds a note to the feature.
func (f *Feature) note(kind ground.Kind, format string, args ...any) {
	f.Notes = append(f.Notes, ground.Note{Position: f.Position, Kind: kind, Text: fmt.Sprintf(format, args...)})
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

// PlaceOf takes a feature as a place.
func PlaceOf(f *Feature) ground.Place {
	kind, _ := f.Attributes.Get("kind")
	tolerated, _ := f.Attributes.Get("tolerated")
	return ground.Place{Name: f.Label(), Kind: kind, Tolerated: isYes(tolerated), Shape: f.Shape, Lines: f.Lines, Points: f.Points}
}

// isYes reads the attribute of a tolerated place.
func isYes(text string) bool {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "yes", "true", "y", "1", "x", "own":
		return true
	}
	return false
}
