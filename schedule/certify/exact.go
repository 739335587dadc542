package certify

import (
	"math"
	"math/big"
)

// exact is an exact sum of float64. Its zero value is 0.
type exact struct{ x big.Float }

// exactBits holds any sum of acres, costs or days, from the smallest denormal
// to the largest that a problem may name, without rounding.
const exactBits = 1300

func (e *exact) add(y float64) {
	if e.x.Prec() == 0 {
		e.x.SetPrec(exactBits)
	}
	e.x.Add(&e.x, new(big.Float).SetFloat64(y))
}

// addProduct adds y·z.
func (e *exact) addProduct(y, z float64) {
	if e.x.Prec() == 0 {
		e.x.SetPrec(exactBits)
	}
	e.x.Add(&e.x, new(big.Float).SetPrec(exactBits).Mul(new(big.Float).SetFloat64(y), new(big.Float).SetFloat64(z)))
}

// above reports whether the sum is above a number.
func (e *exact) above(limit float64) bool { return e.x.Cmp(new(big.Float).SetFloat64(limit)) > 0 }

// float gives the nearest float64.
func (e *exact) float() float64 {
	y, _ := e.x.Float64()
	return y
}

// times gives the exact product as an unevaluated sum, within 2⁻¹⁰⁴ of it.
func (e *exact) times(y float64) sum {
	product := new(big.Float).SetPrec(exactBits).Mul(&e.x, new(big.Float).SetFloat64(y))
	hi, _ := product.Float64()
	lo, _ := product.Sub(product, new(big.Float).SetFloat64(hi)).Float64()
	s := of(hi)
	s.lo = lo
	return s
}

// exactOf gives a finite number, nil for an infinite one.
func exactOf(y float64) *exact {
	if math.IsInf(y, 0) {
		return nil
	}
	e := new(exact)
	e.add(y)
	return e
}

// scaled gives e·y.
func (e *exact) scaled(y float64) *exact {
	var product exact
	product.x.SetPrec(exactBits).Mul(&e.x, new(big.Float).SetFloat64(y))
	return &product
}

func (e *exact) addExact(d *exact) {
	if e.x.Prec() == 0 {
		e.x.SetPrec(exactBits)
	}
	e.x.Add(&e.x, &d.x)
}

// addPositive adds x − y where that is above 0.
func (e *exact) addPositive(x, y *exact) {
	if x.x.Cmp(&y.x) > 0 {
		var d exact
		d.x.SetPrec(exactBits).Sub(&x.x, &y.x)
		e.addExact(&d)
	}
}
