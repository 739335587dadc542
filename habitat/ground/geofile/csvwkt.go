package geofile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/peterstace/simplefeatures/geom"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/projection"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// geometryColumns are the names under which programs write well-known text.
var geometryColumns = []string{"wkt", "geometry", "geom", "the_geom", "wkt_geom", "shape", "geometry_wkt"}

// isGeometryColumn reports whether a header may stand over well-known text.
func isGeometryColumn(header string) bool {
	for _, name := range geometryColumns {
		if strings.EqualFold(strings.TrimSpace(header), name) {
			return true
		}
	}
	return false
}

// hasGeometryColumn looks for such a header in the first line of a table.
func hasGeometryColumn(text []byte) bool {
	line, _, _ := bytes.Cut(text[:min(len(text), 64<<10)], []byte{'\n'})
	delimiter := delimiterOf(text)
	for _, field := range strings.FieldsFunc(string(line), func(r rune) bool { return r == delimiter }) {
		if isGeometryColumn(strings.Trim(field, "\" \r")) {
			return true
		}
	}
	return false
}

// checkLines refuses tables whose rows would take more memory than the file.
func checkLines(data []byte, file string, delimiter rune) error {
	for line, rest := 1, data; len(rest) > 0; line++ {
		one, after, _ := bytes.Cut(rest, []byte{'\n'})
		at := source.Position{File: file, Line: line}
		if len(one) > maxLine {
			return tooMuch(at, "bytes in one line", maxLine)
		}
		if len(one) > maxColumns && bytes.Count(one, []byte(string(delimiter))) > maxColumns {
			return tooMuch(at, "fields in one line", maxColumns)
		}
		rest = after
	}
	return nil
}

// delimiterOf guesses what parts the columns from the header line.
func delimiterOf(text []byte) rune {
	line, _, _ := bytes.Cut(text[:min(len(text), 64<<10)], []byte{'\n'})
	best, most := ',', 0
	for _, d := range []rune{',', ';', '\t', '|'} {
		if n := bytes.Count(line, []byte(string(d))); n > most {
			best, most = d, n
		}
	}
	return best
}

// readCSV reads a table with a column of well-known text.
func readCSV(data []byte, file string, opts Options) (*Layer, error) {
	b := newBuilder(file, "CSV with well-known text", opts)
	if opts.System != "" {
		if err := b.stateSystem(); err != nil {
			return b.layer, err
		}
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma, r.ReuseRecord, r.FieldsPerRecord, r.LazyQuotes = delimiterOf(data), true, -1, true
	if err := checkLines(data, file, r.Comma); err != nil {
		return b.layer, err
	}
	first, err := r.Read()
	if err != nil {
		return b.layer, csvError(file, err)
	}
	header := append([]string(nil), first...)
	column := -1
	for i, name := range header {
		if isGeometryColumn(name) {
			column = i
			break
		}
	}
	if column < 0 {
		return b.layer, &source.Error{Position: source.Position{File: file, Line: 1},
			Found: "no column holds shapes", Accepts: "a column named wkt, geometry, geom or the_geom with well-known text"}
	}
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) || b.number > MaxFeatures {
			return b.finish()
		}
		if err != nil {
			_, _ = b.finish()
			return b.layer, csvError(file, err)
		}
		line, _ := r.FieldPos(0)
		b.csvRow(line, header, record, column)
	}
}

func csvError(file string, err error) error {
	e := &source.Error{Position: source.Position{File: file}, Found: err.Error(), Accepts: "a CSV table with a header"}
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		e.Line, e.Found = parse.StartLine, "bad CSV: "+parse.Err.Error()
	}
	return e
}

