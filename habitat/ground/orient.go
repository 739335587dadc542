package ground

import (
	"math"
	"math/big"
)

// turn gives the sign of the area of the triangle a, b, c: +1 when it turns
// left, −1 when it turns right, 0 when the three lie exactly on a line.
//
// Source: the bound is ccwerrboundA of J. R. Shewchuk, Adaptive precision
// floating-point arithmetic and fast robust geometric predicates (1997); what
// it leaves open is settled with exact rational numbers.
func turn(a, b, c xy) int {
	left := (a.x - c.x) * (b.y - c.y)
	right := (a.y - c.y) * (b.x - c.x)
	det := left - right
	const bound = (3 + 16*epsilon) * epsilon
	if limit := bound * (math.Abs(left) + math.Abs(right)); det > limit {
		return 1
	} else if det < -limit {
		return -1
	}
	if left == 0 && right == 0 && (a.x == c.x || b.y == c.y) && (a.y == c.y || b.x == c.x) {
		return 0
	}
	return turnExactly(a, b, c)
}

// epsilon is half the distance from 1 to the next float64.
const epsilon = 1.0 / (1 << 53)

func turnExactly(a, b, c xy) int {
	minus := func(p, q float64) *big.Rat {
		r, s := new(big.Rat), new(big.Rat)
		r.SetFloat64(p)
		s.SetFloat64(q)
		return r.Sub(r, s)
	}
	left := minus(a.x, c.x)
	left.Mul(left, minus(b.y, c.y))
	right := minus(a.y, c.y)
	right.Mul(right, minus(b.x, c.x))
	return left.Cmp(right)
}

// segment is a straight piece from a to b.
type segment struct{ a, b xy }

func (s segment) box() box {
	return box{min(s.a.x, s.b.x), min(s.a.y, s.b.y), max(s.a.x, s.b.x), max(s.a.y, s.b.y)}
}

// holds reports whether p, which is known to lie on the segment's line, lies
// between its ends or on one.
func (s segment) holds(p xy) bool {
	return p.x >= min(s.a.x, s.b.x) && p.x <= max(s.a.x, s.b.x) &&
		p.y >= min(s.a.y, s.b.y) && p.y <= max(s.a.y, s.b.y)
}

// meet says how two segments meet.
type meet int

const (
	apart    meet = iota
	touching      // an end of one lies on the other
	crossing      // each passes through the inside of the other
)

// meets tells how s and o meet. Where they cross, at is the place; where they
// touch, on holds the ends of o that lie on s, and back those of s on o.
func (s segment) meets(o segment) (how meet, at xy, on, back []xy) {
	if !s.box().meets(o.box()) {
		return apart, xy{}, nil, nil
	}
	oa, ob := turn(s.a, s.b, o.a), turn(s.a, s.b, o.b)
	if oa*ob > 0 {
		return apart, xy{}, nil, nil
	}
	sa, sb := turn(o.a, o.b, s.a), turn(o.a, o.b, s.b)
	if sa*sb > 0 {
		return apart, xy{}, nil, nil
	}
	if oa*ob < 0 && sa*sb < 0 {
		return crossing, s.crossingWith(o), nil, nil
	}
	if oa == 0 && s.holds(o.a) {
		on = append(on, o.a)
	}
	if ob == 0 && s.holds(o.b) {
		on = append(on, o.b)
	}
	if sa == 0 && o.holds(s.a) {
		back = append(back, s.a)
	}
	if sb == 0 && o.holds(s.b) {
		back = append(back, s.b)
	}
	if len(on)+len(back) == 0 {
		return apart, xy{}, nil, nil
	}
	return touching, xy{}, on, back
}

// crossingWith gives the place where two segments that are known to cross do.
func (s segment) crossingWith(o segment) xy {
	dx, dy := s.b.x-s.a.x, s.b.y-s.a.y
	ex, ey := o.b.x-o.a.x, o.b.y-o.a.y
	t := ((o.a.x-s.a.x)*ey - (o.a.y-s.a.y)*ex) / (dx*ey - dy*ex)
	if !(t >= 0 && t <= 1) { // nearly parallel
		t = 0.5
	}
	return xy{s.a.x + t*dx, s.a.y + t*dy}
}
