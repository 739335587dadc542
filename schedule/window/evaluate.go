package window

import (
	"fmt"
	"slices"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
)

// Options are what a prescription leaves to the unit and the user. The zero
// value adds nothing to the prescription.
type Options struct {
	// StrictRain fails an hour whose depth of rain is missing, and takes a day
	// with a missing depth as one on which it may have rained.
	StrictRain bool
	// MinHours is the unit's own number of hours in a row; 0 means the
	// prescription's.
	MinHours int
	// WindAdjustment is the unit's eye-level wind over 20-foot wind; 0 means the
	// prescription's.
	WindAdjustment quantity.Share
	// WindFrom lists the unit's own sectors; a wind must come from one of them
	// and be allowed by the prescription. None means any.
	WindFrom []prescription.Sector
	// Zone is the clock's time zone: burn hours that are clock time are turned
	// into standard time by it, day by day, and start hours are given in it. nil
	// keeps standard time.
	Zone *time.Location
	// only, where it is not nil, limits the work to some days of the year; the
	// others are not known.
	only *[slots]bool
}

// Day is one day of a record against one prescription. Burn hours that run across
// midnight belong whole to the day on which they begin.
type Day struct {
	// Counting holds the burn hours in which every limit holds.
	Counting Labels
	// on is the date in four bytes: a record has thousands of days, and a property may ask
	// for it once for each of many units.
	on int32
	// Known says that enough of the burn hours have temperature, humidity and
	// wind; see KnownShare.
	Known bool
	// Candidate says that the day is known and has a run of counting hours that
	// is long enough.
	Candidate bool
}

// DayOn gives a day of which nothing is known.
func DayOn(on date.Day) Day { return Day{on: int32(on.Year<<9 | int(on.Month)<<5 | on.Dom)} }

// Date is the day's date.
func (d *Day) Date() date.Day {
	return date.Day{Year: int(d.on >> 9), Month: time.Month(d.on >> 5 & 15), Dom: int(d.on & 31)}
}

// Days is a record against one prescription, day by day.
type Days struct {
	// Series is what was evaluated.
	Series *Series
	// MinHours is how many counting hours in a row make a candidate day.
	MinHours int
	// Days holds each day of which the record has an hour, in order.
	Days []Day
	// IsOvernight says that the burn hours run across midnight.
	IsOvernight bool
	// Zone is that of the options.
	Zone *time.Location
	// Warnings are those of the record, and what this prescription makes of what
	// the record lacks. They stand on every output that rests on the days.
	Warnings []string
}

// A day is known when at least KnownOf parts in KnownIn of its burn hours have
// temperature, humidity and wind: 80 percent.
const (
	KnownOf = 4
	KnownIn = 5
)

// Evaluate holds every day of the record against a prescription.
//
// The error is a *source.Error where the prescription asks for what neither it
// nor the record or the options say: the station's place for daylight, the wind
// adjustment for eye-level wind.
func (s *Series) Evaluate(p *prescription.Prescription, o Options) (*Days, error) {
	k := kernel{p: p, strict: o.StrictRain, sectors: o.WindFrom, gusts: p.Gust.IsSet() && s.hasGusts(), smoke: s.smoke(p)}
	if err := k.windScale(o.WindAdjustment); err != nil {
		return nil, err
	}
	if p.DaylightOnly {
		lit, err := s.daylight()
		if err != nil {
			return nil, err
		}
		k.lit = lit
	}
	if p.SinceRain != nil {
		k.rainHolds = s.sinceRain(p.SinceRain, o.StrictRain)
	}
	var err error
	if k.burn, err = newBurnHours(p, &o, s.record.Station.UTCOffset); err != nil {
		return nil, err
	}
	d := &Days{Series: s, MinHours: p.MinHours, IsOvernight: p.BurnHours.IsOvernight(), Zone: o.Zone, Days: make([]Day, len(s.days))}
	if o.MinHours > 0 {
		d.MinHours = o.MinHours
	}
	for i := range s.days {
		if o.only != nil && !o.only[slotOf(s.days[i].date)] {
			d.Days[i] = DayOn(s.days[i].date)
			continue
		}
		day := k.day(s, i)
		day.Candidate = day.Known && day.Counting.HasRun(d.MinHours)
		d.Days[i] = day
	}
	d.Warnings = k.warnings(s, o.MinHours > 0)
	return d, nil
}

// Shift gives by how many hours the clock is ahead of the record's standard time
// on a day; 0 without a zone.
func (d *Days) Shift(day date.Day) int {
	return ClockShift(d.Zone, d.Series.record.Station.UTCOffset, d.Series.clockDay(day))
}

