package window

import (
	"math"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
)

// ClockShift gives by how many hours the clock of a zone is ahead of a standard
// time on a day: 1 while daylight saving time is in force, taken at noon. A nil
// zone gives 0; a nil standard takes the zone's own.
func ClockShift(zone *time.Location, standard *quantity.Hours, d date.Day) int {
	if zone == nil {
		return 0
	}
	noon := time.Date(d.Year, d.Month, d.Dom, 12, 0, 0, 0, zone).Unix()
	return int(math.Round(float64(offsetAt(zone, noon)-baseOf(zone, standard, d.Year)) / 3600))
}

// clockDay gives the day by whose clock a day of the record is read: itself, save that the
// number of a typical year means nothing. 2018 and 2028 have its weekdays, and the dates of
// daylight saving time that hold since 2007.
func (s *Series) clockDay(d date.Day) date.Day {
	switch {
	case s.record.Typical && d.Year == weather.TypicalYear:
		d.Year = 2018
	case s.record.Typical && d.Year == weather.TypicalLeapYear:
		d.Year = 2028
	}
	return d
}

// burnHours are the labels of the burn hours, which stand in standard time or
// follow the clock. Without a zone that of the record's hours from UTC is taken,
// the largest US zone there, and said.
type burnHours struct {
	clock       prescription.Clock
	first, last int
	zone        *time.Location // nil where they are standard time
	standard    *quantity.Hours
	// taken is the name of a zone that nobody stated.
	taken string
}

func newBurnHours(p *prescription.Prescription, o *Options, standard *quantity.Hours) (burnHours, error) {
	var b burnHours
	b.clock = p.BurnHours
	b.first, b.last = p.BurnHours.Labels()
	if p.HoursAre != prescription.ClockTime {
		return b, nil
	}
	zone := o.Zone
	if zone == nil && standard != nil {
		if name := habitat.ZoneOf(*standard); name != "" {
			zone, _ = time.LoadLocation(name)
			b.taken = name
		}
	}
	if zone == nil {
		return b, &source.Error{Position: source.Position{Field: "hours_are"},
			Found:   "the prescription " + source.Quote(p.Name) + " states its burn hours in clock time, and no time zone is given",
			Accepts: "a time zone, such as America/Chicago, or burn hours in standard time"}
	}
	b.zone, b.standard = zone, standard
	return b, nil
}

// night gives the day to which an hour belongs and its label there: the day before
// where it lies in the burn hours that began there, its own otherwise.
func (b *burnHours) night(d date.Day, label int) (date.Day, int) {
	if b.clock.IsOvernight() {
		before := d.AddDays(-1)
		if _, last := b.on(before); label+24 <= last {
			return before, label + 24
		}
	}
	return d, label
}

// on gives the labels, in standard time, of a day's burn hours, within that day or the
// night after it. A day or a night in which the clocks change is an hour shorter or longer.
func (b *burnHours) on(d date.Day) (first, last int) {
	if b.zone == nil {
		return b.first, b.last
	}
	c := clockOn{zone: b.zone, base: baseOf(b.zone, b.standard, d.Year) / 60}
	c.midnight = int(d.Time().Unix()/60) - c.base
	hours := b.clock
	if shift := c.ahead(hours.From - 180); shift == c.ahead(hours.To+180) { // no change near
		hours.From, hours.To = hours.From-shift, hours.To-shift
	} else {
		hours.From, hours.To = c.standardTime(hours.From), c.standardTime(hours.To)
	}
	hours.From = max(0, hours.From)
	if !b.clock.IsOvernight() {
		hours.To = min(hours.To, prescription.Day)
	}
	return hours.Labels()
}

// clockOn is the clock of a zone about one day. All is in minutes: base is by how many
// standard time is ahead of UTC, midnight the first of the day's standard time since 1970.
type clockOn struct {
	zone           *time.Location
	base, midnight int
}

// ahead gives by how much the clock is ahead of standard time, at a time of the latter.
func (c *clockOn) ahead(standard int) int {
	return offsetAt(c.zone, 60*int64(c.midnight+standard))/60 - c.base
}

// standardTime turns a time of the clock into standard time. One that the clock shows twice
// is the first of the two; one that it leaps over is the moment of the change.
func (c *clockOn) standardTime(clock int) int {
	before, after := c.ahead(clock-180), c.ahead(clock+180)
	switch {
	case c.ahead(clock-before) == before:
		return clock - before
	case c.ahead(clock-after) == after:
		return clock - after
	}
	change, _ := time.Unix(60*int64(c.midnight+clock-before), 0).In(c.zone).ZoneBounds()
	return int(change.Unix()/60) - c.midnight
}

// offsetAt gives by how many seconds the clock of a zone is ahead of UTC.
func offsetAt(zone *time.Location, unix int64) int {
	_, seconds := time.Unix(unix, 0).In(zone).Zone()
	return seconds
}

// baseOf gives by how many seconds standard time is ahead of UTC: the zone's own in a
// year where none is said.
func baseOf(zone *time.Location, standard *quantity.Hours, year int) int {
	if standard != nil {
		return int(math.Round(float64(*standard) * 3600))
	}
	noon := func(month time.Month) int { return offsetAt(zone, time.Date(year, month, 1, 12, 0, 0, 0, zone).Unix()) }
	return min(noon(time.January), noon(time.July))
}
