package projection

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
)

// wktNode is one KEYWORD[...] of a coordinate system in well-known text.
type wktNode struct {
	keyword string
	// texts are the quoted strings and bare words, numbers the numbers.
	texts   []string
	numbers []float64
	below   []wktNode
}

// child gives the first node below with one of the keywords.
func (n *wktNode) child(keywords ...string) *wktNode {
	for i := range n.below {
		for _, k := range keywords {
			if n.below[i].keyword == k {
				return &n.below[i]
			}
		}
	}
	return nil
}

func (n *wktNode) name() string {
	if n == nil || len(n.texts) == 0 {
		return ""
	}
	return n.texts[0]
}

func (n *wktNode) number(otherwise float64) float64 {
	if n == nil || len(n.numbers) == 0 {
		return otherwise
	}
	return n.numbers[0]
}

// mostWKT is the length of the longest text of a coordinate system that is read.
const mostWKT = 64 << 10

// parseWKT reads one node, as OGC 01-009 and ESRI's .prj files have it.
func parseWKT(text string) (wktNode, error) {
	if len(text) > mostWKT {
		return wktNode{}, fmt.Errorf("its text is above 64 kB")
	}
	p := &wktParser{text: text}
	n, err := p.node(0)
	// A vertical system may follow behind a comma; only the plan is used.
	if rest := strings.TrimSpace(p.text[p.at:]); err == nil && rest != "" && !strings.HasPrefix(rest, ",") {
		err = fmt.Errorf("text follows its end")
	}
	return n, err
}

type wktParser struct {
	text string
	at   int
}

func (p *wktParser) blank() {
	for p.at < len(p.text) && strings.IndexByte(" \t\r\n", p.text[p.at]) >= 0 {
		p.at++
	}
}

func (p *wktParser) word() string {
	p.blank()
	from := p.at
	for p.at < len(p.text) && strings.IndexByte("[](),\" \t\r\n", p.text[p.at]) < 0 {
		p.at++
	}
	return p.text[from:p.at]
}

func (p *wktParser) next() byte {
	p.blank()
	if p.at == len(p.text) {
		return 0
	}
	return p.text[p.at]
}

func (p *wktParser) node(depth int) (wktNode, error) {
	n := wktNode{keyword: strings.ToUpper(p.word())}
	if open := p.next(); n.keyword == "" || depth > 16 || (open != '[' && open != '(') {
		return n, fmt.Errorf("it is not a coordinate system in well-known text")
	}
	p.at++
	for {
		switch c := p.next(); {
		case c == 0:
			return n, fmt.Errorf("its text is cut off")
		case c == ']' || c == ')':
			p.at++
			return n, nil
		case c == ',':
			p.at++
		case c == '"':
			end := strings.IndexByte(p.text[p.at+1:], '"')
			if end < 0 {
				return n, fmt.Errorf("its text is cut off")
			}
			n.texts = append(n.texts, p.text[p.at+1:p.at+1+end])
			p.at += end + 2
		case c == '[' || c == '(':
			return n, fmt.Errorf("its brackets do not match")
		default:
			start := p.at
			word := p.word()
			if open := p.next(); open == '[' || open == '(' {
				p.at = start
				below, err := p.node(depth + 1)
				if err != nil {
					return n, err
				}
				n.below = append(n.below, below)
			} else if v, err := strconv.ParseFloat(word, 64); err == nil {
				n.numbers = append(n.numbers, v)
			} else {
				n.texts = append(n.texts, word)
			}
		}
	}
}

// plainName gives a name without the marks that differ between writers.
func plainName(name string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		}
		return -1
	}, name)
}

// FromWKT gives the coordinate system of a .prj file. The error says, in
// words that follow the system's name, why it cannot be used.
func FromWKT(text string) (System, error) {
	text = strings.TrimSpace(strings.TrimPrefix(text, "\uFEFF"))
	root, err := parseWKT(text)
	if err != nil {
		return System{}, err
	}
	if c := root.child("PROJCS", "GEOGCS", "PROJCRS", "PROJECTEDCRS", "GEOGCRS", "GEODCRS"); (root.keyword == "COMPD_CS" || root.keyword == "COMPOUNDCRS" || root.keyword == "BOUNDCRS") &&
		c != nil {
		root = *c
	}
	s, err := systemFromNode(&root)
	if err != nil && root.name() != "" {
		err = fmt.Errorf("%q: %w", source.Clean(root.name()), err)
	}
	return s, err
}

