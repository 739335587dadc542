package window

import (
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
)

// SmokeHalfAngle is how far to either side of straight downwind a place is
// taken to lie in the smoke, in degrees.
const SmokeHalfAngle = 30.0

// Place is a smoke-sensitive place near a unit.
type Place struct {
	Name, Kind string
	// Tolerated marks a place of the user's own, which smoke may reach: it keeps
	// no wind out, and is named all the same.
	Tolerated bool
	// Toward is the bearing of its nearest point from the unit, Distance how far
	// that is; 0 where the place touches or crosses the unit.
	Toward   quantity.Bearing
	Distance quantity.Feet
	// Reached says for the winds from the sixteen compass points, clockwise from
	// north, whether smoke reaches the place, Downwind over which way at least.
	Reached  [16]bool
	Downwind [16]quantity.Feet
}

// Reached is a place that the smoke of one wind reaches, Distance being the
// least way through the smoke from the unit's edge.
type Reached struct {
	Name, Kind string
	Tolerated  bool
	Distance   quantity.Feet
}

// PlacesAround gives the places within a distance of a unit, judged by the whole
// shape of both; see ground.Shape.Downwind.
func PlacesAround(unit ground.Shape, all []ground.Place, within quantity.Feet) []Place {
	var near []Place
	from := make([]quantity.Bearing, 16)
	for i := range from {
		from[i] = quantity.Bearing(22.5 * float64(i))
	}
	for _, p := range all {
		away, ok := unit.Away(p)
		if !ok || away.Distance > within {
			continue
		}
		d, ok := unit.Downwind(p, within, SmokeHalfAngle, from)
		if !ok {
			continue
		}
		near = append(near, Place{Name: p.Name, Kind: p.Kind, Tolerated: p.Tolerated, Toward: away.Toward, Distance: away.Distance,
			Reached: [16]bool(d.Reached), Downwind: [16]quantity.Feet(d.Distance)})
	}
	return near
}

// ReachedBy gives the places that smoke reaches with the wind from any bearing.
func ReachedBy(unit ground.Shape, all []ground.Place, within quantity.Feet, from quantity.Bearing) []Reached {
	var reached []Reached
	for _, p := range all {
		if d, ok := unit.Downwind(p, within, SmokeHalfAngle, []quantity.Bearing{from}); ok && d.Reached[0] {
			reached = append(reached, Reached{p.Name, p.Kind, p.Tolerated, d.Distance[0]})
		}
	}
	return reached
}
