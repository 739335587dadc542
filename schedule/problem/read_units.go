package problem

import (
	"emberquilt/habitat/source"
	"emberquilt/habitat/source/jsonscan"
)

func (rd *reader) unitList(o object) {
	rd.units = newNameSet()
	const accepts = "a list of at least one unit"
	at := o.need("units", accepts)
	if at == nil {
		rd.units.broken = true
		return
	}
	items := rd.items(at, accepts)
	if len(items) == 0 {
		rd.units.broken = true
		if at.value.Kind == jsonscan.Array {
			rd.bad(at, accepts, "there is no unit")
		}
	}
	rd.p.Units = make([]Unit, len(items))
	for i, item := range items {
		rd.unit(item, i)
	}
}

func (rd *reader) unit(item *place, index int) {
	u := &rd.p.Units[index]
	*u = Unit{BurnDays: 1, Mix: -1, Refuge: -1}
	o, ok := rd.object(item, "id", "acres", "min_interval", "max_interval", "age", "seasons", "burn_days", "cost", "mix", "refuge")
	if !ok {
		rd.units.broken = true
		return
	}
	if at := o.need("id", nameAccepts); at != nil {
		u.ID, _ = rd.define(at, rd.units, index, "each unit once")
	} else {
		rd.units.broken = true
	}
	const accepts = "acres above 0, up to 1000000000"
	if at := o.need("acres", accepts); at != nil {
		var ok bool
		if u.Acres, ok = rd.number(at, 0, MaxAcres, true, accepts); ok {
			rd.isSome(at, u.Acres)
		}
	}
	rd.interval(o, u)
	if at := o.need("age", "a whole number of years, 0 or more"); at != nil {
		u.Age, _ = rd.integer(at, 0, MaxInterval, "a whole number of years, 0 or more")
	}
	rd.penalties(o, u)
	if at := o.get("burn_days"); at != nil {
		u.BurnDays, _ = rd.amount(at, "burn days", MaxAmount)
	}
	if at := o.get("cost"); at != nil {
		u.Cost, _ = rd.amount(at, "dollars", MaxAmount)
	}
	if at := o.get("mix"); at != nil {
		if m, ok := rd.reference(at, "one of the mixes", rd.mixes); ok {
			u.Mix = m
		}
	}
	if at := o.get("refuge"); at != nil {
		if r, ok := rd.reference(at, "one of the refuges", rd.refuges); ok {
			u.Refuge = r
		}
	}
}

func (rd *reader) interval(o object, u *Unit) {
	const accepts = "a whole number of years, 1 or more"
	minGood, maxGood := false, false
	if at := o.need("min_interval", accepts); at != nil {
		u.MinInterval, minGood = rd.integer(at, 1, MaxInterval, accepts)
	}
	at := o.need("max_interval", accepts)
	if at != nil {
		u.MaxInterval, maxGood = rd.integer(at, 1, MaxInterval, accepts)
	}
	if minGood && maxGood && u.MaxInterval < u.MinInterval {
		rd.bad(at, "a whole number of years, "+plain(float64(u.MinInterval))+" or more",
			"%d is below min_interval %d", u.MaxInterval, u.MinInterval)
	}
}

// penalties reads the allowed seasons of a unit. A unit without any is allowed:
// it rests, and a warning says so.
func (rd *reader) penalties(o object, u *Unit) {
	u.Penalty = make([]float64, len(rd.p.Seasons))
	for s := range u.Penalty {
		u.Penalty[s] = -1
	}
	const accepts = "an object with a penalty factor, 0 or more, for each allowed season"
	at := o.need("seasons", accepts)
	if at == nil {
		return
	}
	for _, entry := range rd.entries(at, accepts) {
		s, known := rd.season(entry)
		if !known {
			continue
		}
		if p, ok := rd.amount(entry, "a penalty factor", MaxAmount); ok {
			u.Penalty[s] = p
		}
	}
}

// pairs reads apart and neighbor pairs. A pair in both is apart.
func (rd *reader) pairs(o object) {
	apart := map[[2]int]bool{}
	if at := o.get("apart"); at != nil {
		rd.p.Apart = rd.pairList(at, apart)
	}
	if at := o.get("neighbours"); at != nil {
		for _, pair := range rd.pairList(at, map[[2]int]bool{}) {
			if !apart[pair] {
				rd.p.Neighbors = append(rd.p.Neighbors, pair)
			}
		}
	}
}

