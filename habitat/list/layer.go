package list

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// readLayer reads shapes, each as what it is. Beside a fault in single shapes stands the
// list, so that someone can be shown what the others were taken as.
func readLayer(ctx context.Context, layer *geofile.Layer, err error, opts Options) (*List, error) {
	faults := source.List{Most: opts.mostFaults()}
	if err != nil {
		if !source.Is(err) {
			return nil, err
		}
		addAll(&faults, err)
		if !opts.LeaveOut || len(layer.Features) == 0 {
			return nil, faults.Err()
		}
	}
	switch opts.Kind {
	case "", Units, Places, Breaks, Nothing:
	default:
		return nil, &source.Error{
			Position: source.Position{File: layer.File},
			Found:    fmt.Sprintf("shapes are no %s", opts.Kind),
			Accepts:  "units, places or breaks of a file with shapes",
		}
	}
	l := &List{File: layer.File, options: opts}
	by, drawn, notes := sortShapes(layer, &opts, &faults)
	l.Drawn = drawn
	l.Notes = append(layer.AllNotes(), notes...)
	for _, kind := range []Kind{Breaks, Places, Units} {
		if len(by[kind]) > 0 {
			l.Kind = kind // units before all
		}
	}
	if l.Kind == "" {
		l.Kind = cmp.Or(opts.Kind, Units)
	}
	l.Told = fmt.Sprintf("%s, told by their shapes; %s", l.Kind, layer.Format)
	switch {
	case len(by) > 1 || len(opts.As) > 0 || hasPaths(drawn):
		l.Told = tell(drawn) + "; " + layer.Format
	case opts.Kind == Breaks:
		l.Told = "standing breaks, as was said; " + layer.Format
	case opts.Kind != "":
		l.Told = fmt.Sprintf("%s, as was said; %s", l.Kind, layer.Format)
	}
	of := func(kind Kind) *geofile.Layer {
		part := *layer
		part.Features = by[kind]
		return &part
	}
	// Roads come in pieces, without names, across each other: they are not reviewed.
	if l.Kind == Units || l.Kind == Places {
		notes, err := geofile.Review(ctx, of(l.Kind), 0)
		if err != nil {
			return nil, err
		}
		l.Notes = append(l.Notes, notes...)
	}
	if len(by[Breaks]) > 0 {
		l.takeStanding(of(Breaks), &faults)
	}
	if len(by[Places]) > 0 {
		l.notePaths(drawn)
		l.takePlaces(of(Places), &faults)
	}
	if len(by[Units]) > 0 {
		if err := l.takeShapes(of(Units), &faults); err != nil {
			return nil, err
		}
	}
	_, err = l.finish(&faults)
	return l, err
}

// hasPaths reports whether some units are drawn as paths.
func hasPaths(drawn []Drawn) bool {
	return slices.ContainsFunc(drawn, func(d Drawn) bool {
		return d.As == Units && (d.Form == geofile.ClosedPath || d.Form == geofile.OpenPath)
	})
}

// notePaths says what else the paths of a file may be than places.
func (l *List) notePaths(drawn []Drawn) {
	i := slices.IndexFunc(drawn, func(d Drawn) bool {
		return d.As == Places && (d.Form == geofile.OpenPath || d.Form == geofile.ClosedPath)
	})
	if i < 0 || l.options.Kind != "" {
		return
	}
	l.Notes = append(l.Notes, ground.Note{Position: source.Position{File: l.File}, Kind: ground.Assumed,
		Text: fmt.Sprintf("lines were taken as places that smoke may reach; %s takes one as a standing break, where fire stops", asFlag(drawn[i].Name, Breaks))})
}

// takeShapes reads the shapes of units with what their attributes say.
func (l *List) takeShapes(layer *geofile.Layer, faults *source.List) error {
	if layer.NameField != "" {
		l.Told += ", names from " + layer.NameField
	}
	if l.options.Merge {
		var refused []ground.Note
		layer.Features, refused = geofile.JoinNamed(withoutSlivers(layer.Features))
		l.Notes = append(l.Notes, refused...)
	}
	s := featureSheet(layer)
	s.name(&l.options, faults)
	s.forgive(&l.options)
	l.Notes = append(l.Notes, s.notes...)
	return l.takeUnits(layer, s, faults)
}

// addAll adds the errors of a list, or one error, to another list.
func addAll(faults *source.List, err error) {
	if err == nil {
		return
	}
	var many *source.List
	if errors.As(err, &many) {
		for _, e := range many.Errors {
			faults.Add(e)
		}
		faults.More += many.More
		return
	}
	faults.Add(one(err))
}

