package app

import (
	"cmp"
	"context"
	"slices"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/store"
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
	shapes := map[string]ground.Shape{}
	for i := range s.Shapes {
		if of := &s.Shapes[i]; unit == "" || unit == of.Unit {
			shapes[of.Unit] = of.Shape
		}
	}
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

// PlaceRows lists the places with their distances from the units, or from one of them
// where it is named; only those within so many feet where within is above 0. Without
// it a place from which nothing is measured has a row too.
func (s *Session) PlaceRows(unit string, within quantity.Feet) ([]view.PlaceRow, error) {
	if !(within >= 0 && within < 1e9) {
		return nil, badOption("within", "feet of 0 or more", "%v ft is not a distance", float64(within))
	}
	if unit != "" {
		found, err := FindUnit(s.Snapshot, unit)
		if err != nil {
			return nil, err
		}
		unit = found.ID
	}
	var all []view.PlaceRow
	seen := map[string]bool{}
	for _, x := range s.Distances(unit) {
		if within > 0 && x.Distance > within {
			continue
		}
		seen[x.Place.Name] = true
		away := x.Away
		all = append(all, view.PlaceRow{Name: x.Place.Name, Kind: x.Place.Kind, Unit: x.Unit, Away: &away})
	}
	if within == 0 {
		for _, p := range s.Places {
			if !seen[p.Name] {
				all = append(all, view.PlaceRow{Name: p.Name, Kind: p.Kind})
			}
		}
	}
	return all, nil
}

// RemovePlace takes a sensitive place away.
func (s *Session) RemovePlace(ctx context.Context, name, because string) error {
	return s.update(ctx, reason("remove the place "+name, because), func(tx *store.Tx) error { return tx.RemovePlace(name) })
}
