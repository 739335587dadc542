package geofile

import (
	"encoding/binary"
	"fmt"
	"math"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/projection"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// shapefile is the set of files that make one ESRI shapefile. Only the .shp is
// needed; nil stands for a file that is not there.
//
// Source: ESRI Shapefile Technical Description, July 1998.
type shapefile struct {
	name                    string
	shp, shx, dbf, prj, cpg []byte
}

const (
	shpCode       = 9994
	shpHeaderSize = 100
	shxEntrySize  = 8
)

// Shape types. Those with Z are ten, those with M twenty above.
const (
	shpNull       = 0
	shpPoint      = 1
	shpPolyLine   = 3
	shpPolygon    = 5
	shpMultiPoint = 8
	shpMultiPatch = 31
)

func isShapefile(data []byte) bool {
	return len(data) >= 4 && binary.BigEndian.Uint32(data) == shpCode
}

func readShapefile(f shapefile, opts Options) (*Layer, error) {
	b := newBuilder(f.name, "ESRI shapefile", opts)
	b.anyWinding = true
	at := source.Position{File: f.name}
	fail := func(accepts, format string, args ...any) (*Layer, error) {
		return b.layer, &source.Error{Position: at, Found: fmt.Sprintf(format, args...), Accepts: accepts}
	}
	if !isShapefile(f.shp) {
		return fail("an ESRI .shp file", "this is no .shp file")
	}
	if len(f.shp) < shpHeaderSize {
		return fail("a whole .shp file", "the .shp ends within its header: %d bytes of %d", len(f.shp), shpHeaderSize)
	}
	kind := binary.LittleEndian.Uint32(f.shp[32:])
	if kind == shpMultiPatch {
		return fail("polygons, lines and points", "the shapefile holds multipatches (solids)")
	}
	if claimed := int64(binary.BigEndian.Uint32(f.shp[24:])) * 2; claimed != int64(len(f.shp)) {
		b.say(ground.Assumed, "the .shp says that it has %s bytes and has %s; what is there was read",
			grouped(claimed), grouped(int64(len(f.shp))))
	}
	if err := b.readPRJ(f.prj); err != nil {
		return b.layer, err
	}
	if b.missingSystem {
		corner := ground.Point{Lon: shpFloat(f.shp, 36), Lat: shpFloat(f.shp, 44)}
		if math.Abs(corner.Lon) > 360 || math.Abs(corner.Lat) > 360 {
			return b.layer, noSystem(at, corner)
		}
	}
	table, err := newTable(b, f)
	if err != nil {
		return b.layer, err
	}
	records := b.locate(f)
	for i, offset := range records {
		if i > MaxFeatures {
			break
		}
		b.record(f.shp, i, offset, table)
	}
	if table != nil && table.count != len(records) {
		b.say(ground.Assumed, "the .dbf has %s and the .shp %s; they were matched from the first on",
			quantity.Count(table.count, "record", "records"), quantity.Count(len(records), "shape", "shapes"))
	}
	return b.finish()
}

// say adds a note about the file as a whole.
func (b *builder) say(kind ground.Kind, format string, args ...any) {
	b.layer.Notes = append(b.layer.Notes, ground.Note{Position: source.Position{File: b.layer.File}, Kind: kind, Text: fmt.Sprintf(format, args...)})
}

// readPRJ takes the coordinate system from a .prj file, or from the options,
// which win.
func (b *builder) readPRJ(prj []byte) error {
	if b.opts.System != "" {
		return b.stateSystem()
	}
	if len(prj) == 0 {
		b.missingSystem = true
		return nil
	}
	s, err := projection.FromWKT(string(prj))
	if err != nil {
		return &source.Error{Position: source.Position{File: b.layer.File},
			Found: "the coordinate system of the .prj cannot be used: " + err.Error(), Accepts: projection.Accepted,
			Hint: "export the layer again in WGS 84 degrees (EPSG:4326)"}
	}
	b.system = s
	return nil
}

// stateSystem takes the coordinate system from the options.
func (b *builder) stateSystem() error {
	s, err := projection.Parse(b.opts.System)
	if err != nil {
		return &source.Error{Position: source.Position{File: b.layer.File},
			Found:   "the stated coordinate system " + source.Quote(b.opts.System) + " cannot be used: " + err.Error(),
			Accepts: projection.AcceptedNames}
	}
	b.system = s
	return nil
}

// locate gives the offset of each record's header: from the index where it fits
// the file, else by going from record to record.
func (b *builder) locate(f shapefile) []int {
	if offsets, why := indexed(f); why == "" {
		return offsets
	} else if f.shx != nil {
		b.say(ground.Assumed, "the index (.shx) %s; the shapes were read one after the other instead", why)
	}
	var offsets []int
	for at := shpHeaderSize; at+8 <= len(f.shp); {
		offsets = append(offsets, at)
		words := int64(binary.BigEndian.Uint32(f.shp[at+4:]))
		next := int64(at) + 8 + 2*words
		if words < 2 || next > int64(len(f.shp)) {
			break // record says what is wrong
		}
		at = int(next)
	}
	return offsets
}

// indexed gives the offsets that the .shx holds, or why it does not serve.
func indexed(f shapefile) (offsets []int, why string) {
	if len(f.shx) < shpHeaderSize || !isShapefile(f.shx) {
		return nil, "is cut off or no index"
	}
	body := f.shx[shpHeaderSize:]
	if len(body)%shxEntrySize != 0 || int64(len(f.shx)) != 2*int64(binary.BigEndian.Uint32(f.shx[24:])) {
		return nil, "is cut off"
	}
	if len(body)/shxEntrySize > MaxFeatures {
		return nil, "lists too many shapes"
	}
	var covered int64 = shpHeaderSize
	seen := make(map[int64]bool)
	for len(body) > 0 {
		at := 2 * int64(binary.BigEndian.Uint32(body))
		words := binary.BigEndian.Uint32(body[4:])
		if at < shpHeaderSize || at+8 > int64(len(f.shp)) || seen[at] || binary.BigEndian.Uint32(f.shp[at+4:]) != words {
			return nil, "does not fit the shapes"
		}
		offsets = append(offsets, int(at))
		seen[at] = true
		covered += 8 + 2*int64(words)
		body = body[shxEntrySize:]
	}
	if covered > int64(len(f.shp)) {
		return nil, "does not fit the shapes"
	}
	return offsets, ""
}

// record reads the shape at an offset and adds the feature.
func (b *builder) record(shp []byte, i, offset int, t *table) {
	var attributes Attributes
	if t != nil {
		var deleted bool
		if attributes, deleted = t.row(i); deleted {
			b.number++
			b.say(ground.Dropped, "%s is marked as deleted in the .dbf and was left out", featureField(b.number, b.nameOf("", attributes)))
			return
		}
	}
	name := b.nameOf("", attributes)
	const accepts = "a whole, uncut .shp file"
	words := int64(binary.BigEndian.Uint32(shp[offset+4:]))
	from, to := int64(offset)+8, int64(offset)+8+2*words
	if to > int64(len(shp)) {
		b.fail(0, name, accepts, "the shape should have %s bytes and the file ends after %s", grouped(2*words), grouped(int64(len(shp))-from))
		return
	}
	geo, err := parseShape(shp[from:to])
	if err != nil {
		b.fail(0, name, accepts, "the shape cannot be read: %v", err)
		return
	}
	b.add(0, "", attributes, geo)
}

// shapeReader takes numbers off the content of a record.
type shapeReader struct {
	data []byte
	bad  bool
}

func (r *shapeReader) take(n int64) []byte {
	if n < 0 || int64(len(r.data)) < n {
		r.bad = true
		r.data = nil
		return nil
	}
	taken := r.data[:n]
	r.data = r.data[n:]
	return taken
}

func (r *shapeReader) int() int64 {
	if raw := r.take(4); raw != nil {
		return int64(int32(binary.LittleEndian.Uint32(raw)))
	}
	return -1
}

func (r *shapeReader) points(n int64) []ground.Point {
	raw := r.take(16 * n)
	if raw == nil {
		return nil
	}
	points := make([]ground.Point, n)
	for i := range points {
		points[i].Lon = math.Float64frombits(binary.LittleEndian.Uint64(raw[16*i:]))
		points[i].Lat = math.Float64frombits(binary.LittleEndian.Uint64(raw[16*i+8:]))
	}
	return points
}

// parseShape reads the content of one record. Heights and measures stand after
// the points and are left unread.
func parseShape(content []byte) (geometry, error) {
	var g geometry
	r := &shapeReader{data: content}
	kind := r.int()
	raised := kind > 10
	switch base := kind % 10; {
	case kind == shpNull:
		return g, nil
	case kind < 0 || kind > 28:
		return g, fmt.Errorf("it is of type %d", kind)
	case base == shpPoint:
		g.points = r.points(1)
	case base == shpMultiPoint:
		r.take(32)
		g.points = r.points(r.int())
	case base == shpPolyLine || base == shpPolygon:
		r.take(32)
		parts, count := r.int(), r.int()
		starts := r.take(4 * parts)
		points := r.points(count)
		if r.bad || parts < 1 && count > 0 {
			return geometry{}, fmt.Errorf("it says %d parts and %d points, more than it holds", parts, count)
		}
		for k := range int(min(parts, maxRings+1)) {
			from, to := int64(int32(binary.LittleEndian.Uint32(starts[4*k:]))), count
			if k+1 < int(parts) {
				to = int64(int32(binary.LittleEndian.Uint32(starts[4*k+4:])))
			}
			if from < 0 || from > to || to > count || (k == 0 && from != 0) {
				return geometry{}, fmt.Errorf("its part %d runs from point %d to %d of %d", k+1, from, to, count)
			}
			if base == shpPolygon {
				g.rings = append(g.rings, points[from:to:to])
			} else {
				g.lines = append(g.lines, points[from:to:to])
			}
		}
	default:
		return g, fmt.Errorf("it is of type %d", kind)
	}
	if r.bad {
		return geometry{}, fmt.Errorf("it is cut off")
	}
	if len(g.rings)+len(g.lines) > maxRings {
		return geometry{}, fmt.Errorf("it has more than %s parts", grouped(maxRings))
	}
	if raised {
		for range g.rings {
			g.raised++
		}
		g.raised += len(g.lines) + len(g.points)
	}
	return g, nil
}

func shpFloat(data []byte, at int) float64 {
	return math.Float64frombits(binary.LittleEndian.Uint64(data[at:]))
}

// noSystem says that a file's numbers are not degrees and that it does not say
// what else they are.
func noSystem(at source.Position, p ground.Point) *source.Error {
	like := "meters or feet of a map projection"
	if p.Lon > 100_000 && p.Lon < 900_000 && p.Lat > 2_500_000 && p.Lat < 5_600_000 {
		like = "meters of a UTM zone"
	}
	return &source.Error{Position: at,
		Found:   fmt.Sprintf("the file does not say its coordinate system, and its numbers, such as %.1f, %.1f, are not degrees but look like %s", p.Lon, p.Lat, like),
		Accepts: "a .prj file beside it, or a stated coordinate system: " + projection.AcceptedNames}
}
