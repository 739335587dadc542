package geofile

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/source"
)

// wgs84PRJ is the text that programs expect in the .prj of WGS 84 degrees.
const wgs84PRJ = `GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]`

// mostColumns keeps the size of a row within the 16 bits that it has.
const mostColumns = 255

// Widths of the columns of a dBASE table.
const (
	dbfTextWidth   = 254
	dbfNumberWidth = 24
	dbfDayWidth    = 8
	dbfNameWidth   = 10
)

// WriteShapefile writes the table as a zip that holds a shapefile of WGS 84
// degrees: stem.shp, .shx, .dbf, .prj and .cpg. Nothing in it depends on the
// clock. The notes say what the format could not hold: long texts and long
// column names.
func WriteShapefile(w io.Writer, stem string, t *Table) ([]ground.Note, error) {
	if len(t.Columns) >= mostColumns {
		return nil, fmt.Errorf("write shapefile: %d columns; a shapefile holds fewer than %d", len(t.Columns), mostColumns)
	}
	shp, shx := shapeFiles(t)
	dbf, notes := tableFile(t)
	z := zip.NewWriter(w)
	for _, f := range []struct {
		ending string
		data   []byte
	}{{".shp", shp}, {".shx", shx}, {".dbf", dbf}, {".prj", []byte(wgs84PRJ)}, {".cpg", []byte("UTF-8")}} {
		part, err := z.CreateHeader(&zip.FileHeader{Name: stem + f.ending, Method: zip.Deflate})
		if err != nil {
			return notes, err
		}
		if _, err := part.Write(f.data); err != nil {
			return notes, err
		}
	}
	return notes, z.Close()
}

// shapeFiles gives the .shp and its index.
func shapeFiles(t *Table) (shp, shx []byte) {
	all := flat.NewBox()
	var body, index bytes.Buffer
	for i := range t.Rows {
		content := shapeRecord(t.Rows[i].Shape, &all)
		head := binary.BigEndian.AppendUint32(nil, uint32(i+1))
		head = binary.BigEndian.AppendUint32(head, uint32(len(content)/2))
		entry := binary.BigEndian.AppendUint32(nil, uint32((shpHeaderSize+body.Len())/2))
		index.Write(binary.BigEndian.AppendUint32(entry, uint32(len(content)/2)))
		body.Write(head)
		body.Write(content)
	}
	return append(shapeHeader(body.Len(), all), body.Bytes()...), append(shapeHeader(index.Len(), all), index.Bytes()...)
}

func shapeHeader(bodySize int, b flat.Box) []byte {
	h := make([]byte, shpHeaderSize)
	binary.BigEndian.PutUint32(h, shpCode)
	binary.BigEndian.PutUint32(h[24:], uint32((shpHeaderSize+bodySize)/2))
	binary.LittleEndian.PutUint32(h[28:], 1000)
	binary.LittleEndian.PutUint32(h[32:], shpPolygon)
	if b.MinX <= b.MaxX {
		for i, v := range []float64{b.MinX, b.MinY, b.MaxX, b.MaxY} {
			binary.LittleEndian.PutUint64(h[36+8*i:], math.Float64bits(v))
		}
	}
	return h
}

// shapeRecord gives the content of one record and widens all to hold it. Outer
// rings are clockwise here, holes counterclockwise.
func shapeRecord(s ground.Shape, all *flat.Box) []byte {
	order := binary.LittleEndian
	if s.IsEmpty() {
		return order.AppendUint32(nil, shpNull)
	}
	own := flat.NewBox()
	var starts, points []byte
	count := 0
	for r := range s.Rings {
		starts = order.AppendUint32(starts, uint32(count))
		count += len(r) + 1
		for i := 0; i <= len(r); i++ {
			p := r[(len(r)-i)%len(r)]
			own.Add(p.Lon, p.Lat)
			points = order.AppendUint64(points, math.Float64bits(p.Lon))
			points = order.AppendUint64(points, math.Float64bits(p.Lat))
		}
	}
	all.Join(own)
	out := order.AppendUint32(nil, shpPolygon)
	for _, v := range []float64{own.MinX, own.MinY, own.MaxX, own.MaxY} {
		out = order.AppendUint64(out, math.Float64bits(v))
	}
	out = order.AppendUint32(out, uint32(len(starts)/4))
	out = order.AppendUint32(out, uint32(count))
	return append(append(out, starts...), points...)
}

