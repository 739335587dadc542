package store

import (
	"encoding/json"
	"fmt"

	"emberquilt/habitat/ground"
)

// UnitShape is the ground of one unit.
type UnitShape struct {
	Unit  string
	Shape ground.Shape
	// File is the name of the file that the shape came from.
	File string
}

var shapes = define(table[UnitShape]{
	name: "shape_version", keys: []string{"unit"}, columns: []string{"geometry", "file"},
	join: "JOIN unit ON unit.name = v.unit", order: "unit.id",
	key:    func(u *UnitShape) []any { return []any{u.Unit} },
	encode: func(u *UnitShape) []any { return []any{shapeText(u.Shape), u.File} },
	decode: func(scan scanner) (u UnitShape, err error) {
		var geometry string
		if err := scan(&u.Unit, &geometry, &u.File); err != nil {
			return u, err
		}
		return u, json.Unmarshal([]byte(geometry), &u.Shape)
	},
})

// shapeText gives a shape as compact JSON. The encoder of encoding/json would
// give the same, with two more copies of what may be many megabytes.
func shapeText(s ground.Shape) string {
	text, err := s.MarshalJSON()
	if err != nil {
		panic("store: a shape is not JSON: " + err.Error())
	}
	return string(text)
}

// PutShape sets the ground of a unit that is there. Its acres are the unit's
// own business: put the unit too where they change.
func (tx *Tx) PutShape(u UnitShape) error {
	if u.Shape.IsEmpty() {
		return fmt.Errorf("unit %q: an empty shape", u.Unit)
	}
	return shapes.put(tx, u)
}

// RemoveShape takes the shape of a unit away. The error is ErrUnknown where
// there is none.
func (tx *Tx) RemoveShape(unit string) error {
	there, err := shapes.remove(tx, unit)
	if err == nil && !there {
		err = fmt.Errorf("shape of %q: %w", unit, ErrUnknown)
	}
	return err
}
