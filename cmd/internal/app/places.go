package app

import (
	"cmp"
	"fmt"
	"slices"

	"emberquilt/habitat/ground"
)

// Distance is how far a place lies from a unit.
type Distance struct {
	Unit  string
	Place *ground.Place
	ground.Away
}

// Distances measures the places from the units with shapes, from one of them where
// it is named; the nearest first.
func (s *Session) Distances(unit string) []Distance {
	shapes := s.Current().Shapes
	var all []Distance
	for i := range s.Units {
		id := s.Units[i].ID
		shape, ok := shapes[id]
		if !ok || unit != "" && unit != id {
			continue
		}
		for k := range s.Places {
			if measured, ok := shape.Away(s.Places[k]); ok {
				all = append(all, Distance{id, &s.Places[k], measured})
			}
		}
	}
	slices.SortStableFunc(all, func(x, y Distance) int { return cmp.Compare(x.Distance, y.Distance) })
	return all
}

// mostPlaceLines is how many places a paper names.
const mostPlaceLines = 8

// placeLines says, for a paper, where the places lie that are near a unit.
func (s *Session) placeLines(unit string) []string {
	var lines []string
	for i, x := range s.Distances(unit) {
		if i == mostPlaceLines {
			lines = append(lines, "emberquilt places "+unit+" lists those that lie farther off")
			break
		}
		name := x.Place.Name
		if x.Place.Kind != "" && x.Place.Kind != name {
			name += " (" + x.Place.Kind + ")"
		}
		lines = append(lines, fmt.Sprintf("%s: %s ft to the %s (%.0f°)", name, x.Distance, x.Toward.Compass(), float64(x.Toward)))
	}
	return lines
}
