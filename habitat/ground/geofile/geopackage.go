package geofile

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/peterstace/simplefeatures/geom"
	_ "modernc.org/sqlite" // the driver of the files

	"emberquilt/habitat/ground/projection"
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

// layerInfo is what a GeoPackage says of one layer.
type layerInfo struct {
	table, column string
	system        int64
}

func readGeoPackageBytes(data []byte, name string, opts Options) (*Layer, error) {
	file, err := os.CreateTemp("", "emberquilt-*.gpkg")
	if err != nil {
		return &Layer{File: name}, err
	}
	defer os.Remove(file.Name())
	_, err = file.Write(data)
	if err := errors.Join(err, file.Close()); err != nil {
		return &Layer{File: name}, err
	}
	return readGeoPackage(file.Name(), name, opts)
}

// readGeoPackage reads the one layer of a file, or the one that the options name. The
// file is opened as one that does not change: nothing is written beside it.
func readGeoPackage(path, name string, opts Options) (*Layer, error) {
	b := newBuilder(name, "GeoPackage", opts)
	bad := func(found, accepts, hint string) (*Layer, error) {
		return b.layer, &source.Error{Position: source.Position{File: name}, Found: found, Accepts: accepts, Hint: hint}
	}
	full, err := filepath.Abs(path)
	if err != nil {
		return b.layer, err
	}
	where := url.URL{Scheme: "file", Path: filepath.ToSlash(full), RawQuery: "mode=ro&immutable=1&_pragma=trusted_schema(0)&_pragma=query_only(1)&_pragma=cell_size_check(1)"}
	db, err := sql.Open("sqlite", where.String())
	if err != nil {
		return b.layer, err
	}
	defer db.Close()
	ctx, stop := context.WithTimeout(context.Background(), longestDatabaseRead)
	defer stop()
	layers, err := geoLayers(ctx, db)
	switch {
	case err != nil && strings.Contains(err.Error(), "no such table"):
		return bad("is an SQLite database without the tables of a GeoPackage", acceptsGeoPackage, "")
	case err != nil:
		return bad("cannot be read as a GeoPackage: "+source.Clean(err.Error()), acceptsGeoPackage, "")
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

// geoLayers lists the layers whose tables are there. Views are left out: what they
// compute comes from another hand.
func geoLayers(ctx context.Context, db *sql.DB) ([]layerInfo, error) {
	rows, err := db.QueryContext(ctx, `SELECT c.table_name, g.column_name, g.srs_id
		FROM gpkg_contents c JOIN gpkg_geometry_columns g ON g.table_name = c.table_name
		JOIN sqlite_master m ON m.type = 'table' AND m.name = c.table_name
		WHERE c.data_type = 'features' ORDER BY c.table_name LIMIT 1000`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []layerInfo
	for rows.Next() {
		var l layerInfo
		if err := rows.Scan(&l.table, &l.column, &l.system); err != nil {
			return nil, err
		}
		all = append(all, l)
	}
	return all, rows.Err()
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
	if b.system, err = projection.FromWKT(definition); err != nil {
		return fault(err)
	}
	return nil
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
			b.fail(0, b.nameOf("", attributes), "a shape as the GeoPackage standard writes it", "%v", err)
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
		return g, errors.New("it is cut off")
	case flags&geoEmpty != 0:
		return g, nil
	}
	body := blob[8+boxBytes[kind]:]
	if err := wkbDepth(body); err != nil {
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

// wkbDepth refuses collections that lie too deep in each other: a reader that calls
// itself for each would run out of stack.
func wkbDepth(body []byte) error {
	const collection = 7
	for depth := 0; len(body) >= 9; depth++ {
		order := binary.ByteOrder(binary.BigEndian)
		if body[0] == 1 {
			order = binary.LittleEndian
		}
		if order.Uint32(body[1:])%1000 != collection {
			return nil
		}
		if depth > deepestWKT {
			return fmt.Errorf("collections lie more than %d deep in each other", deepestWKT)
		}
		body = body[9:]
	}
	return nil
}

func quotedName(name string) string { return `"` + strings.ReplaceAll(name, `"`, `""`) + `"` }
