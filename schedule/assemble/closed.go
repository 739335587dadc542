package assemble

import (
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/schedule/problem"
)

// workdays are the days of each season and year, by [season][year], on which
// the crew works and no closure of the whole property stands; of a season under way,
// which may be one of the second year, only those from today on.
type workdays [][][]date.Day

func (b *builder) workdays() workdays {
	prop := &b.in.Property
	all := make(workdays, len(prop.Seasons))
	for s := range prop.Seasons {
		all[s] = make([][]date.Day, b.p.T())
		for t := range b.p.T() {
			span := prop.SeasonSpan(s, b.yearOf(t))
			if span.First.Before(b.in.Today) {
				span.First = b.in.Today
			}
			for d := span.First; !d.After(span.Last); d = d.AddDays(1) {
				if prop.Crew.IsWorkday(d) && !prop.IsClosed("", d) {
					all[s][t] = append(all[s][t], d)
				}
			}
		}
	}
	return all
}

func (b *builder) yearOf(t int) date.ProgramYear { return b.in.FirstYear + date.ProgramYear(t) }

// closedSeasons closes each season to the units that have no usable day in it in
// a year, that year and no other, and caps the burn days of a season at its
// usable days. What has burned already stands, and takes none of the days to
// come.
func (b *builder) closedSeasons() {
	days := b.workdays()
	for s := range b.p.Seasons {
		over := b.in.Property.SeasonSpan(s, b.in.FirstYear).Last.Before(b.in.Today)
		if over {
			b.assume(SeasonOver{b.p.Seasons[s], b.in.FirstYear})
			b.overtakenLocks(s)
		}
		years := make([][]int, b.p.T()) // the units that are closed, by year
		never, allowed := NeverOpen{Season: b.p.Seasons[s]}, 0
		for i := range b.p.Units {
			if b.p.Units[i].Allows(s) {
				if allowed++; b.closeUnit(i, s, over, days[s], years) {
					never.Units = append(never.Units, b.p.Units[i].ID)
				}
			}
		}
		if never.All = len(never.Units) == allowed; len(never.Units) > 0 {
			b.assume(never)
		}
		for t, units := range years {
			if len(units) > 0 && !(t == 0 && over) {
				b.assume(b.closedTo(s, t, units))
			}
		}
		for t := range days[s] {
			b.capDays(s, t, days[s][t])
		}
	}
}

// closeUnit closes the years of a season that have no usable day for a unit. It reports
// whether no year has one; else the closed ones are added to years.
func (b *builder) closeUnit(i, s int, over bool, days [][]date.Day, years [][]int) (never bool) {
	u := &b.p.Units[i]
	var closed []int
	open := false
	for t := range days {
		if b.isOpen(u.ID, days[t]) {
			open = true
			continue
		}
		// A season that is over is not a closure of the years to come.
		open = open || t == 0 && over
		if !b.hasBurned(u.ID, b.yearOf(t)) {
			b.p.Closed = append(b.p.Closed, problem.Closed{Unit: i, Year: int(b.yearOf(t)), Season: s})
			if b.isOwnedIn(u.ID, s, t) { // that a unit is not owned is an assumption of its own
				closed = append(closed, t)
			}
		}
	}
	if !open {
		return true
	}
	for _, t := range closed {
		years[t] = append(years[t], i)
	}
	return false
}

// isOwnedIn reports whether a unit is the property's at the beginning or the end of a
// season.
func (b *builder) isOwnedIn(unit string, s, t int) bool {
	span, owned := b.in.Property.SeasonSpan(s, b.yearOf(t)), b.in.Property.Owned[unit]
	return owned.Has(span.First) || owned.Has(span.Last)
}

func (b *builder) isOpen(unit string, days []date.Day) bool {
	return slices.ContainsFunc(days, func(d date.Day) bool { return !b.in.Property.IsClosed(unit, d) })
}

// closedTo is a season that is closed to units in a year.
func (b *builder) closedTo(s, t int, units []int) SeasonClosed {
	closed := SeasonClosed{Season: b.p.Seasons[s], Year: b.yearOf(t)}
	allowed := 0
	for i := range b.p.Units {
		if b.p.Units[i].Allows(s) {
			allowed++
		}
	}
	for _, i := range units {
		closed.Units = append(closed.Units, b.p.Units[i].ID)
	}
	closed.All = len(units) == allowed
	return closed
}

// overtakenLocks drops the manager's locks of burns in a season of the first
// year that is over: what did not burn in it will not. Burns on record keep
// theirs.
func (b *builder) overtakenLocks(s int) {
	b.p.Locks = slices.DeleteFunc(b.p.Locks, func(l problem.Lock) bool {
		u := &b.p.Units[l.Unit]
		gone := l.Year == b.p.FirstYear && l.Burn && l.Season == s && !b.hasBurned(u.ID, b.in.FirstYear)
		if gone {
			b.assume(LockOvertaken{u.ID, b.p.Seasons[s], date.ProgramYear(l.Year)})
		}
		return gone
	})
}

// capDays caps the burn days of a season and year at what the days hold on which some
// unit may burn, and at those that the weather lets expect. Days that were
// burned already come on top.
func (b *builder) capDays(s, t int, days []date.Day) {
	wanted, used, usable := 0.0, 0.0, 0
	for i := range b.p.Units {
		if u := &b.p.Units[i]; u.Allows(s) {
			wanted += u.BurnDays
			if b.mayHaveBurned(u.ID, s, t) {
				used += u.BurnDays
			}
		}
	}
	for _, d := range days {
		for i := range b.p.Units {
			if u := &b.p.Units[i]; u.Allows(s) && !b.in.Property.IsClosed(u.ID, d) {
				usable++
				break
			}
		}
	}
	most := float64(usable) * b.in.Property.BurnDaysADay()
	if expected, ok := b.in.ExpectedDays[b.yearOf(t)][b.p.Seasons[s]]; ok {
		most = min(most, expected)
	}
	if most+used < wanted {
		limit := &b.p.Caps[t].BurnDays[s]
		*limit = min(*limit, most+used)
	}
}

// mayHaveBurned reports whether a burn of the unit in a year is on record, in a
// season or in none that is known.
func (b *builder) mayHaveBurned(unit string, s, t int) bool {
	for _, r := range b.burned {
		if r.Unit == unit && r.Year == b.yearOf(t) {
			return r.Season == "" || r.Season == b.p.Seasons[s]
		}
	}
	return false
}
