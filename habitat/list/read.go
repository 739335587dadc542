package list

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// List is what one file holds, read and not yet held against a property.
type List struct {
	File string
	Kind Kind
	// Told says in words what the file is and how that was told, such as
	// "burns, told by the columns unit and date; CSV with commas".
	Told string
	// Ignored names the columns of the file that were not used, in its words.
	Ignored []string
	// Notes says what was odd and what was mended.
	Notes []ground.Note
	// LeftOut are the faults of rows that Options.LeaveOut left out.
	LeftOut source.List

	options   Options
	units     []value[habitat.Unit]
	burns     []value[habitat.BurnRecord]
	pairs     []value[habitat.Pair]
	locks     []value[habitat.Lock]
	contracts []value[contractRow]
	places    []*ground.Feature
}

// Rows counts the values of the list.
func (l *List) Rows() int {
	return len(l.units) + len(l.burns) + len(l.pairs) + len(l.locks) + len(l.contracts) + len(l.places)
}

// ReadFile reads a list from a file, tables and shapes alike; a shapefile finds
// its other files beside it. Bad input is a *source.Error or a *source.List.
func ReadFile(ctx context.Context, name string, opts Options) (*List, error) {
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	if info, err := file.Stat(); err == nil && info.IsDir() {
		return nil, &source.Error{Position: source.Position{File: name}, Found: "is a folder", Accepts: acceptsLists}
	}
	data, err := io.ReadAll(io.LimitReader(file, source.MaxTextBytes+1))
	if err != nil {
		return nil, err
	}
	if !isTable(data) {
		layer, err := ground.Read(name, groundOptions(&opts))
		return readLayer(ctx, layer, err, opts)
	}
	return readTable(ctx, data, name, opts)
}

const acceptsLists = "a list as CSV, or a file with shapes"

// Read reads a list from memory; name is its name in errors.
func Read(ctx context.Context, data []byte, name string, opts Options) (*List, error) {
	if !isTable(data) {
		layer, err := ground.ReadBytes(data, name, groundOptions(&opts))
		return readLayer(ctx, layer, err, opts)
	}
	return readTable(ctx, data, name, opts)
}

// isTable tells tables from files with shapes: those begin with a bracket, or
// with bytes that no table begins with.
func isTable(data []byte) bool {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	head := bytes.TrimLeft(data, " \t\r\n")
	if len(head) == 0 {
		return true // the table reader says that it is empty
	}
	return head[0] != '{' && head[0] != '[' && head[0] != '<' &&
		!bytes.HasPrefix(data, []byte("PK\x03\x04")) && !bytes.HasPrefix(data, []byte{0, 0, 0x27, 0x0a}) // zip, shapefile
}

func groundOptions(opts *Options) ground.Options {
	return ground.Options{System: opts.System, NameField: opts.Columns["unit"]}
}

func readTable(ctx context.Context, data []byte, name string, opts Options) (*List, error) {
	var faults source.List
	s := readCSV(data, name, &faults)
	if s == nil {
		return nil, faults.Errors[0]
	}
	if slices.ContainsFunc(s.header, isGeometry) {
		layer, err := ground.ReadBytes(data, name, groundOptions(&opts))
		return readLayer(ctx, layer, err, opts)
	}
	s.name(&opts, &faults)
	l := &List{File: name, Kind: opts.Kind, options: opts}
	kind, told := kindOf(withSet(s.columns, opts.Set))
	switch {
	case l.Kind != "":
		l.Told = fmt.Sprintf("%s, as was said; %s", l.Kind, s.format)
	case kind == "" && faults.Len() == 0:
		return nil, &source.Error{Position: source.Position{File: name, Line: 1}, Found: "the header " + source.Quote(strings.Join(s.header, ", ")) + " fits no list",
			Accepts: acceptsKinds(), Hint: "map foreign headers, such as --columns unit=" + firstOr(s.header, "Watershed")}
	default:
		l.Kind = kind
		l.Told = fmt.Sprintf("%s, told by the columns %s; %s", kind, join(s.theirs(told)), s.format)
	}
	if err := l.values(s, &faults); err != nil {
		return nil, err
	}
	if len(s.rows) == 0 && faults.Len() == 0 {
		faults.Addf(source.Position{File: name}, "one row or more below the header", "the list has no rows")
	}
	return l.finish(&faults)
}

