package geofile

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"emberquilt/habitat/ground/projection"
	"emberquilt/habitat/source"
)

// ReadGeoJSON reads features from GeoJSON as RFC 7946 has it: a feature
// collection, one feature or a bare geometry.
//
// Positions hold the line at which a feature begins. The features that are good
// come back beside the error, a *source.List or *source.Error, that names
// those that are not.
func ReadGeoJSON(r io.Reader, file string) ([]Feature, error) {
	data, err := readAll(r, file, 0)
	if err != nil {
		return nil, err
	}
	layer, err := readGeoJSON(data, file, Options{})
	return layer.Features, err
}

// geoJSON reads one file.
type geoJSON struct {
	*builder
	file string
	data []byte
	// points counts the points so far.
	points int
	// counted and line are an offset and the line there.
	counted, line int
}

func readGeoJSON(data []byte, file string, opts Options) (*Layer, error) {
	g := &geoJSON{builder: newBuilder(file, "GeoJSON", opts), file: file, line: 1}
	var err error
	if g.data, err = plainText(data, file); err != nil {
		return g.layer, err
	}
	if err := g.checkSyntax(); err != nil {
		return g.layer, err
	}
	if err := g.top(); err != nil {
		return g.layer, err
	}
	return g.finish()
}

// checkSyntax makes sure that what follows only meets good JSON.
func (g *geoJSON) checkSyntax() error {
	// The whole text is checked before anything is taken into an empty struct.
	var nothing struct{}
	err := json.Unmarshal(g.data, &nothing)
	var wrongType *json.UnmarshalTypeError
	if err == nil || errors.As(err, &wrongType) {
		return nil
	}
	e := &source.Error{Position: source.Position{File: g.file}, Found: err.Error(), Accepts: "GeoJSON (RFC 7946)"}
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		e.Line = g.lineAt(int(syntax.Offset))
		if syntax.Offset >= int64(len(g.data)) {
			e.Found, e.Hint = "the JSON ends too early", "the file may be cut off"
		} else {
			e.Found = "bad JSON: " + syntax.Error()
		}
	}
	return e
}

// lineAt gives the line of an offset. Offsets mostly grow.
func (g *geoJSON) lineAt(offset int) int {
	offset = max(0, min(offset, len(g.data)))
	if offset < g.counted {
		g.counted, g.line = 0, 1
	}
	g.line += bytes.Count(g.data[g.counted:offset], []byte{'\n'})
	g.counted = offset
	return g.line
}

// refuse gives an error about the file as a whole.
func (g *geoJSON) refuse(offset int, accepts, format string, args ...any) error {
	return &source.Error{Position: source.Position{File: g.file, Line: g.lineAt(offset)}, Found: fmt.Sprintf(format, args...), Accepts: accepts}
}

const geoJSONTypes = "a FeatureCollection, a Feature or a geometry"

func (g *geoJSON) top() error {
	all := members(g.data, 0)
	if all == nil {
		return g.refuse(0, geoJSONTypes, "the JSON is not an object")
	}
	if err := g.readSystem(find(all, "crs")); err != nil {
		return err
	}
	kind := find(all, "type")
	switch t := kind.text(); t {
	case "FeatureCollection":
		features := find(all, "features")
		if features == nil || !isArray(features.value) {
			return g.refuse(0, "a FeatureCollection with an array \"features\"", "the FeatureCollection has no features")
		}
		g.features(features)
		return nil
	case "Feature":
		g.feature(g.data, 0)
		return nil
	case "Topology":
		return g.refuse(0, "GeoJSON; export the layer as GeoJSON", "this is TopoJSON")
	case "":
		if find(all, "rings") != nil || find(all, "geometryType") != nil {
			return g.refuse(0, "GeoJSON; export the layer as GeoJSON", "this is the JSON of another GIS format")
		}
		return g.refuse(0, geoJSONTypes, "the JSON has no \"type\"")
	default:
		var geo geometry
		if err := g.geometry(g.data, 0, &geo, 0); err != nil {
			g.fail(err.line, "", err.accepts, "%s", err.found)
			return nil
		}
		g.add(1, "", nil, geo)
		return nil
	}
}

// readSystem takes the "crs" member of the GeoJSON of 2008, which RFC 7946
// dropped and many programs still write.
func (g *geoJSON) readSystem(crs *member) error {
	if g.opts.System != "" {
		return g.stateSystem()
	}
	if crs.isNull() {
		return nil
	}
	name := find(members(crs.value, crs.at), "properties")
	if name == nil {
		return nil
	}
	text := find(members(name.value, name.at), "name").text()
	s, err := projection.ByCode(text)
	if err != nil {
		return g.refuse(crs.at, projection.Accepted, "the file's \"crs\" is %s: %v", source.Quote(text), err)
	}
	g.system = s
	return nil
}

