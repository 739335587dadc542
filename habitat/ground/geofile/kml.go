package geofile

import (
	"encoding/xml"
	"fmt"
	"html"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// kmlReader reads placemarks. Source: OGC 07-147r2, KML 2.2.
type kmlReader struct {
	*builder
	*markup
	folders []string
	// counted is how many points the file had so far.
	counted int
}

// placemark is one placemark as far as it has been read.
type placemark struct {
	line        int
	name        string
	attributes  Attributes
	description string
	geo         geometry
	// outer and holes belong to the polygon in hand.
	rings [][]ground.Point
	err   *source.Error
}

// linksAlone ends what is found where a file only says where its shapes are.
const linksAlone = " to other files and no shapes"

func readKML(data []byte, file string, opts Options) (*Layer, error) {
	k := &kmlReader{builder: newBuilder(file, "KML", opts), markup: newMarkup(data, file)}
	k.builder.anyWinding = true // KML has no rule that writers keep
	if opts.System != "" {
		if err := k.stateSystem(); err != nil {
			return k.layer, err
		}
	}
	links := 0
	for {
		t, err := k.next()
		if err != nil {
			_, _ = k.finish()
			return k.layer, err
		}
		switch e := t.(type) {
		case nil:
			if links > 0 && k.number == 0 {
				return k.layer, &source.Error{Position: source.Position{File: k.layer.File}, Found: "this KML holds " + quantity.Count(links, "link", "links") + linksAlone,
					Accepts: "a KML or KMZ with the shapes themselves", Hint: "open it in a map program, follow the link and save the shapes as KML"}
			}
			if links > 0 {
				k.say(ground.Dropped, "%s to other files were not followed", quantity.Count(links, "link", "links"))
			}
			return k.finish()
		case xml.StartElement:
			switch e.Name.Local {
			case "Folder", "Document":
				k.folders = append(k.folders, "")
			case "name":
				if p := k.parent(1); (p == "Folder" || p == "Document") && len(k.folders) > 0 {
					if k.folders[len(k.folders)-1], err = k.markup.text(); err != nil {
						return k.layer, err
					}
				}
			case "NetworkLink":
				links++
			case "Placemark":
				if err := k.placemark(); err != nil {
					return k.layer, err
				}
			}
		case xml.EndElement:
			if n := e.Name.Local; (n == "Folder" || n == "Document") && len(k.folders) > 0 {
				k.folders = k.folders[:len(k.folders)-1]
			}
		}
	}
}

// placemark reads from the start of a placemark to its end.
func (k *kmlReader) placemark() error {
	p := &placemark{line: k.line()}
	depth := len(k.stack)
	for len(k.stack) >= depth {
		t, err := k.next()
		if err != nil {
			return err
		}
		switch e := t.(type) {
		case nil:
			return nil
		case xml.StartElement:
			if err := k.element(p, e, len(k.stack)-depth); err != nil {
				return err
			}
		case xml.EndElement:
			if e.Name.Local == "Polygon" && len(p.rings) > 0 {
				p.geo.polygons = append(p.geo.polygons, p.rings)
				p.rings = nil
			}
		}
	}
	k.addPlacemark(p)
	return nil
}

// element reads one element inside a placemark; below counts how deep in it.
func (k *kmlReader) element(p *placemark, e xml.StartElement, below int) error {
	switch e.Name.Local {
	case "name":
		if below == 1 {
			return k.into(&p.name)
		}
	case "description":
		return k.into(&p.description)
	case "Data":
		var value string
		name := attribute(e, "name")
		if err := k.into(&value); err != nil {
			return err
		}
		p.attribute(name, strings.TrimSpace(value))
	case "SimpleData":
		var value string
		if err := k.into(&value); err != nil {
			return err
		}
		p.attribute(attribute(e, "name"), value)
	case "coordinates":
		return k.coordinates(p)
	case "coord":
		return k.trackPoint(p)
	case "Track":
		if len(p.geo.lines) < maxRings {
			p.geo.lines = append(p.geo.lines, nil)
		}
	case "Style", "StyleMap", "Model", "PhotoOverlay":
		return k.skip()
	}
	return nil
}

// attribute adds one, up to the limit.
func (p *placemark) attribute(key, value string) {
	if len(p.attributes) < maxAttributes {
		p.attributes = append(p.attributes, Attribute{key, value})
	}
}

func (k *kmlReader) into(text *string) (err error) {
	*text, err = k.markup.text()
	return err
}

func (k *kmlReader) coordinates(p *placemark) error {
	around, outside := k.parent(1), k.parent(2)
	line := k.line()
	points, raised, bad, err := k.points()
	if err != nil {
		return err
	}
	if bad != "" && p.err == nil {
		p.err = &source.Error{Position: source.Position{Line: line}, Found: bad, Accepts: "longitude,latitude or longitude,latitude,height with blanks between points"}
	}
	if raised {
		p.geo.raised++
	}
	if len(p.rings)+len(p.geo.polygons)+len(p.geo.lines) > maxRings && p.err == nil {
		p.err = tooMuch(source.Position{Line: line}, "rings", maxRings)
	}
	if p.err != nil {
		return nil
	}
	switch {
	case around == "LinearRing" && outside == "outerBoundaryIs":
		p.rings = append([][]ground.Point{points}, p.rings...)
	case around == "LinearRing" && outside == "innerBoundaryIs":
		p.rings = append(p.rings, points)
	case around == "LinearRing":
		p.geo.polygons = append(p.geo.polygons, [][]ground.Point{points})
	case around == "LineString":
		p.geo.lines = append(p.geo.lines, points)
	case around == "Point":
		p.geo.points = append(p.geo.points, points...)
	}
	return nil
}

// points reads the tuples up to the end of the element, from the parser's own
// memory: a copy as text would double what a long boundary takes.
func (k *kmlReader) points() (points []ground.Point, raised bool, bad string, err error) {
	depth := len(k.stack)
	for len(k.stack) >= depth {
		t, err := k.next()
		if t == nil || err != nil {
			return points, raised, bad, err
		}
		data, ok := t.(xml.CharData)
		if !ok || bad != "" {
			continue
		}
		var more []ground.Point
		var up bool
		more, up, bad = kmlPoints(data, maxPoints-k.counted)
		k.counted += len(more)
		raised = raised || up
		if points == nil {
			points = more
		} else {
			points = append(points, more...)
		}
	}
	return points, raised, bad, nil
}

// trackPoint reads a gx:coord: longitude, latitude and height with blanks.
func (k *kmlReader) trackPoint(p *placemark) error {
	text, err := k.markup.text()
	if err != nil {
		return err
	}
	fields := strings.Fields(text)
	if len(fields) < 2 || len(p.geo.lines) == 0 {
		return nil
	}
	lon, badLon := strconv.ParseFloat(fields[0], 64)
	lat, badLat := strconv.ParseFloat(fields[1], 64)
	if badLon == nil && badLat == nil {
		last := &p.geo.lines[len(p.geo.lines)-1]
		*last = append(*last, ground.Point{Lon: lon, Lat: lat})
	}
	return nil
}

// tuples counts words: as many as there are points, or more where blanks stand
// round the commas.
func tuples(text []byte) int {
	n, blank := 0, true
	for _, c := range text {
		now := c == ' ' || c == '\n' || c == '\t' || c == '\r'
		if blank && !now {
			n++
		}
		blank = now
	}
	return n
}

// kmlPoints reads tuples. Commas join the numbers of one; blanks round the
// commas, which many writers leave, do no harm.
func kmlPoints(text []byte, most int) (points []ground.Point, raised bool, bad string) {
	words := tuples(text)
	if words > 3*most { // blanks round commas make three words of a point
		return nil, false, "more than " + grouped(maxPoints) + " points in the file"
	}
	points = make([]ground.Point, 0, max(0, min(words, most)))
	i := 0
	blank := func() {
		for i < len(text) && (text[i] == ' ' || text[i] == '\n' || text[i] == '\t' || text[i] == '\r') {
			i++
		}
	}
	for blank(); i < len(text); blank() {
		var tuple [3]float64
		n := 0
		for {
			from := i
			for i < len(text) && strings.IndexByte("+-.eE0123456789", text[i]) >= 0 {
				i++
			}
			v, err := strconv.ParseFloat(string(text[from:i]), 64)
			if err != nil {
				return nil, false, "a coordinate is not a number: " + source.Quote(string(text[from:min(len(text), from+20)]))
			}
			if n < 3 {
				tuple[n] = v
			}
			n++
			blank()
			if i == len(text) || text[i] != ',' {
				break
			}
			i++
			blank()
		}
		if n < 2 || n > 3 {
			return nil, false, fmt.Sprintf("a point of %s", quantity.Count(n, "number", "numbers"))
		}
		// Writers fill in a height of 0 without meaning one.
		raised = raised || (n == 3 && tuple[2] != 0)
		if len(points) >= most {
			return nil, false, "more than " + grouped(maxPoints) + " points in the file"
		}
		points = append(points, ground.Point{Lon: tuple[0], Lat: tuple[1]})
	}
	return points, raised, ""
}

// tableRow finds the rows of two plain cells in the tables that some programs
// write into descriptions instead of ExtendedData.
var tableRow = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?is)<tr[^>]*>\s*<td[^>]*>([^<]{1,64})</td>\s*<td[^>]*>([^<]{0,400})</td>\s*</tr>`)
})

func (k *kmlReader) addPlacemark(p *placemark) {
	if p.err != nil {
		k.fail(p.err.Line, p.name, p.err.Accepts, "%s", p.err.Found)
		return
	}
	for _, cells := range tableRow().FindAllStringSubmatch(p.description, 100) {
		key := source.Clean(html.UnescapeString(cells[1]))
		if _, ok := p.attributes.Get(key); key != "" && !ok {
			p.attributes = append(p.attributes, Attribute{key, source.Clean(html.UnescapeString(cells[2]))})
		}
	}
	for i := len(k.folders) - 1; i >= 0; i-- {
		if folder := source.Clean(k.folders[i]); folder != "" {
			p.attributes = append(p.attributes, Attribute{"folder", folder})
			break
		}
	}
	k.add(p.line, p.name, p.attributes, p.geo)
}
