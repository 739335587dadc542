package window

import (
	"fmt"
	"math"
	"slices"

	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
)

// Steps is by how much each limit is widened, to either side, to see what it
// costs. The zero value of a field means that of DefaultSteps.
type Steps struct {
	Temperature  quantity.Fahrenheit
	Humidity     quantity.Percent
	Wind         quantity.MilesPerHour
	Degrees      float64 // of direction
	Mixing       quantity.Feet
	FuelMoisture quantity.Percent
	Days         int // since rain
	Minutes      int // of the burn hours
	Hours        int // fewer in a row
}

// DefaultSteps are steps that a table can be read in.
var DefaultSteps = Steps{Temperature: 5, Humidity: 5, Wind: 2, Degrees: 22.5, Mixing: 500, FuelMoisture: 1, Days: 1, Minutes: 60, Hours: 1}

// Cost is what one limit costs in candidate days over the whole record. It
// informs, and advises nothing: a limit is there for a reason that no count
// knows.
type Cost struct {
	// Limit is the key of the prescription.
	Limit string
	// States is the limit as it stands, in words.
	States string
	// Lost counts the days that would be candidates if this limit alone were not
	// there.
	Lost int
	// Step says how the limit was widened, Gained how many candidate days that
	// adds; Step is empty where a limit cannot be widened.
	Step   string
	Gained int
}

// Costs says for each limit of the prescription what it costs, in the order of
// the file's keys. The error is that of Evaluate.
func (s *Series) Costs(p *prescription.Prescription, o Options, steps Steps) ([]Cost, error) {
	now, err := s.candidates(p, o)
	if err != nil {
		return nil, err
	}
	var costs []Cost
	unheld := s.unheld(p)
	for _, l := range limitsOf(p, o, steps.orDefault()) {
		cost := Cost{Limit: l.key, States: l.states, Step: l.step}
		if slices.Contains(unheld, l.key) {
			cost.States, cost.Step = l.states+"; not in the record, not held", ""
			costs = append(costs, cost)
			continue
		}
		without, err := s.candidates(l.change(*p, true))
		if err != nil {
			return nil, err
		}
		cost.Lost = without - now
		if l.step != "" {
			widened, err := s.candidates(l.change(*p, false))
			if err != nil {
				return nil, err
			}
			cost.Gained = widened - now
		}
		costs = append(costs, cost)
	}
	return costs, nil
}

func (s *Series) candidates(p *prescription.Prescription, o Options) (int, error) {
	d, err := s.Evaluate(p, o)
	if err != nil {
		return 0, err
	}
	n := 0
	for i := range d.Days {
		if d.Days[i].Candidate {
			n++
		}
	}
	return n, nil
}

// limit is one limit of a prescription and how to change it.
type limit struct {
	key, states, step string
	// change gives the prescription and options without the limit, or widened.
	change func(p prescription.Prescription, drop bool) (*prescription.Prescription, Options)
}

func (s Steps) orDefault() Steps {
	d := DefaultSteps
	set := func(to *float64, v float64) {
		if v > 0 {
			*to = v
		}
	}
	set((*float64)(&d.Temperature), float64(s.Temperature))
	set((*float64)(&d.Humidity), float64(s.Humidity))
	set((*float64)(&d.Wind), float64(s.Wind))
	set(&d.Degrees, s.Degrees)
	set((*float64)(&d.Mixing), float64(s.Mixing))
	set((*float64)(&d.FuelMoisture), float64(s.FuelMoisture))
	if s.Days > 0 {
		d.Days = s.Days
	}
	if s.Minutes > 0 {
		d.Minutes = s.Minutes
	}
	if s.Hours > 0 {
		d.Hours = s.Hours
	}
	return d
}