func isGeometry(header string) bool {
	return slices.Contains([]string{"wkt", "geometry", "geom", "the_geom", "wkt_geom", "geometry_wkt"}, key(header))
}

func firstOr(all []string, otherwise string) string {
	if len(all) > 0 && all[0] != "" && !strings.ContainsAny(all[0], " ,\"") {
		return all[0]
	}
	return otherwise
}

// join gives "a, b and c".
func join(names []string) string {
	switch n := len(names); n {
	case 0:
		return ""
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}

func withSet(columns map[string]int, set map[string]string) map[string]int {
	all := map[string]int{}
	for name, i := range columns {
		all[name] = i
	}
	for name := range set {
		all[name] = -1
	}
	return all
}

// finish gives the list, or its faults.
func (l *List) finish(faults *source.List) (*List, error) {
	if faults.Len() == 0 {
		return l, nil
	}
	if l.options.LeaveOut && l.Rows() > 0 {
		l.LeftOut = *faults
		return l, nil
	}
	return nil, faults.Err()
}

// values reads the sheet as the list's kind.
func (l *List) values(s *sheet, faults *source.List) (err error) {
	switch l.Kind {
	case Units:
		l.units, err = take(l, s, unitColumns, []string{"unit"}, faults)
	case Burns:
		l.burns, err = take(l, s, burnColumns, []string{"unit", "date"}, faults)
	case Pairs:
		l.pairs, err = take(l, s, pairColumns, []string{"unit_a", "unit_b", "kind"}, faults)
	case Locks:
		l.locks, err = take(l, s, lockColumns, []string{"unit", "program_year", "what"}, faults)
	case Contracts:
		l.contracts, err = take(l, s, contractColumns, []string{"contract", "practice_code", "unit", "fiscal_year"}, faults)
	default:
		return &source.Error{Position: source.Position{File: s.file}, Found: fmt.Sprintf("%q is no kind of table", l.Kind), Accepts: "units, burns, pairs, locks or contracts"}
	}
	return err
}

// take reads the values of one kind, and notes the columns that it does not
// know.
func take[V any](l *List, s *sheet, columns []column[V], need []string, faults *source.List) ([]value[V], error) {
	known := names(columns)
	if err := checkOptions(l.Kind, known, &l.options); err != nil {
		return nil, err
	}
	used := map[int]bool{}
	for name, i := range s.columns {
		if slices.Contains(known, name) {
			used[i] = true
		}
	}
	for i, h := range s.header {
		if used[i] {
			continue
		}
		if h == "" {
			h = fmt.Sprintf("column %d", i+1)
		}
		l.Ignored = append(l.Ignored, h)
	}
	missing := false
	for _, name := range need {
		_, isSet := l.options.Set[name]
		if _, ok := s.columns[name]; !ok && !isSet {
			missing = true
			e := &source.Error{Position: source.Position{File: s.file, Line: 1, Field: name}, Found: fmt.Sprintf("a list of %s needs this column", l.Kind), Accepts: "the columns " + strings.Join(known, ", ")}
			if near := source.Nearest(name, s.header); near != "" {
				e.Hint = fmt.Sprintf("did you mean it by %s? then say --columns %s=%s", source.Quote(near), name, near)
			}
			faults.Add(e)
		}
	}
	if missing {
		return nil, nil
	}
	values := readValues(s, columns, &l.options, faults)
	return needFilled(s, values, need, faults), nil
}

// needFilled complains about empty cells that must not be empty.
func needFilled[V any](s *sheet, values []value[V], need []string, faults *source.List) []value[V] {
	return slices.DeleteFunc(values, func(v value[V]) bool {
		bad := false
		for _, name := range need {
			if text, _ := s.text(v.row, name, &Options{}); strings.TrimSpace(text) == "" && s.has(name, v.row) {
				faults.Addf(v.row.at(s.file, name), "a value", "is empty")
				bad = true
			}
		}
		return bad
	})
}

func (s *sheet) has(name string, r *row) bool {
	i, ok := s.columns[name]
	return ok && (r.none == nil || !r.none[i])
}

// readLayer reads shapes as units or as sensitive places.
func readLayer(ctx context.Context, layer *ground.Layer, err error, opts Options) (*List, error) {
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
	notes, err := ground.Review(ctx, layer, 0)
	if err != nil {
		return nil, err
	}
	l.Notes = append(layer.AllNotes(), notes...)
	if l.Kind == "" {
		l.Kind = Units
		if arePlaces(layer) {
			l.Kind = Places
		}
	}
	l.Told = fmt.Sprintf("%s, told by their shapes; %s", l.Kind, layer.Format)
	if l.Kind == Places {
		l.takePlaces(layer, &faults)
		return l.finish(&faults)
	}
	if opts.Merge {
		var refused []ground.Note
		layer.Features, refused = ground.JoinNamed(withoutSlivers(layer.Features))
		l.Notes = append(l.Notes, refused...)
	}
	s := featureSheet(layer)
	s.name(&opts, &faults)
	if err := l.takeUnits(s, &faults); err != nil {
		return nil, err
	}
	return l.finish(&faults)
}

// addAll adds the errors of a list, or one error, to another list.
func addAll(faults *source.List, err error) {
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
func arePlaces(layer *ground.Layer) bool {
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
func withoutSlivers(features []ground.Feature) []ground.Feature {
	isSliver := func(f *ground.Feature) bool {
		return slices.ContainsFunc(f.Notes, func(n ground.Note) bool { return n.Kind == ground.Sliver })
	}
	real := map[string]bool{}
	for i := range features {
		if !isSliver(&features[i]) {
			real[strings.ToLower(features[i].Name)] = true
		}
	}
	var kept []ground.Feature
	for i := range features {
		if !isSliver(&features[i]) || !real[strings.ToLower(features[i].Name)] {
			kept = append(kept, features[i])
		}
	}
	return kept
}

func (l *List) takePlaces(layer *ground.Layer, faults *source.List) {
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

// nameHint says how to name units whose names are nowhere.
func (l *List) nameHint(s *sheet) string {
	if l.options.Columns["unit"] != "" || len(s.header) == 0 || slices.ContainsFunc(l.units, func(u value[habitat.Unit]) bool { return u.V.ID != "" }) {
		return ""
	}
	return "say which of its attributes holds the names, such as --columns unit=" + firstOr(s.header, "NAME")
}

// takeUnits reads features as units: names that no column gives are those of
// the features, areas in hectares are those that the file states.
func (l *List) takeUnits(s *sheet, faults *source.List) error {
	units, err := take(l, s, unitColumns, nil, faults)
	if err != nil {
		return err
	}
	for i := range units {
		u := &units[i]
		f := u.row.feature
		if !u.has["unit"] {
			u.V.ID, u.has["unit"] = f.Name, true
		}
		if stated, ok := f.StatedAcres(); ok && !u.has["acres"] {
			u.V.StatedAcres, u.has["acres"] = quantity.Acres(stated), true
		}
		if f.Shape.IsEmpty() {
			faults.Addf(f.Position, "a polygon", "the unit has no area")
			continue
		}
		if u.V.ID == "" {
			faults.Add(&source.Error{Position: f.Position, Found: "the shape has no name", Accepts: "a name in each shape", Hint: l.nameHint(s)})
			continue
		}
		l.units = append(l.units, *u)
	}
	return nil
}
