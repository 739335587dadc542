package geofile

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/peterstace/simplefeatures/geom"
	_ "modernc.org/sqlite" // the driver of the files

	"emberquilt/habitat/ground/projection"
	"emberquilt/habitat/leftover"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// A GeoPackage (OGC 12-128r19, version 1.4) is an SQLite database with tables of its
// own: gpkg_contents lists the layers, gpkg_geometry_columns their columns of shapes,
// gpkg_spatial_ref_sys the coordinate systems. A shape is well-known binary behind a
// header of eight bytes and a box.

const databaseMagic = "SQLite format 3\x00"

// longestDatabaseRead bounds how long a file may take: a database of another hand may
// hold what never ends.
const longestDatabaseRead = 30 * time.Second

const acceptsGeoPackage = "a GeoPackage with a layer of shapes (OGC 12-128), or " + acceptedFormats

// Views are named: what they compute comes from another hand and may never end.
const (
	acceptsTables = "a layer that is a table"
	hintView      = "a map program can save what the view shows as a layer of its own"
)

// layerInfo is what a GeoPackage says of one layer.
type layerInfo struct {
	table, column string
	system        int64
}

func readGeoPackageBytes(data []byte, name string, opts Options) (*Layer, error) {
	folder, err := leftover.Folder()
	if err != nil {
		return &Layer{File: name}, err
	}
	defer os.RemoveAll(folder)
	path := filepath.Join(folder, copyName)
	if err := os.WriteFile(path, data, 0o600); err != nil {
		return &Layer{File: name}, err
	}
	return readGeoPackage(path, name, opts)
}

// readGeoPackage reads the one layer of a file, or the one that the options name. The
// file is opened as one that does not change: nothing is written beside it. Where another
// program has it open, a copy is read.
func readGeoPackage(path, name string, opts Options) (*Layer, error) {
	b := newBuilder(name, "GeoPackage", opts)
	bad := func(found, accepts, hint string) (*Layer, error) {
		return b.layer, &source.Error{Position: source.Position{File: name}, Found: found, Accepts: accepts, Hint: hint}
	}
	whole, isCopy, remove, err := settled(path, name)
	if err != nil {
		return b.layer, err
	}
	defer remove()
	mode := "mode=ro&immutable=1"
	if isCopy {
		mode = "mode=rw"
	} else if err := b.sayLog(whole); err != nil {
		return b.layer, err
	}
	full, err := filepath.Abs(whole)
	if err != nil {
		return b.layer, err
	}
	where := url.URL{Scheme: "file", Path: filepath.ToSlash(full), RawQuery: mode + "&_pragma=trusted_schema(0)&_pragma=query_only(1)&_pragma=cell_size_check(1)"}
	db, err := sql.Open("sqlite", where.String())
	if err != nil {
		return b.layer, err
	}
	defer db.Close()
	ctx, stop := context.WithTimeout(context.Background(), longestDatabaseRead)
	defer stop()
	layers, views, err := geoLayers(ctx, db)
	named := slices.ContainsFunc(views, func(view string) bool { return strings.EqualFold(view, opts.Layer) })
	switch {
	case err != nil && strings.Contains(err.Error(), "no such table"):
		return bad("is an SQLite database without the tables of a GeoPackage", acceptsGeoPackage, "")
	case err != nil:
		return bad("cannot be read as a GeoPackage: "+source.Clean(err.Error()), acceptsGeoPackage, "")
	case named:
		return bad("layer "+source.Quote(opts.Layer)+" is what a view computes", acceptsTables, hintView)
	case len(layers) == 0 && len(views) > 0:
		return bad("holds no layer of shapes but what a view computes ("+strings.Join(quoteAll(views), ", ")+")", acceptsTables, hintView)
	case len(layers) == 0:
		return bad("holds no layer of shapes", acceptsGeoPackage, "")
	}
	layer, others := layers[0], make([]string, len(layers))
	isNamed := opts.Layer == "" && len(layers) == 1
	for i, l := range layers {
		others[i] = source.Quote(l.table)
		if opts.Layer != "" && strings.EqualFold(l.table, opts.Layer) {
			layer, isNamed = l, true
		}
	}
	if !isNamed {
		found := "holds " + quantity.Count(len(layers), "layer", "layers") + " of shapes"
		if opts.Layer != "" {
			found = "holds no layer " + source.Quote(opts.Layer)
		}
		return bad(found, "the name of one: "+strings.Join(others, ", "), "name it with --sheet")
	}
	if err := b.geoSystem(ctx, db, layer.system); err != nil {
		return b.layer, err
	}
	if err := b.geoRows(ctx, db, layer); err != nil {
		return bad("layer "+source.Quote(layer.table)+" cannot be read: "+source.Clean(err.Error()), acceptsGeoPackage, "")
	}
	return b.finish()
}

