package list

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/habitat/pattern"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// Drawn is one shape of a file and what it is taken as.
type Drawn struct {
	Name string       `json:"name"`
	Form geofile.Form `json:"drawn_as"`
	As   Kind         `json:"taken_as"`
}

// sorter decides of each shape of a file what it is.
type sorter struct {
	layer *geofile.Layer
	opts  *Options
	// as has what is said of single shapes by their names, all in one case.
	as map[string]Kind
	// known gives the units' own spelling of a name.
	known  map[string]string
	faults *source.List
	notes  []ground.Note
}

// sortShapes decides of each shape what it is:
//
//   - what is said of it, else of the file;
//   - a polygon is a unit, unless it says of what kind of place it is and bears no
//     unit's name, and so is a path that comes back to its start;
//   - pins and open paths are places. One that bears a unit's name is that unit's
//     label, or a boundary that was not walked to its end.
//
// It gives the shapes by kind, each kind in the order of the file, and all of them as
// they were taken.
func sortShapes(layer *geofile.Layer, opts *Options, faults *source.List) (by map[Kind][]geofile.Feature, drawn []Drawn, notes []ground.Note) {
	s := &sorter{layer: layer, opts: opts, as: map[string]Kind{}, known: map[string]string{}, faults: faults}
	for _, name := range opts.Units {
		s.known[key(name)] = name
	}
	for name, kind := range opts.As {
		s.as[key(name)] = kind
	}
	s.checkNames()
	by = map[Kind][]geofile.Feature{}
	for i := range layer.Features {
		f := &layer.Features[i]
		form := f.Form()
		kind, ok := s.kindOf(f, form)
		if !ok {
			continue
		}
		drawn = append(drawn, Drawn{Name: f.Label(), Form: form, As: kind})
		if kind == Units {
			s.spell(f)
		}
		by[kind] = append(by[kind], *f)
	}
	return by, drawn, s.notes
}

// checkNames complains about names of shapes that the file does not have.
func (s *sorter) checkNames() {
	if len(s.opts.As) == 0 {
		return
	}
	names := make([]string, 0, len(s.layer.Features))
	there := map[string]bool{}
	for i := range s.layer.Features {
		if name := s.layer.Features[i].Name; name != "" && !there[key(name)] {
			there[key(name)] = true
			names = append(names, name)
		}
	}
	var absent []string
	for name := range s.opts.As {
		if !there[key(name)] {
			absent = append(absent, name)
		}
	}
	slices.Sort(absent)
	for _, name := range absent {
		e := &source.Error{Position: source.Position{File: s.layer.File}, Found: "no shape is named " + source.Quote(name), Accepts: "the name of a shape of the file before the ="}
		e.Hint = source.DidYouMean(name, names)
		s.faults.Add(e)
	}
}

// unitName is the name under which a feature is a unit.
func unitName(f *geofile.Feature) string {
	if name, ok := f.Attributes.Get("unit"); ok && strings.TrimSpace(name) != "" {
		return name
	}
	return f.Name
}

func (s *sorter) isUnit(f *geofile.Feature) bool {
	_, ok := s.known[key(unitName(f))]
	return ok && unitName(f) != ""
}

// spell gives a shape the unit's own spelling of its name.
func (s *sorter) spell(f *geofile.Feature) {
	name, ok := s.known[key(f.Name)]
	if !ok || f.Name == "" || name == f.Name || slices.Contains(s.opts.Units, f.Name) {
		return
	}
	s.note(f, ground.Assumed, "the shape %s was taken as that of unit %s", source.Quote(f.Name), source.Quote(name))
	f.Name = name
}

func (s *sorter) note(f *geofile.Feature, kind ground.Kind, format string, args ...any) {
	s.notes = append(s.notes, ground.Note{Position: f.Position, Kind: kind, Text: fmt.Sprintf(format, args...)})
}

// saysUnit reports whether a feature has a value that only a unit has.
func saysUnit(f *geofile.Feature) bool {
	return slices.ContainsFunc(f.Attributes, func(a geofile.Attribute) bool {
		k := key(a.Key)
		if ours, ok := synonyms[k]; ok && k != "name" {
			k = ours
		}
		return slices.Contains([]string{"unit", "acres", interval, "min_interval", "max_interval"}, k) && strings.TrimSpace(a.Value) != ""
	})
}

// saysKind reports whether a feature is asked of what kind of place it is, even where
// nothing is answered.
func saysKind(f *geofile.Feature) bool {
	return slices.ContainsFunc(f.Attributes, func(a geofile.Attribute) bool { return key(a.Key) == "kind" || key(a.Key) == "tolerated" })
}

