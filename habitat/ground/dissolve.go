package ground

import (
	"math"

	"github.com/peterstace/simplefeatures/geom"
)

// sameGround is by what share the acres of joined shapes may differ from their sum for
// the joined outline to be believed.
const sameGround = 1e-3

// Dissolve joins shapes into one without the boundaries that they share. Where the
// joined outline does not hold the ground of the shapes, because they overlap or are too
// wild, they stand beside each other as they are.
func Dissolve(shapes ...Shape) Shape {
	var all Shape
	var parts []geom.Geometry
	for _, s := range shapes {
		all.Polygons = append(all.Polygons, s.Polygons...)
		for i := range s.Polygons {
			parts = append(parts, asGeometry(&s.Polygons[i]))
		}
	}
	if len(all.Polygons) < 2 {
		return all
	}
	joined, err := geom.UnionMany(parts)
	if err != nil {
		return all
	}
	var one Shape
	for _, g := range joined.Dump() {
		p, ok := g.AsPolygon()
		if !ok {
			return all
		}
		one.Polygons = append(one.Polygons, fromGeometry(p.ForceCCW()))
	}
	was, is := float64(all.Acres()), float64(one.Acres())
	if one.IsEmpty() || math.Abs(was-is) > sameGround*was {
		return all
	}
	return one
}

func asGeometry(p *Polygon) geom.Geometry {
	ring := func(r Ring) geom.LineString {
		flat := make([]float64, 0, 2*len(r)+2)
		for i := range len(r) + 1 {
			flat = append(flat, r[i%len(r)].Lon, r[i%len(r)].Lat)
		}
		return geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
	}
	rings := []geom.LineString{ring(p.Outer)}
	for _, hole := range p.Holes {
		rings = append(rings, ring(hole))
	}
	return geom.NewPolygon(rings).AsGeometry()
}

func fromGeometry(p geom.Polygon) Polygon {
	ring := func(l geom.LineString) Ring {
		s := l.Coordinates()
		r := make(Ring, 0, s.Length()-1)
		for i := range s.Length() - 1 { // the last repeats the first
			at := s.GetXY(i)
			r = append(r, Point{Lon: at.X, Lat: at.Y})
		}
		return r
	}
	one := Polygon{Outer: ring(p.ExteriorRing())}
	for i := range p.NumInteriorRings() {
		one.Holes = append(one.Holes, ring(p.InteriorRingN(i)))
	}
	return one
}