func (b *builder) csvRow(line int, header, record []string, column int) {
	attributes := make(Attributes, 0, min(len(header), maxAttributes))
	for i, value := range record {
		if i != column && i < len(header) && len(attributes) < maxAttributes {
			attributes = append(attributes, Attribute{header[i], strings.Clone(value)})
		}
	}
	if column >= len(record) {
		b.fail(line, b.nameOf("", attributes), "a row with as many fields as the header", "the row has %s", quantity.Count(len(record), "field", "fields"))
		return
	}
	geo, err := parseWellKnown(record[column])
	if err != nil {
		b.fail(line, b.nameOf("", attributes), "well-known text such as POLYGON((-96.6 39.1, …))", "%v", err)
		return
	}
	b.add(line, "", attributes, geo)
}

// deepestWKT is how deep brackets may lie in each other.
const deepestWKT = 12

// parseWellKnown reads a geometry in well-known text (OGC 06-103r4), also with
// an SRID in front of it, which must be that of degrees.
func parseWellKnown(text string) (geometry, error) {
	var g geometry
	text = strings.TrimSpace(text)
	if text == "" {
		return g, nil
	}
	if len(text) > 5 && strings.EqualFold(text[:5], "SRID=") {
		code, rest, _ := strings.Cut(text[5:], ";")
		if s, err := projection.ByCode(code); err != nil || s.ToDegrees != nil {
			return g, fmt.Errorf("the shape is in the coordinate system %s, not in degrees", source.Quote(code))
		}
		text = rest
	}
	if isHexWKB(text) {
		return g, fmt.Errorf("the shape is in well-known binary")
	}
	if strings.Count(text, ",") > maxPoints/2 {
		return g, fmt.Errorf("more than %s points in one shape", grouped(maxPoints/2))
	}
	deep := 0
	for _, c := range text {
		if c == '(' {
			deep++
		} else if c == ')' {
			deep--
		}
		if deep > deepestWKT {
			return g, fmt.Errorf("brackets lie more than %d deep in each other", deepestWKT)
		}
	}
	parsed, err := geom.UnmarshalWKT(text, geom.NoValidate{})
	if err != nil {
		return g, fmt.Errorf("%s: %w", source.Quote(text), err)
	}
	if parsed.CoordinatesType() != geom.DimXY {
		g.raised++
	}
	collectGeometry(parsed, &g)
	return g, nil
}

// isHexWKB tells the hexadecimal form in which databases print shapes.
func isHexWKB(text string) bool {
	return len(text) > 18 && (strings.HasPrefix(text, "00") || strings.HasPrefix(text, "01")) && strings.Trim(text[:18], "0123456789abcdefABCDEF") == ""
}

func sequencePoints(s geom.Sequence) []ground.Point {
	points := make([]ground.Point, s.Length())
	for i := range points {
		p := s.GetXY(i)
		points[i] = ground.Point{Lon: p.X, Lat: p.Y}
	}
	return points
}

func collectGeometry(parsed geom.Geometry, g *geometry) {
	polygon := func(p geom.Polygon) {
		if p.IsEmpty() {
			return
		}
		var rings [][]ground.Point
		for _, s := range p.Coordinates() {
			rings = append(rings, sequencePoints(s))
		}
		g.polygons = append(g.polygons, rings)
	}
	switch parsed.Type() {
	case geom.TypePoint, geom.TypeMultiPoint:
		g.points = append(g.points, sequencePoints(parsed.DumpCoordinates())...)
	case geom.TypeLineString:
		if !parsed.IsEmpty() {
			g.lines = append(g.lines, sequencePoints(parsed.MustAsLineString().Coordinates()))
		}
	case geom.TypeMultiLineString:
		for _, l := range parsed.MustAsMultiLineString().Dump() {
			g.lines = append(g.lines, sequencePoints(l.Coordinates()))
		}
	case geom.TypePolygon:
		polygon(parsed.MustAsPolygon())
	case geom.TypeMultiPolygon:
		for _, p := range parsed.MustAsMultiPolygon().Dump() {
			polygon(p)
		}
	case geom.TypeGeometryCollection:
		for _, below := range parsed.MustAsGeometryCollection().Dump() {
			collectGeometry(below, g)
		}
	}
}