// warnings adds to the record's warnings what matters under these limits only.
func (k *kernel) warnings(s *Series, hoursAreGiven bool) []string {
	all := slices.Clip(s.record.Warnings)
	if len(k.p.WindFrom)+len(k.sectors) > 0 && float64(s.lacks.Direction) > float64(weather.DryByDefault)*float64(s.lacks.Hours) {
		all = append(all, fmt.Sprintf("%.1f percent of the hours have no wind direction; they fail, since directions are limited",
			100*float64(s.lacks.Direction)/float64(s.lacks.Hours)))
	}
	all = append(all, s.UnheldWords(k.p)...)
	if k.burn.taken != "" {
		all = append(all, "the burn hours are clock time, and no time zone was given: "+k.burn.taken+" was taken")
	}
	for _, taken := range k.p.Assumed {
		if !hoursAreGiven || taken.Key != prescription.MinHoursKey {
			all = append(all, "the prescription does not say, and this was taken: "+taken.String())
		}
	}
	return all
}

// kernel holds what is the same for all days of one evaluation.
type kernel struct {
	p       *prescription.Prescription
	strict  bool
	sectors []prescription.Sector
	gusts   bool // the limit on gusts is held
	smoke   smokeLimits
	burn    burnHours
	zone    *time.Location // in which a forecast's sun is shown; nil is standard time
	// ratio and share bring the wind at 10 m to the prescription's height:
	// divided by the one, times the other.
	ratio, share float64
	lit          []Labels // nil without daylight_only
	rainHolds    []bool   // by day; nil without days_since_rain
}

// windScale sets how wind at 10 m is brought to the height of the limits.
func (k *kernel) windScale(adjustment quantity.Share) error {
	k.ratio, k.share = 1, 1
	if !k.p.Wind.IsSet() && !k.p.Gust.IsSet() {
		return nil
	}
	switch k.p.WindHeight {
	case prescription.At20Feet:
		k.ratio = weather.WindRatio
	case prescription.AtEyeLevel:
		k.ratio, k.share = weather.WindRatio, float64(k.p.WindAdjustment)
		if adjustment > 0 {
			k.share = float64(adjustment)
		}
		if k.share == 0 {
			return &source.Error{Position: source.Position{Field: "wind_adjustment"},
				Found:   "the prescription " + source.Quote(k.p.Name) + " states wind at eye level, and no wind adjustment is given",
				Accepts: "the unit's factor from 20-foot wind to eye level, or wind_adjustment in the prescription"}
		}
	}
	return nil
}

// day evaluates one day.
func (k *kernel) day(s *Series, i int) Day {
	of := &s.days[i]
	day := DayOn(of.date)
	known := 0
	first, last := k.burn.on(s.clockDay(of.date))
	rainHolds := k.rainHolds == nil || k.rainHolds[i]
	hours := s.hours(i, last)
	for j := range hours {
		h := &hours[j]
		label := of.labelOn(h)
		if label < first || label > last || !h.IsKnown() {
			continue
		}
		known++
		if rainHolds && k.holds(h) {
			day.Counting |= 1 << (label - 1)
		}
	}
	if k.lit != nil {
		day.Counting &= k.lit[i]
	}
	day.Known = known*KnownIn >= (last-first+1)*KnownOf
	return day
}

// holds reports whether the limits hold that can be told from a known hour
// alone.
func (k *kernel) holds(h *weather.Hour) bool {
	p := k.p
	t, _ := h.Temperature()
	rh, _ := h.Humidity()
	v, _ := h.Wind()
	if !p.Humidity.Holds(rh) || !p.Temperature.Holds(t) || !p.Wind.Holds(k.wind(v)) || !k.gustHolds(h) ||
		!k.mixingHolds(h) || !k.transportHolds(h) || !k.transportFromHolds(h) {
		return false
	}
	if p.DryHour {
		if _, hasDepth := h.Rain(); h.IsWet() || k.strict && !hasDepth {
			return false
		}
	}
	if p.FuelMoisture.IsSet() && !p.FuelMoisture.Holds(weather.EquilibriumMoisture(t, rh)+p.FuelCorrection) {
		return false
	}
	if len(p.WindFrom) == 0 && len(k.sectors) == 0 {
		return true
	}
	from, hasFrom := h.WindFrom()
	return hasFrom && p.AllowsFrom(from) && inSectors(k.sectors, from)
}

// wind brings a speed at 10 m to the height of the limits.
func (k *kernel) wind(at10Meters quantity.MilesPerHour) quantity.MilesPerHour {
	return quantity.MilesPerHour(float64(at10Meters) / k.ratio * k.share)
}

// inSectors reports whether a direction lies in one of the sectors, or there is
// none.
func inSectors(sectors []prescription.Sector, from quantity.Bearing) bool {
	for _, s := range sectors {
		if s.Has(from) {
			return true
		}
	}
	return len(sectors) == 0
}
