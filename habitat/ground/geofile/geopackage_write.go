package geofile

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"

	"github.com/peterstace/simplefeatures/geom"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/leftover"
	"emberquilt/habitat/source"
)

// What marks an SQLite file as a GeoPackage, and its version 1.3: table 1 of OGC
// 12-128r17.
const (
	geoApplication = 0x47504B47
	geoVersion     = 10300
)

// wgs84Definition is EPSG's system 4326 as well-known text.
const wgs84Definition = `GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]]`

// geoTables are the tables that every GeoPackage has, by the names and columns of the
// standard, with the three systems that it asks for.
const geoTables = `
CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT NOT NULL, srs_id INTEGER PRIMARY KEY, organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT);
CREATE TABLE gpkg_contents (table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE,
  description TEXT DEFAULT '', last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_geometry_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL, geometry_type_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL, z TINYINT NOT NULL, m TINYINT NOT NULL, CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_extensions (table_name TEXT, column_name TEXT, extension_name TEXT NOT NULL, definition TEXT NOT NULL,
  scope TEXT NOT NULL, CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name));
INSERT INTO gpkg_spatial_ref_sys VALUES ('Undefined cartesian', -1, 'NONE', -1, 'undefined', 'not defined'),
  ('Undefined geographic', 0, 'NONE', 0, 'undefined', 'not defined');
`

// geoTriggers keep the index of boxes in step where another program edits the layer:
// the seven of the standard's annex F.3, with its functions, which such a program has.
const geoTriggers = `
CREATE TRIGGER "rtree_T_geom_insert" AFTER INSERT ON "T" WHEN (NEW.geom NOT NULL AND NOT ST_IsEmpty(NEW.geom)) BEGIN
  INSERT OR REPLACE INTO "rtree_T_geom" VALUES (NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom)); END;
CREATE TRIGGER "rtree_T_geom_update2" AFTER UPDATE OF geom ON "T" WHEN OLD.fid = NEW.fid AND (NEW.geom ISNULL OR ST_IsEmpty(NEW.geom)) BEGIN
  DELETE FROM "rtree_T_geom" WHERE id = OLD.fid; END;
CREATE TRIGGER "rtree_T_geom_update4" AFTER UPDATE ON "T" WHEN OLD.fid != NEW.fid AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom)) BEGIN
  DELETE FROM "rtree_T_geom" WHERE id = OLD.fid;
  INSERT OR REPLACE INTO "rtree_T_geom" VALUES (NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom)); END;
CREATE TRIGGER "rtree_T_geom_update5" AFTER UPDATE ON "T" WHEN OLD.fid != NEW.fid AND (NEW.geom ISNULL OR ST_IsEmpty(NEW.geom)) BEGIN
  DELETE FROM "rtree_T_geom" WHERE id IN (OLD.fid, NEW.fid); END;
CREATE TRIGGER "rtree_T_geom_update6" AFTER UPDATE OF geom ON "T" WHEN OLD.fid = NEW.fid
  AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom)) AND (OLD.geom NOTNULL AND NOT ST_IsEmpty(OLD.geom)) BEGIN
  UPDATE "rtree_T_geom" SET minx = ST_MinX(NEW.geom), maxx = ST_MaxX(NEW.geom), miny = ST_MinY(NEW.geom), maxy = ST_MaxY(NEW.geom) WHERE id = NEW.fid; END;
CREATE TRIGGER "rtree_T_geom_update7" AFTER UPDATE OF geom ON "T" WHEN OLD.fid = NEW.fid
  AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom)) AND (OLD.geom ISNULL OR ST_IsEmpty(OLD.geom)) BEGIN
  INSERT INTO "rtree_T_geom" VALUES (NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom)); END;
CREATE TRIGGER "rtree_T_geom_delete" AFTER DELETE ON "T" WHEN OLD.geom NOT NULL BEGIN
  DELETE FROM "rtree_T_geom" WHERE id = OLD.fid; END;
`

// geoLayer is the name of the layer that is written.
const geoLayer = "burn_units"

// WriteGeoPackage writes the table as a GeoPackage with one layer, burn_units, in
// degrees on WGS 84, with an index of boxes. The same table makes the same file.
func WriteGeoPackage(w io.Writer, t *Table) error {
	folder, err := leftover.Folder()
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	path := filepath.Join(folder, copyName)
	db, err := sql.Open("sqlite", path)
	if err != nil {
		return err
	}
	db.SetMaxOpenConns(1)
	if err := errors.Join(fillGeoPackage(context.Background(), db, t), db.Close()); err != nil {
		return fmt.Errorf("write a GeoPackage: %w", err)
	}
	made, err := os.Open(path)
	if err != nil {
		return err
	}
	defer made.Close()
	_, err = io.Copy(w, made)
	return err
}

