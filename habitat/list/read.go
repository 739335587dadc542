package list

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
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
	// Drawn are the shapes of the file and what each was taken as; nil for a table.
	Drawn []Drawn
	// Notes says what was odd and what was fixed.
	Notes []ground.Note
	// LeftOut are the faults of rows that Options.LeaveOut left out.
	LeftOut source.List

	options Options
	// headerLine is that of the table; 0 where there is none.
	headerLine int
	units      []value[habitat.Unit]
	burns      []value[habitat.BurnRecord]
	pairs      []value[habitat.Pair]
	locks      []value[habitat.Lock]
	contracts  []value[contractRow]
	places     []*geofile.Feature
	standing   []standingBreak
	// lastYears says about when units last burned, by their rows.
	lastYears map[*row]aboutWhen
	// lastBurns are the burns that stand beside units.
	lastBurns []value[habitat.BurnRecord]
	contacts  []value[habitat.Contact]
}

// UnitNames gives the names of the units that the list holds.
func (l *List) UnitNames() []string {
	names := make([]string, len(l.units))
	for i := range l.units {
		names[i] = l.units[i].V.ID
	}
	return names
}

// Rows counts the values of the list.
func (l *List) Rows() int {
	return len(l.units) + len(l.burns) + len(l.pairs) + len(l.locks) + len(l.contracts) + len(l.places) + len(l.standing) + len(l.contacts)
}

// Holds reports whether the list has values of a kind.
func (l *List) Holds(kind Kind) bool {
	switch kind {
	case Units:
		return len(l.units) > 0
	case Burns:
		return len(l.burns)+len(l.lastBurns) > 0
	case Places:
		return len(l.places) > 0
	case Breaks:
		return len(l.standing) > 0
	}
	return l.Kind == kind
}

// Center gives the middle of the shapes of the list's units and places; ok is false
// where there are none.
func (l *List) Center() (center ground.Point, ok bool) {
	var shapes []ground.Shape
	var points []ground.Point
	take := func(f *geofile.Feature) {
		if f == nil {
			return
		}
		if !f.Shape.IsEmpty() {
			shapes = append(shapes, f.Shape)
		}
		points = append(points, f.Points...)
	}
	for i := range l.units {
		take(l.units[i].row.feature)
	}
	for _, f := range l.places {
		take(f)
	}
	switch {
	case len(shapes) > 0:
		return ground.Center(shapes...), true
	case len(points) > 0:
		return points[0], true
	}
	return ground.Point{}, false
}

// ReadFile reads a list from a file, tables and shapes alike; a shapefile finds
// its other files beside it. Bad input is a *source.Error or a *source.List.
func ReadFile(ctx context.Context, name string, opts Options) (*List, error) {
	opts.Set, opts.Columns = spelled(opts.Set), spelledColumns(opts.Columns)
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	if info, err := file.Stat(); err == nil && info.IsDir() {
		if strings.EqualFold(filepath.Ext(name), ".gdb") { // which the reader of shapes names
			layer, err := geofile.Read(name, groundOptions(&opts))
			return readLayer(ctx, layer, err, opts)
		}
		return nil, &source.Error{Position: source.Position{File: name}, Found: "is a folder", Accepts: acceptsLists}
	}
	// Files with shapes may be long: their first bytes tell, and the reader of
	// shapes opens them itself.
	input := bufio.NewReader(file)
	if head, _ := input.Peek(512); isShapes(head) {
		layer, err := geofile.Read(name, groundOptions(&opts))
		return readLayer(ctx, layer, err, opts)
	}
	data, err := io.ReadAll(io.LimitReader(input, source.MaxTextBytes+1))
	if err != nil {
		return nil, err
	}
	if !isTable(data) {
		layer, err := geofile.Read(name, groundOptions(&opts))
		return readLayer(ctx, layer, err, opts)
	}
	return readTable(ctx, data, name, opts)
}

const acceptsLists = "a list as CSV or .xlsx, or a file with shapes"

// Read reads a list from memory; name is its name in errors.
func Read(ctx context.Context, data []byte, name string, opts Options) (*List, error) {
	opts.Set, opts.Columns = spelled(opts.Set), spelledColumns(opts.Columns)
	if !isTable(data) {
		layer, err := geofile.ReadBytes(data, name, groundOptions(&opts))
		return readLayer(ctx, layer, err, opts)
	}
	return readTable(ctx, data, name, opts)
}

// isTable tells tables from files with shapes: those begin with a bracket, or
// with bytes that no table begins with. The reader of shapes names other files, too.
func isTable(data []byte) bool {
	isZip := bytes.HasPrefix(data, []byte("PK\x03\x04"))
	return !isShapes(data) && !geofile.IsForeign(data) && (!isZip || isWorkbook(data))
}

// isShapes tells files with shapes, other than packed ones, from their first
// bytes. An empty file is none: the table reader says that it is empty.
func isShapes(head []byte) bool {
	if bytes.HasPrefix(head, []byte{0, 0, 0x27, 0x0a}) {
		return true // a shapefile
	}
	if bytes.HasPrefix(head, []byte("SQLite format 3\x00")) {
		return true // a GeoPackage, or none
	}
	head = bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\ufeff")), " \t\r\n")
	if fields := bytes.Fields(head); len(fields) > 1 && string(fields[0]) == "0" && string(fields[1]) == "SECTION" {
		return true // a CAD drawing, which the reader of shapes refuses by name
	}
	return len(head) > 0 && (head[0] == '{' || head[0] == 0x1e || head[0] == '[' || head[0] == '<')
}

