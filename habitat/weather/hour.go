package weather

import (
	"emberquilt/habitat/quantity"
)

// field is a bit for each thing that may be known of an hour.
type field uint16

const (
	hasTemperature field = 1 << iota
	hasHumidity
	hasWind
	hasDirection
	hasRain
	// isWet: rain fell in the hour, of whatever depth; a trace is rain.
	isWet
	// isTrace: rain too little to measure.
	isTrace
	// isUnsteady: the wind was reported as variable or calm.
	isUnsteady
	hasGust
	hasMixing
	hasTransport
	hasTransportFrom

	hasCore = hasTemperature | hasHumidity | hasWind
)

// Hour is one hour of a record. What was not reported is unknown, which is a
// state of its own and no number; the zero Hour knows nothing.
type Hour struct {
	// At says which hour it is, in local standard time.
	At Stamp

	known field
	// rainHours is over how many hours up to this one the depth was summed;
	// 0 and 1 mean this hour alone. settle leaves 1.
	rainHours uint8

	temperature quantity.Fahrenheit
	humidity    quantity.Percent
	wind        quantity.MilesPerHour
	from        quantity.Bearing
	rain        quantity.Inches
	gust        quantity.MilesPerHour

	// What carries smoke off: forecasts have it, and records that were made of them.
	mixing        quantity.Feet
	transport     quantity.MilesPerHour
	transportFrom quantity.Bearing
}

// Temperature gives the air temperature; ok is false where it is unknown.
func (h *Hour) Temperature() (t quantity.Fahrenheit, ok bool) {
	return h.temperature, h.known&hasTemperature != 0
}

// Humidity gives the relative humidity; ok is false where it is unknown.
func (h *Hour) Humidity() (rh quantity.Percent, ok bool) {
	return h.humidity, h.known&hasHumidity != 0
}

// Wind gives the wind speed at 10 m; ok is false where it is unknown.
func (h *Hour) Wind() (speed quantity.MilesPerHour, ok bool) {
	return h.wind, h.known&hasWind != 0
}

// Gust gives the highest gust at 10 m; ok is false where none was reported.
func (h *Hour) Gust() (speed quantity.MilesPerHour, ok bool) {
	return h.gust, h.known&hasGust != 0
}

// Peak gives the highest speed at 10 m that is known of the hour: the gust, or the
// wind itself where no gust was reported, which stations do of gusty hours alone. ok
// is false where neither is known.
//
// Source: US weather observing practice, in the glossary of the national weather
// service: gusts are reported where the peak reaches 16 knots and peaks and lulls lie
// 9 knots or more apart.
func (h *Hour) Peak() (speed quantity.MilesPerHour, ok bool) {
	return max(h.wind, h.gust), h.known&(hasWind|hasGust) != 0
}

// WindFrom gives the direction from which the wind blows; ok is false where it
// is unknown, and where the wind was calm or variable and has none.
func (h *Hour) WindFrom() (from quantity.Bearing, ok bool) {
	return h.from, h.known&hasDirection != 0
}

// IsUnsteady reports that the wind has no direction because it was calm or
// variable, not because nobody reported it.
func (h *Hour) IsUnsteady() bool { return h.known&isUnsteady != 0 }

// Rain gives the depth that fell in the hour; a trace is a depth of 0. ok is
// false where no depth was reported.
func (h *Hour) Rain() (depth quantity.Inches, ok bool) {
	return h.rain, h.known&hasRain != 0
}

// IsWet reports that rain is known to have fallen, be it a trace. An hour
// without a depth of its own is wet where a sum over several hours that holds
// it is above zero.
func (h *Hour) IsWet() bool { return h.known&isWet != 0 }

// IsTrace reports that rain fell, too little to measure.
func (h *Hour) IsTrace() bool { return h.known&isTrace != 0 }

// IsKnown reports whether temperature, humidity and wind speed are all known.
func (h *Hour) IsKnown() bool { return h.known&hasCore == hasCore }

// SetTemperature makes the temperature known.
func (h *Hour) SetTemperature(t quantity.Fahrenheit) {
	h.temperature, h.known = t, h.known|hasTemperature
}

// SetHumidity makes the humidity known.
func (h *Hour) SetHumidity(rh quantity.Percent) {
	h.humidity, h.known = rh, h.known|hasHumidity
}

// SetWind makes the speed at 10 m known. A speed of 0 is calm: it has no
// direction, whatever SetWindFrom was or will be told.
func (h *Hour) SetWind(speed quantity.MilesPerHour) {
	h.wind, h.known = speed, h.known|hasWind
	if speed == 0 {
		h.SetUnsteady()
	}
}

// SetGust makes the highest gust at 10 m known.
func (h *Hour) SetGust(speed quantity.MilesPerHour) {
	h.gust, h.known = speed, h.known|hasGust
}

// MixingHeight gives the mixing height above the ground; ok is false where none was
// reported.
func (h *Hour) MixingHeight() (height quantity.Feet, ok bool) {
	return h.mixing, h.known&hasMixing != 0
}

// TransportWind gives the speed of the transport wind; ok is false where none was
// reported.
func (h *Hour) TransportWind() (speed quantity.MilesPerHour, ok bool) {
	return h.transport, h.known&hasTransport != 0
}

// TransportFrom gives the direction from which the transport wind blows; ok is false
// where none was reported.
func (h *Hour) TransportFrom() (from quantity.Bearing, ok bool) {
	return h.transportFrom, h.known&hasTransportFrom != 0
}

// SetMixingHeight makes the mixing height known.
func (h *Hour) SetMixingHeight(height quantity.Feet) { h.mixing, h.known = height, h.known|hasMixing }

// SetTransportWind makes the speed of the transport wind known.
func (h *Hour) SetTransportWind(speed quantity.MilesPerHour) {
	h.transport, h.known = speed, h.known|hasTransport
}

// SetTransportFrom makes the direction of the transport wind known.
func (h *Hour) SetTransportFrom(from quantity.Bearing) {
	h.transportFrom, h.known = from, h.known|hasTransportFrom
}

// SetWindFrom makes the direction known, unless the wind is calm or variable.
func (h *Hour) SetWindFrom(from quantity.Bearing) {
	if h.known&isUnsteady == 0 {
		h.from, h.known = from, h.known|hasDirection
	}
}

// SetUnsteady says that the wind was calm or variable and has no direction.
func (h *Hour) SetUnsteady() {
	h.from, h.known = 0, h.known&^hasDirection|isUnsteady
}

// SetRain makes the depth of the hour known; above zero the hour is wet.
func (h *Hour) SetRain(depth quantity.Inches) { h.setRainOver(depth, 1) }

// setRainOver makes known a depth that was summed over several hours up to this
// one. What of it belongs to this hour is settled once all hours are known.
func (h *Hour) setRainOver(depth quantity.Inches, hours int) {
	h.rain, h.known, h.rainHours = depth, h.known|hasRain, uint8(min(max(hours, 1), 99))
	if depth > 0 {
		h.known |= isWet
	}
}

// SetTrace says that rain fell, too little to measure: its depth is 0.
func (h *Hour) SetTrace() {
	h.rain, h.rainHours, h.known = 0, 1, h.known|hasRain|isWet|isTrace
}
