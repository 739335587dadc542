package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Exact is an amount in whole millionths, so that sums and differences of
// decimals come out as on paper: 0.1 + 0.2 is 0.3. It holds amounts up to 9e12.
type Exact int64

// exactUnit is the number of millionths in one.
const exactUnit = 1_000_000

// Tolerance is the amount below which work counts as done: half of the tenth
// that papers print.
const Tolerance Exact = exactUnit / 20

// ExactOf gives the decimal that a number was written as, brought to millionths,
// halves away from zero. What is no finite number gives 0.
func ExactOf[N ~float64](v N) Exact {
	if math.IsNaN(float64(v)) || math.Abs(float64(v)) > 9e12 {
		return 0
	}
	n, err := strconv.ParseInt(strings.Replace(fixed(math.Abs(float64(v)), 6), ".", "", 1), 10, 64)
	if err != nil {
		panic("quantity: " + err.Error())
	}
	if v < 0 {
		n = -n
	}
	return Exact(n)
}

// Float gives the number nearest to the decimal, which prints as the decimal.
func (e Exact) Float() float64 { return float64(e) / exactUnit }

// String writes all of the decimal, without zeros at its end.
func (e Exact) String() string { return strconv.FormatFloat(e.Float(), 'f', -1, 64) }

// Tenths rounds to tenths, halves away from zero.
func (e Exact) Tenths() Exact { return ExactOf(Round(e.Float(), 1)) }

// Round brings a number to so many decimals, halves away from zero, by the
// decimals that it was written with: 1.005 to two decimals is 1.01, although the
// number that stands for it lies below 1.005.
func Round(v float64, decimals int) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) || decimals < 0 {
		return v
	}
	r, err := strconv.ParseFloat(fixed(math.Abs(v), decimals), 64)
	if err != nil {
		panic("quantity: " + err.Error())
	}
	return math.Copysign(r, v)
}

// fixed prints a number that is not negative with so many decimals, halves up,
// by the shortest decimal that stands for it.
func fixed(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', -1, 64)
	whole, fraction, _ := strings.Cut(text, ".")
	if len(fraction) <= decimals {
		return joined(whole, fraction+strings.Repeat("0", decimals-len(fraction)))
	}
	digits := []byte(whole + fraction[:decimals])
	if fraction[decimals] >= '5' {
		i := len(digits) - 1
		for ; i >= 0 && digits[i] == '9'; i-- {
			digits[i] = '0'
		}
		if i >= 0 {
			digits[i]++
		} else {
			digits = append([]byte{'1'}, digits...)
		}
	}
	at := len(digits) - decimals
	return joined(string(digits[:at]), string(digits[at:]))
}

func joined(whole, fraction string) string {
	if fraction == "" {
		return whole
	}
	return whole + "." + fraction
}

// Kept brings a computed area to a ten-thousandth of an acre, four square
// feet; the boundary is not known better.
func (a Acres) Kept() Acres {
	if a < 0.01 {
		return a
	}
	return Acres(math.Round(float64(a)*1e4) / 1e4)
}
