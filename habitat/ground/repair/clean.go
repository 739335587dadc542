package repair

import (
	"fmt"
	"math"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/flat"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// How much a repair may move and still count as safe: it must be below both.
const (
	safeAcres = 0.25
	safeShare = 0.001
)

// SliverAcres is the area below which a shape is called a sliver: 436 sq ft,
// less than a kitchen and far below any burn unit.
const SliverAcres = 0.01

// Limits that keep a file made to do harm from taking more than some seconds.
const (
	// maxRingPoints is how many points a ring may hold.
	maxRingPoints = 1_050_000
	// maxEdgeTests ends the search for crossings in a boundary whose edges all
	// lie beside each other.
	maxEdgeTests = 60_000_000
)

// LargestGap is the part of a ring's length that a missing closing edge may
// have.
const LargestGap = 0.10

// Cleaner makes shapes from the rings of one feature and gathers what it has to
// say about them.
type Cleaner struct {
	// At is where the feature stands, for notes and errors.
	At source.Position
	// Notes say what was repaired, and by how much.
	Notes []ground.Note
	// Turned counts rings that wound the wrong way, Repeated the points that
	// stood twice in a row.
	Turned, Repeated int
	// AnyWinding is set for formats that have the other winding, or none.
	AnyWinding bool
	// Closing is set for tracks, which are not rings yet and are closed over
	// any gap.
	Closing bool
}

// Note adds a note about the feature.
func (c *Cleaner) Note(kind ground.Kind, moved quantity.Acres, format string, args ...any) {
	c.Notes = append(c.Notes, ground.Note{Position: c.At, Kind: kind, Text: fmt.Sprintf(format, args...), Moved: moved})
}

// Refuse gives an error about the feature.
func (c *Cleaner) Refuse(accepts, format string, args ...any) *source.Error {
	return &source.Error{Position: c.At, Found: fmt.Sprintf(format, args...), Accepts: accepts}
}

// place prints a point for a message, with its hemisphere said by the sign.
func place(p ground.Point) string { return fmt.Sprintf("longitude %.6f, latitude %.6f", p.Lon, p.Lat) }

// Polygons cleans polygons given as rings, the outer one first.
func (c *Cleaner) Polygons(raw [][][]ground.Point) (ground.Shape, *source.Error) {
	var s ground.Shape
	for _, rings := range raw {
		if len(rings) == 0 {
			continue
		}
		outers, err := c.ring(rings[0])
		if err != nil {
			return ground.Shape{}, err
		}
		if len(outers.pieces) == 0 {
			if len(rings) > 1 {
				c.Note(ground.Dropped, 0, "the holes of a part without area were left out")
			}
			continue
		}
		whole := make([]ground.Polygon, len(outers.pieces))
		for i, piece := range outers.pieces {
			whole[i].Outer = piece
		}
		holes := outers.holes
		for _, r := range rings[1:] {
			inner, err := c.ring(r)
			if err != nil {
				return ground.Shape{}, err
			}
			holes = append(holes, inner.pieces...)
			if len(inner.holes) > 0 {
				return ground.Shape{}, c.Refuse("holes that do not touch themselves from inside",
					"a hole's boundary touches itself at %s", place(inner.holes[0][0]))
			}
		}
		if err := c.giveHoles(whole, holes); err != nil {
			return ground.Shape{}, err
		}
		s.Polygons = append(s.Polygons, whole...)
	}
	if s.IsEmpty() {
		return ground.Shape{}, c.Refuse("three or more different points that enclose ground", "the boundary encloses no ground")
	}
	if err := c.checkParts(&s); err != nil {
		return ground.Shape{}, err
	}
	c.turnRings(s, raw)
	if acres := s.Acres(); acres < SliverAcres {
		c.Note(ground.Sliver, 0, "covers %s: a sliver left over from drawing or cutting, hardly a unit", AreaText(acres))
	}
	return s, nil
}

// AreaText prints an area as people say it: square feet where it is tiny.
func AreaText(a quantity.Acres) string {
	feet := float64(a) * quantity.SquareFeetPerAcre
	switch {
	case a >= 1:
		return quantity.Group(float64(a), 2) + " acres"
	case a >= SliverAcres:
		return fmt.Sprintf("%.2f acre", float64(a))
	case feet >= 1:
		return fmt.Sprintf("%.0f sq ft", feet)
	}
	return "less than 1 sq ft"
}

// turnRings brings the rings of s to the winding of RFC 7946, in place, and
// counts those of raw that had another.
func (c *Cleaner) turnRings(s ground.Shape, raw [][][]ground.Point) {
	for _, p := range s.Polygons {
		turnRing(p.Outer, 1)
		for _, h := range p.Holes {
			turnRing(h, -1)
		}
	}
	if c.AnyWinding {
		return
	}
	for _, rings := range raw {
		for k, r := range rings {
			if area := signedDegrees(r); (area < 0) == (k == 0) && area != 0 {
				c.Turned++
			}
		}
	}
}

func turnRing(r ground.Ring, sign float64) {
	if signedDegrees(r)*sign < 0 {
		for i, j := 1, len(r)-1; i < j; i, j = i+1, j-1 {
			r[i], r[j] = r[j], r[i]
		}
	}
}

// signedDegrees gives the area of a ring on the plane of longitude and latitude:
// good for its sign. Rings may repeat the first point or not.
func signedDegrees(r []ground.Point) float64 {
	if len(r) == 0 {
		return 0
	}
	var twice, x float64
	o := r[0]
	for i := range r {
		p, q := r[i], r[(i+1)%len(r)]
		next := x + ground.WrapDegrees(q.Lon-p.Lon)
		twice += x*(q.Lat-o.Lat) - next*(p.Lat-o.Lat)
		x = next
	}
	return twice / 2
}

// unwrapped gives the ring on the plane of longitude and latitude with
// longitudes that run on across the date line, starting from the first point's.
func unwrapped(r ground.Ring) []flat.XY {
	on := make([]flat.XY, len(r))
	lon := 0.0
	for i, p := range r {
		if i == 0 {
			lon = p.Lon
		} else if d := p.Lon - r[i-1].Lon; d > 180 {
			lon += d - 360
		} else if d < -180 {
			lon += d + 360
		} else if lon == r[i-1].Lon {
			lon = p.Lon // exact: no rounding where no date line is near
		} else {
			lon += d
		}
		on[i] = flat.XY{X: lon, Y: p.Lat}
	}
	return on
}

// wrapped undoes unwrapped.
func wrapped(p flat.XY) ground.Point { return ground.Point{Lon: ground.WrapDegrees(p.X), Lat: p.Y} }

// giveHoles puts each hole into the piece that holds it.
func (c *Cleaner) giveHoles(whole []ground.Polygon, holes []ground.Ring) *source.Error {
	if len(holes) == 0 {
		return nil
	}
	if len(whole) == 1 {
		whole[0].Holes = holes
		return nil
	}
	trees := make([]*flat.Tree, len(whole))
	for i, p := range whole {
		trees[i] = flat.NewTree(unwrapped(p.Outer))
	}
	for _, h := range holes {
		home := -1
		for i, t := range trees {
			if ringIn(unwrapped(h), t) == flat.Inside {
				home = i
				break
			}
		}
		if home < 0 {
			return c.Refuse("holes inside the outer ring", "a hole at %s lies outside", place(h[0]))
		}
		whole[home].Holes = append(whole[home].Holes, h)
	}
	return nil
}

// ringIn tells where a ring that crosses no edge of the tree lies. A ring whose
// every point is on the tree's edges is told by the middles of its edges.
func ringIn(r []flat.XY, t *flat.Tree) flat.Side {
	for _, p := range r {
		if s := t.SideOf(p); s != flat.OnEdge {
			return s
		}
	}
	for i, p := range r {
		q := r[(i+1)%len(r)]
		if s := t.SideOf(flat.XY{X: (p.X + q.X) / 2, Y: (p.Y + q.Y) / 2}); s != flat.OnEdge {
			return s
		}
	}
	return flat.OnEdge
}

// ProjectedHint is the hint about numbers that are not degrees.
const ProjectedHint = "these look like meters or feet of a map projection; state the coordinate system, or export the file in WGS 84 degrees"

// CheckRange says what is wrong with a point that cannot be degrees on earth.
func (c *Cleaner) CheckRange(p ground.Point) *source.Error {
	bad := func(hint, format string, args ...any) *source.Error {
		e := c.Refuse("degrees, longitude −180 to 180 first, then latitude −90 to 90", format, args...)
		e.Hint = hint
		return e
	}
	lon, lat := p.Lon, p.Lat
	switch {
	case math.IsNaN(lon) || math.IsInf(lon, 0) || math.IsNaN(lat) || math.IsInf(lat, 0):
		return bad("", "a coordinate is not a finite number")
	case math.Abs(lon) <= 180 && math.Abs(lat) <= 90:
		if lat < -60 {
			return bad("the coordinates may be in the order latitude, longitude",
				"longitude %.6f, latitude %.6f lies in Antarctica", lon, lat)
		}
		return nil
	case math.Abs(lon) <= 90 && math.Abs(lat) <= 180:
		return bad("the coordinates may be in the order latitude, longitude",
			"longitude %.6f, latitude %.6f is not on earth", lon, lat)
	case lon > 180 && lon <= 360 && math.Abs(lat) <= 90:
		return bad("longitudes west of Greenwich are negative: subtract 360", "longitude %.6f is above 180", lon)
	}
	return bad(ProjectedHint,
		"coordinates %.2f, %.2f are not degrees", lon, lat)
}