func (g *geoJSON) features(all *member) {
	elements(all.value, all.at, func(raw []byte, at int) bool {
		g.feature(raw, at)
		return g.number < MaxFeatures+1 && g.points <= maxPoints
	})
}

func (g *geoJSON) feature(raw []byte, at int) {
	line := g.lineAt(at)
	all := members(raw, at)
	if t := find(all, "type").text(); t != "Feature" {
		g.fail(line, "", "members of type \"Feature\"", "a feature of type %s", source.Quote(t))
		return
	}
	attributes := attributesOf(find(all, "properties"))
	name := ""
	if id := find(all, "id"); !id.isNull() && guessNameField(attributes) == "" {
		name = valueText(id.value)
	}
	var geo geometry
	if m := find(all, "geometry"); !m.isNull() {
		if err := g.geometry(m.value, m.at, &geo, 0); err != nil {
			g.fail(err.line, g.nameOf(name, attributes), err.accepts, "%s", err.found)
			return
		}
	}
	g.add(line, name, attributes, geo)
}

func attributesOf(properties *member) Attributes {
	if properties.isNull() {
		return nil
	}
	var attributes Attributes
	for _, m := range members(properties.value, properties.at) {
		attributes = append(attributes, Attribute{m.key, valueText(m.value)})
	}
	return attributes
}

// valueText gives a JSON value as text: strings without quotes, null as
// nothing, the rest as it stands.
func valueText(raw []byte) string {
	switch {
	case len(raw) == 0 || string(raw) == "null":
		return ""
	case raw[0] == '"':
		return stringText(raw)
	case raw[0] != '{' && raw[0] != '[':
		return string(raw)
	}
	var compact bytes.Buffer
	if json.Compact(&compact, raw) != nil {
		return ""
	}
	return compact.String()
}

// geoJSONError says what is wrong inside a feature.
type geoJSONError struct {
	line           int
	found, accepts string
}

// mostNested is how deep geometry collections may lie in each other.
const mostNested = 8

// depths holds how many arrays lie around a position of each geometry type.
var depths = map[string]int{"Point": 0, "MultiPoint": 1, "LineString": 1, "MultiLineString": 2, "Polygon": 2, "MultiPolygon": 3}

func (g *geoJSON) geometry(raw []byte, at int, geo *geometry, nested int) *geoJSONError {
	bad := func(accepts, format string, args ...any) *geoJSONError {
		return &geoJSONError{g.lineAt(at), fmt.Sprintf(format, args...), accepts}
	}
	all := members(raw, at)
	kind := find(all, "type").text()
	if kind == "GeometryCollection" {
		m := find(all, "geometries")
		if m == nil || !isArray(m.value) || nested == mostNested {
			return bad("a GeometryCollection with an array \"geometries\", not nested", "a GeometryCollection without geometries, or nested too deep")
		}
		var err *geoJSONError
		elements(m.value, m.at, func(raw []byte, at int) bool {
			err = g.geometry(raw, at, geo, nested+1)
			return err == nil
		})
		return err
	}
	depth, ok := depths[kind]
	if !ok {
		return bad("Polygon, MultiPolygon, LineString, Point and collections of them", "a geometry of type %s", source.Quote(kind))
	}
	m := find(all, "coordinates")
	if m.isNull() {
		return bad("a geometry with coordinates", "a %s without coordinates", kind)
	}
	c := &coordinates{raw: m.value}
	c.points = &g.points
	tree, err := c.array(depth)
	if err != "" {
		return &geoJSONError{g.lineAt(m.at + c.at), "in a " + kind + ": " + err, "numbers nested as RFC 7946 has them, longitude first"}
	}
	geo.raised += c.raised
	switch kind {
	case "Point":
		geo.points = append(geo.points, tree.points...)
	case "MultiPoint":
		geo.points = append(geo.points, tree.points...)
	case "LineString":
		geo.lines = append(geo.lines, tree.points)
	case "MultiLineString":
		for _, l := range tree.below {
			geo.lines = append(geo.lines, l.points)
		}
	case "Polygon":
		geo.polygons = append(geo.polygons, tree.rings())
	case "MultiPolygon":
		for _, p := range tree.below {
			geo.polygons = append(geo.polygons, p.rings())
		}
	}
	return nil
}
