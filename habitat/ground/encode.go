package ground

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"

	"emberquilt/habitat/source"
)

// MarshalJSON gives the shape as a GeoJSON geometry: a Polygon, a MultiPolygon,
// or null for the empty shape. Every coordinate comes back exactly.
func (s Shape) MarshalJSON() ([]byte, error) { return s.AppendGeoJSON(nil, -1), nil }

// AppendGeoJSON writes the geometry with a number of decimals; −1 means as many
// as a coordinate needs.
func (s Shape) AppendGeoJSON(out []byte, decimals int) []byte {
	switch len(s.Polygons) {
	case 0:
		return append(out, "null"...)
	case 1:
		out = append(out, `{"type":"Polygon","coordinates":`...)
		out = appendPolygon(out, s.Polygons[0], decimals)
	default:
		out = append(out, `{"type":"MultiPolygon","coordinates":[`...)
		for i, p := range s.Polygons {
			if i > 0 {
				out = append(out, ',')
			}
			out = appendPolygon(out, p, decimals)
		}
		out = append(out, ']')
	}
	return append(out, '}')
}

func appendPolygon(out []byte, p Polygon, decimals int) []byte {
	out = append(out, '[')
	out = appendRing(out, p.Outer, decimals)
	for _, h := range p.Holes {
		out = append(out, ',')
		out = appendRing(out, h, decimals)
	}
	return append(out, ']')
}

func appendRing(out []byte, r Ring, decimals int) []byte {
	out = append(out, '[')
	for i := 0; i <= len(r); i++ {
		if i > 0 {
			out = append(out, ',')
		}
		p := r[i%len(r)]
		out = append(out, '[')
		out = appendDegrees(out, p.Lon, decimals)
		out = append(out, ',')
		out = appendDegrees(out, p.Lat, decimals)
		out = append(out, ']')
	}
	return append(out, ']')
}

func appendDegrees(out []byte, v float64, decimals int) []byte {
	return strconv.AppendFloat(out, v, 'f', decimals, 64)
}

// UnmarshalJSON takes what MarshalJSON gives. It does not clean: files of other
// programs come in through Read.
func (s *Shape) UnmarshalJSON(data []byte) error {
	*s = Shape{}
	if bytes.Equal(bytes.TrimSpace(data), []byte("null")) {
		return nil
	}
	var geometry struct {
		Type        string          `json:"type"`
		Coordinates json.RawMessage `json:"coordinates"`
	}
	if err := json.Unmarshal(data, &geometry); err != nil {
		return fmt.Errorf("read shape: %w", err)
	}
	polygons := make([][][][]float64, 1)
	var into any = &polygons
	switch geometry.Type {
	case "Polygon":
		into = &polygons[0]
	case "MultiPolygon":
	default:
		return fmt.Errorf("read shape: type %s; accepts Polygon and MultiPolygon", source.Quote(geometry.Type))
	}
	if err := json.Unmarshal(geometry.Coordinates, into); err != nil {
		return fmt.Errorf("read shape: %w", err)
	}
	rings := make([][][]Point, len(polygons))
	for i, p := range polygons {
		for _, positions := range p {
			ring := make([]Point, len(positions))
			for k, at := range positions {
				if len(at) != 2 {
					return errBadShape
				}
				ring[k] = Point{at[0], at[1]}
			}
			rings[i] = append(rings[i], ring)
		}
	}
	return s.fromRings(rings)
}

var errBadShape = errors.New("read shape: a ring of less than three points, or coordinates that are not on earth")

// fromRings takes rings that repeat their first point.
func (s *Shape) fromRings(polygons [][][]Point) error {
	for _, rings := range polygons {
		var p Polygon
		for k, r := range rings {
			if len(r) < 4 || r[0] != r[len(r)-1] {
				return errBadShape
			}
			for _, q := range r {
				if !(math.Abs(q.Lon) <= 180 && math.Abs(q.Lat) <= 90) {
					return errBadShape
				}
			}
			ring := Ring(r[:len(r)-1])
			if k == 0 {
				p.Outer = ring
			} else {
				p.Holes = append(p.Holes, ring)
			}
		}
		if p.Outer == nil {
			return errBadShape
		}
		s.Polygons = append(s.Polygons, p)
	}
	return nil
}

