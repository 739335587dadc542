package geofile

import (
	"encoding/xml"
	"strconv"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
)

// gpxReader reads tracks, routes and waypoints. Source: GPX 1.1 schema,
// http://www.topografix.com/GPX/1/1/.
type gpxReader struct {
	*builder
	*markup
	points int
}

func readGPX(data []byte, file string, opts Options) (*Layer, error) {
	g := &gpxReader{builder: newBuilder(file, "GPX", opts), markup: newMarkup(data, file)}
	for {
		t, err := g.next()
		if err != nil {
			_, _ = g.finish()
			return g.layer, err
		}
		switch e := t.(type) {
		case nil:
			return g.finish()
		case xml.StartElement:
			switch e.Name.Local {
			case "trk", "rte", "wpt":
				if err := g.feature(e); err != nil {
					return g.layer, err
				}
			}
		}
	}
}

// feature reads a track, a route or a waypoint to its end.
func (g *gpxReader) feature(start xml.StartElement) error {
	line, depth, kind := g.line(), len(g.stack), start.Name.Local
	var name string
	var attributes Attributes
	var runs [][]ground.Point
	var bad *source.Error
	point := func(e xml.StartElement) {
		p, ok := gpxPoint(e)
		if !ok && bad == nil {
			bad = &source.Error{Position: source.Position{Line: g.line()}, Found: "a point without numbers lat and lon", Accepts: "points such as lat=\"39.1\" lon=\"-96.6\""}
		}
		if len(runs) == 0 {
			runs = append(runs, nil)
		}
		if g.points++; g.points > maxPoints && bad == nil {
			bad = tooMuch(source.Position{Line: g.line()}, "points", maxPoints)
		}
		if bad == nil {
			runs[len(runs)-1] = append(runs[len(runs)-1], p)
		}
	}
	if kind == "wpt" {
		point(start)
	}
	for len(g.stack) >= depth {
		t, err := g.next()
		if err != nil {
			return err
		}
		e, ok := t.(xml.StartElement)
		if t == nil {
			return nil
		}
		if !ok {
			continue
		}
		switch e.Name.Local {
		case "trkseg":
			if len(runs) < maxRings {
				runs = append(runs, nil)
			}
		case "trkpt", "rtept":
			point(e)
		case "name", "cmt", "desc", "type":
			if len(g.stack) != depth+1 {
				continue
			}
			text, err := g.markup.text()
			if err != nil {
				return err
			}
			if e.Name.Local == "name" {
				name = text
			} else if len(attributes) < maxAttributes {
				attributes = append(attributes, Attribute{e.Name.Local, text})
			}
		}
	}
	if bad != nil {
		g.fail(bad.Line, name, bad.Accepts, "%s", bad.Found)
		return nil
	}
	g.add(line, name, attributes, gpxGeometry(kind, runs))
	return nil
}

func gpxPoint(e xml.StartElement) (ground.Point, bool) {
	lon, badLon := strconv.ParseFloat(attribute(e, "lon"), 64)
	lat, badLat := strconv.ParseFloat(attribute(e, "lat"), 64)
	return ground.Point{Lon: lon, Lat: lat}, badLon == nil && badLat == nil
}

// gpxGeometry keeps the runs of a track as lines: whether they go round a unit is for
// Feature.Form and Feature.Close to say.
func gpxGeometry(kind string, runs [][]ground.Point) geometry {
	var geo geometry
	for _, run := range runs {
		switch {
		case kind == "wpt":
			geo.points = append(geo.points, run...)
		case len(run) > 1:
			geo.lines = append(geo.lines, run)
		}
	}
	return geo
}
