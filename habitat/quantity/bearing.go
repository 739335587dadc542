package quantity

import (
	"math"
	"strings"
)

// Bearing is a direction in degrees clockwise from true north, in [0, 360).
// The name of a field or parameter says whether it is from or toward.
type Bearing float64

// NewBearing brings any finite number of degrees into [0, 360).
func NewBearing(degrees float64) Bearing {
	d := math.Mod(degrees, 360)
	if d < 0 {
		d += 360
	}
	if d >= 360 { // −1e-17 + 360 rounds up
		d = 0
	}
	return Bearing(d)
}

// Opposite gives the direction that faces the other way.
func (b Bearing) Opposite() Bearing { return NewBearing(float64(b) + 180) }

// Radians gives the bearing in radians, still clockwise from north.
func (b Bearing) Radians() float64 { return float64(b) * math.Pi / 180 }

var compassPoints = [16]string{"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
	"S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"}

// Compass gives the nearest of the sixteen compass points.
func (b Bearing) Compass() string {
	return compassPoints[int(math.Floor(float64(b)/22.5+0.5))%16]
}

// ParseCompass gives the bearing of one of the sixteen compass points, in any
// case. ok is false for other text.
func ParseCompass(text string) (b Bearing, ok bool) {
	for i, name := range compassPoints {
		if strings.EqualFold(name, text) {
			return Bearing(float64(i) * 22.5), true
		}
	}
	return 0, false
}

// ParseDirection gives the bearing of a compass point, or of degrees from 0 to 360. ok
// is false for other text.
func ParseDirection(text string) (b Bearing, ok bool) {
	text = strings.TrimSpace(text)
	if b, ok := ParseCompass(text); ok {
		return b, true
	}
	degrees, err := Parse(text)
	if err != nil || !(degrees >= 0 && degrees <= 360) {
		return 0, false
	}
	return NewBearing(degrees), true
}
