package assemble

import (
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/schedule/problem"
)

// recorded turns burns on record in the first plan year into locks, and lets
// that year's limits give way to them. It reports true when they break an apart
// pair or a refuge share, which have no year of their own.
func (b *builder) recorded() (startLater bool) {
	in, first := b.in, b.in.FirstYear
	own := recordsByUnit(in.Records)
	var burned []int
	season := make(map[int]int)
	for i := range in.Units {
		u := &in.Units[i]
		reset, ok := in.Property.LastReset(u, own[u.ID], first, in.Today)
		if !ok || reset.Year != first {
			continue
		}
		burned = append(burned, i)
		season[i] = -1
		if s, _, ok := in.Property.SeasonOf(reset.On); ok && b.p.Units[i].Allows(s) {
			season[i] = s
		} else {
			b.assume("%s burned on %s, outside the seasons in which it may burn; it is counted in one of them", u.ID, reset.On)
		}
	}
	if b.breaksForGood(burned) {
		return true
	}
	for _, i := range burned {
		u := &b.p.Units[i]
		b.dropLocks(i)
		b.lock(problem.Lock{Unit: i, Year: b.p.FirstYear, Burn: true, Season: season[i]})
		if u.Age+1 < u.MinInterval {
			// It burns in the first year whatever its age, so an age that allows
			// it changes nothing after that.
			b.assume("%s burned in %d at age %d, before its min interval of %d years; the burn stands", u.ID, first, u.Age+1, u.MinInterval)
			u.Age = u.MinInterval - 1
		}
		planned := habitat.PlannedBurn{Unit: u.ID, Year: first}
		if season[i] >= 0 {
			planned.Season = b.p.Seasons[season[i]]
		}
		b.burned = append(b.burned, planned)
	}
	b.giveWay(burned, season)
	return false
}

// breaksForGood says why the burned units break an apart pair or a refuge.
func (b *builder) breaksForGood(burned []int) bool {
	later := fmt.Sprintf("; the plan starts with %d, and the units without a burn on record are taken to rest in %d", b.in.FirstYear+1, b.in.FirstYear)
	for _, pair := range b.p.Apart {
		if slices.Contains(burned, pair[0]) && slices.Contains(burned, pair[1]) {
			b.facts = append(b.facts, fmt.Sprintf("%s and %s, which are kept apart, both burned in %d%s",
				b.p.Units[pair[0]].ID, b.p.Units[pair[1]].ID, b.in.FirstYear, later))
		}
	}
	acres := b.p.RefugeAcres()
	for r, refuge := range b.p.Refuges {
		sum := 0.0
		for _, i := range burned {
			if b.p.Units[i].Refuge == r {
				sum += b.p.Units[i].Acres
			}
		}
		if limit := refuge.MaxShare * acres[r]; !problem.Meets(sum, limit) {
			b.facts = append(b.facts, fmt.Sprintf("%.1f acres of refuge group %s burned in %d, which allows %.1f%s", sum, refuge.Name, b.in.FirstYear, limit, later))
		}
	}
	return len(b.facts) > 0
}

// dropLocks takes away the manager's locks of a unit in the first year: the
// record has overtaken them.
func (b *builder) dropLocks(unit int) {
	b.p.Locks = slices.DeleteFunc(b.p.Locks, func(l problem.Lock) bool {
		gone := l.Unit == unit && l.Year == b.p.FirstYear
		if gone && !l.Burn {
			b.assume("%s was locked to rest in %d but has burned; the record stands", b.p.Units[unit].ID, l.Year)
		}
		return gone
	})
}

// giveWay raises the first year's caps to what has burned already, where that
// is more.
func (b *builder) giveWay(burned []int, season map[int]int) {
	caps := &b.p.Caps[0]
	var acres, cost float64
	days := make([]float64, len(b.p.Seasons))
	for _, i := range burned {
		u := &b.p.Units[i]
		acres += u.Acres
		cost += u.Cost
		if s := season[i]; s >= 0 {
			days[s] += u.BurnDays
			continue
		}
		// The season is left to the solver: any of them must be able to take it.
		for s := range days {
			if u.Allows(s) {
				days[s] += u.BurnDays
			}
		}
	}
	raise := func(limit *float64, sum float64, what string) {
		if !problem.Meets(sum, *limit) {
			b.assume("%d: what has burned already takes %.1f %s, more than the cap of %.1f; the cap gives way", b.in.FirstYear, sum, what, *limit)
			*limit = sum
		}
	}
	raise(&caps.Acres, acres, "acres")
	raise(&caps.Burns, float64(len(burned)), "burns")
	raise(&caps.Cost, cost, "dollars")
	for s := range days {
		raise(&caps.BurnDays[s], days[s], "burn days in "+b.p.Seasons[s])
	}
}

