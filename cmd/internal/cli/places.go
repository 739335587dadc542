package cli

import (
	"context"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/quantity"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/store"
)

func (a *terminal) placesCommand() *cobra.Command {
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
			return a.session(cmd.Context(), app.ToRead, func(d *app.Session) error {
				unit := ""
				if len(args) > 0 {
					found, err := app.FindUnit(d.Snapshot, args[0])
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

func placesSheet(d *app.Session, unit string, within quantity.Feet) *table.Sheet {
	sheet := &table.Sheet{Name: "places", Header: []string{"place", "kind", "unit", "distance_ft", "miles", "toward", "bearing_deg"}}
	seen := map[string]bool{}
	for _, x := range d.Distances(unit) {
		if within > 0 && x.Distance > within {
			continue
		}
		seen[x.Place.Name] = true
		toward, bearing := x.Toward.Compass(), any(view.Rounded(float64(x.Toward), 0))
		if x.Distance == 0 {
			toward += ", touches"
		}
		sheet.Rows = append(sheet.Rows, []any{x.Place.Name, x.Place.Kind, x.Unit, view.Rounded(float64(x.Distance), 0), view.Rounded(float64(x.Distance)/quantity.FeetPerMile, 2), toward, bearing})
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

func (a *terminal) removePlace(ctx context.Context, name, because string) error {
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
