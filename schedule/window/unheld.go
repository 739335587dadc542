package window

import (
	"fmt"
	"slices"

	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
)

// The keys of the limits that many records and documents hold nothing on.
const (
	gustKey          = "gust_mph"
	mixingKey        = "mixing_height_ft"
	transportKey     = "transport_wind_mph"
	transportFromKey = "transport_from_deg"
)

// mayLack reports that a limit is one that a record or document may hold nothing on at
// all, and is then left out of what is counted, and said.
func mayLack(key string) bool {
	return key == gustKey || key == mixingKey || key == transportKey || key == transportFromKey
}

// hasGusts reports that the record carries gusts. Stations report those of gusty hours
// alone: the wind itself is then held against the limit in the others.
func (s *Series) hasGusts() bool { return s.lacks.Gust < s.lacks.Hours }

// unheld lists the limits of a prescription that a record says nothing on, by their
// keys: few records hold the mixing height or the transport wind, and many no gusts.
func (s *Series) unheld(p *prescription.Prescription) (keys []string) {
	if p.Gust.IsSet() && !s.hasGusts() {
		keys = append(keys, gustKey)
	}
	held := s.smoke(p)
	if p.MixingHeight.IsSet() && !held.mixing {
		keys = append(keys, mixingKey)
	}
	if p.TransportWind.IsSet() && !held.transport {
		keys = append(keys, transportKey)
	}
	if len(p.TransportFrom) > 0 && !held.from {
		keys = append(keys, transportFromKey)
	}
	return keys
}

// smokeLimits are the limits on what carries smoke off that are held: those that the
// prescription sets and the record has in some hour. An hour without fails them.
type smokeLimits struct{ mixing, transport, from bool }

func (s *Series) smoke(p *prescription.Prescription) smokeLimits {
	all := s.lacks.Hours
	return smokeLimits{
		mixing:    p.MixingHeight.IsSet() && s.lacks.MixingHeight < all,
		transport: p.TransportWind.IsSet() && s.lacks.TransportWind < all,
		from:      len(p.TransportFrom) > 0 && s.lacks.TransportFrom < all,
	}
}

// mixingHolds, transportHolds and transportFromHolds report whether the limits on what
// carries smoke off hold, or are not held.
func (k *kernel) mixingHolds(h *weather.Hour) bool {
	v, ok := h.MixingHeight()
	return !k.smoke.mixing || ok && k.p.MixingHeight.Holds(v)
}

func (k *kernel) transportHolds(h *weather.Hour) bool {
	v, ok := h.TransportWind()
	return !k.smoke.transport || ok && k.p.TransportWind.Holds(v)
}

func (k *kernel) transportFromHolds(h *weather.Hour) bool {
	v, ok := h.TransportFrom()
	return !k.smoke.from || ok && k.p.AllowsTransportFrom(v)
}

// UnheldWords says which limits of a prescription a count over the record leaves out,
// and in how many hours the wind stands for a gust; none where there is nothing to say.
func (s *Series) UnheldWords(p *prescription.Prescription) (all []string) {
	names := map[string]string{gustKey: "gusts", mixingKey: "mixing height", transportKey: "transport wind", transportFromKey: "direction of the transport wind"}
	var words []string
	for _, key := range s.unheld(p) {
		words = append(words, names[key])
	}
	if len(words) > 0 {
		all = append(
			all,
			fmt.Sprintf(
				"prescription %s limits the %s, and the record holds nothing on it: days were counted without, so fewer will do; see the forecast of the day",
				p.Name,
				quantity.List(words),
			),
		)
	}
	if p.Gust.IsSet() && s.hasGusts() && s.lacks.Gust > 0 {
		all = append(
			all,
			fmt.Sprintf(
				"prescription %s limits the gusts, and %.1f percent of the hours report none: their wind itself was held against that limit",
				p.Name,
				100*float64(s.lacks.Gust)/float64(s.lacks.Hours),
			),
		)
	}
	held := s.smoke(p)
	for _, of := range []struct {
		isHeld bool
		key    string
		lacks  int
	}{{held.mixing, mixingKey, s.lacks.MixingHeight}, {held.transport, transportKey, s.lacks.TransportWind}, {held.from, transportFromKey, s.lacks.TransportFrom}} {
		if of.isHeld && of.lacks > 0 {
			all = append(
				all,
				fmt.Sprintf(
					"prescription %s limits the %s, and %.1f percent of the hours have none: they fail",
					p.Name,
					names[of.key],
					100*float64(of.lacks)/float64(s.lacks.Hours),
				),
			)
		}
	}
	return all
}

// gustHolds reports whether the limit on gusts holds, or is not held.
func (k *kernel) gustHolds(h *weather.Hour) bool {
	if !k.gusts {
		return true
	}
	v, _ := h.Peak()
	return k.p.Gust.Holds(k.wind(v))
}

// checkSmoke checks gusts, mixing height and transport wind of an hour of a forecast.
func (k *kernel) checkSmoke(h *weather.ForecastHour) (checks []LimitCheck) {
	p := k.p
	if p.Gust.IsSet() {
		v, ok := h.Gust()
		checks = append(checks, checkRange(gustKey, p.Gust, k.wind(v), ok, " mph at "+string(p.WindHeight)))
	}
	if p.MixingHeight.IsSet() {
		checks = append(checks, checkKnown(mixingKey, p.MixingHeight, h.MixingHeight, " ft"))
	}
	if p.TransportWind.IsSet() {
		checks = append(checks, checkKnown(transportKey, p.TransportWind, h.TransportWind, " mph"))
	}
	if len(p.TransportFrom) > 0 {
		c := LimitCheck{Limit: transportFromKey, Verdict: NotInDocument, Wants: sectorWords(p.TransportFrom), Reads: "not in the document"}
		if from, ok := h.TransportFrom(); ok {
			c.Verdict, c.Reads = Holds, fmt.Sprintf("%s (%.0f°)", from.Compass(), float64(from))
			if !p.AllowsTransportFrom(from) {
				c.Verdict, c.Beyond = Fails, beyondSectors(p.TransportFrom, from)
			}
		}
		checks = append(checks, c)
	}
	return checks
}

func checkKnown[Q ~float64](key string, limit prescription.Range[Q], of func() (Q, bool), unit string) LimitCheck {
	v, ok := of()
	return checkRange(key, limit, v, ok, unit)
}

// beyondSectors is the angle from a direction to the nearest edge of the sectors that do
// not have it.
func beyondSectors(sectors []prescription.Sector, from quantity.Bearing) float64 {
	least := 180.0
	for _, s := range sectors {
		if !s.Has(from) {
			least = min(least, apart(from, quantity.NewBearing(s.From)), apart(from, quantity.NewBearing(s.To)))
		}
	}
	return least
}

// holdPartly takes from an hour that all limits hold where it lacks what the document
// gives for other hours: a limit that is compared is never kept by a gap.
func (c *ForecastCheck) holdPartly() {
	for i := range c.Hours {
		h := &c.Hours[i]
		for _, l := range h.Limits {
			if l.Verdict == NotInDocument && mayLack(l.Limit) && slices.Contains(c.Compared, l.Limit) {
				h.AllHold, h.lacks = false, true
			}
		}
	}
}

// NotKnown lists the limits on gusts, mixing height and transport wind that the document
// holds nothing on: no run of hours in the check was held against them.
func (c *ForecastCheck) NotKnown() (keys []string) {
	for _, key := range c.NotCompared {
		if mayLack(key) {
			keys = append(keys, key)
		}
	}
	return keys
}
