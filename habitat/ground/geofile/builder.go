package geofile

import (
	"strings"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/projection"
	"emberquilt/habitat/ground/repair"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// Layer is what a file holds.
type Layer struct {
	// File is the name as given; Format says in words what the content is.
	File, Format string
	// System names the coordinate system in which the file was.
	System string
	// NameField is the attribute that was guessed to hold the names; empty where
	// it was stated, or the format has a place of its own for names.
	NameField string
	// Features are in file order, those with errors left out.
	Features []Feature
	// Notes concern the file as a whole.
	Notes []ground.Note
}

// AllNotes gives the notes of the file and then those of its features.
func (l *Layer) AllNotes() []ground.Note {
	all := append([]ground.Note(nil), l.Notes...)
	for i := range l.Features {
		all = append(all, l.Features[i].Notes...)
	}
	return all
}

// geometry is what a reader has found, in the file's own coordinates.
type geometry struct {
	// polygons hold rings, the outer one first.
	polygons [][][]ground.Point
	// rings are boundaries of which the format does not say which are holes.
	rings  [][]ground.Point
	lines  [][]ground.Point
	points []ground.Point
	// raised counts points with height or measure.
	raised int
}

func (g *geometry) isEmpty() bool {
	return len(g.polygons)+len(g.rings)+len(g.lines)+len(g.points) == 0
}

// builder turns what the readers find into features. Every reader ends in it.
type builder struct {
	layer *Layer
	opts  Options
	// system brings the file's coordinates to degrees on WGS 84.
	system projection.System
	errs   source.List
	// anyWinding is as in cleaner.
	anyWinding bool
	// nameField is the attribute that holds the names of this file.
	nameField string
	// missingSystem is set where the file should have said its system.
	missingSystem bool
	// noDegrees is set when the file's coordinates cannot be degrees.
	noDegrees bool

	number, attributes, turned, turnedFeatures, repeated, repeatedFeatures, raised int
}

func newBuilder(file, format string, opts Options) *builder {
	return &builder{layer: &Layer{File: file, Format: format}, opts: opts, system: projection.Degrees}
}

// add makes the next feature. Its line is 0 where the format has no lines.
// Features that cannot be used leave an error.
func (b *builder) add(line int, name string, attributes Attributes, g geometry) {
	b.number++
	if b.noDegrees {
		return
	}
	if b.number > MaxFeatures {
		if b.number == MaxFeatures+1 {
			b.errs.Add(tooMuch(source.Position{File: b.layer.File, Line: line}, "features", MaxFeatures))
		}
		return
	}
	name = source.Clean(name)
	for i := range attributes {
		attributes[i].Key = source.Clean(attributes[i].Key)
		attributes[i].Value = source.Clean(attributes[i].Value)
	}
	name = b.nameOf(name, attributes)
	if b.attributes += len(attributes); b.attributes > maxAllAttributes {
		attributes = nil
	}
	f := Feature{
		Position:   source.Position{File: b.layer.File, Line: line, Field: featureField(b.number, name)},
		Name:       name,
		Attributes: attributes,
	}
	if err := b.shape(&f, &g); err != nil {
		b.errs.Add(err)
		// A file of meters has the same fault in every feature: once is enough.
		b.noDegrees = len(b.layer.Features) == 0 && err.Hint == repair.ProjectedHint
		return
	}
	b.layer.Features = append(b.layer.Features, f)
}

// fail records that the next feature could not be read.
func (b *builder) fail(line int, name, accepts, format string, args ...any) {
	b.number++
	b.errs.Addf(source.Position{File: b.layer.File, Line: line, Field: featureField(b.number, source.Clean(name))}, accepts, format, args...)
}

// shape brings the geometry to degrees and cleans it.
func (b *builder) shape(f *Feature, g *geometry) *source.Error {
	c := &repair.Cleaner{At: f.Position, AnyWinding: b.anyWinding}
	if err := b.toDegrees(c, g); err != nil {
		return err
	}
	if g.raised > 0 {
		b.raised++
	}
	for _, l := range g.lines {
		for _, p := range l {
			if err := c.CheckRange(p); err != nil {
				return err
			}
		}
		f.Lines = append(f.Lines, l)
	}
	for _, p := range g.points {
		if err := c.CheckRange(p); err != nil {
			return err
		}
		f.Points = append(f.Points, p)
	}
	polygons := g.polygons
	if len(g.rings) > maxRings || len(g.polygons) > maxRings {
		return tooMuch(f.Position, "rings", maxRings)
	}
	if len(g.rings) > 0 {
		nested, err := c.Nest(g.rings)
		if err != nil {
			return err
		}
		polygons = append(polygons, nested...)
	}
	if len(polygons) > 0 {
		shape, err := c.Polygons(polygons)
		if err != nil {
			return err
		}
		f.Shape = shape
	}
	if g.isEmpty() {
		c.Note(ground.Missing, 0, "has no geometry")
	}
	f.Notes = append(f.Notes, c.Notes...)
	if b.turned += c.Turned; c.Turned > 0 {
		b.turnedFeatures++
	}
	if b.repeated += c.Repeated; c.Repeated > 0 {
		b.repeatedFeatures++
	}
	return nil
}

// toDegrees replaces the coordinates of g by degrees on WGS 84.
func (b *builder) toDegrees(c *repair.Cleaner, g *geometry) *source.Error {
	if b.system.ToDegrees == nil {
		return nil
	}
	change := func(points []ground.Point) *source.Error {
		for i, p := range points {
			q, ok := b.system.ToDegrees(p)
			if !ok {
				return c.Refuse("coordinates of "+b.system.Name, "%g, %g lies outside %s", p.Lon, p.Lat, b.system.Name)
			}
			points[i] = q
		}
		return nil
	}
	for _, rings := range g.polygons {
		for _, r := range rings {
			if err := change(r); err != nil {
				return err
			}
		}
	}
	for _, set := range [][][]ground.Point{g.rings, g.lines, {g.points}} {
		for _, points := range set {
			if err := change(points); err != nil {
				return err
			}
		}
	}
	return nil
}

// finish gives the layer with its notes, and the errors.
func (b *builder) finish() (*Layer, error) {
	l := b.layer
	l.System, l.NameField = b.system.Name, b.nameField
	at := source.Position{File: l.File}
	if b.turned > 0 {
		b.say(ground.Mended, "%s rings the wrong way; they were turned, no ground moved", quantity.Count(b.turnedFeatures, "feature winds", "features wind"))
	}
	if b.repeated > 0 {
		b.say(ground.Mended, "%s the one before, in %s; they were left out, no ground moved",
			quantity.Count(b.repeated, "point repeats", "points repeat"), quantity.Count(b.repeatedFeatures, "feature", "features"))
	}
	if b.raised > 0 {
		b.say(ground.Dropped, "heights or measures of %s were left out; only the ground plan is used", quantity.Count(b.raised, "feature", "features"))
	}
	if b.attributes > maxAllAttributes {
		b.say(ground.Dropped, "the file has more than %s attributes; those of later features were left out", grouped(maxAllAttributes))
	}
	if b.system.Warning != "" {
		b.say(ground.Assumed, "%s", b.system.Warning)
	}
	if b.missingSystem && b.errs.Len() == 0 && len(l.Features) > 0 {
		b.say(ground.Assumed, "the file does not say its coordinate system (no .prj); its numbers were taken as WGS 84 degrees")
	}
	if b.number == 0 && b.errs.Len() == 0 {
		b.errs.Addf(at, "a file with at least one shape", "the %s holds no shapes", l.Format)
	}
	return l, b.errs.Err()
}

// nameFields are the attributes that may hold a feature's name, best first.
// Common practice, no source.
var nameFields = []string{"name", "unit_name", "unitname", "unit", "burn_unit", "burnunit", "unit_id", "unitid",
	"label", "title"}

// nameOf gives a feature's name: from the field that the user named, from the
// format's own place for names, or from one field for the whole file.
func (b *builder) nameOf(own string, attributes Attributes) string {
	if b.opts.NameField != "" {
		if value, ok := attributes.Get(b.opts.NameField); ok {
			return value
		}
	}
	if own != "" {
		return own
	}
	if b.nameField == "" {
		b.nameField = guessNameField(attributes)
	}
	value, _ := attributes.Get(b.nameField)
	return value
}

func guessNameField(attributes Attributes) string {
	for _, field := range nameFields {
		for _, a := range attributes {
			if strings.EqualFold(a.Key, field) {
				return a.Key
			}
		}
	}
	for _, a := range attributes {
		if strings.Contains(strings.ToLower(a.Key), "name") {
			return a.Key
		}
	}
	return ""
}