// withoutSlivers leaves out the slivers that share their name with a real shape.
func withoutSlivers(features []geofile.Feature) []geofile.Feature {
	isSliver := func(f *geofile.Feature) bool {
		return slices.ContainsFunc(f.Notes, func(n ground.Note) bool { return n.Kind == ground.Sliver })
	}
	real := map[string]bool{}
	for i := range features {
		if !isSliver(&features[i]) {
			real[strings.ToLower(features[i].Name)] = true
		}
	}
	var kept []geofile.Feature
	for i := range features {
		if !isSliver(&features[i]) || !real[strings.ToLower(features[i].Name)] {
			kept = append(kept, features[i])
		}
	}
	return kept
}

func (l *List) takePlaces(layer *geofile.Layer, faults *source.List) {
	seen := map[string]bool{}
	for i := range layer.Features {
		f := &layer.Features[i]
		switch {
		case f.Name == "":
			faults.Add(
				&source.Error{
					Position: f.Position,
					Found:    fmt.Sprintf("the %s has no name", f.Form()),
					Accepts:  "a name for each place",
					Hint:     "name it where it was drawn; --leave-out leaves out what has none",
				},
			)
		case seen[f.Name]:
			faults.Addf(f.Position, "each place once", "a place named %s stands in the file already", source.Quote(f.Name))
		case f.Shape.IsEmpty() && len(f.Lines)+len(f.Points) == 0:
			faults.Addf(f.Position, "a point, a line or a polygon", "the place lies nowhere")
		default:
			if err := habitat.ValidateName("name", f.Name); err != nil {
				faults.Add(fieldFault(f.Position, err))
				continue
			}
			seen[f.Name] = true
			l.places = append(l.places, f)
		}
	}
}

// fieldFault turns a *habitat.FieldError into a fault at a place.
func fieldFault(at source.Position, err error) *source.Error {
	var f *habitat.FieldError
	if errors.As(err, &f) {
		return &source.Error{Position: at, Found: f.Found, Accepts: f.Accepts}
	}
	return &source.Error{Position: at, Found: err.Error()}
}

// nameHint says what to do about shapes without a name: leave them out where
// others have one, else say where the names stand.
func (l *List) nameHint(s *sheet, isNamed bool) string {
	switch {
	case isNamed && l.options.LeaveOut:
		return ""
	case isNamed:
		return "--leave-out takes the shapes that have a name and leaves the others out"
	case l.options.Columns["unit"] != "" || len(s.header) == 0:
		return ""
	}
	return "say which of its attributes holds the names, such as --columns unit=" + firstOr(s.header, "NAME")
}

// takeUnits reads features as units: names that no column gives are those of
// the features, areas in hectares are those that the file states.
func (l *List) takeUnits(layer *geofile.Layer, s *sheet, faults *source.List) error {
	units, err := take(l, s, unitColumns, nil, faults)
	if err != nil {
		return err
	}
	for i := range units {
		if u := &units[i]; !u.has["unit"] {
			u.V.ID, u.has["unit"] = u.row.feature.Name, true
		}
	}
	l.takeLastBurned(s, units, faults)
	l.Ignored = slices.DeleteFunc(l.Ignored, func(h string) bool { return strings.EqualFold(h, layer.NameField) })
	isNamed := slices.ContainsFunc(layer.Features, func(f geofile.Feature) bool { return f.Name != "" })
	hasHint := false
	for i := range units {
		u := &units[i]
		f := u.row.feature
		if stated, ok := f.StatedAcres(); ok && !u.has["acres"] {
			u.V.StatedAcres, u.has["acres"] = quantity.Acres(stated), true
		}
		if f.Shape.IsEmpty() {
			e := &source.Error{Position: f.Position, Found: "the unit has no area", Accepts: "a polygon, or a path that comes back to its start"}
			if form := f.Form(); f.Name != "" && form != geofile.Formless {
				e.Hint = fmt.Sprintf("%s takes the %s as a place that smoke may reach, %s leaves it out", asFlag(f.Name, Places), form, asFlag(f.Name, Nothing))
			}
			faults.Add(e)
			continue
		}
		if u.V.ID == "" {
			e := &source.Error{Position: f.Position, Found: "the shape has no name", Accepts: "a name in each shape"}
			if !hasHint { // once is enough
				e.Hint, hasHint = l.nameHint(s, isNamed), true
			}
			faults.Add(e)
			continue
		}
		l.units = append(l.units, *u)
	}
	return nil
}
