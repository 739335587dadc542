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

var shapes = table[UnitShape]{
	name: "shape_version", keys: []string{"unit"}, columns: []string{"geometry", "file"},
	join: "JOIN unit ON unit.name = v.unit", order: "unit.id",
	key:    func(u *UnitShape) []any { return []any{u.Unit} },
	encode: func(u *UnitShape) []any { return []any{encodeShape(u.Shape), u.File} },
	decode: func(scan scanner) (u UnitShape, err error) {
		var geometry string
		if err := scan(&u.Unit, &geometry, &u.File); err != nil {
			return u, err
		}
		u.Shape, err = decodeShape(geometry)
		return u, err
	},
}

// PutShape sets the ground of a unit that is there. Its acres are the unit's
// own business: put the unit too where they change.
func (tx *Tx) PutShape(u UnitShape) error { return shapes.put(tx, u) }

// RemoveShape takes the shape of a unit away. The error is ErrUnknown where
// there is none.
func (tx *Tx) RemoveShape(unit string) error {
	there, err := shapes.remove(tx, unit)
	if err == nil && !there {
		err = fmt.Errorf("shape of %q: %w", unit, ErrUnknown)
	}
	return err
}

// multiPolygon is a shape as GeoJSON (RFC 7946): rings repeat their first point.
type multiPolygon struct {
	Type        string           `json:"type"`
	Coordinates [][][][2]float64 `json:"coordinates"`
}

func encodeShape(s ground.Shape) string {
	m := multiPolygon{Type: "MultiPolygon", Coordinates: make([][][][2]float64, len(s.Polygons))}
	for i, p := range s.Polygons {
		for _, ring := range append([]ground.Ring{p.Outer}, p.Holes...) {
			points := make([][2]float64, 0, len(ring)+1)
			for _, pt := range ring {
				points = append(points, [2]float64{pt.Lon, pt.Lat})
			}
			if len(points) > 0 {
				points = append(points, points[0])
			}
			m.Coordinates[i] = append(m.Coordinates[i], points)
		}
	}
	return encodeJSON(m)
}

func decodeShape(text string) (ground.Shape, error) {
	var m multiPolygon
	if err := json.Unmarshal([]byte(text), &m); err != nil {
		return ground.Shape{}, err
	}
	s := ground.Shape{Polygons: make([]ground.Polygon, len(m.Coordinates))}
	for i, rings := range m.Coordinates {
		for j, points := range rings {
			ring := make(ground.Ring, max(0, len(points)-1))
			for k := range ring {
				ring[k] = ground.Point{Lon: points[k][0], Lat: points[k][1]}
			}
			if j == 0 {
				s.Polygons[i].Outer = ring
			} else {
				s.Polygons[i].Holes = append(s.Polygons[i].Holes, ring)
			}
		}
	}
	return s, nil
}
