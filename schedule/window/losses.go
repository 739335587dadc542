package window

import (
	"fmt"
	"strings"

	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
)

// Cause is what takes days away from a burn.
type Cause string

// The causes, in the order in which days are taken away: a day goes to the first
// that leaves no hour of it, and to TooShort where hours are left but no long
// enough run.
const (
	CausePast        Cause = "season over"
	CauseClosure     Cause = "closures"
	CauseDayOff      Cause = "days off"
	CausePreparation Cause = "preparation"
	CauseDaylight    Cause = "daylight"
	CauseTemperature Cause = "temperature"
	CauseHumidity    Cause = "humidity"
	CauseWindSpeed   Cause = "wind speed"
	CauseGusts       Cause = "gusts"
	CauseMixing      Cause = "mixing height"
	CauseTransport   Cause = "transport wind"
	CauseMoisture    Cause = "fuel moisture"
	CauseSinceRain   Cause = "days since rain"
	CauseRain        Cause = "rain in the hour"
	CauseDirection   Cause = "wind direction"
	CauseSmoke       Cause = "smoke"
	CauseTooShort    Cause = "run too short"
	// CauseRare: there are candidate days, but no week has enough of them.
	CauseRare Cause = "too few days"
)

// Loss is what one cause takes away.
type Loss struct {
	Cause Cause `json:"cause"`
	// Days of this season: whole ones for what the calendar takes, those of an
	// average year of the record for the rest.
	Days float64 `json:"days"`
	// Detail names the limit, or the place that smoke reaches; empty where there is
	// none.
	Detail string `json:"detail,omitempty"`
}

// stage is one cause and the hours that pass it.
type stage struct {
	cause  Cause
	detail string
	passes func(day, label int, h *weather.Hour) bool
}

// calendarLosses counts what the calendar takes, in order, and gives the days
// that it leaves.
func (c *Case) calendarLosses() (losses []Loss, season, usable int) {
	count := map[Cause]int{}
	s := c.Season
	for d := s.First; !d.After(s.Last); d = d.AddDays(1) {
		season++
		switch {
		case d.Before(c.Today):
			count[CausePast]++
		case isClosed(&s, d):
			count[CauseClosure]++
		case !works(s.Crew, d):
			count[CauseDayOff]++
		case d.Before(s.Ready):
			count[CausePreparation]++
		default:
			usable++
		}
	}
	for _, cause := range []Cause{CausePast, CauseClosure, CauseDayOff, CausePreparation} {
		if n := count[cause]; n > 0 {
			losses = append(losses, Loss{Cause: cause, Days: float64(n)})
		}
	}
	return losses, season, usable
}

// stages lists the causes that weather decides, in order.
func (c *Case) stages(k *kernel, lit []Labels, rainHolds []bool, suits bool) []stage {
	p := c.Prescription
	var all []stage
	add := func(isSet bool, cause Cause, detail string, passes func(day, label int, h *weather.Hour) bool) {
		if isSet {
			all = append(all, stage{cause, detail, passes})
		}
	}
	add(lit != nil, CauseDaylight, "between sunrise and sunset", func(day, label int, _ *weather.Hour) bool { return lit[day].Has(label) })
	add(p.Temperature.IsSet(), CauseTemperature, p.Temperature.String()+" °F", func(_, _ int, h *weather.Hour) bool {
		t, _ := h.Temperature()
		return p.Temperature.Holds(t)
	})
	add(p.Humidity.IsSet(), CauseHumidity, p.Humidity.String()+"%", func(_, _ int, h *weather.Hour) bool {
		rh, _ := h.Humidity()
		return p.Humidity.Holds(rh)
	})
	add(p.Wind.IsSet(), CauseWindSpeed, p.Wind.String()+" mph at "+string(p.WindHeight), func(_, _ int, h *weather.Hour) bool {
		v, _ := h.Wind()
		return p.Wind.Holds(k.wind(v))
	})
	add(k.gusts, CauseGusts, p.Gust.String()+" mph at "+string(p.WindHeight), func(_, _ int, h *weather.Hour) bool { return k.gustHolds(h) })
	add(k.smoke.mixing, CauseMixing, p.MixingHeight.String()+" ft", func(_, _ int, h *weather.Hour) bool { return k.mixingHolds(h) })
	add(k.smoke.transport || k.smoke.from, CauseTransport, transportWords(p), func(_, _ int, h *weather.Hour) bool { return k.transportHolds(h) && k.transportFromHolds(h) })
	add(p.FuelMoisture.IsSet(), CauseMoisture, p.FuelMoisture.String()+"%", func(_, _ int, h *weather.Hour) bool {
		t, _ := h.Temperature()
		rh, _ := h.Humidity()
		return p.FuelMoisture.Holds(weather.EquilibriumMoisture(t, rh) + p.FuelCorrection)
	})
	if s := p.SinceRain; s != nil {
		add(true, CauseSinceRain, fmt.Sprintf("%s days since %g in", s.Days, float64(s.Depth)), func(day, _ int, _ *weather.Hour) bool { return rainHolds[day] })
	}
	add(p.DryHour, CauseRain, "", func(_, _ int, h *weather.Hour) bool {
		_, hasDepth := h.Rain()
		return !h.IsWet() && (hasDepth || !k.strict)
	})
	isSmoky := len(k.sectors) > 0 || !suits
	add(len(p.WindFrom) > 0 || isSmoky, CauseDirection, sectorWords(p.WindFrom), func(_, _ int, h *weather.Hour) bool {
		from, ok := h.WindFrom()
		return ok && p.AllowsFrom(from)
	})
	add(isSmoky, CauseSmoke, "", func(_, _ int, h *weather.Hour) bool {
		from, _ := h.WindFrom()
		return suits && inSectors(k.sectors, from)
	})
	return all
}

