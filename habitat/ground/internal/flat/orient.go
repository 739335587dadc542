package flat

import (
	"math"
	"math/big"
)

// Turn gives the sign of the area of the triangle a, b, c: +1 when it turns
// left, −1 when it turns right, 0 when the three lie exactly on a line.
//
// Source: the bound is ccwerrboundA of J. R. Shewchuk, Adaptive precision
// floating-point arithmetic and fast robust geometric predicates (1997); what
// it leaves open is settled with exact rational numbers.
func Turn(a, b, c XY) int {
	left := (a.X - c.X) * (b.Y - c.Y)
	right := (a.Y - c.Y) * (b.X - c.X)
	det := left - right
	const bound = (3 + 16*epsilon) * epsilon
	if limit := bound * (math.Abs(left) + math.Abs(right)); det > limit {
		return 1
	} else if det < -limit {
		return -1
	}
	if left == 0 && right == 0 && (a.X == c.X || b.Y == c.Y) && (a.Y == c.Y || b.X == c.X) {
		return 0
	}
	return turnExactly(a, b, c)
}

// epsilon is half the distance from 1 to the next float64.
const epsilon = 1.0 / (1 << 53)

func turnExactly(a, b, c XY) int {
	minus := func(p, q float64) *big.Rat {
		r, s := new(big.Rat), new(big.Rat)
		r.SetFloat64(p)
		s.SetFloat64(q)
		return r.Sub(r, s)
	}
	left := minus(a.X, c.X)
	left.Mul(left, minus(b.Y, c.Y))
	right := minus(a.Y, c.Y)
	right.Mul(right, minus(b.X, c.X))
	return left.Cmp(right)
}

// Segment is a straight piece from a to b.
type Segment struct{ A, B XY }

// Box gives the box around the segment.
func (s Segment) Box() Box {
	return Box{min(s.A.X, s.B.X), min(s.A.Y, s.B.Y), max(s.A.X, s.B.X), max(s.A.Y, s.B.Y)}
}

// Holds reports whether p, which is known to lie on the segment's line, lies
// between its ends or on one.
func (s Segment) Holds(p XY) bool {
	return p.X >= min(s.A.X, s.B.X) && p.X <= max(s.A.X, s.B.X) &&
		p.Y >= min(s.A.Y, s.B.Y) && p.Y <= max(s.A.Y, s.B.Y)
}

// Meet says how two segments meet.
type Meet int

// How segments meet.
const (
	// Apart means that they have no point in common.
	Apart Meet = iota
	// Touching means that an end of one lies on the other.
	Touching
	// Crossing means that each passes through the inside of the other.
	Crossing
)

// Meets tells how s and o meet. Where they cross, at is the place; where they
// touch, on holds the ends of o that lie on s, and back those of s on o.
func (s Segment) Meets(o Segment) (how Meet, at XY, on, back []XY) {
	if !s.Box().Meets(o.Box()) {
		return Apart, XY{}, nil, nil
	}
	oa, ob := Turn(s.A, s.B, o.A), Turn(s.A, s.B, o.B)
	if oa*ob > 0 {
		return Apart, XY{}, nil, nil
	}
	sa, sb := Turn(o.A, o.B, s.A), Turn(o.A, o.B, s.B)
	if sa*sb > 0 {
		return Apart, XY{}, nil, nil
	}
	if oa*ob < 0 && sa*sb < 0 {
		return Crossing, s.crossingWith(o), nil, nil
	}
	if oa == 0 && s.Holds(o.A) {
		on = append(on, o.A)
	}
	if ob == 0 && s.Holds(o.B) {
		on = append(on, o.B)
	}
	if sa == 0 && o.Holds(s.A) {
		back = append(back, s.A)
	}
	if sb == 0 && o.Holds(s.B) {
		back = append(back, s.B)
	}
	if len(on)+len(back) == 0 {
		return Apart, XY{}, nil, nil
	}
	return Touching, XY{}, on, back
}

// crossingWith gives the place where two segments that are known to cross do.
func (s Segment) crossingWith(o Segment) XY {
	dx, dy := s.B.X-s.A.X, s.B.Y-s.A.Y
	ex, ey := o.B.X-o.A.X, o.B.Y-o.A.Y
	t := ((o.A.X-s.A.X)*ey - (o.A.Y-s.A.Y)*ex) / (dx*ey - dy*ex)
	if !(t >= 0 && t <= 1) { // nearly parallel
		t = 0.5
	}
	return XY{s.A.X + t*dx, s.A.Y + t*dy}
}
