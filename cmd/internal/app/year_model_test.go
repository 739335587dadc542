package app

import (
	"math"
	"slices"
	"time"
)

// The model of TestRandomYears: what a manager with a notebook knows of a property.
// It counts days one by one and calls nothing of the program.

// notebook is the property as the model knows it.
type notebook struct {
	today    time.Time
	seasons  []ownSeason
	crew     ownCrew
	closures []ownClosure
	resets   map[string]bool // treatments that set the stand age back
	grazed   []string        // units that stock grazes
	allGraze bool            // it grazes every one
	units    []*ownUnit
	records  []*ownRecord
	plans    []*ownPlan
	adopted  []adoption
	apart    map[[2]string]bool
	locks    map[unitYear]ownLock
	step     int // counts the changes
	changes  []ownChange
	tasks    []ownTask
	promised float64 // acres of all lines of the contract
	done     map[taskKey]bool
}

type (
	unitYear struct {
		unit string
		year int
	}
	taskKey struct {
		task, unit string
		year       int
	}
	ownLock struct {
		burn   bool
		season string
	}
	// ownChange is something that makes plans of before old.
	ownChange struct {
		step int
		kind string
	}
	ownSeason struct {
		name        string
		first, last [2]int // month and day
	}
	ownClosure struct {
		name        string
		units       []string
		yearly      bool
		first, last time.Time // of yearly ones month and day count
	}
	// ownUnit is a unit with its ground.
	ownUnit struct {
		name        string
		acres       float64
		min, max    int
		guess       *int // an estimated age at the end of guessIn
		guessIn     int
		from, until time.Time // zero: no end
		inMix       bool      // wanted in classes
		inRefuge    bool
		dollars     float64
		days        float64 // burn days
		inContract  bool
		ground      *ownGround
	}
	// ownGround is ground that burns as one, with the fires on it, and the grounds
	// that it was put together from.
	ownGround struct {
		acres float64
		fires []ownFire
		parts []*ownGround
	}
	// ownFire is a share of what a record says.
	ownFire struct {
		record *ownRecord
		share  float64
	}
	ownRecord struct {
		id          int64
		unit        string // as written
		on, through time.Time
		kind        string
		acres       float64 // of a whole one those of the unit then
		whole       bool
		gone        bool
		born, last  int // steps at which it was written first and last
	}
	ownBurn struct {
		unit   string
		year   int
		season string
	}
	ownPlan struct {
		number      int
		step        int // the changes that it knows
		first, last int
		burns       []ownBurn // of its own units under their present names
		become      []ownBurn // of what its units have become
		units       []string  // under their present names
		shared      map[string]ownShare
		standing    string
	}
	// ownShare is a unit as a plan found it: its acres, whether they count in the classes
	// of the mix, whether it is in the refuge, and in the acres whose share that is.
	ownShare struct {
		acres                  float64
		inMix, inRefuge, owned bool
	}
	// adoption says that a plan was adopted on a day.
	adoption struct {
		plan int
		on   time.Time
	}
)

func civil(year, month, day int) time.Time {
	return time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
}

func next(d time.Time, days int) time.Time { return d.AddDate(0, 0, days) }

// plainYear is the twelve months from October on.
func plainYear(d time.Time) int {
	if d.Month() >= time.October {
		return d.Year() + 1
	}
	return d.Year()
}

// span gives the days of a season that ends in a program year.
func (n *notebook) span(season string, year int) (first, last time.Time) {
	for _, s := range n.seasons {
		if s.name != season {
			continue
		}
		last = civil(year, s.last[0], s.last[1])
		if plainYear(last) != year {
			last = civil(year-1, s.last[0], s.last[1])
		}
		first = civil(last.Year(), s.first[0], s.first[1])
		if first.After(last) {
			first = civil(last.Year()-1, s.first[0], s.first[1])
		}
	}
	return first, last
}

// seasonOf gives the season that holds a day; empty outside the seasons.
func (n *notebook) seasonOf(d time.Time) (string, int) {
	for _, s := range n.seasons {
		for year := d.Year() - 1; year <= d.Year()+2; year++ {
			if first, last := n.span(s.name, year); !d.Before(first) && !d.After(last) {
				return s.name, year
			}
		}
	}
	return "", plainYear(d)
}

