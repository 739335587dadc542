package prescription

import (
	"fmt"
	"math"
	"strconv"

	"emberquilt/habitat/quantity"
)

// Format is the name of the file format.
const Format = "prescription/1"

// Prescription is a set of limits. It has passed Read or Validate.
type Prescription struct {
	Name        string
	Temperature Range[quantity.Fahrenheit]
	Humidity    Range[quantity.Percent]
	// Wind is at WindHeight, which is set wherever Wind has a limit.
	Wind       Range[quantity.MilesPerHour]
	WindHeight Height
	// Gust limits the gusts, at WindHeight too, which is set wherever Gust has a limit.
	Gust Range[quantity.MilesPerHour]
	// MixingHeight, TransportWind and TransportFrom limit how smoke is carried off. Few
	// records hold them; forecasts do. TransportFrom lists the sectors that the transport
	// wind may come from; none means any.
	MixingHeight  Range[quantity.Feet]
	TransportWind Range[quantity.MilesPerHour]
	TransportFrom []Sector
	// WindAdjustment is eye-level wind over 20-foot wind; 0 means not stated.
	WindAdjustment quantity.Share
	// WindFrom lists the sectors that the wind may come from; none means any.
	WindFrom []Sector
	// FuelMoisture limits the moisture of fine dead fuel, FuelCorrection being
	// added to what temperature and humidity give.
	FuelMoisture   Range[quantity.Percent]
	FuelCorrection quantity.Percent
	// SinceRain is nil where the days since rain do not matter.
	SinceRain *SinceRain
	// DryHour wants no rain in the hour, not even a trace.
	DryHour bool
	// BurnHours are the hours in which it may burn, across midnight too, HoursAre
	// whether they are standard or clock time.
	BurnHours Clock
	HoursAre  HoursAre
	// DaylightOnly wants the hour to lie between sunrise and sunset too.
	DaylightOnly bool
	// MinHours is how many counting hours in a row make a candidate day.
	MinHours int
	Note     string
	// Sources says for a key of the file where its limit is from.
	Sources map[string]string
	// Assumed are the keys that were absent and what was taken for them.
	Assumed []Assumption
}

// What is taken for absent keys.
const (
	DefaultMinHours = 1
)

// DefaultBurnHours runs from 09:00 to 18:00: the hours labeled 10 to 18.
var DefaultBurnHours = Clock{9 * 60, 18 * 60}

// HoursAre says on which clock the burn hours stand.
type HoursAre string

// The clocks of the format; the zero value is standard time.
const (
	// StandardTime is local standard time all year.
	StandardTime HoursAre = "standard"
	// ClockTime is what a clock on the wall shows, daylight saving included.
	ClockTime HoursAre = "clock"
)

// HoursWords says the burn hours with their clock, such as "09:00 to 18:00,
// clock time".
func (p *Prescription) HoursWords() string {
	if p.HoursAre == ClockTime {
		return p.BurnHours.String() + ", clock time"
	}
	return p.BurnHours.String() + ", standard time"
}

// Height is where above the ground a wind speed is stated.
type Height string

// The heights of the format.
const (
	At10Meters Height = "10-m"
	At20Feet   Height = "20-ft"
	AtEyeLevel Height = "eye-level"
)

// Range is a lower and an upper limit, both inclusive and both optional. The
// zero Range limits nothing.
type Range[Q ~float64 | ~int] struct {
	Min, Max       Q
	HasMin, HasMax bool
}

// IsSet reports whether the range limits anything.
func (r Range[Q]) IsSet() bool { return r.HasMin || r.HasMax }

// slack keeps limits inclusive for decimals that floats cannot hold: 16.0 °C is
// 60.8 °F, and the float of one may lie a bit beside the float of the other. No
// reading is anywhere near as fine, so nothing is rounded by it.
const slack = 1e-9

// Holds reports whether the limits hold for v.
func (r Range[Q]) Holds(v Q) bool {
	return (!r.HasMin || float64(v) >= float64(r.Min)-slack) && (!r.HasMax || float64(v) <= float64(r.Max)+slack)
}

