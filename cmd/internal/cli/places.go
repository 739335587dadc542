package cli

import (
	"context"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/quantity"
	"emberquilt/report/table"
)

// placesOptions are those of the places command.
type placesOptions struct {
	show    showFlags
	within  float64
	remove  nameFlag
	because string
}

func (a *terminal) placesCommand() *cobra.Command {
	var o placesOptions
	cmd := &cobra.Command{
		Use:   "places [UNIT]",
		Short: "List the sensitive places, with distance and bearing from each unit",
		Long: withStatus(`Places lists the places that smoke must not reach, and how far and in which direction
each lies from each unit, or from the one that is named: between the nearest points of
both, the nearest first. emberquilt import reads places from a file with points, lines or
polygons that have a name and, if wanted, a kind. One whose attribute tolerated is yes, such
as your own barn, keeps no wind out and is named all the same.`, statusBadInput),
		Example: "  emberquilt places\n  emberquilt places \"School Prairie\" --within 5280\n  emberquilt places --remove \"Old Clinic\"",
		GroupID: groupProperty,
		Args:    argsBetween(0, "UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runPlaces(cmd.Context(), &o, args)
		},
	}
	cmd.Flags().Float64Var(&o.within, "within", 0, "only places within so many `FEET` (default: all)")
	cmd.Flags().Var(&o.remove, "remove", "take the place of this `NAME` away")
	cmd.Flags().StringVar(&o.because, "because", "", "`REASON`, kept with a removal")
	o.show.register(cmd)
	return cmd
}

func (a *terminal) runPlaces(ctx context.Context, o *placesOptions, args []string) error {
	if o.remove.isGiven {
		if o.remove.text == "" || len(args) > 0 {
			return flagError("remove", "the name of a place, and no unit", "it does not name one place")
		}
		return a.session(ctx, app.ToChange, func(s *app.Session) error {
			if err := s.RemovePlace(ctx, o.remove.text, o.because); err != nil {
				return err
			}
			return a.say("%s is no longer a sensitive place", o.remove.text)
		})
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		all, err := s.PlaceRows(firstOf(args), quantity.Feet(o.within))
		if err != nil {
			return err
		}
		if len(s.Places) == 0 && !o.show.csv && !a.json {
			return a.say("%s has no sensitive places yet; emberquilt import reads them from a file", s.Property.Name)
		}
		return a.printSheet(table.Places(all), &o.show)
	})
}
