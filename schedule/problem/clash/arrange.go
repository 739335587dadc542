package clash

import (
	"cmp"
	"math"
	"slices"

	"emberquilt/schedule/problem"
)

// Arrange gives every locked burn with a season, in order of year and unit,
// such that all of them meet every requirement. Where that is impossible it
// gives the clashes instead, in order of year, then of requirement.
func Arrange(p *problem.Problem) ([]problem.Burn, []problem.Clash) {
	f := newFinder(p)
	f.contradictions()
	f.rests()
	var burns []problem.Burn
	for t := range p.T() {
		f.year = p.FirstYear + t
		f.sums(t)
		f.pairs()
		burns = append(burns, f.seasons(t)...)
	}
	if len(f.clashes) > 0 {
		slices.SortStableFunc(f.clashes, func(a, b problem.Clash) int { return cmp.Compare(a.Year, b.Year) })
		return nil, f.clashes
	}
	return burns, nil
}

// Find gives the clashes alone; none means that a plan exists.
func Find(p *problem.Problem) []problem.Clash {
	_, clashes := Arrange(p)
	return clashes
}

// finder gathers clashes.
type finder struct {
	p       *problem.Problem
	clashes []problem.Clash
	// locked holds, for each year, the units that are locked to burn, ascending.
	locked [][]lockedBurn
	// others holds the locked burns that name another season than the one that
	// speaks for their unit and year.
	others [][]lockedBurn
	// year is the program year in work.
	year int
	// open reports whether a unit may burn in a season of a year.
	open func(unit, year, season int) bool
}

// lockedBurn is a unit and year with the lock that speaks for it: of several,
// the first that names a season.
type lockedBurn struct{ problem.Lock }

func newFinder(p *problem.Problem) *finder {
	f := &finder{p: p, locked: make([][]lockedBurn, p.T()), others: make([][]lockedBurn, p.T()), open: p.Allowed()}
	for _, l := range p.Locks {
		if !l.Burn {
			continue
		}
		year := &f.locked[l.Year-p.FirstYear]
		at := slices.IndexFunc(*year, func(b lockedBurn) bool { return b.Unit == l.Unit })
		switch {
		case at < 0:
			*year = append(*year, lockedBurn{l})
		case (*year)[at].Season < 0:
			(*year)[at] = lockedBurn{l}
		case l.Season >= 0 && l.Season != (*year)[at].Season:
			f.others[l.Year-p.FirstYear] = append(f.others[l.Year-p.FirstYear], lockedBurn{l})
		}
	}
	for t := range f.locked {
		slices.SortFunc(f.locked[t], func(a, b lockedBurn) int { return cmp.Compare(a.Unit, b.Unit) })
	}
	return f
}

// add notes a clash of the locks in burns.
func (f *finder) add(c problem.Clash, burns ...lockedBurn) {
	for _, b := range burns {
		c.Locks = append(c.Locks, b.Lock)
	}
	// Sums of decimal fractions are shown as the fractions they stand for.
	c.Needed, c.Allowed = math.Round(c.Needed*1e9)/1e9, math.Round(c.Allowed*1e9)/1e9
	f.clashes = append(f.clashes, c)
}

func (f *finder) clash(requirement problem.Requirement) problem.Clash {
	return problem.Clash{Requirement: requirement, Year: f.year, Season: -1, Refuge: -1}
}

// contradictions finds locks on one unit and year that contradict one another.
func (f *finder) contradictions() {
	type place struct{ unit, year int }
	first := map[place][]problem.Lock{}
	for _, l := range f.p.Locks {
		at := place{l.Unit, l.Year}
		for _, other := range first[at] {
			seasons := l.Burn && other.Burn && l.Season >= 0 && other.Season >= 0 && l.Season != other.Season
			if l.Burn == other.Burn && !seasons {
				continue
			}
			f.year = l.Year
			c := f.clash(problem.RequireLock)
			c.Text = f.contradictionText(other, l)
			f.add(c, lockedBurn{other}, lockedBurn{l})
			break
		}
		first[at] = append(first[at], l)
	}
}

// rests finds locked burns that follow the last burn too soon: each against
// the age at the start, and against the locked burn before it.
func (f *finder) rests() {
	last := make([]*lockedBurn, len(f.p.Units))
	for t := range f.locked {
		f.year = f.p.FirstYear + t
		for k := range f.locked[t] {
			b := &f.locked[t][k]
			u := &f.p.Units[b.Unit]
			c := f.clash(problem.RequireRest)
			c.HasNumbers, c.Needed = true, float64(u.MinInterval)
			if u.Age+t+1 < u.MinInterval {
				c.Allowed = float64(u.Age + t + 1)
				c.Text = f.youngText(b, c.Allowed)
				f.add(c, *b)
			}
			if before := last[b.Unit]; before != nil && b.Year-before.Year < u.MinInterval {
				c.Allowed = float64(b.Year - before.Year)
				c.Text = f.tooSoonText(before, b)
				f.add(c, *before, *b)
			}
			last[b.Unit] = b
		}
	}
}