// Beyond gives by how much v lies below the lower limit, as a negative number,
// or above the upper one; 0 where the limits hold.
func (r Range[Q]) Beyond(v Q) Q {
	switch {
	case r.Holds(v):
		return 0
	case r.HasMin && v < r.Min:
		return v - r.Min
	}
	return v - r.Max
}

// String gives "35 to 85", "35 or more", "up to 85" or "any".
func (r Range[Q]) String() string { return r.In("") }

// In gives the range with a unit behind its numbers: "35 to 85%", "35% or more".
func (r Range[Q]) In(unit string) string {
	text := func(v Q) string { return strconv.FormatFloat(float64(v), 'f', -1, 64) }
	switch {
	case r.HasMin && r.HasMax:
		return text(r.Min) + " to " + text(r.Max) + unit
	case r.HasMin:
		return text(r.Min) + unit + " or more"
	case r.HasMax:
		return "up to " + text(r.Max) + unit
	}
	return "any"
}

// Sector is a run of directions, clockwise, both ends included. It may cross
// north. From equal to To is that one direction; 0 to 360 is all of them.
type Sector struct{ From, To float64 }

// Has reports whether a direction lies in the sector.
func (s Sector) Has(b quantity.Bearing) bool {
	width, into := s.To-s.From, float64(b)-s.From
	if width >= 360 {
		return true
	}
	if width < 0 {
		width += 360
	}
	if into < 0 {
		into += 360
	}
	return into <= width+slack || into >= 360-slack
}

// String gives "225 to 45°".
func (s Sector) String() string { return fmt.Sprintf("%g to %g°", s.From, s.To) }

// SinceRain limits the days since a day with at least a depth of rain: 0 on the
// day itself.
type SinceRain struct {
	Depth quantity.Inches
	Days  Range[int]
}

// Day is the minutes of a day.
const Day = 24 * 60

// Clock is a run of hours in minutes since midnight of the day on which it begins. One
// that runs across midnight ends above Day: 20:00 to 04:00 is 1200 to 1680.
type Clock struct{ From, To int }

// IsOvernight reports whether the hours run into the next day.
func (c Clock) IsOvernight() bool { return c.To > Day }

// Labels gives the labels of the first and the last hour that lie wholly inside:
// 09:00 to 18:00 holds 10 to 18. Those of the next day go on from 25. With none inside,
// last is below first.
func (c Clock) Labels() (first, last int) { return (c.From+59)/60 + 1, c.To / 60 }

// Hours counts the hours that lie wholly inside.
func (c Clock) Hours() int {
	first, last := c.Labels()
	return max(0, last-first+1)
}

// String gives "09:00 to 18:00", and "20:00 to 04:00 the next day".
func (c Clock) String() string {
	if c.IsOvernight() {
		return timeOfDay(c.From) + " to " + timeOfDay(c.To-Day) + " the next day"
	}
	return timeOfDay(c.From) + " to " + timeOfDay(c.To)
}

func timeOfDay(minutes int) string { return fmt.Sprintf("%02d:%02d", minutes/60, minutes%60) }

// AllowsFrom reports whether the wind may come from a direction.
func (p *Prescription) AllowsFrom(b quantity.Bearing) bool { return anyHas(p.WindFrom, b) }

// AllowsTransportFrom reports whether the transport wind may come from a direction.
func (p *Prescription) AllowsTransportFrom(b quantity.Bearing) bool {
	return anyHas(p.TransportFrom, b)
}

// anyHas reports whether a direction lies in one of the sectors, or there is none.
func anyHas(sectors []Sector, b quantity.Bearing) bool {
	for _, s := range sectors {
		if s.Has(b) {
			return true
		}
	}
	return len(sectors) == 0
}

// isFinite reports whether v is a number.
func isFinite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// Assumption is a key that a prescription does not have, and what was taken for it.
type Assumption struct{ Key, Taken string }

// String gives "min_hours 1".
func (a Assumption) String() string { return a.Key + " " + a.Taken }

// The keys for which something is taken.
const (
	burnHoursKey = "burn_hours"
	// MinHoursKey is that of the hours in a row.
	MinHoursKey = "min_hours"
)