func groundOptions(opts *Options) geofile.Options {
	return geofile.Options{System: opts.System, Layer: opts.Sheet, NameField: opts.Columns["unit"]}
}

func readTable(ctx context.Context, data []byte, name string, opts Options) (*List, error) {
	faults := source.List{Most: opts.mostFaults()}
	if bytes.HasPrefix(data, oldWorkbook) {
		return nil, &source.Error{Position: source.Position{File: name}, Found: "is a workbook of an old form (.xls)", Accepts: acceptsLists, Hint: "save it as .xlsx or CSV"}
	}
	var s *sheet
	var notes []ground.Note
	if isWorkbook(data) {
		s, notes = readWorkbook(data, name, &opts, &faults)
	} else {
		s = readCSV(data, name, &faults)
	}
	if s == nil {
		return nil, faults.Errors[0]
	}
	if s.serial == nil && slices.ContainsFunc(s.header, isGeometry) {
		layer, err := geofile.ReadBytes(data, name, groundOptions(&opts))
		return readLayer(ctx, layer, err, opts)
	}
	var naming source.List
	s.name(&opts, &naming)
	addAll(&faults, naming.Err())
	s.forgive(&opts)
	notes = append(notes, s.notes...)
	l := &List{File: name, Kind: opts.Kind, Notes: notes, options: opts, headerLine: s.headerLine}
	kind, told := kindOf(withSet(s.columns, opts.Set))
	switch {
	case l.Kind != "":
		l.Told = fmt.Sprintf("%s, as was said; %s", l.Kind, s.format)
	case kind == "" && naming.Len() > 0:
		return nil, naming.Err()
	case s.header == nil && faults.Len() > 0:
		return nil, faults.Err()
	case kind == "":
		e := &source.Error{
			Position: source.Position{File: name, Line: max(1, s.headerLine)},
			Found:    "the header " + source.Quote(strings.Join(s.header, ", ")) + " fits no list",
			Accepts:  acceptsKinds(),
		}
		if _, has := s.columns["unit"]; !has {
			e.Hint = "map foreign headers, such as --columns unit=" + firstOr(s.header, "Watershed")
		}
		return nil, e
	default:
		l.Kind = kind
		l.Told = fmt.Sprintf("%s, told by the columns %s; %s", kind, quantity.List(s.theirs(told)), s.format)
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
	faults.Cut() // nothing is left out: the list is refused, as any
	return nil, faults.Err()
}

// values reads the sheet as the list's kind.
func (l *List) values(s *sheet, faults *source.List) (err error) {
	switch l.Kind {
	case Units:
		l.units, err = take(l, s, unitColumns, []string{"unit"}, faults)
		l.takeLastBurned(s, l.units, faults)
		keepEstimates(s, l.units)
	case Burns:
		l.burns, err = take(l, s, burnColumns, []string{"unit", "date"}, faults)
	case Pairs:
		l.pairs, err = take(l, s, pairColumns, []string{"unit_a", "unit_b", "kind"}, faults)
	case Locks:
		l.locks, err = take(l, s, lockColumns, []string{"unit", "program_year", "what"}, faults)
	case Contracts:
		l.contracts, err = take(l, s, contractColumns, []string{"contract", "practice_code", "unit", "fiscal_year"}, faults)
	case contacts:
		l.contacts, err = take(l, s, contactColumns, []string{"role"}, faults)
		l.checkContacts(faults)
	default:
		return &source.Error{Position: source.Position{File: s.file}, Found: fmt.Sprintf("%q is not a kind of table", l.Kind), Accepts: "units, burns, pairs, locks or contracts"}
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
			e := &source.Error{
				Position: source.Position{File: s.file, Line: s.headerLine, Field: name},
				Found:    fmt.Sprintf("a list of %s needs this column", l.Kind),
				Accepts:  "the columns " + strings.Join(known, ", "),
			}
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
	if l.Kind == Contracts { // a line without a unit is of the whole property
		need = slices.DeleteFunc(slices.Clone(need), func(name string) bool { return name == "unit" })
	}
	return needFilled(s, values, need, faults), nil
}

// needFilled complains about empty cells that must not be empty.
func needFilled[V any](s *sheet, values []value[V], need []string, faults *source.List) []value[V] {
	isBad := func(v *value[V]) bool {
		bad := false
		for _, name := range need {
			if text, _ := s.text(v.row, name, &Options{}); strings.TrimSpace(text) == "" && s.has(name, v.row) {
				faults.Addf(v.row.at(s.file, name), "a value", "is empty")
				bad = true
			}
		}
		return bad
	}
	kept := values[:0]
	for i := range values {
		if v := &values[i]; !isBad(v) {
			kept = append(kept, *v)
		}
	}
	clear(values[len(kept):])
	return kept
}

func (s *sheet) has(name string, r *row) bool {
	i, ok := s.columns[name]
	return ok && (r.none == nil || !r.none[i])
}
