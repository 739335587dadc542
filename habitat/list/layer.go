package list

import (
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

// readLayer reads shapes as units or as sensitive places.
func readLayer(ctx context.Context, layer *geofile.Layer, err error, opts Options) (*List, error) {
	var faults source.List
	if err != nil {
		if !source.Is(err) {
			return nil, err
		}
		addAll(&faults, err)
		if !opts.LeaveOut || len(layer.Features) == 0 {
			return nil, faults.Err()
		}
	}
	l := &List{File: layer.File, Kind: opts.Kind, options: opts}
	l.Notes = layer.AllNotes()
	if l.Kind != Breaks { // roads come in pieces, without names, across each other
		notes, err := geofile.Review(ctx, layer, 0)
		if err != nil {
			return nil, err
		}
		l.Notes = append(l.Notes, notes...)
	}
	if l.Kind == "" {
		l.Kind = Units
		if arePlaces(layer) {
			l.Kind = Places
		}
	}
	l.Told = fmt.Sprintf("%s, told by their shapes; %s", l.Kind, layer.Format)
	if l.Kind == Breaks {
		l.Told = fmt.Sprintf("standing breaks, as was said; %s", layer.Format)
		l.takeStanding(layer, &faults)
		return l.finish(&faults)
	}
	if l.Kind == Places {
		hasLines := slices.ContainsFunc(layer.Features, func(f geofile.Feature) bool { return len(f.Lines) > 0 })
		if hasLines && opts.Kind == "" {
			l.Notes = append(l.Notes, ground.Note{Position: source.Position{File: layer.File}, Kind: ground.Assumed,
				Text: "its lines were taken as sensitive places; --kind breaks takes roads and water as standing breaks"})
		}
		l.takePlaces(layer, &faults)
		return l.finish(&faults)
	}
	if layer.NameField != "" {
		l.Told += ", names from " + layer.NameField
	}
	if opts.Merge {
		var refused []ground.Note
		layer.Features, refused = geofile.JoinNamed(withoutSlivers(layer.Features))
		l.Notes = append(l.Notes, refused...)
	}
	s := featureSheet(layer)
	s.name(&opts, &faults)
	s.forgive(&opts)
	l.Notes = append(l.Notes, s.notes...)
	if err := l.takeUnits(layer, s, &faults); err != nil {
		return nil, err
	}
	return l.finish(&faults)
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

// arePlaces tells sensitive places from units: some of them have no area, or
// none says anything that a unit would.
func arePlaces(layer *geofile.Layer) bool {
	hasKind := false
	for i := range layer.Features {
		f := &layer.Features[i]
		for _, a := range f.Attributes {
			switch key(a.Key) {
			case "unit", "min_interval", "max_interval", "acres":
				return false
			case "kind":
				hasKind = true
			}
		}
		if f.Shape.IsEmpty() && len(f.Lines)+len(f.Points) > 0 {
			return true
		}
	}
	return hasKind
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
			faults.Addf(f.Position, "a place with a name", "the place has no name")
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
			faults.Addf(f.Position, "a polygon", "the unit has no area")
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