// sums finds caps and refuge shares that the locked burns of a year exceed.
func (f *finder) sums(t int) {
	caps := &f.p.Caps[t]
	all := f.locked[t]
	unit := func(b lockedBurn) *problem.Unit { return &f.p.Units[b.Unit] }
	f.sum(problem.RequireAcres, -1, all, caps.Acres, func(b lockedBurn) float64 { return unit(b).Acres })
	f.sum(problem.RequireBurns, -1, all, caps.Burns, func(lockedBurn) float64 { return 1 })
	f.sum(problem.RequireCost, -1, all, caps.Cost, func(b lockedBurn) float64 { return unit(b).Cost })
	if len(all) == 0 {
		return
	}
	groupAcres := f.p.RefugeAcres()
	members := make([][]lockedBurn, len(f.p.Refuges))
	for _, b := range all {
		if r := unit(b).Refuge; r >= 0 {
			members[r] = append(members[r], b)
		}
	}
	for r, group := range f.p.Refuges {
		f.sum(problem.RequireRefuge, r, members[r], group.MaxShare*groupAcres[r], func(b lockedBurn) float64 { return unit(b).Acres })
	}
}

// sum names smallest sets of burns whose amounts together exceed a limit. The
// fewest that exceed it are the largest ones.
func (f *finder) sum(requirement problem.Requirement, refuge int, burns []lockedBurn, limit float64, amount func(lockedBurn) float64) {
	rest := slices.Clone(burns)
	slices.SortStableFunc(rest, func(a, b lockedBurn) int { return cmp.Compare(amount(b), amount(a)) })
	for {
		total, n := 0.0, 0
		for n < len(rest) && problem.Meets(total, limit) {
			total += amount(rest[n])
			n++
		}
		if problem.Meets(total, limit) {
			return
		}
		set := byUnit(rest[:n])
		c := f.clash(requirement)
		c.Refuge = refuge
		c.HasNumbers, c.Needed, c.Allowed = true, total, limit
		c.Text = f.sumText(&c, set)
		f.add(c, set...)
		rest = rest[n:]
	}
}

func byUnit(burns []lockedBurn) []lockedBurn {
	set := slices.Clone(burns)
	slices.SortFunc(set, func(a, b lockedBurn) int { return cmp.Compare(a.Unit, b.Unit) })
	return set
}

// pairs finds apart pairs of which both units are locked to burn.
func (f *finder) pairs() {
	burns := f.locked[f.year-f.p.FirstYear]
	if len(burns) < 2 {
		return
	}
	of := make(map[int]*lockedBurn, len(burns))
	for k := range burns {
		of[burns[k].Unit] = &burns[k]
	}
	for _, pair := range f.p.Apart {
		first, second := of[pair[0]], of[pair[1]]
		if first == nil || second == nil {
			continue
		}
		c := f.clash(problem.RequireApart)
		c.HasNumbers, c.Needed, c.Allowed = true, 2, 1
		c.Text = f.apartText(*first, *second)
		f.add(c, *first, *second)
	}
}

// seasons gives the locked burns of a year their seasons, or names the locks
// whose season is not allowed and those whose days do not fit.
func (f *finder) seasons(t int) []problem.Burn {
	for _, b := range f.others[t] { // clashes already; alone it may clash once more
		f.pack(t, []lockedBurn{b})
	}
	return f.pack(t, f.locked[t])
}

func (f *finder) pack(t int, locked []lockedBurn) []problem.Burn {
	k := packing{days: f.p.Caps[t].BurnDays}
	for _, b := range locked {
		item := item{lockedBurn: b, days: f.p.Units[b.Unit].BurnDays, seasons: f.allowed(b)}
		if len(item.seasons) == 0 {
			c := f.clash(problem.RequireSeason)
			c.Season = b.Season
			c.Text = f.seasonText(b)
			f.add(c, b)
			continue
		}
		k.items = append(k.items, item)
	}
	for {
		chosen, ok := k.fit()
		if ok {
			burns := make([]problem.Burn, len(chosen))
			for i, season := range chosen {
				burns[i] = problem.Burn{Unit: k.items[i].Unit, Year: f.year, Season: season}
			}
			return burns
		}
		set, season, needed, allowed := k.smallestMisfit()
		c := f.clash(problem.RequireBurnDays)
		c.Season = season
		c.HasNumbers, c.Needed, c.Allowed = true, needed, allowed
		c.Text = f.daysText(&c, set)
		f.add(c, set...)
		k.items = slices.DeleteFunc(k.items, func(i item) bool { return slices.Contains(set, i.lockedBurn) })
	}
}

// allowed lists the seasons that a locked burn may take, those with the least
// penalty first.
func (f *finder) allowed(b lockedBurn) []int {
	u := &f.p.Units[b.Unit]
	var seasons []int
	for s := range f.p.Seasons {
		if f.open(b.Unit, b.Year, s) && (b.Season < 0 || b.Season == s) {
			seasons = append(seasons, s)
		}
	}
	slices.SortStableFunc(seasons, func(a, b int) int { return cmp.Compare(u.Penalty[a], u.Penalty[b]) })
	return seasons
}