// closedSeasons keeps burns out of seasons that have ended, and out of those
// in which closures and the crew's calendar leave a unit no day.
func (b *builder) closedSeasons() {
	over := make([]bool, len(b.p.Seasons))
	for s := range over {
		if b.in.Property.SeasonSpan(s, b.in.FirstYear).Last.Before(b.in.Today) {
			over[s] = true
			b.capSeason(s)
		}
	}
	usable := b.usableDays()
	for i := range b.p.Units {
		b.closeUnit(i, over, usable)
	}
}

// capSeason lets the season of the first year take no more than is locked.
func (b *builder) capSeason(s int) {
	days := 0.0
	for _, l := range b.p.Locks {
		if l.Year == b.p.FirstYear && l.Burn && (l.Season == s || l.Season < 0) {
			days += b.p.Units[l.Unit].BurnDays
		}
	}
	b.p.Caps[0].BurnDays[s] = min(b.p.Caps[0].BurnDays[s], days)
	b.assume("%s of %d is over: nothing new is planned in it", b.p.Seasons[s], b.in.FirstYear)
}

// usableDays counts, by season and year, the days on which the crew may burn
// some unit that no closure of its own holds back; see closeUnit.
type usableDays struct {
	// open[s][t] holds the workdays of the season that closures of the whole
	// property leave.
	open [][][]date.Day
}

func (b *builder) usableDays() usableDays {
	prop := &b.in.Property
	u := usableDays{open: make([][][]date.Day, len(prop.Seasons))}
	for s := range prop.Seasons {
		u.open[s] = make([][]date.Day, b.p.T())
		for t := range b.p.T() {
			span := prop.SeasonSpan(s, b.in.FirstYear+date.ProgramYear(t))
			for d := span.First; !d.After(span.Last); d = d.AddDays(1) {
				if prop.Crew.IsWorkday(d) && !prop.IsClosed("", d) {
					u.open[s][t] = append(u.open[s][t], d)
				}
			}
		}
	}
	return u
}

// closeUnit takes away seasons that have no usable day for a unit in any year,
// and locks it to rest in years that have none in any season.
func (b *builder) closeUnit(i int, over []bool, usable usableDays) {
	u := &b.p.Units[i]
	rest := make([]int, b.p.T()) // open seasons by year
	for s := range b.p.Seasons {
		if !u.Allows(s) {
			continue
		}
		years := 0
		for t := range rest {
			if slices.ContainsFunc(usable.open[s][t], func(d date.Day) bool { return !b.in.Property.IsClosed(u.ID, d) }) {
				years++
				if t > 0 || !over[s] {
					rest[t]++
				}
			}
		}
		if years == 0 && !b.lockedIn(i, s) {
			b.assume("%s has no usable day in %s: closures and the crew's calendar take them all", u.ID, b.p.Seasons[s])
			u.Penalty[s] = -1
		}
	}
	for t, seasons := range rest {
		year := b.p.FirstYear + t
		lockedBurn := slices.ContainsFunc(b.p.Locks, func(l problem.Lock) bool { return l.Unit == i && l.Year == year && l.Burn })
		if seasons == 0 && !lockedBurn {
			b.lock(problem.Lock{Unit: i, Year: year, Burn: false, Season: -1})
		}
	}
	if !slices.ContainsFunc(u.Penalty, func(p float64) bool { return p >= 0 }) {
		// The problem wants at least one season; the locks keep it out of it.
		u.Penalty[0] = 0
	}
}

// lockedIn reports whether the unit has a locked burn that needs the season.
func (b *builder) lockedIn(unit, season int) bool {
	return slices.ContainsFunc(b.p.Locks, func(l problem.Lock) bool {
		return l.Unit == unit && l.Burn && (l.Season == season || l.Season < 0)
	})
}