func fillGeoPackage(ctx context.Context, db *sql.DB, t *Table) error {
	run := func(text string, args ...any) error {
		_, err := db.ExecContext(ctx, text, args...)
		return err
	}
	if err := run(fmt.Sprintf("PRAGMA journal_mode = MEMORY; PRAGMA application_id = %d; PRAGMA user_version = %d", geoApplication, geoVersion)); err != nil {
		return err
	}
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	g := &geoWriter{tx: tx, box: geoBox{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}}
	g.run(geoTables)
	g.run(`INSERT INTO gpkg_spatial_ref_sys VALUES ('WGS 84', 4326, 'EPSG', 4326, ?, 'longitude and latitude in degrees')`, wgs84Definition)
	g.layer(t)
	box := [4]any{g.box.minX, g.box.minY, g.box.maxX, g.box.maxY}
	if g.box.minX > g.box.maxX {
		box = [4]any{}
	}
	g.run(`INSERT INTO gpkg_contents VALUES (?, 'features', ?, ?, ?, ?, ?, ?, ?, 4326)`, geoLayer, geoLayer,
		"Written by emberquilt for "+source.Clean(t.Name), t.Made.String()+"T00:00:00.000Z", box[0], box[1], box[2], box[3])
	g.run(`INSERT INTO gpkg_geometry_columns VALUES (?, 'geom', 'MULTIPOLYGON', 4326, 0, 0)`, geoLayer)
	g.run(`INSERT INTO gpkg_extensions VALUES (?, 'geom', 'gpkg_rtree_index', 'http://www.geopackage.org/spec120/#extension_rtree', 'write-only')`, geoLayer)
	g.run(strings.NewReplacer("T_geom", geoLayer+"_geom", `"T"`, quotedName(geoLayer)).Replace(geoTriggers))
	if g.err != nil {
		return g.err
	}
	return tx.Commit()
}

// geoWriter writes into a transaction and keeps the first error.
type geoWriter struct {
	tx  *sql.Tx
	box geoBox
	err error
}

func (g *geoWriter) run(text string, args ...any) {
	if g.err == nil {
		_, g.err = g.tx.Exec(text, args...)
	}
}

type geoBox struct{ minX, maxX, minY, maxY float64 }

func (b *geoBox) add(o geoBox) {
	b.minX, b.maxX = min(b.minX, o.minX), max(b.maxX, o.maxX)
	b.minY, b.maxY = min(b.minY, o.minY), max(b.maxY, o.maxY)
}

// layer writes the table of the units and the index of their boxes.
func (g *geoWriter) layer(t *Table) {
	columns := []string{"fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL", "geom MULTIPOLYGON", "name TEXT"}
	holders := "?, ?, ?"
	for _, c := range t.Columns {
		kind := "TEXT"
		if c.Number {
			kind = "DOUBLE"
			if c.Decimals == 0 {
				kind = "INTEGER"
			}
		} else if c.Day {
			kind = "DATE"
		}
		columns = append(columns, quotedName(source.Clean(c.Name))+" "+kind)
		holders += ", ?"
	}
	g.run(fmt.Sprintf("CREATE TABLE %s (%s)", quotedName(geoLayer), strings.Join(columns, ", ")))
	g.run(fmt.Sprintf("CREATE VIRTUAL TABLE %s USING rtree(id, minx, maxx, miny, maxy)", quotedName("rtree_"+geoLayer+"_geom")))
	for i := range t.Rows {
		row := &t.Rows[i]
		blob, box, err := geoBinary(row.Shape)
		if err != nil {
			g.err = err
			return
		}
		values := []any{i + 1, blob, source.Clean(row.Name)}
		for k, c := range t.Columns {
			var value any
			if text := row.value(k); text != "" {
				value = text
				if number, ok := c.numberText(text); ok {
					value = number // SQLite keeps it as the column's kind
				}
			}
			values = append(values, value)
		}
		g.run(fmt.Sprintf("INSERT INTO %s VALUES (%s)", quotedName(geoLayer), holders), values...)
		if !row.Shape.IsEmpty() {
			g.box.add(box)
			g.run(fmt.Sprintf("INSERT INTO %s VALUES (?, ?, ?, ?, ?)", quotedName("rtree_"+geoLayer+"_geom")), i+1, box.minX, box.maxX, box.minY, box.maxY)
		}
	}
}

// geoBinary writes a shape as a GeoPackage does: GP, version 0, flags, the system, the
// box, well-known binary.
func geoBinary(s ground.Shape) ([]byte, geoBox, error) {
	parsed, err := geom.UnmarshalWKT(string(appendWKT(nil, s)), geom.NoValidate{})
	if err != nil {
		return nil, geoBox{}, err
	}
	flags := byte(geoLittleEndian | 1<<geoBoxShift)
	box := geoBox{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}
	for r := range s.Rings {
		for _, p := range r {
			box.add(geoBox{p.Lon, p.Lon, p.Lat, p.Lat})
		}
	}
	if s.IsEmpty() {
		flags = geoLittleEndian | geoEmpty
	}
	out := []byte{'G', 'P', 0, flags}
	out = binary.LittleEndian.AppendUint32(out, 4326)
	if !s.IsEmpty() {
		for _, v := range []float64{box.minX, box.maxX, box.minY, box.maxY} {
			out = binary.LittleEndian.AppendUint64(out, math.Float64bits(v))
		}
	}
	return append(out, parsed.AsBinary()...), box, nil
}
