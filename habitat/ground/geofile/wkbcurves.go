package geofile

import (
	"bytes"
	"encoding/binary"
)

// Kinds of well-known binary whose sides may be curved, less a thousand for each kind of
// coordinates. Source: OGC 06-103r4, the integer codes of geometric types.
const (
	wkbArc          = 8 // a line of arcs
	wkbJoined       = 9 // lines and arcs, each from the end of the one before
	wkbCurvePolygon = 10
	wkbCurveLines   = 11
	wkbCurves       = 12 // polygons
)

// straightSides gives well-known binary without kinds that may be curved: programs write
// those for whole layers of which no side, or one, is. A side that is curved is errCurved.
func straightSides(body []byte) ([]byte, error) {
	if !mayBeCurved(body) {
		return body, nil
	}
	var out bytes.Buffer
	_, err := copyStraight(&out, body, 0)
	return out.Bytes(), err
}

// mayBeCurved tells shapes and collections that need another look.
func mayBeCurved(body []byte) bool {
	_, code, err := wkbHead(body)
	kind := code % 1000
	return err == nil && kind >= wkbCollection && kind <= wkbCurves
}

// byteOrder reads and writes numbers.
type byteOrder interface {
	binary.ByteOrder
	binary.AppendByteOrder
}

func orderOf(body []byte) byteOrder {
	if body[0] == 1 {
		return binary.LittleEndian
	}
	return binary.BigEndian
}

// copyStraight writes a shape with straight sides and gives what comes after it.
func copyStraight(out *bytes.Buffer, body []byte, depth int) (after []byte, err error) {
	order, code, err := wkbHead(body)
	if err != nil {
		return nil, err
	}
	kind := code % 1000
	straight := map[uint32]uint32{wkbJoined: wkbLine, wkbCurvePolygon: wkbPolygon, wkbCurveLines: wkbLines, wkbCurves: wkbPolygons, wkbCollection: wkbCollection}[kind]
	switch {
	case kind == wkbArc:
		return nil, errCurved
	case straight == 0: // of a kind that is straight
		after, err := checkWKB(body, depth)
		if err != nil {
			return nil, err
		}
		out.Write(body[:len(body)-len(after)])
		return after, nil
	case depth > deepestWKT:
		return nil, tooDeep()
	}
	many, after, err := wkbCount(body[wkbHeadBytes:], order)
	if err != nil {
		return nil, err
	}
	out.WriteByte(body[0])
	out.Write(order.AppendUint32(nil, code-kind+straight))
	if kind == wkbJoined {
		points, count, rest, err := joinedPoints(after, many, order, code-kind+wkbLine)
		if err != nil {
			return nil, err
		}
		out.Write(order.AppendUint32(nil, count))
		out.Write(points)
		return rest, nil
	}
	out.Write(order.AppendUint32(nil, many))
	for range many {
		if kind != wkbCurvePolygon {
			after, err = copyStraight(out, after, depth+1)
		} else {
			after, err = copyRing(out, after, order, code-kind+wkbLine, depth+1)
		}
		if err != nil {
			return nil, err
		}
	}
	return after, nil
}

// copyRing writes a line as the ring of a polygon, which has no head of its own.
func copyRing(out *bytes.Buffer, body []byte, order byteOrder, line uint32, depth int) (after []byte, err error) {
	var ring bytes.Buffer
	after, err = copyStraight(&ring, body, depth)
	if err != nil {
		return nil, err
	}
	if own, code, err := wkbHead(ring.Bytes()); err != nil || own != order || code != line {
		return nil, errMixed
	}
	out.Write(ring.Bytes()[wkbHeadBytes:])
	return after, nil
}

// joinedPoints gives the points of lines that begin where the one before ends.
func joinedPoints(body []byte, many uint32, order byteOrder, line uint32) (points []byte, count uint32, after []byte, err error) {
	size := 8 * wkbCoordinates[line/1000]
	for range many {
		if len(body) < wkbHeadBytes {
			return nil, 0, nil, errCutOff
		}
		if orderOf(body).Uint32(body[1:])%1000 == wkbArc {
			return nil, 0, nil, errCurved
		}
		if orderOf(body) != order || order.Uint32(body[1:]) != line {
			return nil, 0, nil, errMixed
		}
		after, err := checkWKB(body, 0)
		if err != nil {
			return nil, 0, nil, err
		}
		next := body[wkbHeadBytes+4 : len(body)-len(after)]
		if n := uint64(len(points)); n > 0 && uint64(len(next)) >= size && bytes.Equal(points[n-size:], next[:size]) {
			next = next[size:]
		}
		points, body = append(points, next...), after
	}
	return points, uint32(uint64(len(points)) / size), body, nil
}