func systemFromNode(root *wktNode) (System, error) {
	switch root.keyword {
	case "GEOGCS", "GEOGCRS", "GEODCRS", "GEOGRAPHICCRS":
		d, err := datumOf(root)
		if err != nil {
			return System{}, err
		}
		if d.sphere {
			return System{}, errSphere
		}
		scale := d.degree
		return d.over(root.name(), func(x, y float64) (ground.Point, bool) {
			return ground.Point{Lon: x * scale, Lat: y * scale}, true
		}, scale == 1), nil
	case "PROJCS", "PROJCRS", "PROJECTEDCRS":
		base := root.child("GEOGCS", "BASEGEOGCRS", "BASEGEODCRS")
		if base == nil {
			return System{}, fmt.Errorf("it names no datum")
		}
		d, err := datumOf(base)
		if err != nil {
			return System{}, err
		}
		return projectedSystem(root, d)
	case "LOCAL_CS", "ENGCRS", "LOCALCS":
		return System{}, fmt.Errorf("it is a local grid without a place on earth")
	}
	return System{}, fmt.Errorf("a system of kind %s is not known here", root.keyword)
}

// datum is what a geographic system stands on.
type datum struct {
	name     string
	spheroid spheroid
	// degree is the size of the angular unit in degrees.
	degree  float64
	shift   func(ground.Point) (ground.Point, bool)
	warning string
	// sphere is set for the sphere of web Mercator, which is good for nothing
	// else.
	sphere bool
}

// over gives the system whose coordinates inv brings to degrees on the datum.
// plain means that they are degrees already.
func (d datum) over(name string, inv inverse, plain bool) System {
	s := System{Name: source.Clean(name), Warning: d.warning}
	if plain && d.shift == nil {
		return s
	}
	shift := d.shift
	s.ToDegrees = func(p ground.Point) (ground.Point, bool) {
		q, ok := inv(p.Lon, p.Lat)
		if ok && shift != nil {
			q, ok = shift(q)
		}
		// A unit of angle other than degrees makes of any number a place.
		return q, ok && math.Abs(q.Lat) <= 90 && math.Abs(q.Lon) <= 360
	}
	return s
}

const (
	nad83Warning = "NAD83 was taken as WGS 84; the two lie up to 2 m (7 ft) apart"
	nad27Warning = "the file is on the old datum NAD27; it was shifted to WGS 84 by the mean shift for the contiguous states " +
		"(NIMA TR8350.2), which may leave it about 10 m (33 ft) off its place; acres are not touched by that"
)

var errSphere = fmt.Errorf("it stands on a sphere")

func datumOf(geographic *wktNode) (datum, error) {
	node := geographic.child("DATUM", "GEODETICDATUM", "TRF", "ENSEMBLE")
	if node == nil {
		return datum{}, fmt.Errorf("it names no datum")
	}
	if prime := geographic.child("PRIMEM", "PRIMEMERIDIAN"); prime.number(0) != 0 {
		return datum{}, fmt.Errorf("its longitudes do not count from Greenwich but from %s", source.Clean(prime.name()))
	}
	d := datum{degree: 1}
	unit := geographic.child("UNIT", "ANGLEUNIT")
	if unit == nil {
		if cs := geographic.child("AXIS"); cs != nil {
			unit = cs.child("ANGLEUNIT")
		}
	}
	if radians := unit.number(degreeInRadians); math.Abs(radians/degreeInRadians-1) > 1e-9 {
		d.degree = radians / degreeInRadians
	}
	if !(d.degree > 0) || math.IsInf(d.degree, 0) {
		return datum{}, fmt.Errorf("its unit of angle, %v radians, is none", unit.number(degreeInRadians))
	}
	ball := node.child("SPHEROID", "ELLIPSOID")
	if ball == nil || len(ball.numbers) < 2 {
		return datum{}, fmt.Errorf("its datum has no spheroid")
	}
	d.spheroid.a = ball.numbers[0]
	if ball.numbers[1] != 0 {
		d.spheroid.f = 1 / ball.numbers[1]
	}
	// Web Mercator is sometimes written on a sphere of the equator's radius.
	d.sphere = d.spheroid.a == ground.EquatorMeters && d.spheroid.f == 0
	if !d.sphere && !(d.spheroid.a > 6.3e6 && d.spheroid.a < 6.4e6 && d.spheroid.f > 0 && d.spheroid.f < 0.01) {
		return datum{}, fmt.Errorf("its spheroid is none of the earth")
	}
	switch name := plainName(node.name()); {
	case strings.Contains(name, "wgs1984") || strings.Contains(name, "wgs84") || strings.Contains(name, "worldgeodeticsystem1984"):
		d.name = "WGS 84"
	case strings.Contains(name, "northamerican1983") || strings.Contains(name, "nad83") || strings.Contains(name, "nad1983") ||
		strings.Contains(name, "northamericandatum1983"):
		d.name, d.warning = "NAD83", nad83Warning
	case strings.Contains(name, "northamerican1927") || strings.Contains(name, "nad27") || strings.Contains(name, "nad1927") ||
		strings.Contains(name, "northamericandatum1927"):
		if math.Abs(d.spheroid.a-clarke1866.a) > 1 {
			return datum{}, fmt.Errorf("it says NAD27 but is not on Clarke's spheroid of 1866")
		}
		d.name, d.shift, d.warning = "NAD27", nad27ToWGS84, nad27Warning
	default:
		return datum{}, fmt.Errorf("its datum %q is not known here", source.Clean(node.name()))
	}
	return d, nil
}

