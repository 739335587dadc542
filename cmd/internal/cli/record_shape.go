package cli

import (
	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/ground/geofile"
)

// outline reads what burned from a map file; nil where none is named.
func (f *recordFlags) outline(s *app.Session) (*app.Outline, error) {
	if f.shape == "" {
		return nil, nil
	}
	if f.acres != 0 {
		return nil, usagef("--acres and --shape both say how much burned; use one")
	}
	layer, err := geofile.Read(f.shape, geofile.Options{})
	if isPathError(err) {
		return nil, noFile(f.shape, err)
	}
	if err == nil {
		err = layer.ClosePaths()
	}
	if err != nil {
		return nil, err
	}
	burned := &app.Outline{Name: f.shape}
	for i := range layer.Features {
		burned.Shape.Polygons = append(burned.Shape.Polygons, layer.Features[i].Shape.Polygons...)
	}
	burned.File, err = attach(s, f.shape)
	return burned, err
}
