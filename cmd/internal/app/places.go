package app

import (
	"cmp"
	"slices"

	"emberquilt/habitat/ground"
	"emberquilt/report/view"
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

// near gives the places as a unit sees them, the nearest first.
func (s *Session) near(unit string) []view.Near {
	var all []view.Near
	for _, x := range s.Distances(unit) {
		all = append(all, view.Near{Name: x.Place.Name, Kind: x.Place.Kind, Distance: x.Distance, Toward: x.Toward})
	}
	return all
}