// coming gives the season under way, or the next one that opens.
func (n *notebook) coming() (string, int) {
	for d := n.today; ; d = next(d, 1) {
		if season, year := n.seasonOf(d); season != "" {
			return season, year
		}
	}
}

func (n *notebook) yearOf(d time.Time) int {
	_, year := n.seasonOf(d)
	return year
}

// holiday reports whether federal offices are closed on a day.
//
// Source: 5 U.S.C. 6103(a) and (b); a Sunday's holiday is kept on Monday by
// Executive Order 11582.
func holiday(d time.Time) bool {
	nth := func(month time.Month, weekday time.Weekday, n int) bool {
		return d.Month() == month && d.Weekday() == weekday && (d.Day()-1)/7 == n-1
	}
	if nth(time.January, time.Monday, 3) || nth(time.February, time.Monday, 3) || d.Month() == time.May && d.Weekday() == time.Monday && d.Day() > 24 ||
		nth(time.September, time.Monday, 1) || nth(time.October, time.Monday, 2) || nth(time.November, time.Thursday, 4) {
		return true
	}
	for _, fixed := range [][2]int{{1, 1}, {6, 19}, {7, 4}, {11, 11}, {12, 25}} {
		for year := d.Year(); year <= d.Year()+1; year++ {
			h := civil(year, fixed[0], fixed[1])
			switch h.Weekday() {
			case time.Saturday:
				h = next(h, -1)
			case time.Sunday:
				h = next(h, 1)
			}
			if h.Equal(d) {
				return true
			}
		}
	}
	return false
}

func (c *ownClosure) holds(d time.Time) bool {
	if !c.yearly {
		return !d.Before(c.first) && !d.After(c.last)
	}
	// A closure that begins or ends on 29 February does so on 1 March of other years.
	day := func(t time.Time) int {
		if t.Month() == time.February && t.Day() == 29 && civil(d.Year(), 2, 29).Month() == time.March {
			return 301
		}
		return int(t.Month())*100 + t.Day()
	}
	if day(c.first) <= day(c.last) {
		return day(d) >= day(c.first) && day(d) <= day(c.last)
	}
	return day(d) >= day(c.first) || day(d) <= day(c.last)
}

// isOpen reports whether nothing but the crew's calendar keeps a unit from burning.
func (n *notebook) isOpen(u *ownUnit, d time.Time) bool {
	if !u.from.IsZero() && d.Before(u.from) || !u.until.IsZero() && d.After(u.until) {
		return false
	}
	return !slices.ContainsFunc(n.closures, func(c ownClosure) bool {
		return (len(c.units) == 0 || slices.Contains(c.units, u.name)) && c.holds(d)
	})
}

// usable gives the days of a season and year on which a unit can burn, from today on
// where the season is under way.
func (n *notebook) usable(u *ownUnit, season string, year int) (days []time.Time) {
	first, last := n.span(season, year)
	if first.Before(n.today) && !n.today.After(last) {
		first = n.today
	}
	return n.usableFrom(u, first, last)
}

func (n *notebook) usableFrom(u *ownUnit, first, last time.Time) (days []time.Time) {
	for d := first; !d.After(last); d = next(d, 1) {
		if n.crew.works(d) && n.isOpen(u, d) {
			days = append(days, d)
		}
	}
	return days
}

// unit finds a unit that is there; nil where none bears the name.
func (n *notebook) unit(name string) *ownUnit {
	for _, u := range n.units {
		if u.name == name {
			return u
		}
	}
	return nil
}

// isRetired reports whether the unit's time was over.
func (n *notebook) isRetired(u *ownUnit) bool { return !u.until.IsZero() && u.until.Before(n.today) }

// present gives the units whose time is not over.
func (n *notebook) present() (all []*ownUnit) {
	for _, u := range n.units {
		if !n.isRetired(u) {
			all = append(all, u)
		}
	}
	return all
}

func (f *ownFire) acres() float64 { return f.record.acres * f.share }

func isFire(kind string) bool { return kind == "prescribed" || kind == "wildfire" }

