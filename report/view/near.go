package view

import (
	"fmt"

	"emberquilt/habitat/quantity"
)

// Near is a sensitive place, seen from a unit.
type Near struct {
	Name, Kind string
	Distance   quantity.Feet
	Toward     quantity.Bearing
}

// mostNear is how many places a paper names.
const mostNear = 8

// NearLines says where the sensitive places of a unit lie, the nearest first; all
// stand in that order.
func NearLines(all []Near) []string {
	var lines []string
	for i, x := range all {
		if i == mostNear {
			return append(lines, fmt.Sprintf("and %d that lie farther off", len(all)-i))
		}
		name := x.Name
		if x.Kind != "" && x.Kind != name {
			name += " (" + x.Kind + ")"
		}
		lines = append(lines, fmt.Sprintf("%s: %s ft to the %s (%.0f°)", name, x.Distance, x.Toward.Compass(), float64(x.Toward)))
	}
	return lines
}

// AdjoiningLine names a unit that lies beside another, with the feet of their common
// boundary where they are known.
func AdjoiningLine(unit string, shared quantity.Feet) string {
	if shared > 0 {
		return fmt.Sprintf("%s, %s ft of common boundary", unit, shared)
	}
	return unit
}
