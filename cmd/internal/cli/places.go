package cli

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/table"
	"emberquilt/store"
)

func (a *app) placesCommand() *cobra.Command {
	var show showFlags
	var within float64
	var remove, because string
	cmd := &cobra.Command{
		Use:   "places [UNIT]",
		Short: "List the sensitive places, with distance and bearing from each unit",
		Long: withStatus(`Places lists the places that smoke must not reach, and how far and in which direction
each lies from each unit, or from the one that is named: between the nearest points of
both, the nearest first. emberquilt import reads places from a file with points, lines or
polygons that have a name and, if wanted, a kind.`, statusBadInput),
		Example: "  emberquilt places\n  emberquilt places \"School Prairie\" --within 5280\n  emberquilt places --remove \"Old Clinic\"",
		GroupID: groupProperty,
		Args:    argsBetween(0, "UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if !(within >= 0 && within < 1e9) {
				return flagError("within", "feet of 0 or more", "%v ft is not a distance", within)
			}
			if cmd.Flags().Changed("remove") {
				if remove == "" || len(args) > 0 {
					return flagError("remove", "the name of a place, and no unit", "it does not name one place")
				}
				return a.removePlace(cmd.Context(), remove, because)
			}
			return a.sit(cmd.Context(), a.read, func(d *desk) error {
				unit := ""
				if len(args) > 0 {
					found, err := findUnit(d.Snapshot, args[0])
					if err != nil {
						return err
					}
					unit = found.ID
				}
				if len(d.Places) == 0 && !show.csv && !a.json {
					return a.say("%s has no sensitive places yet; emberquilt import reads them from a file", d.Property.Name)
				}
				return a.printSheet(placesSheet(d, unit, quantity.Feet(within)), &show)
			})
		},
	}
	cmd.Flags().Float64Var(&within, "within", 0, "only places within so many `FEET` (default: all)")
	cmd.Flags().StringVar(&remove, "remove", "", "take the place of this `NAME` away")
	cmd.Flags().StringVar(&because, "because", "", "`REASON`, kept with a removal")
	show.register(cmd)
	return cmd
}

// away is how far a place lies from a unit.
type away struct {
	unit  string
	place *ground.Place
	ground.Away
}

// aways measures the places from the units with shapes, from one of them where
// it is named; the nearest first.
func aways(d *desk, unit string) []away {
	shapes := d.Current().Shapes
	var all []away
	for i := range d.Units {
		id := d.Units[i].ID
		shape, ok := shapes[id]
		if !ok || unit != "" && unit != id {
			continue
		}
		for k := range d.Places {
			if measured, ok := shape.Away(d.Places[k]); ok {
				all = append(all, away{id, &d.Places[k], measured})
			}
		}
	}
	slices.SortStableFunc(all, func(x, y away) int { return cmp.Compare(x.Distance, y.Distance) })
	return all
}

func placesSheet(d *desk, unit string, within quantity.Feet) *table.Sheet {
	sheet := &table.Sheet{Name: "places", Header: []string{"place", "kind", "unit", "distance_ft", "miles", "toward", "bearing_deg"}}
	seen := map[string]bool{}
	for _, x := range aways(d, unit) {
		if within > 0 && x.Distance > within {
			continue
		}
		seen[x.place.Name] = true
		toward, bearing := x.Toward.Compass(), any(rounded(float64(x.Toward), 0))
		if x.Distance == 0 {
			toward += ", touches"
		}
		sheet.Rows = append(sheet.Rows, []any{x.place.Name, x.place.Kind, x.unit, rounded(float64(x.Distance), 0), rounded(float64(x.Distance)/quantity.FeetPerMile, 2), toward, bearing})
	}
	if within == 0 { // places are listed where no unit has a shape, too
		for _, p := range d.Places {
			if !seen[p.Name] {
				sheet.Rows = append(sheet.Rows, []any{p.Name, p.Kind, nil, nil, nil, nil, nil})
			}
		}
	}
	return sheet
}

// mostPlaceLines is how many places a paper names.
const mostPlaceLines = 8

// placeLines says, for a paper, where the places lie that are near a unit.
func placeLines(d *desk, unit string) []string {
	var lines []string
	for i, x := range aways(d, unit) {
		if i == mostPlaceLines {
			lines = append(lines, "emberquilt places "+unit+" lists those that lie farther off")
			break
		}
		name := x.place.Name
		if x.place.Kind != "" && x.place.Kind != name {
			name += " (" + x.place.Kind + ")"
		}
		lines = append(lines, fmt.Sprintf("%s: %s ft to the %s (%.0f°)", name, x.Distance, x.Toward.Compass(), float64(x.Toward)))
	}
	return lines
}

func (a *app) removePlace(ctx context.Context, name, because string) error {
	at, err := a.moment()
	if err != nil {
		return err
	}
	return a.change(ctx, func(s *store.Store) error {
		err := s.Update(ctx, at, reason("remove the place "+name, because), func(tx *store.Tx) error { return tx.RemovePlace(name) })
		if err != nil {
			return err
		}
		return a.say("%s is no longer a sensitive place", name)
	})
}