// Codes of well-known binary. Source: OGC 06-103r4, Simple Feature Access 1,
// section 8.2.
const (
	wkbPolygon      = 3
	wkbMultiPolygon = 6
)

// MarshalBinary gives the shape as a MULTIPOLYGON in well-known binary, little
// endian: what a store keeps.
func (s Shape) MarshalBinary() ([]byte, error) {
	order := binary.LittleEndian
	out := make([]byte, 0, 9+s.Vertices()*16+64)
	head := func(kind, count int) {
		out = append(out, 1)
		out = order.AppendUint32(out, uint32(kind))
		out = order.AppendUint32(out, uint32(count))
	}
	head(wkbMultiPolygon, len(s.Polygons))
	for _, p := range s.Polygons {
		head(wkbPolygon, 1+len(p.Holes))
		for ring := range (Shape{[]Polygon{p}}).Rings {
			out = order.AppendUint32(out, uint32(len(ring)+1))
			for i := 0; i <= len(ring); i++ {
				q := ring[i%len(ring)]
				out = order.AppendUint64(out, math.Float64bits(q.Lon))
				out = order.AppendUint64(out, math.Float64bits(q.Lat))
			}
		}
	}
	return out, nil
}

// UnmarshalBinary takes what MarshalBinary gives.
func (s *Shape) UnmarshalBinary(data []byte) error {
	*s = Shape{}
	w := &wkbReader{data: data}
	count := w.head(wkbMultiPolygon)
	var polygons [][][]Point
	for i := 0; i < count && w.err == nil; i++ {
		var rings [][]Point
		for n := w.head(wkbPolygon); n > 0 && w.err == nil; n-- {
			rings = append(rings, w.ring())
		}
		polygons = append(polygons, rings)
	}
	if w.err == nil && len(w.data) > 0 {
		w.err = errors.New("read shape: bytes after the end")
	}
	if w.err != nil {
		return w.err
	}
	return s.fromRings(polygons)
}

type wkbReader struct {
	data []byte
	err  error
}

func (w *wkbReader) take(n int) []byte {
	if w.err != nil || len(w.data) < n {
		if w.err == nil {
			w.err = errors.New("read shape: cut off")
		}
		return make([]byte, n)
	}
	b := w.data[:n]
	w.data = w.data[n:]
	return b
}

func (w *wkbReader) head(kind uint32) (count int) {
	if order := w.take(1)[0]; w.err == nil && order != 1 {
		w.err = errors.New("read shape: not little endian")
	}
	if got := binary.LittleEndian.Uint32(w.take(4)); w.err == nil && got != kind {
		w.err = fmt.Errorf("read shape: type %d where %d was expected", got, kind)
	}
	return w.count()
}

// count reads a number of things, of which each takes more than a byte.
func (w *wkbReader) count() int {
	n := binary.LittleEndian.Uint32(w.take(4))
	if w.err == nil && int64(n) > int64(len(w.data)) {
		w.err = errors.New("read shape: cut off")
	}
	if w.err != nil {
		return 0
	}
	return int(n)
}

func (w *wkbReader) ring() []Point {
	n := w.count()
	if len(w.data) < 16*n {
		w.err = errors.New("read shape: cut off")
		return nil
	}
	ring := make([]Point, n)
	for i := range ring {
		ring[i].Lon = math.Float64frombits(binary.LittleEndian.Uint64(w.take(8)))
		ring[i].Lat = math.Float64frombits(binary.LittleEndian.Uint64(w.take(8)))
	}
	return ring
}
