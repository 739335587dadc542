package window

import (
	"fmt"
	"strconv"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
)

// ForecastCaution stands beside every forecast check. No wording of a check
// says that a burn may go ahead.
const ForecastCaution = "A comparison of a public forecast with written limits, hour by hour: not a permit and not a decision to burn. " +
	"What the document does not hold was not compared. Local law, fire weather warnings, the spot forecast and a qualified burn boss decide on the day."

// Verdict is how one limit stands in one hour.
type Verdict int

// The verdicts.
const (
	Holds Verdict = iota
	Fails
	// NotInDocument: the forecast holds nothing to compare.
	NotInDocument
)

// String gives "holds", "fails" or "not in the document".
func (v Verdict) String() string { return [...]string{"holds", "fails", "not in the document"}[v] }

// LimitCheck is one limit against one hour.
type LimitCheck struct {
	// Limit is the key of the prescription.
	Limit   string
	Verdict Verdict
	// Reads is what the forecast gives and Wants the limit, in words.
	Reads, Wants string
	// Beyond is by how much the limit fails, in its own unit: below zero under
	// the lower one, above zero over the upper one.
	Beyond float64
}

// HourCheck is one hour of a forecast against a prescription.
type HourCheck struct {
	// Day and Label name the hour in local standard time. An hour after midnight that
	// lies in burn hours of the day before is one of that day, with a label above 24.
	Day   date.Day
	Label int
	// StartsAt is the beginning of the hour, by the document's clock.
	StartsAt time.Time
	// Limits holds a check for each limit that the prescription sets.
	Limits []LimitCheck
	// InBurnHours says that the hour lies in the burn hours.
	InBurnHours bool
	// AllHold says that it does and that every limit holds that the document
	// has something to compare with.
	AllHold bool
	// lacks says that the hour has nothing on a limit that others are compared with.
	lacks bool
}

// DayCheck sums up one day of a forecast.
type DayCheck struct {
	Day date.Day
	// Start is the label of the first hour of the longest run of hours in which
	// all limits hold, Hours its length; 0 where there is none.
	Start, Hours int
	// StartsAt is the beginning of that run, by the document's clock.
	StartsAt time.Time
	// IsLongEnough says that the run reaches the needed hours.
	IsLongEnough bool
	// IsWhole says that the document holds every burn hour of the day, with all that
	// it gives for other days.
	IsWhole bool
}

// ForecastCheck is a forecast read against a prescription.
type ForecastCheck struct {
	Hours    []HourCheck
	Days     []DayCheck
	MinHours int
	// Compared and NotCompared list the prescription's limits that the document
	// has, and has not, anything on.
	Compared, NotCompared []string
	// Notes are those of the document; Caution stands beside everything.
	Notes   []string
	Caution string
}

// Since is what is known of the rain before a forecast begins.
type Since struct {
	// Days since the day with enough rain, on the forecast's first day.
	Days int
}

// CheckForecast reads a forecast against a prescription, hour by hour. place is
// for daylight_only and may be nil; since is nil where the days since rain are
// not known. Where the document gives a range of wind, both ends must hold. The
// error is that of Evaluate.
func CheckForecast(f *weather.Forecast, p *prescription.Prescription, o Options, place *weather.Place, since *Since) (*ForecastCheck, error) {
	k := kernel{p: p, sectors: o.WindFrom, zone: o.Zone}
	if err := k.windScale(o.WindAdjustment); err != nil {
		return nil, err
	}
	var err error
	if k.burn, err = newBurnHours(p, &o, &f.UTCOffset); err != nil {
		return nil, err
	}
	c := &ForecastCheck{MinHours: p.MinHours, Notes: f.Notes, Caution: ForecastCaution}
	if o.MinHours > 0 {
		c.MinHours = o.MinHours
	}
	rain := forecastRain(f, p, since)
	for i := range f.Hours {
		h := &f.Hours[i]
		c.Hours = append(c.Hours, k.hour(f, h, place, rain))
	}
	c.compared()
	c.holdPartly()
	c.sumDays(&k.burn)
	return c, nil
}

// sumDays sums the hours up by day.
func (c *ForecastCheck) sumDays(burn *burnHours) {
	for from := 0; from < len(c.Hours); {
		upTo := from
		for upTo < len(c.Hours) && c.Hours[upTo].Day == c.Hours[from].Day {
			upTo++
		}
		c.Days = append(c.Days, sumDay(c.Hours[from:upTo], burn, c.MinHours))
		from = upTo
	}
}

