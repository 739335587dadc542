package quantity

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Exact ratios between the units of the trade.
const (
	FeetPerChain      = 66.0
	FeetPerMile       = 5280.0
	SquareFeetPerAcre = 43560.0
	// MetersPerFoot is the international foot, in force since 1959.
	MetersPerFoot = 0.3048
	// SquareMetersPerAcre follows from the international foot: 43,560 × 0.3048².
	SquareMetersPerAcre = SquareFeetPerAcre * MetersPerFoot * MetersPerFoot
	// MetersPerMile follows from the international foot: 5,280 × 0.3048.
	MetersPerMile = FeetPerMile * MetersPerFoot
)

type (
	// Acres is an area of ground.
	Acres float64
	// Hectares is an area of ground in metric files.
	Hectares float64
	// Feet is a length on the ground: a depth, a break, a distance.
	Feet float64
	// Chains is a length in surveyor's chains of 66 feet.
	Chains float64
	// ChainsPerHour is a rate of spread.
	ChainsPerHour float64
	// MilesPerHour is a wind speed.
	MilesPerHour float64
	// MetersPerSecond is a wind speed in metric files.
	MetersPerSecond float64
	// Fahrenheit is an air temperature.
	Fahrenheit float64
	// Celsius is an air temperature in metric files.
	Celsius float64
	// Percent is a share of a hundred: humidity, moisture.
	Percent float64
	// Inches is a depth of rain.
	Inches float64
	// Millimeters is a depth of rain in metric files.
	Millimeters float64
	// Hours is a length of time.
	Hours float64
	// AcreYears is what a plan costs: acres times program years.
	AcreYears float64
	// Share is a part of one: 0.6 is three fifths.
	Share float64
	// Cents is an amount of money in whole cents.
	Cents int64
)

// Feet gives the chains as feet.
func (c Chains) Feet() Feet { return Feet(float64(c) * FeetPerChain) }

// Chains gives the feet as chains.
func (f Feet) Chains() Chains { return Chains(float64(f) / FeetPerChain) }

// Meters gives the feet as meters.
func (f Feet) Meters() float64 { return float64(f) * MetersPerFoot }

// FeetFromMeters gives a length in meters as feet.
func FeetFromMeters(meters float64) Feet { return Feet(meters / MetersPerFoot) }

// AcresFromSquareMeters gives an area in square meters as acres.
func AcresFromSquareMeters(squareMeters float64) Acres {
	return Acres(squareMeters / SquareMetersPerAcre)
}

// SquareMeters gives the acres as square meters.
func (a Acres) SquareMeters() float64 { return float64(a) * SquareMetersPerAcre }

// Acres gives the hectares as acres.
func (h Hectares) Acres() Acres { return AcresFromSquareMeters(float64(h) * 10000) }

// MilesPerHour gives the wind speed in miles per hour.
func (v MetersPerSecond) MilesPerHour() MilesPerHour {
	return MilesPerHour(float64(v) * 3600 / MetersPerMile)
}

// MilesPerHourFromKilometersPerHour gives a wind speed in km/h as miles per hour.
func MilesPerHourFromKilometersPerHour(v float64) MilesPerHour {
	return MilesPerHour(v * 1000 / MetersPerMile)
}

// Fahrenheit gives the temperature in degrees Fahrenheit.
func (t Celsius) Fahrenheit() Fahrenheit { return Fahrenheit(float64(t)*9/5 + 32) }

// Celsius gives the temperature in degrees Celsius.
func (t Fahrenheit) Celsius() Celsius { return Celsius((float64(t) - 32) * 5 / 9) }

// Inches gives the depth in inches of exactly 25.4 mm.
func (d Millimeters) Inches() Inches { return Inches(float64(d) / 25.4) }

// BreakAcres gives the ground that a break of a length and a width takes.
func BreakAcres(length, width Feet) Acres {
	return Acres(float64(length) * float64(width) / SquareFeetPerAcre)
}

// SpreadHours gives the time that fire needs to cross a depth at a rate. A rate
// that is not above zero gives +Inf: the fire never gets there.
func SpreadHours(depth Feet, rate ChainsPerHour) Hours {
	if !(rate > 0) {
		return Hours(math.Inf(1))
	}
	return Hours(float64(depth.Chains()) / float64(rate))
}

// Of gives the share of an area.
func (s Share) Of(a Acres) Acres { return Acres(float64(s) * float64(a)) }

// String prints acres with one decimal, as papers do: "1,150.0".
func (a Acres) String() string { return Group(float64(a), 1) }

// String prints whole feet: "1,320".
func (f Feet) String() string { return Group(float64(f), 0) }

// String prints dollars and cents: "$1,150.00".
func (c Cents) String() string {
	sign := ""
	if c < 0 {
		sign, c = "-", -c
	}
	return sign + "$" + Group(float64(c/100), 0) + fmt.Sprintf(".%02d", c%100)
}

// Group prints a number with a number of decimals and commas between thousands. It
// rounds as Round does, halves away from zero.
func Group(v float64, decimals int) string {
	text := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	if decimals >= 0 && !math.IsNaN(v) && !math.IsInf(v, 0) {
		text = fixed(math.Abs(v), decimals)
	}
	whole, fraction, hasFraction := strings.Cut(text, ".")
	var b strings.Builder
	if v < 0 && strings.Trim(text, "0.") != "" {
		b.WriteByte('-')
	}
	for i, digit := range whole {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteByte(',')
		}
		b.WriteRune(digit)
	}
	if hasFraction {
		b.WriteByte('.')
		b.WriteString(fraction)
	}
	return b.String()
}

// ErrNotNumber is what Parse returns for text that is not a finite plain number.
var ErrNotNumber = errors.New("is not a number")

// Parse reads a finite decimal number such as 38.5. It takes no thousands
// separators, no hexadecimal, no "inf" and no "nan", and nothing that overflows
// a float64. The error is ErrNotNumber.
func Parse(text string) (float64, error) {
	text = strings.TrimSpace(text)
	if text == "" || strings.ContainsAny(text, "xXpPiInN_") {
		return 0, ErrNotNumber
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, ErrNotNumber
	}
	return v, nil
}
