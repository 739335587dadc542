package geofile

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"emberquilt/habitat/ground/projection"
	"emberquilt/habitat/source"
	"emberquilt/habitat/source/jsonscan"
)

// geoJSON reads one file.
type geoJSON struct {
	*builder
	file  string
	lines jsonscan.Lines
	// points counts the points so far.
	points int
}

// readGeoJSON reads features from GeoJSON as RFC 7946 has it: a feature collection,
// one feature or a bare geometry. Positions hold the line at which a feature begins.
func readGeoJSON(data []byte, file string, opts Options) (*Layer, error) {
	g := &geoJSON{builder: newBuilder(file, "GeoJSON", opts), file: file}
	data, err := plainText(data, file)
	if err != nil {
		return g.layer, err
	}
	g.lines.Data = data
	root, err := g.checkSyntax()
	if err != nil {
		return g.layer, err
	}
	if err := g.top(root); err != nil {
		return g.layer, err
	}
	return g.finish()
}

// checkSyntax makes sure that what follows only meets good JSON, and gives it.
func (g *geoJSON) checkSyntax() (jsonscan.Part, error) {
	root, err := jsonscan.Check(g.lines.Data)
	if err == nil {
		return root, nil
	}
	e := &source.Error{Position: source.Position{File: g.file}, Found: err.Error(), Accepts: "GeoJSON (RFC 7946)"}
	var syntax *jsonscan.SyntaxError
	if errors.As(err, &syntax) {
		e.Line = g.lines.At(syntax.Offset)
		if syntax.Early {
			e.Found, e.Hint = "the JSON ends too early", "the file may be cut off"
		} else {
			e.Found = "bad JSON: " + syntax.Found
		}
	}
	return root, e
}

// refuse gives an error about the file as a whole.
func (g *geoJSON) refuse(offset int, accepts, format string, args ...any) error {
	return &source.Error{Position: source.Position{File: g.file, Line: g.lines.At(offset)}, Found: fmt.Sprintf(format, args...), Accepts: accepts}
}

const geoJSONTypes = "a FeatureCollection, a Feature or a geometry"

func (g *geoJSON) top(root jsonscan.Part) error {
	all := root.Members(maxAttributes)
	if all == nil {
		return g.refuse(0, geoJSONTypes, "the JSON is not an object")
	}
	if err := g.readSystem(jsonscan.Find(all, "crs")); err != nil {
		return err
	}
	kind := jsonscan.Find(all, "type")
	switch t := kind.Text(); t {
	case "FeatureCollection":
		features := jsonscan.Find(all, "features")
		if !features.IsList() {
			return g.refuse(0, "a FeatureCollection with an array \"features\"", "the FeatureCollection has no features")
		}
		g.features(features)
		return nil
	case "Feature":
		g.feature(root)
		return nil
	case "Topology":
		return g.refuse(0, "GeoJSON; export the layer as GeoJSON", "this is TopoJSON")
	case "":
		if !jsonscan.Find(all, "rings").IsNull() || !jsonscan.Find(all, "geometryType").IsNull() {
			return g.refuse(0, "GeoJSON; export the layer as GeoJSON", "this is the JSON of another GIS format")
		}
		return g.refuse(0, geoJSONTypes, "the JSON has no \"type\"")
	default:
		var geo geometry
		if err := g.geometry(root, &geo, 0); err != nil {
			g.fail(err.line, "", err.accepts, "%s", err.found)
			return nil
		}
		g.add(1, "", nil, geo)
		return nil
	}
}

// readSystem takes the "crs" member of the GeoJSON of 2008, which RFC 7946
// dropped and many programs still write.
func (g *geoJSON) readSystem(crs jsonscan.Part) error {
	if g.opts.System != "" {
		return g.stateSystem()
	}
	if crs.IsNull() {
		return nil
	}
	properties := crs.Find("properties")
	if properties.IsNull() {
		return nil
	}
	text := properties.Find("name").Text()
	s, err := projection.ByCode(text)
	if err != nil {
		return g.refuse(crs.Offset, projection.Accepted, "the file's \"crs\" is %s: %v", source.Quote(text), err)
	}
	g.system = s
	return nil
}

func (g *geoJSON) features(all jsonscan.Part) {
	for feature := range all.Items() {
		g.feature(feature)
		if g.number > MaxFeatures || g.points > maxPoints {
			return
		}
	}
}

func (g *geoJSON) feature(feature jsonscan.Part) {
	line := g.lines.At(feature.Offset)
	all := feature.Members(maxAttributes)
	if t := jsonscan.Find(all, "type").Text(); t != "Feature" {
		g.fail(line, "", "members of type \"Feature\"", "a feature of type %s", source.Quote(t))
		return
	}
	attributes := attributesOf(jsonscan.Find(all, "properties"))
	name := ""
	if id := jsonscan.Find(all, "id"); !id.IsNull() && guessNameField(attributes) == "" {
		name = valueText(id)
	}
	var geo geometry
	if m := jsonscan.Find(all, "geometry"); !m.IsNull() {
		if err := g.geometry(m, &geo, 0); err != nil {
			g.fail(err.line, g.nameOf(name, attributes), err.accepts, "%s", err.found)
			return
		}
	}
	g.add(line, name, attributes, geo)
}

func attributesOf(properties jsonscan.Part) Attributes {
	var attributes Attributes
	for _, m := range properties.Members(maxAttributes) {
		attributes = append(attributes, Attribute{m.Key, valueText(m.Part)})
	}
	return attributes
}

// valueText gives a JSON value as text: strings without quotes, null as
// nothing, the rest as it stands.
func valueText(value jsonscan.Part) string {
	switch {
	case value.IsNull():
		return ""
	case value.IsText():
		return value.Text()
	case value.Raw[0] != '{' && value.Raw[0] != '[':
		return string(value.Raw)
	}
	var compact bytes.Buffer
	if json.Compact(&compact, value.Raw) != nil {
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

func (g *geoJSON) geometry(value jsonscan.Part, geo *geometry, nested int) *geoJSONError {
	bad := func(accepts, format string, args ...any) *geoJSONError {
		return &geoJSONError{g.lines.At(value.Offset), fmt.Sprintf(format, args...), accepts}
	}
	all := value.Members(maxAttributes)
	kind := jsonscan.Find(all, "type").Text()
	if kind == "GeometryCollection" {
		m := jsonscan.Find(all, "geometries")
		if !m.IsList() || nested == mostNested {
			return bad("a GeometryCollection with an array \"geometries\", not nested", "a GeometryCollection without geometries, or nested too deep")
		}
		for part := range m.Items() {
			if err := g.geometry(part, geo, nested+1); err != nil {
				return err
			}
		}
		return nil
	}
	depth, ok := depths[kind]
	if !ok {
		return bad("Polygon, MultiPolygon, LineString, Point and collections of them", "a geometry of type %s", source.Quote(kind))
	}
	m := jsonscan.Find(all, "coordinates")
	if m.IsNull() {
		return bad("a geometry with coordinates", "a %s without coordinates", kind)
	}
	c := &coordinates{raw: m.Raw}
	c.points = &g.points
	tree, err := c.array(depth)
	if err != "" {
		return &geoJSONError{g.lines.At(m.Offset + c.at), "in a " + kind + ": " + err, "numbers nested as RFC 7946 has them, longitude first"}
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