// isRoad finds names of closed paths that go round no unit. Common practice, no source.
var isRoad = pattern.Lazy(`(?i)\b(road|rd|street|highway|hwy|driveway|railroad|railway)\b`)

// kindOf decides what a feature is; ok is false where it is nothing that can be taken,
// which is said.
func (s *sorter) kindOf(f *geofile.Feature, form geofile.Form) (kind Kind, ok bool) {
	said, isSaid := s.as[key(f.Name)]
	if !isSaid {
		said, isSaid = s.opts.Kind, s.opts.Kind != ""
	}
	switch {
	case isSaid && said == Nothing:
		s.note(f, ground.Dropped, "was left out, as was said")
		return Nothing, true
	case isSaid && said == Units && (form == geofile.ClosedPath || form == geofile.OpenPath):
		return Units, s.close(f)
	case isSaid:
		return said, true
	}
	isUnit := s.isUnit(f)
	switch form {
	case geofile.Area:
		if !isUnit && !saysUnit(f) && saysKind(f) {
			return Places, true
		}
		return Units, true
	case geofile.ClosedPath:
		if isUnit || saysUnit(f) {
			return Units, s.close(f)
		}
		if saysKind(f) || isRoad().MatchString(f.Name) {
			return Places, true
		}
		closed := *f
		if err := closed.Close(); err != nil {
			return Places, true // a tangle of ways goes round no unit
		}
		*f = closed
		return Units, true
	case geofile.OpenPath:
		if isUnit {
			s.faults.Add(
				&source.Error{Position: f.Position, Found: fmt.Sprintf("the path bears a unit's name and does not close: %s ft are missing from its end to its start", f.PathGap()),
					Accepts: "a path that comes back to its start", Hint: s.hint(f, Units, "closes it over the gap", Places, "takes it as a place that smoke may reach")},
			)
			return "", false
		}
		if saysUnit(f) {
			return Units, true // refused, with what a unit must have
		}
		return Places, true
	case geofile.Pin:
		if isUnit {
			s.note(f, ground.Dropped, "a pin that bears a unit's name marks the unit and was left out; %s takes it as a place that smoke may reach", asFlag(f.Name, Places))
			return Nothing, true
		}
		if saysUnit(f) {
			return Units, true
		}
		return Places, true
	}
	if saysKind(f) {
		return Places, true
	}
	return Units, true
}

// close makes a path the boundary of a unit, or says why it cannot be one.
func (s *sorter) close(f *geofile.Feature) bool {
	err := f.Close()
	if err != nil {
		err.Hint = s.hint(f, Places, "takes it as a place that smoke may reach", Nothing, "leaves it out")
		s.faults.Add(err)
	}
	return err == nil
}

// hint words two ways to say what a shape is.
func (s *sorter) hint(f *geofile.Feature, a Kind, does string, b Kind, other string) string {
	if f.Name == "" {
		return ""
	}
	return fmt.Sprintf("%s %s, %s %s", asFlag(f.Name, a), does, asFlag(f.Name, b), other)
}

// asFlag gives what to type to say what a shape is.
func asFlag(name string, kind Kind) string {
	return "--as " + source.ShellQuote(name+"="+kind.One())
}

// mostNamed is how many shapes are named in one line.
const mostNamed = 6

// tell says what the shapes of a file were taken as, with the names of those that are
// no units: "3 units, 2 places: house (pin), county road (line)".
func tell(drawn []Drawn) string {
	count := map[Kind]int{}
	paths := 0
	for _, d := range drawn {
		count[d.As]++
		if d.As == Units && d.Form != geofile.Area {
			paths++
		}
	}
	var parts []string
	if n := count[Units]; n > 0 {
		text := quantity.Count(n, "unit")
		if paths > 0 {
			text += fmt.Sprintf(" (%s)", quantity.Count(paths, "drawn as a path", "drawn as paths"))
		}
		parts = append(parts, text)
	}
	for _, kind := range []Kind{Places, Breaks, Nothing} {
		if count[kind] == 0 {
			continue
		}
		var names []string
		for _, d := range drawn {
			if d.As == kind {
				names = append(names, fmt.Sprintf("%s (%s)", d.Name, d.Form))
			}
		}
		if more := len(names) - mostNamed; more > 0 {
			names = append(names[:mostNamed], fmt.Sprintf("and %d more", more))
		}
		text := quantity.Count(count[kind], map[Kind]string{Places: "place", Breaks: "standing break"}[kind])
		if kind == Nothing {
			text = fmt.Sprintf("%d left out", count[kind])
		}
		parts = append(parts, text+": "+strings.Join(names, ", "))
	}
	return strings.Join(parts, "; ")
}
