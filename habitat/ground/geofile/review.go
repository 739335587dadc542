package geofile

import (
	"context"
	"fmt"
	"math"
	"sort"
	"strings"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/repair"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// statedFields are attributes that may state an area, with the acres in one of
// their unit. Common practice, no source.
var statedFields = []struct {
	name string
	unit quantity.Acres
	said string
}{
	{"acres", 1, "acres"}, {"acreage", 1, "acres"}, {"area_acres", 1, "acres"}, {"area_ac", 1, "acres"},
	{"gis_acres", 1, "acres"}, {"calc_acres", 1, "acres"}, {"unit_acres", 1, "acres"}, {"ac", 1, "acres"},
	{"hectares", quantity.Hectares(1).Acres(), "hectares"}, {"area_ha", quantity.Hectares(1).Acres(), "hectares"}, {"ha", quantity.Hectares(1).Acres(), "hectares"},
}

// StatedAcres gives the area that the feature's attributes state, and whether
// one does. It is for comparison: the shape alone is believed.
func (f *Feature) StatedAcres() (acres quantity.Acres, ok bool) {
	acres, _, ok = f.stated()
	return acres, ok
}

func (f *Feature) stated() (acres quantity.Acres, shown string, ok bool) {
	for _, field := range statedFields {
		text, has := f.Attributes.Get(field.name)
		if !has {
			continue
		}
		if v, err := quantity.Parse(text); err == nil && v > 0 {
			return quantity.Acres(v) * field.unit, quantity.Group(v, 2) + " " + field.said, true
		}
	}
	return 0, "", false
}

// How far apart a stated area and the shape's may lie without a word.
const (
	statedShare = 0.01
	statedAcres = 0.05
)

// Review says, in a manager's words, what is odd about the features of a file
// taken together: names that repeat or are missing, stated areas that the shapes
// do not have, ground that two of them claim. It stands in nobody's way; the
// notes of single features are not repeated.
func Review(ctx context.Context, l *Layer, tolerance quantity.Feet) ([]ground.Note, error) {
	r := &review{layer: l, acres: make([]quantity.Acres, len(l.Features)), shapes: make([]ground.Shape, len(l.Features))}
	for i := range l.Features {
		r.shapes[i] = l.Features[i].Shape
		r.acres[i] = r.shapes[i].Acres()
	}
	r.names()
	r.codes()
	r.areas()
	err := r.pairs(ctx, tolerance)
	return r.notes, err
}

type review struct {
	layer  *Layer
	shapes []ground.Shape
	acres  []quantity.Acres
	groups map[string][]int // features by name, in lower case
	notes  []ground.Note
}

func (r *review) say(at source.Position, kind ground.Kind, format string, args ...any) {
	r.notes = append(r.notes, ground.Note{Position: at, Kind: kind, Text: fmt.Sprintf(format, args...)})
}

func (r *review) file() source.Position { return source.Position{File: r.layer.File} }

// list names features by their numbers, with their acres.
func (r *review) list(of []int) string {
	var parts []string
	for k, i := range of {
		if k == 6 {
			parts = append(parts, fmt.Sprintf("and %d more", len(of)-k))
			break
		}
		number, _, _ := strings.Cut(strings.TrimPrefix(r.layer.Features[i].Position.Field, "feature "), " ")
		parts = append(parts, fmt.Sprintf("feature %s with %s", number, repair.AreaText(r.acres[i])))
	}
	return strings.Join(parts, ", ")
}

func (r *review) names() {
	r.groups = make(map[string][]int)
	var order []string
	var unnamed []int
	for i, f := range r.layer.Features {
		if r.shapes[i].IsEmpty() {
			continue
		}
		key := strings.ToLower(f.Name)
		if key == "" {
			unnamed = append(unnamed, i)
			continue
		}
		if r.groups[key] == nil {
			order = append(order, key)
		}
		r.groups[key] = append(r.groups[key], i)
	}
	for _, key := range order {
		if all := r.groups[key]; len(all) > 1 {
			f := &r.layer.Features[all[0]]
			r.say(f.Position, ground.Repeated, "the name %s stands on %d shapes (%s); give each its own name, or join them to one unit",
				source.Quote(f.Name), len(all), r.list(all))
		}
	}
	if len(unnamed) > 0 {
		r.say(r.file(), ground.Missing, "%s no name: %s", quantity.Count(len(unnamed), "shape has", "shapes have"), r.list(unnamed))
	}
}

// codes looks for values that repeat in columns that look like keys.
func (r *review) codes() {
	columns := make(map[string]map[string][]int)
	var keys []string
	for i, f := range r.layer.Features {
		for _, a := range f.Attributes {
			lower := strings.ToLower(a.Key)
			if !strings.Contains(lower, "code") && !strings.HasSuffix(lower, "id") {
				continue
			}
			if columns[a.Key] == nil {
				columns[a.Key] = make(map[string][]int)
				keys = append(keys, a.Key)
			}
			columns[a.Key][a.Value] = append(columns[a.Key][a.Value], i)
		}
	}
	for _, key := range keys {
		values := columns[key]
		if key == "" || float64(len(values)) < 0.8*float64(len(r.layer.Features)) {
			continue // no key
		}
		var again []string
		for value, all := range values {
			if value != "" && len(all) > 1 {
				again = append(again, fmt.Sprintf("%s %d times", source.Quote(value), len(all)))
			}
		}
		sort.Strings(again)
		if len(again) > 0 {
			r.say(r.file(), ground.Repeated, "in column %s some codes repeat: %s", source.Quote(key), strings.Join(again, ", "))
		}
		if n := len(values[""]); n > 0 {
			r.say(r.file(), ground.Missing, "in column %s %s no code", source.Quote(key), quantity.Count(n, "shape has", "shapes have"))
		}
	}
}

// areas compares what the file states with what the shapes cover.
func (r *review) areas() {
	for i := range r.layer.Features {
		f := &r.layer.Features[i]
		stated, shown, ok := f.stated()
		if !ok || r.shapes[i].IsEmpty() {
			continue
		}
		off := math.Abs(float64(stated - r.acres[i]))
		if off <= statedAcres || off <= statedShare*float64(r.acres[i]) {
			continue
		}
		why := ""
		group := r.groups[strings.ToLower(f.Name)]
		var whole quantity.Acres
		for _, j := range group {
			whole += r.acres[j]
		}
		switch {
		case len(group) > 1 && math.Abs(float64(stated-whole)) <= statedShare*float64(whole):
			why = fmt.Sprintf(": the figure is that of all %d shapes of this name together", len(group))
		case r.acres[i] < repair.SliverAcres:
			why = ": a sliver that kept the figure of the unit it was cut from"
		}
		r.say(f.Position, ground.Stated, "the file says %s, the shape covers %s%s; the shape's acres are used", shown, repair.AreaText(r.acres[i]), why)
	}
}

// overlapShown is the ground from which an overlap is told on its own.
const overlapShown quantity.Acres = 0.1

// mostOverlaps is how many overlaps are told on their own.
const mostOverlaps = 20

func (r *review) pairs(ctx context.Context, tolerance quantity.Feet) error {
	pairs, err := ground.Neighbors(ctx, r.shapes, tolerance)
	if err != nil {
		return err
	}
	sort.SliceStable(pairs, func(i, j int) bool { return pairs[i].Overlap > pairs[j].Overlap })
	told, small, apart, unknown := 0, 0, 0, 0
	var smallSum quantity.Acres
	var widest quantity.Feet
	for _, p := range pairs {
		switch {
		case p.Unmeasured:
			unknown++
		case p.Overlap >= overlapShown && told < mostOverlaps:
			told++
			r.overlap(p)
		case p.Overlap >= ground.SmallOverlap:
			small++
			smallSum += p.Overlap
		}
		if p.Overlap == 0 && !p.Corner && p.Gap > 0.1 {
			apart++
			widest = max(widest, p.Gap)
		}
	}
	if small > 0 {
		r.say(r.file(), ground.Overlap, "%s a little ground twice, %s in all: boundaries that were drawn once for each side",
			quantity.Count(small, "pair of neighbors claims", "pairs of neighbors claim"), repair.AreaText(smallSum))
	}
	if unknown > 0 {
		r.say(r.file(), ground.Overlap, "whether %s the same ground could not be measured: their boundaries are too wild",
			quantity.Count(unknown, "pair claims", "pairs claim"))
	}
	if apart > 0 {
		r.say(r.file(), ground.Assumed, "%s by up to %.0f ft and were taken as neighbors with a break between",
			quantity.Count(apart, "pair lies apart", "pairs lie apart"), float64(widest))
	}
	return nil
}

func (r *review) overlap(p ground.Pair) {
	a, b := &r.layer.Features[p.A], &r.layer.Features[p.B]
	all := ""
	for i, k := range []int{p.A, p.B} {
		if p.Overlap > 0.99*r.acres[k] {
			all = ", which is all of " + source.Quote([]*Feature{a, b}[i].Label())
			break
		}
	}
	r.say(a.Position, ground.Overlap, "%s and %s both claim %s%s", source.Quote(a.Label()), source.Quote(b.Label()), repair.AreaText(p.Overlap), all)
}

// JoinNamed makes one feature of all that share a name, in any case, at the
// place of the first, whose attributes it keeps. Features without a name stay as
// they are. The parts must not overlap by more than a little; those that do are
// left apart and come back in refused.
func JoinNamed(features []Feature) (joined []Feature, refused []ground.Note) {
	home := make(map[string]int)
	for _, f := range features {
		key := strings.ToLower(f.Name)
		k, again := home[key]
		if key == "" || !again {
			if key != "" {
				home[key] = len(joined)
			}
			joined = append(joined, f)
			continue
		}
		into := &joined[k]
		if claimed, ok := ground.CommonAcres(into.Shape, f.Shape); !ok || claimed > ground.SmallOverlap {
			text := fmt.Sprintf("cannot be joined to the first %s: both claim %s", source.Quote(f.Name), repair.AreaText(claimed))
			if !ok {
				text = fmt.Sprintf("cannot be joined to the first %s: the boundaries are too wild to be compared", source.Quote(f.Name))
			}
			refused = append(refused, ground.Note{Position: f.Position, Kind: ground.Overlap, Text: text})
			joined = append(joined, f)
			continue
		}
		into.Shape = ground.Shape{Polygons: append(append([]ground.Polygon(nil), into.Shape.Polygons...), f.Shape.Polygons...)}
		into.Lines = append(append([]ground.Line(nil), into.Lines...), f.Lines...)
		into.Points = append(append([]ground.Point(nil), into.Points...), f.Points...)
		into.Notes = append(append([]ground.Note(nil), into.Notes...), f.Notes...)
		into.note(ground.Assumed, "was joined with %s of the same name", f.Position.Field)
	}
	return joined, refused
}