// all gives the fires on the ground, those on what it was put together from too.
func (g *ownGround) all() (fires []ownFire) {
	for _, part := range g.parts {
		fires = append(fires, part.all()...)
	}
	return append(fires, g.fires...)
}

type ownReset struct {
	year int
	on   time.Time
	kind string
}

// lastReset gives the newest year up to one in which enough of the ground burned: all
// of it together, or part by part.
func (n *notebook) lastReset(g *ownGround, year int) (found ownReset, ok bool) {
	return n.lastResetBy(g, year, n.resets)
}

// lastBurn is lastReset by fire, whatever treatments did since.
func (n *notebook) lastBurn(g *ownGround, year int) time.Time {
	found, _ := n.lastResetBy(g, year, nil)
	return found.on
}

func (n *notebook) lastResetBy(g *ownGround, year int, resets map[string]bool) (found ownReset, ok bool) {
	fires, lastFire := map[int]float64{}, map[int]ownReset{}
	sums, last := map[int]float64{}, map[int]ownReset{}
	for _, f := range g.all() {
		r := f.record
		if r.gone || r.through.After(n.today) || n.yearOf(r.through) > year || !isFire(r.kind) && !resets[r.kind] || f.acres() == 0 {
			continue
		}
		in := n.yearOf(r.through)
		sums[in] += f.acres()
		if was := last[in]; r.through.After(was.on) {
			last[in] = ownReset{in, r.through, r.kind}
		}
		if !isFire(r.kind) {
			continue
		}
		fires[in] += f.acres()
		if r.through.After(lastFire[in].on) {
			lastFire[in] = ownReset{in, r.through, r.kind}
		}
	}
	enough := func(acres float64) bool { return acres >= 0.6*g.acres*(1-1e-6) }
	for in, sum := range sums {
		if enough(sum) && (!ok || in > found.year) {
			if found, ok = last[in], true; enough(fires[in]) {
				found = lastFire[in]
			}
		}
	}
	type aged struct {
		ownReset
		acres float64
	}
	var parts []aged
	for _, part := range g.parts {
		own, has := n.lastResetBy(part, year, resets)
		if ok && (!has || own.year < found.year) {
			own, has = found, true
		}
		if has {
			parts = append(parts, aged{own, part.acres})
		}
	}
	slices.SortStableFunc(parts, func(a, b aged) int {
		if a.year != b.year {
			return b.year - a.year
		}
		return b.on.Compare(a.on)
	})
	sum := 0.0
	for _, part := range parts {
		if sum += part.acres; enough(sum) {
			if !ok || part.year > found.year {
				found, ok = part.ownReset, true
			}
			break
		}
	}
	return found, ok
}

// ownState is what the notebook says of a unit in a year.
type ownState struct {
	last         ownReset
	hasLast      bool
	done         bool
	burned, left float64
	before, now  int
	assumed      bool
}

func (n *notebook) age(u *ownUnit, year int) (age int, assumed bool) {
	if r, ok := n.lastReset(u.ground, year); ok {
		return year - r.year, false
	}
	if u.guess != nil {
		return max(0, *u.guess+year-u.guessIn), true
	}
	return u.max, true
}

func (n *notebook) state(u *ownUnit, year int) (s ownState) {
	s.last, s.hasLast = n.lastReset(u.ground, year)
	s.done = s.hasLast && s.last.year == year
	s.before, s.assumed = n.age(u, year-1)
	s.now, _ = n.age(u, year)
	for _, f := range u.ground.all() {
		if r := f.record; !r.gone && isFire(r.kind) && !r.through.After(n.today) && n.yearOf(r.through) == year {
			s.burned += f.acres()
		}
	}
	s.burned = math.Min(s.burned, u.acres)
	s.left = u.acres - s.burned
	return s
}

// change notes that something changed on which plans rest.
func (n *notebook) change(kind string) {
	n.step++
	n.changes = append(n.changes, ownChange{n.step, kind})
}

// isOld reports whether something changed since a plan was made.
func (n *notebook) isOld(p *ownPlan) bool {
	for _, c := range n.changes {
		if c.step > p.step {
			return true
		}
	}
	for _, b := range p.burns {
		if u := n.unit(b.unit); u != nil && !n.isRetired(u) && n.isOver(b) && !n.state(u, b.year).done {
			return true
		}
	}
	for _, r := range n.records {
		if r.last > p.step && !(r.gone && r.born > p.step) {
			return true
		}
	}
	return false
}