// tableFile gives the .dbf.
func tableFile(t *Table) (dbf []byte, notes []ground.Note) {
	columns := append([]Column{{Name: "name"}}, t.Columns...)
	names := dbfNames(columns)
	widths := make([]int, len(columns))
	size := 1
	for i, c := range columns {
		if names[i] != c.Name {
			notes = append(notes, ground.Note{Position: source.Position{Field: c.Name}, Kind: ground.Assumed,
				Text: "the column is called " + names[i] + " in the shapefile, which allows ten letters"})
		}
		switch {
		case c.Number:
			widths[i] = dbfNumberWidth
		case c.Day:
			widths[i] = dbfDayWidth
		default:
			widths[i] = 1
			for k := range t.Rows {
				widths[i] = max(widths[i], min(dbfTextWidth, len(t.Rows[k].text(i))))
			}
		}
		size += widths[i]
	}
	order := binary.LittleEndian
	// Version 3 without memos; the date of change is a fixed one.
	dbf = append(dbf, 3, 126, 1, 1)
	dbf = order.AppendUint32(dbf, uint32(len(t.Rows)))
	dbf = order.AppendUint16(dbf, uint16(32+32*len(columns)+1))
	dbf = order.AppendUint16(dbf, uint16(size))
	dbf = append(dbf, make([]byte, 20)...)
	for i, c := range columns {
		field := make([]byte, 32)
		copy(field, names[i])
		field[11], field[16] = 'C', byte(widths[i])
		if c.Number {
			field[11], field[17] = 'N', byte(max(0, min(c.Decimals, 12)))
		} else if c.Day {
			field[11] = 'D'
		}
		dbf = append(dbf, field...)
	}
	dbf = append(dbf, 0x0d)
	for i := range t.Rows {
		row := &t.Rows[i]
		dbf = append(dbf, ' ')
		for k, c := range columns {
			value := row.text(k)
			if c.Number {
				number, ok := c.numberText(value)
				if !ok || len(number) > dbfNumberWidth {
					number = ""
				}
				dbf = append(dbf, fmt.Sprintf("%*s", dbfNumberWidth, number)...)
				continue
			}
			if c.Day {
				dbf = append(dbf, dbfDay(value)...)
				continue
			}
			short := cutText(value, dbfTextWidth)
			if short != value {
				notes = append(notes, ground.Note{Position: source.Position{Field: c.Name}, Kind: ground.Dropped,
					Text: fmt.Sprintf("the text of %s was cut after %d letters, which is all that a shapefile holds", source.Quote(row.Name), utf8.RuneCountInString(short))})
			}
			dbf = append(dbf, short...)
			dbf = append(dbf, strings.Repeat(" ", widths[k]-len(short))...)
		}
	}
	return append(dbf, 0x1a), notes
}

// dbfDay gives a day as a .dbf writes it, 20261120; blanks where there is none.
func dbfDay(value string) string {
	day, err := date.ParseDay(value)
	if err != nil {
		return strings.Repeat(" ", dbfDayWidth)
	}
	return strings.ReplaceAll(day.String(), "-", "")
}

// text gives what stands in a column of the .dbf, of which the first is the name.
func (r *Row) text(column int) string {
	if column == 0 {
		return source.Clean(r.Name)
	}
	return r.value(column - 1)
}

// cutText cuts a text to a number of bytes, between letters.
func cutText(text string, most int) string {
	if len(text) <= most {
		return text
	}
	for most > 0 && !utf8.RuneStart(text[most]) {
		most--
	}
	return text[:most]
}

// dbfNames gives column names of at most ten bytes that differ in more than
// case.
func dbfNames(columns []Column) []string {
	taken := make(map[string]bool)
	names := make([]string, len(columns))
	for i, c := range columns {
		name := cutText(strings.ReplaceAll(source.Clean(c.Name), " ", "_"), dbfNameWidth)
		if name == "" {
			name = "column"
		}
		for n := 2; taken[strings.ToLower(name)]; n++ {
			ending := fmt.Sprintf("_%d", n)
			name = cutText(name, dbfNameWidth-len(ending)) + ending
		}
		taken[strings.ToLower(name)] = true
		names[i] = name
	}
	return names
}