// sumDay sums the hours of one day up.
func sumDay(hours []HourCheck, burn *burnHours, minHours int) DayCheck {
	d := DayCheck{Day: hours[0].Day}
	var holding Labels
	seen := 0
	for i := range hours {
		h := &hours[i]
		if h.InBurnHours && !h.lacks {
			seen++
		}
		if h.AllHold {
			holding |= 1 << (h.Label - 1)
		}
	}
	d.Start, d.Hours = holding.LongestRun()
	for i := range hours {
		if hours[i].Label == d.Start {
			d.StartsAt = hours[i].StartsAt
		}
	}
	first, last := burn.on(d.Day)
	d.IsLongEnough, d.IsWhole = d.Hours >= minHours, seen == last-first+1
	return d
}

// compared lists what the document had something on in any hour, and what not.
func (c *ForecastCheck) compared() {
	if len(c.Hours) == 0 {
		return
	}
	for i, l := range c.Hours[0].Limits {
		has := false
		for j := range c.Hours {
			has = has || c.Hours[j].Limits[i].Verdict != NotInDocument
		}
		if has {
			c.Compared = append(c.Compared, l.Limit)
		} else {
			c.NotCompared = append(c.NotCompared, l.Limit)
		}
	}
}

// forecastRain gives for each day of the forecast the days since rain, as far
// as they are known; nil where they are not.
func forecastRain(f *weather.Forecast, p *prescription.Prescription, since *Since) map[date.Day]int {
	if p.SinceRain == nil || since == nil || len(f.Hours) == 0 {
		return nil
	}
	depth := make(map[date.Day]quantity.Inches)
	for i := range f.Hours {
		r, _ := f.Hours[i].Rain()
		depth[f.Hours[i].At.Day()] += r
	}
	days := make(map[date.Day]int)
	count := since.Days
	// The night that began the day before.
	days[f.Hours[0].At.Day().AddDays(-1)] = max(0, count-1)
	for d := f.Hours[0].At.Day(); !d.After(f.Hours[len(f.Hours)-1].At.Day()); d = d.AddDays(1) {
		if depth[d] >= p.SinceRain.Depth {
			count = 0
		}
		days[d] = count
		count++
	}
	return days
}

// hour checks one hour.
func (k *kernel) hour(f *weather.Forecast, h *weather.ForecastHour, place *weather.Place, rain map[date.Day]int) HourCheck {
	c := HourCheck{StartsAt: h.StartsAt}
	c.Day, c.Label = k.burn.night(h.At.Day(), h.At.Label())
	first, last := k.burn.on(c.Day)
	c.InBurnHours = c.Label >= first && c.Label <= last
	c.Limits = k.limits(f, h, c.Day, place, rain)
	c.AllHold = c.InBurnHours
	any := false
	for _, l := range c.Limits {
		c.AllHold = c.AllHold && l.Verdict != Fails
		any = any || l.Verdict == Holds
	}
	// An hour of which the document knows nothing is not one in which all holds,
	// nor is one without temperature, humidity or wind.
	c.AllHold = c.AllHold && h.IsKnown() && (any || len(c.Limits) == 0)
	return c
}

// limits checks every limit that the prescription sets; burnDay is the day to which the
// hour belongs.
func (k *kernel) limits(f *weather.Forecast, h *weather.ForecastHour, burnDay date.Day, place *weather.Place, rain map[date.Day]int) []LimitCheck {
	p := k.p
	var checks []LimitCheck
	t, hasT := h.Temperature()
	rh, hasRH := h.Humidity()
	v, hasWind := h.Wind()
	if p.Temperature.IsSet() {
		checks = append(checks, checkRange("temp_f", p.Temperature, t, hasT, " °F"))
	}
	if p.Humidity.IsSet() {
		checks = append(checks, checkRange("rh_pct", p.Humidity, rh, hasRH, "%"))
	}
	if p.Wind.IsSet() {
		checks = append(checks, k.checkWind(h, v, hasWind))
	}
	if len(p.WindFrom) > 0 || len(k.sectors) > 0 {
		checks = append(checks, k.checkDirection(h))
	}
	checks = append(checks, k.checkSmoke(h)...)
	if p.FuelMoisture.IsSet() {
		checks = append(checks, checkRange("fuel_moisture_pct", p.FuelMoisture, weather.EquilibriumMoisture(t, rh)+p.FuelCorrection, hasT && hasRH, "%"))
	}
	if s := p.SinceRain; s != nil {
		days, has := rain[burnDay]
		checks = append(checks, checkRange("days_since_rain", s.Days, days, has, " days"))
	}
	if p.DryHour {
		checks = append(checks, checkDry(h))
	}
	if p.DaylightOnly {
		check := LimitCheck{Limit: "daylight_only", Verdict: NotInDocument, Wants: "between sunrise and sunset", Reads: "the place is not known"}
		if place != nil {
			day, label := h.At.Day(), h.At.Label()
			sun := weather.Sun(day, *place, f.UTCOffset)
			ahead := quantity.Hours(ClockShift(k.zone, &f.UTCOffset, day)) // of standard time
			check.Reads = fmt.Sprintf("sunrise %s, sunset %s", clockOf(sun.Rise+ahead), clockOf(sun.Set+ahead))
			check.Verdict = Holds
			if float64(label-1) < float64(sun.Rise) || float64(label) > float64(sun.Set) {
				check.Verdict = Fails
			}
		}
		checks = append(checks, check)
	}
	return checks
}