// inForce gives the adopted plan; nil where there is none.
func (n *notebook) inForce() *ownPlan {
	if len(n.adopted) == 0 {
		return nil
	}
	return n.plans[n.adopted[len(n.adopted)-1].plan-1]
}

func (n *notebook) adopt(p *ownPlan) {
	if was := n.inForce(); was != nil {
		was.standing = "superseded"
	}
	p.standing = "adopted"
	n.adopted = append(n.adopted, adoption{p.number, n.today})
}

// shareOf says how a unit counts in a plan of some years.
func (n *notebook) shareOf(u *ownUnit, first, last int) ownShare {
	start, end := civil(first-1, 10, 1), civil(last, 9, 30)
	owned := (u.from.IsZero() || !u.from.After(start)) && (u.until.IsZero() || !u.until.Before(end))
	return ownShare{u.acres, u.inMix && owned, u.inRefuge, owned}
}

// judge gives the plan by which a season of a year is judged: that in force when it
// opened, else the first that was adopted within it; nil for none.
func (n *notebook) judge(season string, year int) *ownPlan {
	first, last := n.span(season, year)
	holds := func(number int) bool { p := n.plans[number-1]; return year >= p.first && year <= p.last }
	opened := 0
	for _, a := range n.adopted {
		if !a.on.After(first) {
			opened = a.plan
		}
	}
	if opened != 0 && holds(opened) {
		return n.plans[opened-1]
	}
	for _, a := range n.adopted {
		if a.on.After(first) && !a.on.After(last) && holds(a.plan) {
			return n.plans[a.plan-1]
		}
	}
	return nil
}

// judged gives the burns of years up to now by which they are judged.
func (n *notebook) judged() (all []ownBurn) {
	now := n.yearOf(n.today)
	for year := now - 10; year <= now; year++ {
		for _, s := range n.seasons {
			if p := n.judge(s.name, year); p != nil {
				for _, b := range p.become {
					if b.year == year && b.season == s.name && !(year == p.first && n.isTreated(b)) {
						all = append(all, b)
					}
				}
			}
		}
	}
	return all
}

// isTreated reports whether a treatment other than fire set the age of a unit that is
// there back in a year.
func (n *notebook) isTreated(b ownBurn) bool {
	u := n.unit(b.unit)
	if u == nil {
		return false
	}
	r, ok := n.lastReset(u.ground, b.year)
	return ok && r.year == b.year && !isFire(r.kind)
}

// missed gives the last burn of each unit that was planned for a season that is over
// and that no burn of its year or later makes good.
func (n *notebook) missed() map[string]ownBurn {
	last := map[string]ownBurn{}
	ends := map[string]time.Time{}
	for _, b := range n.judged() {
		if _, end := n.span(b.season, b.year); end.Before(n.today) && end.After(ends[b.unit]) {
			last[b.unit], ends[b.unit] = b, end
		}
	}
	for name, b := range last {
		u := n.unit(name)
		if u == nil || n.isRetired(u) {
			delete(last, name)
			continue
		}
		if r, ok := n.lastReset(u.ground, n.yearOf(n.today)); ok && r.year >= b.year {
			delete(last, name)
		}
	}
	return last
}

// cut gives a part of a ground with its share of every fire.
func (g *ownGround) cut(share float64) *ownGround {
	part := &ownGround{acres: g.acres * share}
	for _, f := range g.fires {
		part.fires = append(part.fires, ownFire{f.record, f.share * share})
	}
	for _, of := range g.parts {
		part.parts = append(part.parts, of.cut(share))
	}
	return part
}

// split makes parts of a unit; the plans of before know the whole alone.
func (n *notebook) split(u *ownUnit, names []string, acres []float64) {
	at := slices.Index(n.units, u)
	n.units = slices.Delete(n.units, at, at+1)
	for i, name := range names {
		part := *u
		part.name, part.acres, part.ground, part.dollars = name, acres[i], u.ground.cut(acres[i]/u.acres), math.Round(u.dollars*acres[i]/u.acres*100)/100
		if u.days > 1 {
			part.days = max(1, math.Ceil(2*u.days*acres[i]/u.acres)/2)
		}
		n.units = append(n.units, &part)
	}
	n.replace([]string{u.name}, names)
	n.change("split")
}

