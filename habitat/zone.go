package habitat

import (
	"fmt"
	"math"
	"time"

	"emberquilt/habitat/quantity"
)

// usZones are the zones whose clock is taken where only the hours from UTC are
// known: the largest of the United States at each.
var usZones = map[quantity.Hours]string{
	-10: "Pacific/Honolulu", -9: "America/Anchorage", -8: "America/Los_Angeles", -7: "America/Denver",
	-6: "America/Chicago", -5: "America/New_York", -4: "America/Puerto_Rico",
}

// ZoneOf gives the zone that is taken for an offset of local standard time;
// empty where none is.
func ZoneOf(offset quantity.Hours) string { return usZones[offset] }

// Location gives the time zone whose clock the property's people read: its own,
// else the one that ZoneOf takes for its offset, else the offset all year.
func (p *Property) Location() *time.Location {
	name := p.Zone
	if name == "" {
		name = ZoneOf(p.UTCOffset)
	}
	if name != "" {
		if zone, err := time.LoadLocation(name); err == nil {
			return zone
		}
	}
	return time.FixedZone("standard time", int(math.Round(float64(p.UTCOffset)*3600)))
}

// StandardOffset gives a zone's hours from UTC in standard time.
func StandardOffset(zone *time.Location, year int) quantity.Hours {
	_, winter := time.Date(year, time.January, 1, 12, 0, 0, 0, zone).Zone()
	_, summer := time.Date(year, time.July, 1, 12, 0, 0, 0, zone).Zone()
	return quantity.Hours(float64(min(winter, summer)) / 3600)
}

// checkZone refuses a zone that nobody knows, or one that is not that of the
// offset.
func (p *Property) checkZone() error {
	if p.Zone == "" {
		return nil
	}
	const accepts = "a name of the time zone database, such as America/Chicago"
	zone, err := time.LoadLocation(p.Zone)
	if err != nil || p.Zone == "Local" {
		return fieldErrorf("time_zone", accepts, "%q is not a time zone", p.Zone)
	}
	if offset := StandardOffset(zone, 2026); offset != p.UTCOffset {
		return fieldErrorf("time_zone", fmt.Sprintf("the zone of utc_offset %v, or utc_offset = %v", float64(p.UTCOffset), float64(offset)),
			"%s is %v hours from UTC, utc_offset says %v", p.Zone, float64(offset), float64(p.UTCOffset))
	}
	return nil
}