// geoLayers lists the layers whose tables are there, and apart the names of those that are
// views.
func geoLayers(ctx context.Context, db *sql.DB) (all []layerInfo, views []string, err error) {
	rows, err := db.QueryContext(ctx, `SELECT c.table_name, g.column_name, g.srs_id, m.type
		FROM gpkg_contents c JOIN gpkg_geometry_columns g ON g.table_name = c.table_name
		JOIN sqlite_master m ON m.type IN ('table', 'view') AND m.name = c.table_name
		WHERE c.data_type = 'features' ORDER BY c.table_name LIMIT 1000`)
	if err != nil {
		return nil, nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var l layerInfo
		var kind string
		if err := rows.Scan(&l.table, &l.column, &l.system, &kind); err != nil {
			return nil, nil, err
		}
		if kind == "view" {
			views = append(views, l.table)
		} else {
			all = append(all, l)
		}
	}
	return all, views, rows.Err()
}

// geoSystem takes the coordinate system from the options, else from the file. The
// numbers −1 and 0 stand for one that is not defined.
func (b *builder) geoSystem(ctx context.Context, db *sql.DB, id int64) error {
	if b.opts.System != "" {
		return b.stateSystem()
	}
	if id == -1 || id == 0 {
		b.missingSystem = true
		return nil
	}
	var organization, definition string
	var code int64
	err := db.QueryRowContext(ctx, `SELECT organization, organization_coordsys_id, definition FROM gpkg_spatial_ref_sys WHERE srs_id = ?`, id).
		Scan(&organization, &code, &definition)
	if errors.Is(err, sql.ErrNoRows) {
		b.missingSystem = true
		return nil
	}
	fault := func(err error) error {
		return &source.Error{
			Position: source.Position{File: b.layer.File},
			Found:    "its coordinate system " + strconv.FormatInt(id, 10) + " cannot be used: " + source.Clean(err.Error()),
			Accepts:  projection.AcceptedNames,
			Hint:     "name it with --system",
		}
	}
	if err != nil {
		return fault(err)
	}
	if strings.EqualFold(organization, "EPSG") {
		if b.system, err = projection.ByCode(fmt.Sprintf("EPSG:%d", code)); err == nil {
			return nil
		}
	}
	if b.system, err = projection.FromWKT(definition); err == nil {
		return nil
	}
	// A system that the first form of the text cannot word, such as one with heights, stands
	// in a column of the second form (GeoPackage, extension gpkg_crs_wkt).
	var second sql.NullString
	if db.QueryRowContext(ctx, `SELECT definition_12_063 FROM gpkg_spatial_ref_sys WHERE srs_id = ?`, id).Scan(&second) == nil && second.Valid {
		var s projection.System
		if s, err = projection.FromWKT(second.String); err == nil {
			b.system = s
			return nil
		}
	}
	return fault(err)
}

// geoRows reads the rows of a layer.
func (b *builder) geoRows(ctx context.Context, db *sql.DB, l layerInfo) error {
	rows, err := db.QueryContext(ctx, "SELECT * FROM "+quotedName(l.table))
	if err != nil {
		return err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	if len(columns) > maxAttributes {
		return fmt.Errorf("it has %s columns; up to %s are read", grouped(int64(len(columns))), grouped(maxAttributes))
	}
	values := make([]any, len(columns))
	into := make([]any, len(columns))
	for i := range values {
		into[i] = &values[i]
	}
	for rows.Next() && b.number <= MaxFeatures {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		var shape []byte
		attributes := make(Attributes, 0, len(columns))
		for i, column := range columns {
			if strings.EqualFold(column, l.column) {
				shape, _ = values[i].([]byte)
				continue
			}
			if text, ok := geoText(values[i]); ok {
				attributes = append(attributes, Attribute{column, text})
			}
		}
		g, err := parseGeoBinary(shape)
		if err != nil {
			accepts := "a shape as the GeoPackage standard writes it"
			if errors.Is(err, errCurved) {
				accepts = "straight sides: a map program can turn curves into lines of many points"
			}
			b.fail(0, b.nameOf("", attributes), accepts, "%v", err)
			continue
		}
		b.add(0, "", attributes, g)
	}
	return rows.Err()
}

// geoText gives a value as text; pictures and other binary values are none.
func geoText(v any) (string, bool) {
	switch v := v.(type) {
	case string:
		return v, true
	case int64:
		return strconv.FormatInt(v, 10), true
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64), true
	case bool:
		return strconv.FormatBool(v), true
	case time.Time:
		if v.Equal(v.Truncate(24 * time.Hour)) {
			return v.Format(time.DateOnly), true
		}
		return v.Format(time.RFC3339), true
	}
	return "", false
}

// Flags in the fourth byte of a shape's header.
const (
	geoLittleEndian = 1 << 0
	geoBoxShift     = 1
	geoEmpty        = 1 << 4
	geoExtended     = 1 << 5
)

// boxBytes is the length of each kind of box: none, xy, xyz, xym, xyzm.
var boxBytes = [5]int{0, 32, 48, 48, 64}

