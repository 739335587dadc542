package window

import (
	"math"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// ClockShift gives by how many hours the clock of a zone is ahead of a standard
// time on a day: 1 while daylight saving time is in force, taken at noon. A nil
// zone gives 0; a nil standard takes the zone's own.
func ClockShift(zone *time.Location, standard *quantity.Hours, d date.Day) int {
	if zone == nil {
		return 0
	}
	offset := func(month time.Month, dom int) int {
		_, seconds := time.Date(d.Year, month, dom, 12, 0, 0, 0, zone).Zone()
		return seconds
	}
	base := min(offset(time.January, 1), offset(time.July, 1))
	if standard != nil {
		base = int(math.Round(float64(*standard) * 3600))
	}
	return int(math.Round(float64(offset(d.Month, d.Dom)-base) / 3600))
}

// burnHours are the labels of the burn hours, which stand in standard time or
// follow the clock. Without a zone that of the record's hours from UTC is taken,
// the largest US zone there, and said.
type burnHours struct {
	first, last int
	zone        *time.Location // nil where they are standard time
	standard    *quantity.Hours
	// taken is the name of a zone that nobody stated.
	taken string
}

func newBurnHours(p *prescription.Prescription, o *Options, standard *quantity.Hours) (burnHours, error) {
	var b burnHours
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

// on gives the labels, in standard time, of a day's burn hours.
func (b *burnHours) on(d date.Day) (first, last int) {
	if b.zone == nil {
		return b.first, b.last
	}
	shift := ClockShift(b.zone, b.standard, d)
	return max(1, b.first-shift), min(24, b.last-shift)
}
