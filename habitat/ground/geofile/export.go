package geofile

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/twpayne/go-kml/v3"

	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// Table is what an export writes: shapes, each with its name and the values of
// the columns.
type Table struct {
	// Name is that of the layer.
	Name string
	// Made is the day of the export.
	Made    date.Day
	Columns []Column
	Rows    []Row
}

// Column is one attribute of a table. Its name carries the unit, as in
// "acres" or "break_ft".
type Column struct {
	Name string
	// Number says that the values are numbers with at most Decimals decimals.
	// Empty values are unknown.
	Number   bool
	Decimals int
	// Day says that the values are days as 2026-11-20, or empty.
	Day bool
}

// Row is one shape of a table. Values has one text for each column.
type Row struct {
	Name   string
	Shape  ground.Shape
	Values []string
}

// value gives the value of a column, empty where the row has none.
func (r *Row) value(i int) string {
	if i >= len(r.Values) {
		return ""
	}
	return source.Clean(r.Values[i])
}

// exportDecimals is a tenth of a millimeter on the ground.
const exportDecimals = 9

// numberText gives a number as it goes into a file, and whether it is one.
func (c Column) numberText(value string) (string, bool) {
	v, err := quantity.Parse(value)
	if !c.Number || err != nil {
		return "", false
	}
	return strconv.FormatFloat(v, 'f', max(0, min(c.Decimals, 12)), 64), true
}

// WriteGeoJSON writes the table as RFC 7946 has it: longitude first, outer rings
// counterclockwise, one feature a line.
func WriteGeoJSON(w io.Writer, t *Table) error {
	var out bytes.Buffer
	out.WriteString("{\"type\":\"FeatureCollection\",\"features\":[\n")
	for i := range t.Rows {
		row := &t.Rows[i]
		out.WriteString(`{"type":"Feature","properties":{"name":`)
		writeJSONText(&out, source.Clean(row.Name))
		for k, c := range t.Columns {
			out.WriteByte(',')
			writeJSONText(&out, c.Name)
			out.WriteByte(':')
			value := row.value(k)
			if number, ok := c.numberText(value); ok {
				out.WriteString(number)
			} else if value == "" {
				out.WriteString("null")
			} else {
				writeJSONText(&out, value)
			}
		}
		out.WriteString(`},"geometry":`)
		out.Write(row.Shape.AppendGeoJSON(nil, exportDecimals))
		out.WriteByte('}')
		if i+1 < len(t.Rows) {
			out.WriteByte(',')
		}
		out.WriteByte('\n')
	}
	out.WriteString("]}\n")
	_, err := w.Write(out.Bytes())
	return err
}

func writeJSONText(out *bytes.Buffer, text string) {
	raw, err := json.Marshal(text)
	if err != nil {
		panic("ground: text that is not JSON: " + err.Error())
	}
	out.Write(raw)
}

// WriteKML writes the table as KML 2.2, with the values as ExtendedData.
func WriteKML(w io.Writer, t *Table) error {
	document := kml.Document(kml.Name(source.Clean(t.Name)), kml.Description("Written by emberquilt"))
	document.Append(t.placemarks()...)
	return kml.KML(document).WriteIndent(w, "", " ")
}

// placemarks are the rows.
func (t *Table) placemarks() []kml.Element {
	var all []kml.Element
	for i := range t.Rows {
		row := &t.Rows[i]
		placemark := kml.Placemark(kml.Name(source.Clean(row.Name)))
		data := kml.ExtendedData()
		for k, c := range t.Columns {
			value := row.value(k)
			if number, ok := c.numberText(value); ok {
				value = number
			}
			data.Append(kml.Data(source.Clean(c.Name), kml.Value(value)))
		}
		if len(t.Columns) > 0 {
			placemark.Append(data)
		}
		if geometry := kmlShape(row.Shape); geometry != nil {
			placemark.Append(geometry)
		}
		all = append(all, placemark)
	}
	return all
}

