package certify

import (
	"math"
	"math/big"
	"math/bits"
)

// sum is a sum of products of float64: hi + lo, and the sum of the absolute
// values of all that was added. Each operation errs by less than abs·2⁻¹⁰³, so
// that after n of them the exact sum lies within n·abs·2⁻¹⁰³ of hi + lo,
// however much cancels.
type sum struct{ hi, lo, abs float64 }

func of(x float64) sum { return sum{x, 0, math.Abs(x)} }

// product is exact, but for underflow below 2⁻⁹⁶⁰, which no price or acre of
// sense comes near and which scale.floor's last grain covers.
func product(x, y float64) sum {
	hi := x * y
	return sum{hi, math.FMA(x, y, -hi), math.Abs(hi)}
}

// plus adds; its own error is below 2⁻¹⁰³ of |s| + |r|.
func (s sum) plus(r sum) sum {
	hi := s.hi + r.hi
	v := hi - s.hi
	lo := (s.hi - (hi - v)) + (r.hi - v) + (s.lo + r.lo)
	top := hi + lo
	return sum{top, lo - (top - hi), s.abs + r.abs}
}

// times multiplies by x; its own error is below 2⁻¹⁰³ of |s·x|.
func (s sum) times(x float64) sum {
	p := product(s.hi, x)
	lo := math.FMA(s.lo, x, p.lo)
	top := p.hi + lo
	return sum{top, lo - (top - p.hi), s.abs * math.Abs(x)}
}

// error bounds how far the exact sum is from hi: lo, and the rounding of up to a
// million operations.
func (s sum) error() float64 { return math.Abs(s.lo) + s.abs*0x1p-80 }

// scale is a power of two: a whole number n stands for n·2⁻ˢᶜᵃˡᵉ.
type scale int

// infinite stands for a cost that is not allowed. It is above every sum that a
// scale permits, and twice it does not overflow.
const infinite = int64(1) << 62

// scaleOf gives the finest scale in which sums of magnitude size stay below
// 2⁶⁰. It gives false where size is too large or no number.
func scaleOf(size float64) (scale, bool) {
	if math.IsNaN(size) || size > 0x1p900 {
		return 0, false
	}
	if size < 0x1p-200 {
		size = 0x1p-200
	}
	_, exponent := math.Frexp(size)
	return scale(60 - exponent), true
}

// floor gives a whole number of grains that is at most the exact sum, by fewer
// than three. abs must be within what the scale was made for.
func (f scale) floor(s sum) int64 {
	if s.abs == 0 {
		return 0
	}
	hi, lo := math.Ldexp(s.hi, int(f)), math.Ldexp(s.lo, int(f))
	whole := math.Floor(hi)
	// One grain covers the rounding of this sum and that of s itself: abs is
	// below 2⁶⁰ grains, so that even a million operations err by less than 2⁻²³.
	return int64(whole) + int64(math.Floor((hi-whole)+lo)) - 1
}

// coarser gives floor(n·share) in a scale that is not finer. share is at least 0.
func (f scale) coarser(n int64, share float64, to scale) int64 {
	if n == 0 || share == 0 {
		return 0
	}
	fraction, exponent := math.Frexp(share)
	mantissa := uint64(math.Ldexp(fraction, 53)) // share = mantissa·2^(exponent−53)
	down := 53 - exponent + int(f-to)            // ≥ 52, as share ≤ 1
	negative := n < 0
	size := uint64(n)
	if negative {
		size = -size
	}
	hi, lo := bits.Mul64(size, mantissa)
	var q uint64
	var rest bool
	switch {
	case down >= 128:
		rest = true
	case down >= 64:
		q = hi >> (down - 64)
		rest = lo != 0 || hi&(1<<(down-64)-1) != 0
	default:
		q = hi<<(64-down) | lo>>down
		rest = lo&(1<<down-1) != 0
	}
	if !negative {
		return int64(q)
	}
	if rest {
		q++
	}
	return -int64(q)
}

// total is an exact sum of grains of different scales.
type total struct{ grains big.Int }

// finest is the scale in which totals are kept; scaleOf gives none that is
// finer.
const finest scale = 260

func (t *total) add(n int64, f scale) {
	var x big.Int
	x.SetInt64(n)
	t.grains.Add(&t.grains, x.Lsh(&x, uint(finest-f)))
}

// float gives the largest float64 that is not above the total.
func (t *total) float() float64 {
	x := new(big.Float).SetMode(big.ToNegativeInf).SetPrec(53).SetInt(&t.grains)
	x.SetMantExp(x, -int(finest))
	y, accuracy := x.Float64()
	if accuracy == big.Above { // a denormal was rounded up
		y = math.Nextafter(y, math.Inf(-1))
	}
	return y
}