func parseGeoBinary(blob []byte) (geometry, error) {
	var g geometry
	if len(blob) == 0 {
		return g, nil
	}
	if len(blob) < 8 || blob[0] != 'G' || blob[1] != 'P' {
		return g, errors.New("it does not begin with GP")
	}
	flags := blob[3]
	kind := int(flags >> geoBoxShift & 7)
	switch {
	case blob[2] != 0:
		return g, fmt.Errorf("its version is %d", blob[2])
	case flags&geoExtended != 0:
		return g, errors.New("it is of an extended kind")
	case kind >= len(boxBytes):
		return g, fmt.Errorf("its box is of kind %d", kind)
	case len(blob) < 8+boxBytes[kind]:
		return g, errCutOff
	case flags&geoEmpty != 0:
		return g, nil
	}
	body, err := straightSides(blob[8+boxBytes[kind]:])
	if err != nil {
		return g, err
	}
	if _, err := checkWKB(body, 0); err != nil {
		return g, err
	}
	parsed, err := geom.UnmarshalWKB(body, geom.NoValidate{})
	if err != nil {
		return g, err
	}
	if parsed.CoordinatesType() != geom.DimXY {
		g.raised++
	}
	collectGeometry(parsed, &g)
	return g, nil
}

// Kinds of shapes in well-known binary (OGC 06-103r4, 8.2.3), less a thousand for each kind
// of coordinates.
const (
	wkbPoint      = 1
	wkbLine       = 2
	wkbPolygon    = 3
	wkbLines      = 5
	wkbPolygons   = 6
	wkbCollection = 7 // the kinds from 4 on hold shapes
)

// wkbCoordinates is how many numbers a point has: xy, xyz, xym, xyzm.
var wkbCoordinates = [...]uint64{2, 3, 3, 4}

// wkbHead reads the five bytes that begin each shape: the order of bytes, and its kind with
// that of its coordinates.
func wkbHead(body []byte) (order byteOrder, code uint32, err error) {
	if len(body) < wkbHeadBytes {
		return nil, 0, errCutOff
	}
	order = orderOf(body)
	if code = order.Uint32(body[1:]); code/1000 >= uint32(len(wkbCoordinates)) {
		return nil, 0, unknownKind(code)
	}
	return order, code, nil
}

const wkbHeadBytes = 5

func unknownKind(code uint32) error { return fmt.Errorf("a shape in it is of kind %d", code) }

// checkWKB refuses well-known binary that says of more than it holds, or whose collections
// lie too deep in each other, and gives what comes after the shape: a reader that makes room
// for what it is told of runs out of memory, one that calls itself for each collection out of
// stack.
func checkWKB(body []byte, depth int) (after []byte, err error) {
	order, code, err := wkbHead(body)
	if err != nil {
		return nil, err
	}
	kind, coordinates := code%1000, 8*wkbCoordinates[code/1000]
	body = body[wkbHeadBytes:]
	switch {
	case kind == wkbPoint:
		return skip(body, coordinates)
	case kind == wkbLine:
		return skipPoints(body, order, coordinates)
	case kind < wkbPoint || kind > wkbCollection:
		if wkbArc <= kind && kind <= wkbCurves {
			return nil, errCurved
		}
		return nil, unknownKind(code)
	case kind > wkbPolygon && depth > deepestWKT:
		return nil, tooDeep()
	}
	many, body, err := wkbCount(body, order)
	for range many {
		if err != nil {
			return nil, err
		}
		if kind == wkbPolygon {
			body, err = skipPoints(body, order, coordinates)
		} else {
			body, err = checkWKB(body, depth+1)
		}
	}
	return body, err
}

var (
	errCurved = errors.New("its sides are curved")
	errMixed  = errors.New("a ring in it is written in another way than the polygon")
)

func tooDeep() error {
	return fmt.Errorf("collections lie more than %d deep in each other", deepestWKT)
}

var errCutOff = errors.New("it is cut off")

// wkbCount reads how many rings or shapes follow, each of which takes four bytes at least.
func wkbCount(body []byte, order byteOrder) (many uint32, after []byte, err error) {
	if len(body) < 4 {
		return 0, nil, errCutOff
	}
	many, after = order.Uint32(body), body[4:]
	if uint64(many) > uint64(len(after))/4 {
		return 0, nil, errCutOff
	}
	return many, after, nil
}

// skipPoints goes past a count and so many points.
func skipPoints(body []byte, order byteOrder, coordinates uint64) ([]byte, error) {
	many, after, err := wkbCount(body, order)
	if err != nil {
		return nil, err
	}
	return skip(after, uint64(many)*coordinates)
}

func skip(body []byte, many uint64) ([]byte, error) {
	if many > uint64(len(body)) {
		return nil, errCutOff
	}
	return body[many:], nil
}

func quotedName(name string) string { return `"` + strings.ReplaceAll(name, `"`, `""`) + `"` }