// WriteKMZ writes the units with places and lines beside them as a KMZ: one KML file,
// packed, with a folder for each.
func WriteKMZ(w io.Writer, t *Table, places []ground.Place, lines map[string][]ground.Line) error {
	document := kml.Document(kml.Name(source.Clean(t.Name)), kml.Description("Written by emberquilt"))
	units := kml.Folder(kml.Name("burn units"))
	units.Append(t.placemarks()...)
	document.Append(units)
	if len(places) > 0 {
		all := kml.Folder(kml.Name("places"))
		for i := range places {
			p := &places[i]
			shapes := kml.MultiGeometry()
			if geometry := kmlShape(p.Shape); geometry != nil {
				shapes.Append(geometry)
			}
			shapes.Append(kmlLines(p.Lines)...)
			for _, at := range p.Points {
				shapes.Append(kml.Point(kml.Coordinates(kml.Coordinate{Lon: at.Lon, Lat: at.Lat})))
			}
			all.Append(kml.Placemark(kml.Name(source.Clean(p.Name)), kml.Description(source.Clean(p.Kind)), shapes))
		}
		document.Append(all)
	}
	for _, name := range slices.Sorted(maps.Keys(lines)) {
		if len(lines[name]) == 0 {
			continue
		}
		shapes := kml.MultiGeometry()
		shapes.Append(kmlLines(lines[name])...)
		document.Append(kml.Folder(kml.Name(source.Clean(name)), kml.Placemark(kml.Name(source.Clean(name)), shapes)))
	}
	packed := zip.NewWriter(w)
	file, err := packed.CreateHeader(&zip.FileHeader{Name: "doc.kml", Method: zip.Deflate})
	if err != nil {
		return err
	}
	if err := kml.KML(document).WriteIndent(file, "", " "); err != nil {
		return err
	}
	return packed.Close()
}

func kmlLines(lines []ground.Line) []kml.Element {
	var all []kml.Element
	for _, line := range lines {
		points := make([]kml.Coordinate, len(line))
		for i, p := range line {
			points[i] = kml.Coordinate{Lon: p.Lon, Lat: p.Lat}
		}
		all = append(all, kml.LineString(kml.Coordinates(points...)))
	}
	return all
}

func kmlShape(s ground.Shape) kml.Element {
	var all []kml.Element
	for _, p := range s.Polygons {
		polygon := kml.Polygon(kml.OuterBoundaryIs(kml.LinearRing(kmlRing(p.Outer))))
		for _, h := range p.Holes {
			polygon.Append(kml.InnerBoundaryIs(kml.LinearRing(kmlRing(h))))
		}
		all = append(all, polygon)
	}
	switch len(all) {
	case 0:
		return nil
	case 1:
		return all[0]
	}
	return kml.MultiGeometry(all...)
}

func kmlRing(r ground.Ring) kml.Element {
	points := make([]kml.Coordinate, 0, len(r)+1)
	for i := 0; i <= len(r); i++ {
		p := r[i%len(r)]
		points = append(points, kml.Coordinate{Lon: p.Lon, Lat: p.Lat})
	}
	return kml.Coordinates(points...)
}

// WriteCSV writes the table with the shapes as well-known text in the column
// wkt. A text that a spreadsheet would take as a formula gets an apostrophe in
// front.
func WriteCSV(w io.Writer, t *Table) error {
	out := csv.NewWriter(w)
	header := []string{"name"}
	for _, c := range t.Columns {
		header = append(header, inert(c.Name))
	}
	if err := out.Write(append(header, "wkt")); err != nil {
		return err
	}
	for i := range t.Rows {
		row := &t.Rows[i]
		record := []string{inert(source.Clean(row.Name))}
		for k, c := range t.Columns {
			value := row.value(k)
			if number, ok := c.numberText(value); ok {
				record = append(record, number)
			} else {
				record = append(record, inert(value))
			}
		}
		if err := out.Write(append(record, string(appendWKT(nil, row.Shape)))); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// inert makes sure that no spreadsheet takes a text as a formula.
func inert(text string) string {
	if text != "" && strings.ContainsRune("=+-@\t\r", rune(text[0])) {
		return "'" + text
	}
	return text
}

// appendWKT writes a shape as a MULTIPOLYGON in well-known text.
func appendWKT(out []byte, s ground.Shape) []byte {
	if s.IsEmpty() {
		return append(out, "MULTIPOLYGON EMPTY"...)
	}
	out = append(out, "MULTIPOLYGON ("...)
	for i, p := range s.Polygons {
		if i > 0 {
			out = append(out, ',')
		}
		out = append(out, '(')
		first := true
		for r := range (ground.Shape{Polygons: []ground.Polygon{p}}).Rings {
			if !first {
				out = append(out, ',')
			}
			first = false
			out = append(out, '(')
			for k := 0; k <= len(r); k++ {
				if k > 0 {
					out = append(out, ',')
				}
				out = strconv.AppendFloat(out, r[k%len(r)].Lon, 'f', exportDecimals, 64)
				out = append(out, ' ')
				out = strconv.AppendFloat(out, r[k%len(r)].Lat, 'f', exportDecimals, 64)
			}
			out = append(out, ')')
		}
		out = append(out, ')')
	}
	return append(out, ')')
}