// transportWords says the limits on the transport wind.
func transportWords(p *prescription.Prescription) string {
	var words []string
	if p.TransportWind.IsSet() {
		words = append(words, p.TransportWind.String()+" mph")
	}
	if len(p.TransportFrom) > 0 {
		words = append(words, "from "+sectorWords(p.TransportFrom))
	}
	return strings.Join(words, " ")
}

// weatherLosses counts what the weather takes of the usable days, in an average
// year of the record, and the candidate days that are left.
func (c *Case) weatherLosses(t *terms, usable int) (losses []Loss, candidates float64, err error) {
	p, s := c.Prescription, c.Series
	k := kernel{p: p, strict: t.options.StrictRain, sectors: t.options.WindFrom, gusts: p.Gust.IsSet() && s.hasGusts(), smoke: s.smoke(p)}
	if err := k.windScale(t.options.WindAdjustment); err != nil {
		return nil, 0, err
	}
	var lit []Labels
	if p.DaylightOnly {
		if lit, err = s.daylight(); err != nil {
			return nil, 0, err
		}
	}
	var rainHolds []bool
	if p.SinceRain != nil {
		rainHolds = s.sinceRain(p.SinceRain, t.options.StrictRain)
	}
	burn, err := newBurnHours(p, &t.options, s.record.Station.UTCOffset)
	if err != nil {
		return nil, 0, err
	}
	stages := c.stages(&k, lit, rainHolds, t.suits)
	season := c.season()
	isUsable := map[int]bool{}
	for d := season.First; !d.After(season.Last); d = d.AddDays(1) {
		if season.IsUsable(d) {
			isUsable[slotOf(d)] = true
		}
	}
	minHours := p.MinHours
	if t.options.MinHours > 0 {
		minHours = t.options.MinHours
	}
	known, kept := 0, 0
	lost := make([]int, len(stages))
	tooShort, noHour := 0, 0
	places := newSmokeCount(t.card)
	for i := range s.days {
		of := &s.days[i]
		if !isUsable[slotOf(of.date)] {
			continue
		}
		first, last := burn.on(s.clockDay(of.date))
		var hours []*weather.Hour
		all := s.hours(i, last)
		for j := range all {
			h := &all[j]
			if label := of.labelOn(h); label >= first && label <= last && h.IsKnown() {
				hours = append(hours, h)
			}
		}
		if len(hours)*KnownIn < (last-first+1)*KnownOf {
			continue
		}
		known++
		if len(hours) == 0 {
			noHour++
			continue
		}
		at := 0
		for ; at < len(stages); at++ {
			var left []*weather.Hour
			for _, h := range hours {
				if stages[at].passes(i, of.labelOn(h), h) {
					left = append(left, h)
				}
			}
			if len(left) == 0 {
				break
			}
			hours = left
		}
		if at < len(stages) {
			lost[at]++
			if stages[at].cause == CauseSmoke {
				places.day(hours)
			}
			continue
		}
		var counting Labels
		for _, h := range hours {
			counting |= 1 << (of.labelOn(h) - 1)
		}
		if counting.HasRun(minHours) {
			kept++
		} else {
			tooShort++
		}
	}
	if known == 0 {
		return nil, 0, nil
	}
	scale := float64(usable) / float64(known)
	for i, n := range lost {
		switch {
		case n == 0:
		case stages[i].cause == CauseSmoke:
			losses = append(losses, places.losses(n, scale)...)
		default:
			losses = append(losses, Loss{stages[i].cause, float64(n) * scale, stages[i].detail})
		}
	}
	if tooShort+noHour > 0 {
		losses = append(losses, Loss{CauseTooShort, float64(tooShort+noHour) * scale, quantity.Count(minHours, "hour") + " in a row needed"})
	}
	return losses, float64(kept) * scale, nil
}

// smokeCount counts which place the smoke of a lost day reaches.
type smokeCount struct {
	card  *Card
	order []string
	days  map[string]int
}

func newSmokeCount(card *Card) *smokeCount { return &smokeCount{card: card, days: map[string]int{}} }

// day counts a day of which smoke leaves no hour: for the place that most of its
// hours reach, the nearer of two.
func (s *smokeCount) day(hours []*weather.Hour) {
	if s.card == nil {
		return
	}
	count := map[string]int{}
	best, most, near := "", 0, quantity.Feet(0)
	for _, h := range hours {
		from, ok := h.WindFrom()
		if !ok {
			continue
		}
		for _, r := range s.card.Directions[compassIndex(from)].Smoke {
			if r.Tolerated {
				continue
			}
			count[r.Name]++
			if n := count[r.Name]; n > most || n == most && r.Distance < near {
				best, most, near = r.Name, n, r.Distance
			}
		}
	}
	if best == "" {
		return
	}
	if s.days[best] == 0 {
		s.order = append(s.order, best)
	}
	s.days[best]++
}

func (s *smokeCount) losses(all int, scale float64) []Loss {
	var losses []Loss
	for _, name := range s.order {
		losses = append(losses, Loss{CauseSmoke, float64(s.days[name]) * scale, name})
		all -= s.days[name]
	}
	if all > 0 {
		losses = append(losses, Loss{CauseSmoke, float64(all) * scale, ""})
	}
	return losses
}
