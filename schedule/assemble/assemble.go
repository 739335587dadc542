package assemble

import (
	"fmt"
	"math"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// Input is all that a plan is made from. Its values have passed Validate.
type Input struct {
	Property habitat.Property
	Units    []habitat.Unit
	Pairs    []habitat.Pair
	Records  []habitat.BurnRecord
	Locks    []habitat.Lock
	// Previous holds the burns of the plan before, which the new one should
	// follow in the property's KeepYears, as far as they lie in the program
	// years PreviousFrom … PreviousThrough that it was made for; nil means that
	// there is none.
	Previous                      []habitat.PlannedBurn
	PreviousFrom, PreviousThrough date.ProgramYear
	// Today bounds what is known: later records are not read, and seasons that
	// have ended take no new burns.
	Today date.Day
	// FirstYear is the first program year of the plan; 0 means the one in which
	// Today lies.
	FirstYear date.ProgramYear
	// Years counts the plan years; 0 means the property's own number.
	Years int
	// BurnDays replaces, for the seasons that it names, the burn-day caps of
	// the property's settings in every year without a cap of its own.
	BurnDays map[string]float64
	// ExpectedDays holds the burn days that the weather lets expect, by program
	// year and season, of the first year from Today on. They bound the caps of
	// the season in that year; a year or season without an entry is not bounded.
	ExpectedDays map[date.ProgramYear]map[string]float64
	// Closed lists seasons in which a unit has no usable day in a year. Those of
	// other years than the plan's are of no account.
	Closed []Closed
	// BreakFeet holds, for units with a shape, the feet of break that each needs
	// when it burns alone. They cost the property's BreakDollars a foot.
	BreakFeet map[string]quantity.Feet
}

// Closed is a season, or every season where Season is empty, that is closed to
// a unit in one program year.
type Closed struct {
	Unit   string
	Year   date.ProgramYear
	Season string
}

// Result is the problem and what was taken for granted in it.
type Result struct {
	Problem *problem.Problem
	// Ages holds the stand age of each unit at the end of the year before the
	// first, in the order of the units.
	Ages []habitat.StandAge
	// Assumptions holds what was assumed, in a fixed order.
	Assumptions []Assumption
	// Recorded holds the burns of the first plan year that are on record.
	Recorded []habitat.PlannedBurn
}

// New makes the problem. The error is about what cannot be planned at all: no
// units, or a lock or closed season of a unit or season that does not exist.
func New(in Input) (*Result, error) {
	if in.FirstYear == 0 {
		in.FirstYear = in.Property.YearStart.Of(in.Today)
	}
	if in.Years == 0 {
		in.Years = in.Property.Years
	}
	if len(in.Units) == 0 {
		return nil, fmt.Errorf("%s has no units; accepts a property with one unit or more", in.Property.Name)
	}
	b := newBuilder(&in)
	b.ages()
	b.breaks()
	b.caps()
	b.groups()
	b.pairs()
	if err := b.locks(); err != nil {
		return nil, err
	}
	if again := b.recorded(); again {
		// What burned already breaks a requirement that has no year of its own
		// to give way in, so the plan starts a year later.
		next := in
		next.FirstYear++
		result, err := New(next)
		if err == nil {
			result.Assumptions = append(b.facts, result.Assumptions...)
		}
		return result, err
	}
	b.closedSeasons()
	if err := b.closedIn(); err != nil {
		return nil, err
	}
	b.previous()
	// Checked by the rules of files, with their warnings and the checksum that
	// certificates name.
	b.p.Level()
	p, err := problem.Canonical(b.p)
	if err != nil {
		return nil, fmt.Errorf("make the problem of %s: %w", in.Property.Name, err)
	}
	return &Result{Problem: p, Ages: b.stand, Assumptions: b.assumptions, Recorded: b.burned}, nil
}

// builder gathers one problem; its methods run in the order of New.
type builder struct {
	in          *Input
	p           *problem.Problem
	index       map[string]int // unit name → index
	stand       []habitat.StandAge
	assumptions []Assumption
	facts       []Assumption // why the plan had to start a year later
	burned      []habitat.PlannedBurn
	// treatments are the units whose age a treatment other than fire set back in
	// the first year.
	treatments map[int]bool
}

func newBuilder(in *Input) *builder {
	lookahead := in.Property.Lookahead
	if lookahead < 0 {
		for i := range in.Units {
			lookahead = max(lookahead, in.Units[i].Interval.Max)
		}
		lookahead = min(lookahead, habitat.MaxLookahead)
	}
	w := in.Property.Weights
	b := &builder{in: in, index: make(map[string]int, len(in.Units)), p: &problem.Problem{
		FirstYear: int(in.FirstYear), Years: in.Years, Lookahead: lookahead,
		EvenLo: -problem.NoLimit, EvenHi: problem.NoLimit,
		Weights:       problem.Weights{Overdue: w.Overdue, Mix: w.Mix, Season: w.Season, Evenness: w.Evenness, Neighbors: w.Neighbors, Keep: w.Keep},
		OverdueGrowth: w.OverdueGrowth, OverdueGrowthYears: w.OverdueGrowthYears,
	}}
	for _, s := range in.Property.Seasons {
		b.p.Seasons = append(b.p.Seasons, s.Name)
	}
	for i := range in.Units {
		b.index[in.Units[i].ID] = i
	}
	return b
}

func (b *builder) assume(a Assumption) { b.assumptions = append(b.assumptions, a) }

// ages fills the units with their stand ages before the first year.
func (b *builder) ages() {
	before := b.in.FirstYear - 1
	own := recordsByUnit(b.in.Records)
	for i := range b.in.Units {
		u := &b.in.Units[i]
		age := b.in.Property.AgeAtEnd(u, own[u.ID], before, b.in.Today)
		b.stand = append(b.stand, age)
		if age.Assumed != habitat.OnRecord {
			b.assume(AssumedAge{u.ID, age})
		}
		unit := problem.Unit{
			ID: u.ID, Acres: float64(u.Acres), MinInterval: u.Interval.Min, MaxInterval: u.Interval.Max, Age: age.Years,
			Penalty: make([]float64, len(b.p.Seasons)), BurnDays: u.BurnDays, Cost: float64(u.Cost) / 100, Mix: -1, Refuge: -1,
		}
		b.owned(u, &unit)
		for s := range unit.Penalty {
			unit.Penalty[s] = -1
		}
		for _, choice := range u.Choices(&b.in.Property) {
			unit.Penalty[b.in.Property.SeasonIndex(choice.Season)] = choice.Penalty
		}
		b.p.Units = append(b.p.Units, unit)
	}
}

// owned keeps a unit that is bought later from being overdue before: on the day on
// which it comes it is due, not late. The years after it is given up have no burn
// either, and what they count as overdue is the same in every plan that burns it in
// the same last year.
func (b *builder) owned(u *habitat.Unit, unit *problem.Unit) {
	first, last := b.in.FirstYear, b.in.FirstYear+date.ProgramYear(b.p.T()-1)
	if o := u.Owned; !o.From.IsZero() {
		if lead := int(b.in.Property.YearStart.Of(o.From) - first); lead > 0 && lead < b.p.T() {
			most := max(0, u.Interval.Max-1-lead)
			unit.Age = min(unit.Age, most)
			late := most + lead - u.Interval.Max + 1 // years that no starting age keeps from counting
			b.assume(OwnedFrom{u.ID, o.From, max(0, late)})
		}
	}
	if o := u.Owned; !o.Until.IsZero() {
		if ends := b.in.Property.YearStart.Of(o.Until); ends >= first && ends < last {
			b.assume(OwnedUntil{u.ID, o.Until})
		}
	}
}

// breaks adds what each unit's break costs to the unit's own cost.
func (b *builder) breaks() {
	dollars := b.in.Property.BreakDollars
	if dollars == 0 {
		return
	}
	said := BreaksInCost{DollarsAFoot: dollars}
	for i := range b.p.Units {
		feet, ok := b.in.BreakFeet[b.p.Units[i].ID]
		if !ok {
			said.WithoutShapes = append(said.WithoutShapes, b.p.Units[i].ID)
			continue
		}
		// Whole cents, as all money.
		b.p.Units[i].Cost = math.Round(b.p.Units[i].Cost*100+float64(feet)*dollars*100) / 100
		said.Units++
	}
	b.assume(said)
}

func recordsByUnit(records []habitat.BurnRecord) map[string][]habitat.BurnRecord {
	own := make(map[string][]habitat.BurnRecord)
	for _, r := range records {
		own[r.Unit] = append(own[r.Unit], r)
	}
	return own
}

// caps fills the hard limits of each year.
func (b *builder) caps() {
	prop := &b.in.Property
	for t := range b.p.T() {
		c := problem.YearCaps{Acres: problem.NoLimit, Burns: problem.NoLimit, Cost: problem.NoLimit, BurnDays: make([]float64, len(prop.Seasons))}
		for s, season := range prop.Seasons {
			c.BurnDays[s] = problem.NoLimit
			if days, ok := b.in.BurnDays[season.Name]; ok {
				c.BurnDays[s] = days
			} else if season.BurnDays != nil {
				c.BurnDays[s] = *season.BurnDays
			}
		}
		put(&c, &prop.Caps, prop)
		for i := range prop.CapsIn {
			if int(prop.CapsIn[i].Year) == b.p.FirstYear+t {
				put(&c, &prop.CapsIn[i].Caps, prop)
			}
		}
		b.p.Caps = append(b.p.Caps, c)
	}
}

// put lets the caps that are named replace those of the year.
func put(year *problem.YearCaps, named *habitat.Caps, prop *habitat.Property) {
	if named.Acres != nil {
		year.Acres = float64(*named.Acres)
	}
	if named.Burns != nil {
		year.Burns = float64(*named.Burns)
	}
	if named.Cost != nil {
		year.Cost = float64(*named.Cost) / 100
	}
	for s, season := range prop.Seasons {
		if days, ok := named.BurnDays[season.Name]; ok {
			year.BurnDays[s] = days
		}
	}
}

// groups fills mixes, refuges and evenness. A mix or refuge without units is
// left out, since the problem file has no place for it.
func (b *builder) groups() {
	prop := &b.in.Property
	for _, m := range prop.Mixes {
		if !slices.ContainsFunc(b.in.Units, func(u habitat.Unit) bool { return u.Mix == m.Name && b.isOwnedThroughout(&u) }) {
			b.assume(GroupWithoutUnits{Name: m.Name})
			continue
		}
		mix := problem.Mix{Name: m.Name}
		for _, c := range m.Classes {
			mix.Classes = append(mix.Classes, problem.Class{Name: c.Name, From: c.From, To: c.To, MinShare: float64(c.MinShare), MaxShare: float64(c.MaxShare)})
		}
		b.p.Mixes = append(b.p.Mixes, mix)
	}
	for _, r := range prop.Refuges {
		if !slices.ContainsFunc(b.in.Units, func(u habitat.Unit) bool { return u.Refuge == r.Name }) {
			b.assume(GroupWithoutUnits{Name: r.Name, IsRefuge: true})
			continue
		}
		b.p.Refuges = append(b.p.Refuges, problem.Refuge{Name: r.Name, MaxShare: float64(r.MaxShare)})
	}
	for i := range b.in.Units {
		u := &b.in.Units[i]
		b.p.Units[i].Mix = slices.IndexFunc(b.p.Mixes, func(m problem.Mix) bool { return m.Name == u.Mix })
		b.p.Units[i].Refuge = slices.IndexFunc(b.p.Refuges, func(r problem.Refuge) bool { return r.Name == u.Refuge })
	}
	b.sharesOfOwned()
	if prop.EvenLo != nil {
		b.p.EvenLo = float64(*prop.EvenLo)
	}
	if prop.EvenHi != nil {
		b.p.EvenHi = float64(*prop.EvenHi)
	}
}

// isOwnedThroughout reports whether a unit is the property's from the first to the last
// day of the plan years.
func (b *builder) isOwnedThroughout(u *habitat.Unit) bool {
	start := b.in.Property.YearStart
	return u.Owned.Has(start.Span(b.in.FirstYear).First) && u.Owned.Has(start.Span(b.in.FirstYear+date.ProgramYear(b.in.Years-1)).Last)
}

// sharesOfOwned takes units that are not owned in all plan years out of the acres of
// which mixes and refuges are shares. Their burns count in their refuge all the same.
func (b *builder) sharesOfOwned() {
	all, owned := b.p.RefugeAcres(), b.p.RefugeAcres()
	for i := range b.in.Units {
		u, p := &b.in.Units[i], &b.p.Units[i]
		if b.isOwnedThroughout(u) {
			continue
		}
		said := NotInShares{Unit: u.ID}
		if p.Mix >= 0 {
			said.Mix, p.Mix = u.Mix, -1
		}
		if p.Refuge >= 0 {
			said.Refuge = u.Refuge
			owned[p.Refuge] -= p.Acres
		}
		if said.Mix != "" || said.Refuge != "" {
			b.assume(said)
		}
	}
	for r := range b.p.Refuges {
		if owned[r] > 0 && owned[r] < all[r] {
			b.p.Refuges[r].MaxShare *= owned[r] / all[r]
		}
	}
}

// pairs fills apart pairs and neighbors; a pair that is both is apart.
func (b *builder) pairs() {
	kinds := make(map[[2]int]habitat.PairKind)
	for _, pair := range b.in.Pairs {
		i, okI := b.index[pair.A]
		j, okJ := b.index[pair.B]
		if !okI || !okJ || i == j {
			continue // a unit that was taken away since
		}
		key := [2]int{min(i, j), max(i, j)}
		if kinds[key] != habitat.Apart {
			kinds[key] = pair.Kind
		}
	}
	keys := make([][2]int, 0, len(kinds))
	for key := range kinds {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, func(a, b [2]int) int { return slices.Compare(a[:], b[:]) })
	for _, key := range keys {
		if kinds[key] == habitat.Apart {
			b.p.Apart = append(b.p.Apart, key)
		} else {
			b.p.Neighbors = append(b.p.Neighbors, key)
		}
	}
}

// locks fills the manager's own locks.
func (b *builder) locks() error {
	last := b.p.FirstYear + b.p.T() - 1
	for _, l := range b.in.Locks {
		i, ok := b.index[l.Unit]
		if !ok {
			return fmt.Errorf("lock of %q in %d: there is no such unit", l.Unit, l.Year)
		}
		if int(l.Year) < b.p.FirstYear || int(l.Year) > last {
			continue // locks of years gone by stay in the store
		}
		season := -1
		if l.Season != "" {
			if season = b.in.Property.SeasonIndex(l.Season); season < 0 {
				return fmt.Errorf("lock of %s in %d: %q is not a season of this property", l.Unit, l.Year, l.Season)
			}
		}
		b.lock(problem.Lock{Unit: i, Year: int(l.Year), Burn: l.Burn, Season: season})
	}
	return nil
}

// closedIn fills the closed seasons that were handed in, but for those in which
// a unit has burned all the same.
func (b *builder) closedIn() error {
	for _, c := range b.in.Closed {
		i, ok := b.index[c.Unit]
		if !ok {
			return fmt.Errorf("closed season of %q in %d: there is no such unit", c.Unit, c.Year)
		}
		season := -1
		if c.Season != "" {
			if season = b.in.Property.SeasonIndex(c.Season); season < 0 {
				return fmt.Errorf("closed season of %s in %d: %q is not a season of this property", c.Unit, c.Year, c.Season)
			}
		}
		year := int(c.Year)
		if year < b.p.FirstYear || year >= b.p.FirstYear+b.p.T() || b.hasBurned(c.Unit, c.Year) {
			continue
		}
		if entry := (problem.Closed{Unit: i, Year: year, Season: season}); !slices.Contains(b.p.Closed, entry) {
			b.p.Closed = append(b.p.Closed, entry)
		}
	}
	return nil
}

// hasBurned reports whether a burn of the unit in the year is on record.
func (b *builder) hasBurned(unit string, year date.ProgramYear) bool {
	return slices.ContainsFunc(b.burned, func(r habitat.PlannedBurn) bool { return r.Unit == unit && r.Year == year })
}

func (b *builder) lock(l problem.Lock) {
	if !slices.Contains(b.p.Locks, l) {
		b.p.Locks = append(b.p.Locks, l)
	}
}

// previous fills the plan before, as far as it speaks of the years and units
// of this one.
func (b *builder) previous() {
	known := int(b.in.PreviousThrough-b.in.FirstYear) + 1
	keep := min(b.in.Property.Keep(), b.p.T(), known)
	if b.in.Previous == nil || b.in.PreviousFrom > b.in.FirstYear || keep <= 0 {
		return
	}
	b.p.KeepYears = keep
	b.p.Previous = []problem.UnitYear{}
	for _, burn := range b.in.Previous {
		i, ok := b.index[burn.Unit]
		if ok && int(burn.Year) >= b.p.FirstYear && int(burn.Year) < b.p.FirstYear+b.p.T() {
			b.p.Previous = append(b.p.Previous, problem.UnitYear{Unit: i, Year: int(burn.Year)})
		}
	}
	slices.SortFunc(b.p.Previous, func(x, y problem.UnitYear) int {
		return slices.Compare([]int{x.Year, x.Unit}, []int{y.Year, y.Unit})
	})
	b.p.Previous = slices.Compact(b.p.Previous)
}