func (rd *reader) pairList(at *place, seen map[[2]int]bool) [][2]int {
	var pairs [][2]int
	for _, item := range rd.items(at, "a list of pairs of units") {
		ends := rd.items(item, "a pair of units")
		if item.value.Kind != jsonscan.Array {
			continue
		}
		if len(ends) != 2 {
			rd.bad(item, "a list of two units", "a list of %d", len(ends))
			continue
		}
		i, first := rd.reference(ends[0], "a unit", rd.units)
		j, second := rd.reference(ends[1], "a unit", rd.units)
		if !first || !second {
			continue
		}
		pair := [2]int{min(i, j), max(i, j)}
		switch {
		case i == j:
			rd.bad(item, "two units", "unit %s with itself", source.Quote(rd.p.Units[i].ID))
		case seen[pair]:
			rd.bad(item, "each pair once, in either order", "the pair of %s and %s is listed twice",
				source.Quote(rd.p.Units[i].ID), source.Quote(rd.p.Units[j].ID))
		default:
			seen[pair] = true
			pairs = append(pairs, pair)
		}
	}
	return pairs
}

// closed reads the seasons that are closed to units.
func (rd *reader) closed(o object) {
	at := o.get("closed")
	if at == nil {
		return
	}
	seen := map[Closed]bool{}
	for _, item := range rd.items(at, "a list of closed seasons") {
		o, ok := rd.object(item, "unit", "year", "season")
		if !ok {
			continue
		}
		c := Closed{Season: -1}
		var unitGood, yearGood bool
		seasonGood := true
		if at := o.need("unit", "the id of a unit"); at != nil {
			c.Unit, unitGood = rd.reference(at, "a unit", rd.units)
		}
		if at := o.need("year", "a program year of the plan"); at != nil {
			c.Year, yearGood = rd.year(at)
		}
		if at := o.get("season"); at != nil {
			c.Season, seasonGood = rd.reference(at, "a season", rd.seasons)
		}
		if unitGood && yearGood && seasonGood && !seen[c] {
			seen[c] = true
			rd.p.Closed = append(rd.p.Closed, c)
		}
	}
}

func (rd *reader) locks(o object) {
	at := o.get("locks")
	if at == nil {
		return
	}
	seen := map[Lock]bool{}
	for _, item := range rd.items(at, "a list of locks") {
		if l, ok := rd.lock(item); ok && !seen[l] {
			seen[l] = true
			rd.p.Locks = append(rd.p.Locks, l)
		}
	}
}

func (rd *reader) lock(item *place) (Lock, bool) {
	l := Lock{Season: -1}
	o, ok := rd.object(item, "unit", "year", "burn", "season")
	if !ok {
		return l, false
	}
	var unitGood, yearGood, burnGood bool
	if at := o.need("unit", "the id of a unit"); at != nil {
		l.Unit, unitGood = rd.reference(at, "a unit", rd.units)
	}
	if at := o.need("year", "a program year of the plan"); at != nil {
		l.Year, yearGood = rd.year(at)
	}
	if at := o.need("burn", "true or false"); at != nil {
		l.Burn, burnGood = rd.flag(at)
	}
	good := unitGood && yearGood && burnGood
	if at := o.get("season"); at != nil {
		s, ok := rd.reference(at, "a season", rd.seasons)
		if ok && burnGood && !l.Burn {
			rd.bad(at, "a season for locked burns only", "a locked rest with a season")
			ok = false
		}
		l.Season, good = s, good && ok
	}
	return l, good
}

func (rd *reader) previous(o object) {
	at := o.get("previous")
	if at != nil {
		rd.previousBurns(at)
	}
	keep := o.get("keep_years")
	if keep == nil {
		return
	}
	k, ok := rd.integer(keep, 0, 2*MaxYears, "a whole number of years, 0 or more")
	switch {
	case !ok:
	case rd.horizon && k > rd.p.T():
		rd.bad(keep, "0 to "+plain(float64(rd.p.T()))+", the years of the plan and its lookahead", "%d is longer than the plan", k)
	case k > 0 && at == nil:
		rd.bad(keep, "keep_years together with previous (an empty list means that all rested)", "%d without a previous plan", k)
	default:
		rd.p.KeepYears = k
	}
}

func (rd *reader) previousBurns(at *place) {
	seen := map[UnitYear]bool{}
	for _, item := range rd.items(at, "a list of burns") {
		o, ok := rd.object(item, "unit", "year")
		if !ok {
			continue
		}
		var burn UnitYear
		var unitGood, yearGood bool
		if at := o.need("unit", "the id of a unit"); at != nil {
			burn.Unit, unitGood = rd.reference(at, "a unit", rd.units)
		}
		if at := o.need("year", "a program year of the plan"); at != nil {
			burn.Year, yearGood = rd.year(at)
		}
		if unitGood && yearGood && !seen[burn] {
			seen[burn] = true
			rd.p.Previous = append(rd.p.Previous, burn)
		}
	}
}