// checkRange checks a reading against a range.
func checkRange[Q ~float64 | ~int](name string, limit prescription.Range[Q], v Q, known bool, unit string) LimitCheck {
	c := LimitCheck{Limit: name, Verdict: NotInDocument, Wants: limit.String() + unit, Reads: "not in the document"}
	if known {
		c.Reads = strconv.FormatFloat(float64(v), 'f', -1, 64) + unit
		if float64(v) != float64(int(v)) {
			c.Reads = strconv.FormatFloat(float64(v), 'f', 1, 64) + unit
		}
		c.Verdict = Holds
		if !limit.Holds(v) {
			c.Verdict, c.Beyond = Fails, float64(limit.Beyond(v))
		}
	}
	return c
}

// checkWind checks both ends of the wind, at the height of the limits.
func (k *kernel) checkWind(h *weather.ForecastHour, v quantity.MilesPerHour, known bool) LimitCheck {
	high := checkRange("wind_mph", k.p.Wind, k.wind(v), known, " mph at "+string(k.p.WindHeight))
	if !known || h.WindLow == v {
		return high
	}
	low := checkRange("wind_mph", k.p.Wind, k.wind(h.WindLow), true, " mph at "+string(k.p.WindHeight))
	if high.Verdict == Holds && low.Verdict == Fails {
		high.Verdict, high.Beyond = low.Verdict, low.Beyond
	}
	high.Reads = fmt.Sprintf("%.1f to %.1f mph at %s", float64(k.wind(h.WindLow)), float64(k.wind(v)), k.p.WindHeight)
	return high
}

// checkDirection checks the direction; Beyond is the angle to the nearest
// sector's edge.
func (k *kernel) checkDirection(h *weather.ForecastHour) LimitCheck {
	all := append(append([]prescription.Sector{}, k.p.WindFrom...), k.sectors...)
	c := LimitCheck{Limit: "wind_from_deg", Verdict: NotInDocument, Wants: sectorWords(all), Reads: "not in the document"}
	from, ok := h.WindFrom()
	switch {
	case ok && k.p.AllowsFrom(from) && inSectors(k.sectors, from):
		c.Verdict, c.Reads = Holds, fmt.Sprintf("%s (%.0f°)", from.Compass(), float64(from))
	case ok:
		c.Verdict, c.Reads, c.Beyond = Fails, fmt.Sprintf("%s (%.0f°)", from.Compass(), float64(from)), beyondSectors(all, from)
	case h.IsUnsteady():
		c.Verdict, c.Reads = Fails, "calm, no direction"
	}
	return c
}

// checkDry checks for rain in the hour. The hourly document holds only a chance
// of it, which is shown and not judged.
func checkDry(h *weather.ForecastHour) LimitCheck {
	c := LimitCheck{Limit: "dry_hour", Verdict: NotInDocument, Wants: "no rain in the hour", Reads: "no depth in the document"}
	if depth, ok := h.Rain(); ok {
		c.Verdict, c.Reads = Holds, "no rain"
		if h.IsWet() {
			c.Verdict, c.Reads, c.Beyond = Fails, fmt.Sprintf("%.2f in", float64(depth)), float64(depth)
		}
	}
	if h.HasRainChance {
		c.Reads += fmt.Sprintf(", chance of rain %.0f%%", float64(h.RainChance))
	}
	return c
}

// clockOf prints hours of the day as 06:12.
func clockOf(h quantity.Hours) string {
	minutes := int(float64(h)*60 + 0.5)
	return fmt.Sprintf("%02d:%02d", minutes/60, minutes%60)
}