// limitsOf lists the limits that are set.
func limitsOf(p *prescription.Prescription, o Options, steps Steps) []limit {
	var all []limit
	add := func(isSet bool, key, states, step string, change func(p *prescription.Prescription, o *Options, drop bool)) {
		if !isSet {
			return
		}
		all = append(all, limit{key, states, step, func(copied prescription.Prescription, drop bool) (*prescription.Prescription, Options) {
			options := o
			change(&copied, &options, drop)
			return &copied, options
		}})
	}
	add(p.Temperature.IsSet(), "temp_f", p.Temperature.String()+" °F", fmt.Sprintf("%g °F to either side", float64(steps.Temperature)),
		func(p *prescription.Prescription, _ *Options, drop bool) {
			p.Temperature = widen(p.Temperature, steps.Temperature, drop)
		})
	add(p.Humidity.IsSet(), "rh_pct", p.Humidity.String()+"%", fmt.Sprintf("%g points to either side", float64(steps.Humidity)),
		func(p *prescription.Prescription, _ *Options, drop bool) {
			p.Humidity = widen(p.Humidity, steps.Humidity, drop)
		})
	add(p.Wind.IsSet(), "wind_mph", p.Wind.String()+" mph at "+string(p.WindHeight), fmt.Sprintf("%g mph to either side", float64(steps.Wind)),
		func(p *prescription.Prescription, _ *Options, drop bool) { p.Wind = widen(p.Wind, steps.Wind, drop) })
	add(p.Gust.IsSet(), gustKey, p.Gust.String()+" mph at "+string(p.WindHeight), fmt.Sprintf("%g mph to either side", float64(steps.Wind)),
		func(p *prescription.Prescription, _ *Options, drop bool) { p.Gust = widen(p.Gust, steps.Wind, drop) })
	add(p.MixingHeight.IsSet(), mixingKey, p.MixingHeight.String()+" ft", fmt.Sprintf("%g ft to either side", float64(steps.Mixing)),
		func(p *prescription.Prescription, _ *Options, drop bool) {
			p.MixingHeight = widen(p.MixingHeight, steps.Mixing, drop)
		})
	add(p.TransportWind.IsSet(), transportKey, p.TransportWind.String()+" mph", fmt.Sprintf("%g mph to either side", float64(steps.Wind)),
		func(p *prescription.Prescription, _ *Options, drop bool) {
			p.TransportWind = widen(p.TransportWind, steps.Wind, drop)
		})
	add(len(p.TransportFrom) > 0, transportFromKey, sectorWords(p.TransportFrom), fmt.Sprintf("%g° to either side", steps.Degrees),
		func(p *prescription.Prescription, _ *Options, drop bool) {
			p.TransportFrom = wider(p.TransportFrom, steps.Degrees, drop)
		})
	add(len(p.WindFrom) > 0, "wind_from_deg", sectorWords(p.WindFrom), fmt.Sprintf("%g° to either side", steps.Degrees),
		func(p *prescription.Prescription, _ *Options, drop bool) {
			p.WindFrom = wider(p.WindFrom, steps.Degrees, drop)
		})
	add(len(o.WindFrom) > 0, "the unit's wind directions", sectorWords(o.WindFrom), "",
		func(_ *prescription.Prescription, o *Options, _ bool) { o.WindFrom = nil })
	add(p.FuelMoisture.IsSet(), "fuel_moisture_pct", p.FuelMoisture.String()+"%", fmt.Sprintf("%g points to either side", float64(steps.FuelMoisture)),
		func(p *prescription.Prescription, _ *Options, drop bool) {
			p.FuelMoisture = widen(p.FuelMoisture, steps.FuelMoisture, drop)
		})
	if s := p.SinceRain; s != nil {
		add(true, "days_since_rain", fmt.Sprintf("%s days since %g in", s.Days, float64(s.Depth)), fmt.Sprintf("%d days to either side", steps.Days),
			func(p *prescription.Prescription, _ *Options, drop bool) {
				since := *p.SinceRain
				since.Days = widen(since.Days, steps.Days, false)
				p.SinceRain = &since
				if drop {
					p.SinceRain = nil
				}
			})
	}
	add(p.DryHour, "dry_hour", "no rain in the hour", "",
		func(p *prescription.Prescription, _ *Options, _ bool) { p.DryHour = false })
	add(p.DaylightOnly, "daylight_only", "between sunrise and sunset", "",
		func(p *prescription.Prescription, _ *Options, _ bool) { p.DaylightOnly = false })
	needed := p.MinHours
	if o.MinHours > 0 {
		needed = o.MinHours
	}
	step := ""
	if needed > steps.Hours {
		step = fmt.Sprintf("%d fewer", steps.Hours)
	}
	add(needed > 1, "min_hours", fmt.Sprintf("%d in a row", needed), step,
		func(p *prescription.Prescription, o *Options, drop bool) {
			o.MinHours = max(1, needed-steps.Hours)
			if drop {
				o.MinHours = 1
			}
		})
	add(p.BurnHours.To-p.BurnHours.From < prescription.Day, "burn_hours", p.BurnHours.String(), fmt.Sprintf("%d minutes to either side", steps.Minutes),
		func(p *prescription.Prescription, _ *Options, drop bool) {
			p.BurnHours = longer(p.BurnHours, steps.Minutes, drop)
		})
	return all
}

// longer moves both ends of the burn hours outward, or makes them a whole day: that of
// the calendar, or the one that begins with a night's first hour.
func longer(c prescription.Clock, minutes int, drop bool) prescription.Clock {
	const day = prescription.Day
	switch overnight := c.IsOvernight(); {
	case drop && overnight:
		return prescription.Clock{From: c.From, To: c.From + day}
	case drop:
		return prescription.Clock{To: day}
	case overnight:
		from := max(0, c.From-minutes)
		return prescription.Clock{From: from, To: min(from+day, c.To+minutes)}
	}
	return prescription.Clock{From: max(0, c.From-minutes), To: min(day, c.To+minutes)}
}

// widen moves both limits outward, or drops them.
func widen[Q ~float64 | ~int](r prescription.Range[Q], step Q, drop bool) prescription.Range[Q] {
	if drop {
		return prescription.Range[Q]{}
	}
	r.Min -= step
	r.Max += step
	return r
}

// wider moves the ends of the sectors outward, or drops them.
func wider(sectors []prescription.Sector, degrees float64, drop bool) []prescription.Sector {
	if drop {
		return nil
	}
	out := make([]prescription.Sector, len(sectors))
	for i, s := range sectors {
		width := math.Mod(s.To-s.From+360, 360)
		if s.To-s.From >= 360 || width+2*degrees >= 360 {
			out[i] = prescription.Sector{From: 0, To: 360}
			continue
		}
		out[i] = prescription.Sector{From: float64(quantity.NewBearing(s.From - degrees)), To: float64(quantity.NewBearing(s.To + degrees))}
	}
	return out
}

func sectorWords(sectors []prescription.Sector) string {
	text := ""
	for i, s := range sectors {
		if i > 0 {
			text += ", "
		}
		text += s.String()
	}
	return text
}
