package cli

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
)

func (a *terminal) exportCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "export FILE",
		Short: "Write the units with their plan as a file for map programs",
		Long: withStatus(`Export writes the units' shapes with what the adopted plan does with them: acres, interval,
age, feet of break when burned alone, and for each plan year the season of the burn. The name of the file says the form:
.geojson, .kml, .gpkg (GeoPackage), .csv (with the shape as text) or .zip (a shapefile).
It names units, and no person.`, statusBadInput),
		Example: "  emberquilt export plan.geojson\n  emberquilt export plan.zip",
		GroupID: groupPaper,
		Args:    exactArgs("FILE"),
		RunE:    func(cmd *cobra.Command, args []string) error { return a.runExport(cmd.Context(), args[0]) },
	}
}

func (a *terminal) runExport(ctx context.Context, path string) error {
	write, err := exporter(path)
	if err != nil {
		return err
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		layer, missing, err := unitLayer(ctx, s)
		if err != nil {
			return err
		}
		var notes []ground.Note
		if err := a.write(output{path, func(w io.Writer) (err error) { notes, err = write(w, layer); return err }}); err != nil {
			return err
		}
		for _, note := range notes {
			fmt.Fprintln(a.Err, "note:", note)
		}
		if len(missing) > 0 {
			fmt.Fprintf(a.Err, "note: without a shape, and not in the file: %s\n", strings.Join(missing, ", "))
		}
		return a.say("%s: %d units", path, len(layer.Rows))
	})
}

// unitLayer gives the units with their plan, and those that have no shape.
func unitLayer(ctx context.Context, s *app.Session) (layer *geofile.Table, missing []string, err error) {
	c, err := s.Contents(ctx, 0)
	if err != nil {
		return nil, nil, err
	}
	if layer, missing = c.Ground(); len(layer.Rows) == 0 {
		return nil, nil, fmt.Errorf("%s has no shapes to export; emberquilt import reads them from a file", s.Property.Name)
	}
	return layer, missing, nil
}

// exporter gives the writer that a file's name asks for.
func exporter(path string) (func(io.Writer, *geofile.Table) ([]ground.Note, error), error) {
	plain := func(write func(io.Writer, *geofile.Table) error) func(io.Writer, *geofile.Table) ([]ground.Note, error) {
		return func(w io.Writer, t *geofile.Table) ([]ground.Note, error) { return nil, write(w, t) }
	}
	switch strings.ToLower(filepath.Ext(path)) {
	case ".geojson", ".json":
		return plain(geofile.WriteGeoJSON), nil
	case ".kml":
		return plain(geofile.WriteKML), nil
	case ".gpkg":
		return plain(geofile.WriteGeoPackage), nil
	case ".csv":
		return plain(geofile.WriteCSV), nil
	case ".zip":
		stem := fileWord(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
		return func(w io.Writer, t *geofile.Table) ([]ground.Note, error) { return geofile.WriteShapefile(w, stem, t) }, nil
	}
	return nil, usagef("FILE: %s tells no form of map file; accepts a name that ends in .geojson, .kml, .gpkg (GeoPackage), .csv or .zip", quote(path))
}
