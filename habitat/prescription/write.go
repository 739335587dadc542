package prescription

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// MarshalJSON gives the prescription as a prescription/1 text that Parse reads
// back to the same limits. Keys stand in a fixed order.
func (p *Prescription) MarshalJSON() ([]byte, error) {
	o := &object{}
	o.set("format", Format)
	o.set("name", p.Name)
	if p.Note != "" {
		o.set("note", p.Note)
	}
	o.set("temp_f", pair(p.Temperature))
	o.set("rh_pct", pair(p.Humidity))
	o.set("wind_mph", pair(p.Wind))
	if p.WindHeight != "" {
		o.set("wind_height", p.WindHeight)
	}
	if p.WindAdjustment > 0 {
		o.set("wind_adjustment", float64(p.WindAdjustment))
	}
	o.set("wind_from_deg", pairs(p.WindFrom))
	if p.Gust.IsSet() {
		o.set("gust_mph", pair(p.Gust))
	}
	if p.MixingHeight.IsSet() {
		o.set("mixing_height_ft", pair(p.MixingHeight))
	}
	if p.TransportWind.IsSet() {
		o.set("transport_wind_mph", pair(p.TransportWind))
	}
	if len(p.TransportFrom) > 0 {
		o.set("transport_from_deg", pairs(p.TransportFrom))
	}
	o.set("fuel_moisture_pct", pair(p.FuelMoisture))
	if p.FuelCorrection != 0 {
		o.set("fuel_moisture_correction_pct", float64(p.FuelCorrection))
	}
	if s := p.SinceRain; s != nil {
		days := pair(s.Days)
		o.set("days_since_rain", struct {
			Inches float64 `json:"inches"`
			Min    any     `json:"min"`
			Max    any     `json:"max"`
		}{float64(s.Depth), days[0], days[1]})
	} else {
		o.set("days_since_rain", nil)
	}
	o.set("dry_hour", p.DryHour)
	until := p.BurnHours.To
	if p.BurnHours.IsOvernight() {
		until -= Day
	}
	o.set("burn_hours", [2]string{timeOfDay(p.BurnHours.From), timeOfDay(until)})
	if p.HoursAre != "" {
		o.set("hours_are", p.HoursAre)
	}
	o.set("daylight_only", p.DaylightOnly)
	o.set("min_hours", p.MinHours)
	if len(p.Sources) > 0 {
		o.set("sources", p.Sources) // encoding/json sorts the keys
	}
	return o.end()
}

// pair gives [min, max] with nil for an absent one, and nil for no limits.
func pair[Q ~float64 | ~int](r Range[Q]) []any {
	if !r.IsSet() {
		return nil
	}
	both := []any{nil, nil}
	if r.HasMin {
		both[0] = r.Min
	}
	if r.HasMax {
		both[1] = r.Max
	}
	return both
}

// pairs gives sectors as [from, to], and nil for none.
func pairs(sectors []Sector) (all [][2]float64) {
	for _, s := range sectors {
		all = append(all, [2]float64{s.From, s.To})
	}
	return all
}

// object writes keys in the order of the calls.
type object struct {
	b   bytes.Buffer
	err error
}

func (o *object) set(key string, value any) {
	text, err := json.Marshal(value)
	if err != nil && o.err == nil {
		o.err = err
	}
	if o.b.Len() > 0 {
		o.b.WriteByte(',')
	}
	fmt.Fprintf(&o.b, "%q:%s", key, text)
}

func (o *object) end() ([]byte, error) {
	return []byte("{" + o.b.String() + "}"), o.err
}
