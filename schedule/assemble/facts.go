package assemble

import (
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
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
		if reset.By != "" {
			b.treated(i, 0, reset)
			continue
		}
		if s, _, ok := in.Property.SeasonOf(reset.On); ok && b.p.Units[i].Allows(s) {
			season[i] = s
		} else {
			b.assume(BurnedOutOfSeason{u.ID, reset.On})
		}
	}
	if b.breaksForGood(burned) {
		return true
	}
	for _, i := range burned {
		u := &b.p.Units[i]
		b.dropLocks(i)
		b.lock(problem.Lock{Unit: i, Year: b.p.FirstYear, Burn: true, Season: season[i], By: problem.ByRecord})
		if u.Age+1 < u.MinInterval && b.treatments[i] {
			u.Age = u.MinInterval - 1
		} else if u.Age+1 < u.MinInterval {
			// It burns in the first year whatever its age, so an age that allows
			// it changes nothing after that.
			b.assume(BurnedEarly{Unit: u.ID, Year: first, Age: u.Age + 1, MinInterval: u.MinInterval})
			u.Age = u.MinInterval - 1
		}
		planned := habitat.PlannedBurn{Unit: u.ID, Year: first}
		if season[i] >= 0 {
			planned.Season = b.p.Seasons[season[i]]
		}
		b.burned = append(b.burned, planned)
	}
	b.giveWay(0, burned, season)
	b.begun(own)
	return false
}

// begun locks what has burned, or had its age set back, in a season of the second year that is under way: one
// that the program year's first day cuts belongs whole to the year in which it ends.
func (b *builder) begun(own map[string][]habitat.BurnRecord) {
	in, second := b.in, b.in.FirstYear+1
	if b.p.T() < 2 || in.Property.YearOf(in.Today) < second || in.Property.YearStart.Of(in.Today) >= second {
		return
	}
	var burned []int
	season := make(map[int]int)
	for i := range in.Units {
		u, p := &in.Units[i], &b.p.Units[i]
		reset, ok := in.Property.LastReset(u, own[u.ID], second, in.Today)
		if !ok || reset.Year != second {
			continue
		}
		apart := slices.ContainsFunc(burned, func(j int) bool { return slices.Contains(b.p.Apart, [2]int{j, i}) })
		if apart || p.MinInterval > 1 && b.hasBurned(u.ID, in.FirstYear) {
			if reset.By == "" {
				b.assume(BurnNotCounted{Unit: u.ID, Year: second, On: reset.On})
			}
			continue
		}
		season[i] = -1
		if reset.By != "" {
			b.treated(i, 1, reset)
		} else if s, _, ok := in.Property.SeasonOf(reset.On); ok && p.Allows(s) {
			season[i] = s
		}
		burned = append(burned, i)
		b.p.Locks = slices.DeleteFunc(b.p.Locks, func(l problem.Lock) bool {
			return l.Unit == i && (l.Year == int(second) || l.Year == int(in.FirstYear) && l.Burn && p.MinInterval > 1)
		})
		b.lock(problem.Lock{Unit: i, Year: int(second), Burn: true, Season: season[i], By: problem.ByRecord})
		p.Age = max(p.Age, p.MinInterval-2) // it burned, whatever its age
		planned := habitat.PlannedBurn{Unit: u.ID, Year: second}
		if season[i] >= 0 {
			planned.Season = b.p.Seasons[season[i]]
		}
		b.burned = append(b.burned, planned)
	}
	b.giveWay(1, burned, season)
}

// treated lets a treatment other than fire that set a unit's age back in year t stand as
// its burn, which takes nothing of what may burn: the limits grow by what it takes.
func (b *builder) treated(i, t int, reset habitat.Reset) {
	u, caps := &b.p.Units[i], &b.p.Caps[t]
	if b.treatments == nil {
		b.treatments = map[int]bool{}
	}
	b.treatments[i] = true
	caps.Acres += u.Acres
	caps.Burns++
	caps.Cost += u.Cost
	for s := range caps.BurnDays {
		if u.Allows(s) {
			caps.BurnDays[s] += u.BurnDays
		}
	}
	b.assume(AgeSetBack{u.ID, reset, b.yearOf(t)})
}

// breaksForGood says why the burned units break an apart pair or a refuge.
func (b *builder) breaksForGood(burned []int) bool {
	for _, pair := range b.p.Apart {
		if slices.Contains(burned, pair[0]) && slices.Contains(burned, pair[1]) {
			b.facts = append(b.facts, ApartBurned{b.p.Units[pair[0]].ID, b.p.Units[pair[1]].ID, b.in.FirstYear})
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
			b.facts = append(b.facts, RefugeBurned{refuge.Name, b.in.FirstYear, quantity.Acres(sum), quantity.Acres(limit)})
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
			b.assume(LockOvertaken{Unit: b.p.Units[unit].ID, Year: date.ProgramYear(l.Year)})
		}
		return gone
	})
}

// giveWay raises a year's caps to what has burned in it already, where that is more.
func (b *builder) giveWay(t int, burned []int, season map[int]int) {
	caps := &b.p.Caps[t]
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
	raise := func(limit *float64, sum float64, of CapKind, season string) {
		if !problem.Meets(sum, *limit) {
			b.assume(CapGivesWay{Year: b.yearOf(t), Of: of, Season: season, Sum: sum, Capped: *limit})
			*limit = sum
		}
	}
	raise(&caps.Acres, acres, CapAcres, "")
	raise(&caps.Burns, float64(len(burned)), CapBurns, "")
	raise(&caps.Cost, cost, CapDollars, "")
	for s := range days {
		raise(&caps.BurnDays[s], days[s], CapBurnDays, b.p.Seasons[s])
	}
}
