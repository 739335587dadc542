package cli

import (
	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/habitat/source"
	"emberquilt/store"
)

// applyShape takes the acres from the outline that burned: what of it lies
// within the unit, or all of it where the unit has no shape.
func (f *recordFlags) applyShape(r *habitat.BurnRecord, snapshot *store.Snapshot, property string) error {
	if f.shape == "" {
		return nil
	}
	if f.acres != 0 {
		return usagef("--acres and --shape both say how much burned; use one")
	}
	layer, err := geofile.Read(f.shape, geofile.Options{})
	if isPathError(err) {
		return noFile(f.shape, err)
	}
	if err != nil {
		return err
	}
	bad := func(found, accepts string) error {
		return &source.Error{Position: source.Position{File: f.shape}, Found: found, Accepts: accepts}
	}
	var burned ground.Shape
	for i := range layer.Features {
		burned.Polygons = append(burned.Polygons, layer.Features[i].Shape.Polygons...)
	}
	if burned.IsEmpty() {
		return bad("holds no outline with an area", "the outline that burned, as one polygon or more")
	}
	r.Acres, r.HasAcres = burned.Acres(), true
	if unit := snapshot.Current().Shapes[r.Unit]; !unit.IsEmpty() {
		within, ok := ground.CommonAcres(burned, unit)
		switch {
		case !ok:
			return bad("its lines cross so wildly that it cannot be measured against the unit", "an outline that does not cross itself; or --acres")
		case within <= 0:
			return bad("lies outside "+quote(r.Unit), "an outline within the unit")
		}
		r.Acres = within
	}
	file, err := attach(f.shape, property)
	if err != nil {
		return err
	}
	r.Files = append(r.Files, file)
	return nil
}