// parameters are those of a projection, by plain name; angles in degrees,
// lengths in meters.
type parameters map[string]float64

func (p parameters) get(otherwise float64, names ...string) float64 {
	for _, n := range names {
		if v, ok := p[n]; ok {
			return v
		}
	}
	return otherwise
}

func projectedSystem(root *wktNode, d datum) (System, error) {
	from := root
	method := root.child("PROJECTION")
	if conversion := root.child("CONVERSION"); conversion != nil {
		from, method = conversion, conversion.child("METHOD")
	}
	if method == nil {
		return System{}, fmt.Errorf("it names no projection")
	}
	unit := root.child("UNIT", "LENGTHUNIT")
	if unit == nil {
		if axis := root.child("AXIS"); axis != nil {
			unit = axis.child("LENGTHUNIT")
		}
	}
	meters := unit.number(1)
	if !(meters > 1e-4 && meters < 1e5) {
		return System{}, fmt.Errorf("its unit of length is %g m", meters)
	}
	values := parameters{}
	for i := range from.below {
		n := &from.below[i]
		if n.keyword != "PARAMETER" || len(n.numbers) == 0 {
			continue
		}
		name, v := plainName(n.name()), n.numbers[0]
		if strings.Contains(name, "easting") || strings.Contains(name, "northing") {
			v *= n.child("LENGTHUNIT").number(meters)
		} else if !strings.Contains(name, "scale") {
			v *= d.degree
		}
		values[name] = v
	}
	inv, err := inverseOf(plainName(method.name()), source.Clean(method.name()), values, d, root)
	if err != nil {
		return System{}, err
	}
	return d.over(root.name(), func(x, y float64) (ground.Point, bool) { return inv(x*meters, y*meters) }, false), nil
}

func inverseOf(method, shown string, v parameters, d datum, root *wktNode) (inverse, error) {
	lon0 := v.get(0, "centralmeridian", "longitudeofcenter", "longitudeofnaturalorigin", "longitudeoffalseorigin", "longitudeoforigin")
	lat0 := v.get(0, "latitudeoforigin", "latitudeofcenter", "latitudeofnaturalorigin", "latitudeoffalseorigin")
	east0 := v.get(0, "falseeasting", "eastingatfalseorigin")
	north0 := v.get(0, "falsenorthing", "northingatfalseorigin")
	scale := v.get(1, "scalefactor", "scalefactoratnaturalorigin")
	lat1 := v.get(lat0, "standardparallel1", "latitudeof1ststandardparallel")
	lat2 := v.get(lat1, "standardparallel2", "latitudeof2ndstandardparallel")
	if d.sphere && !strings.Contains(method, "mercator") || d.sphere && strings.Contains(method, "transverse") {
		return nil, errSphere
	}
	switch method {
	case "transversemercator", "gausskruger":
		return transverseMercator(d.spheroid, lon0, lat0, scale, east0, north0), nil
	case "lambertconformalconic", "lambertconformalconic2sp", "lambertconicconformal2sp", "lambertconformalconic1sp", "lambertconicconformal1sp":
		if lat1 == -lat2 {
			return nil, fmt.Errorf("its standard parallels make no cone")
		}
		return lambertConic(d.spheroid, lon0, lat0, lat1, lat2, scale, east0, north0), nil
	case "albers", "albersconicequalarea", "albersequalarea":
		if lat1 == -lat2 {
			return nil, fmt.Errorf("its standard parallels make no cone")
		}
		return albersConic(d.spheroid, lon0, lat0, lat1, lat2, east0, north0), nil
	case "mercatorauxiliarysphere", "popularvisualisationpseudomercator":
		return webMercator(d.spheroid.a, lon0, east0, north0), nil
	case "mercator1sp", "mercator", "mercator2sp", "mercatorvarianta", "mercatorvariantb":
		if name := plainName(root.name()); d.sphere || strings.Contains(name, "pseudomercator") || strings.Contains(name, "webmercator") {
			return webMercator(d.spheroid.a, lon0, east0, north0), nil
		}
		return mercator(d.spheroid, lon0, lat1, scale, east0, north0), nil
	}
	return nil, fmt.Errorf("its projection %q is not known here", shown)
}