// merge makes one unit of two that burn alike.
func (n *notebook) merge(a, b *ownUnit, name string) {
	one := *a
	one.name, one.acres, one.dollars, one.inContract = name, a.acres+b.acres, a.dollars+b.dollars, a.inContract || b.inContract
	one.days = a.days + b.days
	one.ground = &ownGround{acres: one.acres, parts: []*ownGround{a.ground, b.ground}}
	n.guessOf(&one, a, b)
	n.units = slices.DeleteFunc(n.units, func(u *ownUnit) bool { return u == a || u == b })
	n.units = append(n.units, &one)
	n.replace([]string{a.name, b.name}, []string{name})
	n.change("merge")
}

// guessOf estimates the age of a merged unit where not every part has a burn on
// record: the age that enough of its acres have, or are younger.
func (n *notebook) guessOf(one, a, b *ownUnit) {
	one.guess, one.guessIn = nil, 0
	year := plainYear(n.today) - 1
	ageA, guessedA := n.age(a, year)
	ageB, guessedB := n.age(b, year)
	if !guessedA && !guessedB {
		return
	}
	young, old, acres := ageA, ageB, a.acres
	if ageB < ageA {
		young, old, acres = ageB, ageA, b.acres
	}
	age := old
	if acres >= 0.6*one.acres*(1-1e-6) {
		age = young
	}
	one.guess, one.guessIn = &age, year
}

// replace lets pairs, locks, tasks and closures speak of the units that others became,
// and says what became of the burns of plans.
func (n *notebook) replace(from, to []string) {
	now := func(name string) []string {
		if slices.Contains(from, name) {
			return to
		}
		return []string{name}
	}
	pairs := map[[2]string]bool{}
	for pair := range n.apart {
		for _, a := range now(pair[0]) {
			for _, b := range now(pair[1]) {
				if a != b && !(slices.Contains(from, pair[0]) && slices.Contains(from, pair[1])) {
					pairs[[2]string{min(a, b), max(a, b)}] = true
				}
			}
		}
	}
	n.apart = pairs
	locks := map[unitYear]ownLock{}
	for at, lock := range n.locks {
		for _, name := range now(at.unit) {
			locks[unitYear{name, at.year}] = lock
		}
	}
	n.locks = locks
	count := map[taskKey]int{}
	for key := range n.done {
		for _, name := range now(key.unit) {
			count[taskKey{key.task, name, key.year}]++
		}
	}
	n.done = map[taskKey]bool{}
	for key, times := range count {
		n.done[key] = !slices.Contains(to, key.unit) || times >= len(from)
	}
	for key, is := range n.done {
		if !is {
			delete(n.done, key)
		}
	}
	list := func(units []string) (names []string) {
		for _, name := range units {
			for _, one := range now(name) {
				if !slices.Contains(names, one) {
					names = append(names, one)
				}
			}
		}
		return names
	}
	for i := range n.closures {
		n.closures[i].units = list(n.closures[i].units)
	}
	n.grazed = list(n.grazed)
	for _, p := range n.plans {
		var become []ownBurn
		parts := map[int]int{}
		for _, b := range p.become {
			if !slices.Contains(from, b.unit) {
				become = append(become, b)
				continue
			}
			if parts[b.year]++; parts[b.year] < len(from) {
				continue
			}
			for _, name := range to {
				become = append(become, ownBurn{name, b.year, b.season})
			}
		}
		p.become = become
	}
}

// rename gives a unit another name; plans follow.
func (n *notebook) rename(u *ownUnit, name string) {
	was := u.name
	u.name = name
	n.replace([]string{was}, []string{name})
	for _, p := range n.plans {
		for i := range p.burns {
			if p.burns[i].unit == was {
				p.burns[i].unit = name
			}
		}
		for i := range p.units {
			if p.units[i] == was {
				p.units[i] = name
				p.shared[name] = p.shared[was]
				delete(p.shared, was)
			}
		}
	}
	n.change("rename")
}
