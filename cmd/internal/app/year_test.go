package app

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
	"emberquilt/store"
)

var (
	randomYears = flag.Int("years", 6, "how many years TestRandomYears plays")
	firstSeed   = flag.Uint64("year-seed", 1, "the first seed of TestRandomYears")
)

// refugeShare is how much of the refuge may burn in a year.
const refugeShare = 0.6

// yearsEach is how long each property of TestRandomYears is played.
const yearsEach = 3

// TestRandomYears plays years of small properties: burns, halves of burns, wildfire,
// attempts, mowing, grazing, bans, yearly closures, locks, other days of the crew and days
// shared with partners, splits, merges, new names, units that
// are sold or bought, plans, trials, adoptions, corrections and withdrawals, on random
// days. After each, all that the program says is held against the notebook of
// year_model_test.go, and what it says in one place against what it says in another.
// `.ci/years` plays more of them.
func TestRandomYears(t *testing.T) {
	steps, failed := 0, 0
	for k := range uint64((*randomYears + yearsEach - 1) / yearsEach) {
		seed := *firstSeed + k
		y := newPlayed(t, seed)
		for end := next(y.n.today, 365*yearsEach); y.n.today.Before(end) && !y.failed; {
			y.turn()
			steps++
		}
		if y.close(); y.failed {
			t.Errorf("with -year-seed %d:\n%s", seed, strings.Join(y.faults, "\n"))
			if failed++; failed == 5 {
				break
			}
		}
	}
	t.Logf("%d changes", steps)
}

// played is a property that is played, with its notebook.
type played struct {
	t     *testing.T
	seed  uint64
	rng   *rand.Rand
	n     *notebook
	store *store.Store
	s     *Session
	// week is this week's paper of the day that is compared.
	week  *view.Week
	log   []string
	names int
	// failed says that an answer was wrong, which faults hold; the rest of the years is
	// not played.
	failed bool
	faults []string
	// alterWhy and alterPacket change an answer before it is compared; nil but where the
	// comparison itself is tested.
	alterWhy    func(*view.Why)
	alterPacket func(*view.Packet)
}

// fewRounds is a solver for plans of a few units; they need not be proven.
var fewRounds = rotation.Settings{TimeLimit: -1, Rounds: 3, Threads: 1}

func ofCivil(d time.Time) date.Day {
	if d.IsZero() {
		return date.Day{}
	}
	return date.DayOf(d)
}

func annual(at [2]int) date.Annual { return date.Annual{Month: time.Month(at[0]), Dom: at[1]} }

// newPlayed makes a property of 4 to 7 units and its notebook.
func newPlayed(t *testing.T, seed uint64) *played {
	y := &played{t: t, seed: seed, rng: rand.New(rand.NewPCG(seed, 14))}
	n := &notebook{today: civil(2026, 10, 1), apart: map[[2]string]bool{}, locks: map[unitYear]ownLock{}, done: map[taskKey]bool{},
		crew: ownCrew{weekends: y.rng.IntN(2) == 0, holidays: y.rng.IntN(2) == 0}, resets: map[string]bool{}, tasks: ownTasks()}
	n.today = next(n.today, y.rng.IntN(120))
	n.seasons = [][]ownSeason{
		{{"dormant", [2]int{11, 15}, [2]int{3, 15}}, {"growing", [2]int{3, 16}, [2]int{5, 10}}},
		{{"winter", [2]int{12, 1}, [2]int{2, 28}}, {"spring", [2]int{3, 20}, [2]int{4, 30}}, {"fall", [2]int{8, 20}, [2]int{10, 25}}},
		{{"any", [2]int{1, 10}, [2]int{4, 20}}},
	}[y.rng.IntN(3)]
	y.n = n
	p := habitat.NewProperty("Thornapple Bend")
	p.Years, p.Lookahead = 3, y.rng.IntN(3)
	p.Crew = date.Crew{Weekends: n.crew.weekends, FederalHolidays: n.crew.holidays}
	for _, kind := range []habitat.RecordKind{habitat.Mowing, habitat.Grazing} {
		if y.rng.IntN(4) == 0 {
			n.resets[string(kind)] = true
			p.TreatmentsReset = append(p.TreatmentsReset, kind)
		}
	}
	for _, s := range n.seasons {
		p.Seasons = append(p.Seasons, habitat.Season{Name: s.name, Span: date.AnnualSpan{First: annual(s.first), Last: annual(s.last)}})
	}
	if y.rng.IntN(2) == 0 {
		most := 1 + y.rng.IntN(3)
		p.Caps.Burns = &most
	}
	if y.rng.IntN(2) == 0 {
		p.Mixes = []habitat.Mix{{Name: "grass", Classes: []habitat.AgeClass{{Name: "fresh", To: 0, MinShare: 0.2, MaxShare: 0.5}, {Name: "old", From: 1, To: habitat.OpenEnded, MaxShare: 1}}}}
	}
	if y.rng.IntN(2) == 0 {
		p.Refuges = []habitat.Refuge{{Name: "cover", MaxShare: refugeShare}}
	}
	from := Environment{Today: ofCivil(n.today), Moment: n.today.Add(12 * time.Hour), Version: "test"}
	file, err := store.Create(context.Background(), filepath.Join(t.TempDir(), "p.emberquilt"), store.Making{}, p, from.Moment)
	if err != nil {
		t.Fatal(err)
	}
	y.store = file
	y.open()
	var units []habitat.Unit
	for range 4 + y.rng.IntN(4) {
		units = append(units, y.newUnit(len(p.Mixes) > 0, len(p.Refuges) > 0 && y.rng.IntN(3) > 0))
	}
	y.must(y.s.update(context.Background(), "units", func(tx *store.Tx) error {
		for _, u := range units {
			if err := tx.PutUnit(u); err != nil {
				return err
			}
		}
		for _, pair := range []struct {
			a, b int
			kind habitat.PairKind
		}{{0, 1, habitat.Apart}, {1, 2, habitat.Neighbors}} {
			if err := tx.PutPair(habitat.NewPair(units[pair.a].ID, units[pair.b].ID, pair.kind)); err != nil {
				return err
			}
		}
		if err := y.contract(tx); err != nil {
			return err
		}
		for i := range n.tasks {
			if err := tx.PutTask(n.tasks[i].habitat()); err != nil {
				return err
			}
		}
		return nil
	}))
	n.apart[[2]string{min(units[0].ID, units[1].ID), max(units[0].ID, units[1].ID)}] = true
	n.change("units")
	return y
}

// contract lets two properties of three promise burns of all units but one, a line a year.
func (y *played) contract(tx *store.Tx) error {
	if y.seed%3 == 0 {
		return nil
	}
	c := habitat.Contract{Name: "2026 burns", Practices: []habitat.Practice{{Code: "burn", Name: "burning", Standard: "2020-09", Measure: habitat.InAcres, Burns: true}}}
	for _, u := range y.n.units[1:] {
		u.inContract = true
		for year := range 3 {
			y.n.promised += u.acres
			c.Items = append(c.Items, habitat.ContractItem{ID: len(c.Items) + 1, Unit: u.name, Practice: "burn", FiscalYear: date.FiscalYear(2027 + year), Planned: u.acres})
		}
	}
	return tx.PutContract(c)
}

// close says what was done, where something failed.
func (y *played) close() {
	y.must(y.store.Close())
	if y.failed {
		y.t.Logf("with -year-seed %d:\n  %s", y.seed, strings.Join(y.log, "\n  "))
	}
}

// open reads the property anew, as each command does.
func (y *played) open() {
	s, err := NewSession(context.Background(), y.store, Environment{Today: ofCivil(y.n.today), Moment: y.n.today.Add(12 * time.Hour), Version: "test"})
	y.must(err)
	y.s = s
}

// say writes down what is done, for a failure.
func (y *played) say(format string, args ...any) {
	y.log = append(y.log, y.n.today.Format(time.DateOnly)+" "+fmt.Sprintf(format, args...))
}

func (y *played) fail(format string, args ...any) {
	y.failed = true
	y.faults = append(y.faults, y.n.today.Format(time.DateOnly)+": "+fmt.Sprintf(format, args...))
}

func (y *played) must(err error) {
	y.t.Helper()
	if err != nil {
		y.t.Fatalf("with -year-seed %d, %s: %v\n  %s", y.seed, y.n.today.Format(time.DateOnly), err, strings.Join(y.log, "\n  "))
	}
}

func (y *played) name() string {
	y.names++
	return fmt.Sprintf("%c%d", 'A'+y.rng.IntN(26), y.names)
}

// newUnit makes a unit and writes it down.
func (y *played) newUnit(mix, refuge bool) habitat.Unit {
	u := &ownUnit{name: y.name(), acres: float64(5+y.rng.IntN(36)) / 1, min: 1 + y.rng.IntN(2)}
	u.max = u.min + y.rng.IntN(2)
	if y.rng.IntN(2) == 0 {
		guess := y.rng.IntN(4)
		u.guess, u.guessIn = &guess, 2026
	}
	u.ground = &ownGround{acres: u.acres}
	u.inMix, u.inRefuge, u.dollars, u.days = mix, refuge, float64(100*y.rng.IntN(9)), []float64{0.5, 1, 1, 2}[y.rng.IntN(4)]
	y.n.units = append(y.n.units, u)
	unit := habitat.Unit{ID: u.name, Acres: quantity.Acres(u.acres), Interval: habitat.Interval{Min: u.min, Max: u.max}, BurnDays: u.days, EstimatedAge: u.guess, EstimatedIn: date.ProgramYear(u.guessIn), Cost: quantity.Cents(100 * u.dollars)}
	if refuge {
		unit.Refuge = "cover"
	}
	if mix {
		unit.Mix = "grass"
	}
	return unit
}

// turn lets some days pass, does something, and holds all answers against the notebook.
func (y *played) turn() {
	y.act()
	y.compare()
}

// act lets some days pass and does something.
func (y *played) act() {
	y.n.today = next(y.n.today, y.rng.IntN(30))
	y.open()
	all := []struct {
		weight int
		do     func()
	}{
		{3, func() { y.say("days pass") }}, {12, y.burn}, {3, y.correct}, {2, y.withdraw}, {3, y.ban}, {2, y.lock},
		{6, y.plan}, {2, y.adopt}, {1, y.discard}, {2, y.split}, {2, y.merge}, {1, y.rename}, {1, y.own}, {1, y.buy}, {3, y.task}, {3, y.graze}, {3, y.changeCrew},
	}
	if y.n.inForce() == nil {
		all = append(all[:1:1], all[1], all[6])
	}
	sum := 0
	for _, a := range all {
		sum += a.weight
	}
	pick := y.rng.IntN(sum)
	for _, a := range all {
		if pick -= a.weight; pick < 0 {
			a.do()
			break
		}
	}
	y.open()
}

func choose[T any](y *played, all []T) (one T, ok bool) {
	if len(all) == 0 {
		return one, false
	}
	return all[y.rng.IntN(len(all))], true
}

// burn puts a fire, an attempt or a treatment on record.
func (y *played) burn() {
	u, ok := choose(y, y.n.present())
	if !ok {
		return
	}
	back := y.rng.IntN(40)
	if y.rng.IntN(8) == 0 {
		back = y.rng.IntN(900)
	}
	r := &ownRecord{unit: u.name, through: next(y.n.today, -back), kind: []string{"prescribed", "prescribed", "prescribed", "wildfire", "attempt", "mowing", "grazing", "grazing"}[y.rng.IntN(8)]}
	// Most burns follow the plan.
	if p := y.n.inForce(); p != nil && y.rng.IntN(2) == 0 {
		_, year := y.n.coming()
		if b, ok := choose(y, slices.DeleteFunc(slices.Clone(p.become), func(b ownBurn) bool { u := y.n.unit(b.unit); return b.year != year || u == nil || y.n.isRetired(u) })); ok {
			r.unit, r.kind = b.unit, "prescribed"
			u = y.n.unit(b.unit)
		}
	}
	r.on = next(r.through, -y.rng.IntN(2))
	acres := quantity.Acres(float64(int(u.acres*y.rng.Float64()*20)) / 20)
	r.acres, r.whole = float64(acres), false
	if y.rng.IntN(2) == 0 {
		r.acres, r.whole = u.acres, true
	}
	for _, other := range y.n.records {
		if !other.gone && other.kind == r.kind && other.on.Equal(r.on) {
			return // perhaps the same one
		}
	}
	on, through, kind := ofCivil(r.on), ofCivil(r.through), habitat.RecordKind(r.kind)
	c := BurnChange{Through: &through, Kind: &kind}
	if !r.whole {
		c.Acres = &acres
	}
	noted, err := y.s.RecordBurn(context.Background(), u.name, on, c, true)
	y.say("record %s of %s, %s to %s, %v acres (whole %v) of %v", r.kind, u.name, on, through, r.acres, r.whole, u.acres)
	y.must(err)
	r.id = noted.Record.ID
	y.n.step++
	r.born, r.last = y.n.step, y.n.step
	y.n.records = append(y.n.records, r)
	u.ground.fires = append(u.ground.fires, ownFire{r, 1})
	y.noted(u, r, noted.Resets)
}

// noted holds what the program says of a record against the notebook.
func (y *played) noted(u *ownUnit, r *ownRecord, resets bool) {
	today := y.n.today
	y.n.today = r.through
	got, ok := y.n.lastReset(u.ground, y.n.yearOf(r.through))
	y.n.today = today
	if want := ok && got.year == y.n.yearOf(r.through); resets != want {
		y.fail("record %d of %s resets: %v, want %v", r.id, u.name, resets, want)
	}
}

// written gives the records that can be corrected.
func (y *played) written() (all []*ownRecord) {
	for _, r := range y.n.records {
		if !r.gone {
			all = append(all, r)
		}
	}
	return all
}

func (y *played) correct() {
	r, ok := choose(y, y.written())
	if !ok {
		return
	}
	c := BurnChange{}
	acres := quantity.Acres(float64(int(r.acres*y.rng.Float64()*20)) / 20)
	was := *r
	switch {
	case y.rng.IntN(2) == 0 && !r.whole:
		c.Acres, r.acres = &acres, float64(acres)
	case y.rng.IntN(2) == 0:
		kind := habitat.RecordKind([]string{"prescribed", "wildfire", "attempt", "mowing", "grazing"}[y.rng.IntN(5)])
		c.Kind, r.kind = &kind, string(kind)
	default:
		r.on = next(y.n.today, -y.rng.IntN(200))
		r.through = r.on
		on := ofCivil(r.on)
		c.On, c.Through = &on, &on
	}
	y.say("correct %d of %s to %s, %v acres, %s", r.id, r.unit, r.on.Format(time.DateOnly), r.acres, r.kind)
	_, err := y.s.CorrectBurn(context.Background(), r.id, c, "measured anew")
	if errors.Is(err, store.ErrSameBurn) {
		*r = was
		return
	}
	y.must(err)
	if *r == was {
		return // nothing changed
	}
	y.n.step++
	r.last = y.n.step
}

func (y *played) withdraw() {
	r, ok := choose(y, y.written())
	if !ok {
		return
	}
	y.say("withdraw %d of %s", r.id, r.unit)
	y.must(y.s.WithdrawBurn(context.Background(), r.id, "never was"))
	y.n.step++
	r.gone, r.last = true, y.n.step
}

// ban closes days to some or all units, once or yearly, or lifts a closure.
func (y *played) ban() {
	p := y.s.Property
	p.Owned = nil
	if at := len(y.n.closures); at > 0 && y.rng.IntN(3) == 0 {
		at = y.rng.IntN(at)
		y.say("lift %s", y.n.closures[at].name)
		y.n.closures = slices.Delete(slices.Clone(y.n.closures), at, at+1)
		p.Closures = slices.Delete(slices.Clone(p.Closures), at, at+1)
	} else {
		y.names++
		c := ownClosure{name: fmt.Sprintf("ban %d", y.names), yearly: y.rng.IntN(4) == 0, first: next(y.n.today, y.rng.IntN(400)-60)}
		c.last = next(c.first, y.rng.IntN(170))
		if y.rng.IntN(2) == 0 {
			for _, u := range y.n.present() {
				if y.rng.IntN(3) == 0 {
					c.units = append(c.units, u.name)
				}
			}
		}
		closure := habitat.Closure{Name: c.name, Units: slices.Clone(c.units)}
		if c.yearly {
			closure.Yearly = &date.AnnualSpan{First: date.Annual{Month: c.first.Month(), Dom: c.first.Day()}, Last: date.Annual{Month: c.last.Month(), Dom: c.last.Day()}}
		} else {
			closure.Once = &date.Span{First: ofCivil(c.first), Last: ofCivil(c.last)}
		}
		y.say("%s: %s to %s, yearly %v, of %v", c.name, closure.Once, c.last.Format("01-02"), c.yearly, c.units)
		y.n.closures = append(slices.Clone(y.n.closures), c)
		p.Closures = append(slices.Clone(p.Closures), closure)
	}
	_, err := y.s.ChangeSettings(context.Background(), SettingsChange{To: &p})
	y.must(err)
	y.n.change("settings")
}

func (y *played) lock() {
	for at := range y.n.locks {
		if y.rng.IntN(2) == 0 && y.n.unit(at.unit) != nil && !y.n.isRetired(y.n.unit(at.unit)) {
			y.unlock(at)
			return
		}
		break
	}
	u, ok := choose(y, y.n.present())
	if !ok {
		return
	}
	at := unitYear{u.name, y.n.yearOf(y.n.today) + y.rng.IntN(3)}
	l := ownLock{burn: y.rng.IntN(2) == 0}
	if l.burn && y.rng.IntN(2) == 0 {
		l.season = y.n.seasons[y.rng.IntN(len(y.n.seasons))].name
	}
	y.say("lock %s in %d to burn: %v %s", at.unit, at.year, l.burn, l.season)
	_, err := y.s.Lock(context.Background(), habitat.Lock{Unit: at.unit, Year: date.ProgramYear(at.year), Burn: l.burn, Season: l.season}, "")
	y.must(err)
	if was, ok := y.n.locks[at]; !ok || was != l {
		y.n.change("lock")
	}
	y.n.locks[at] = l
}

func (y *played) unlock(at unitYear) {
	y.say("unlock %s in %d", at.unit, at.year)
	y.must(y.s.Unlock(context.Background(), at.unit, date.ProgramYear(at.year), ""))
	delete(y.n.locks, at)
	y.n.change("lock")
}

// plan makes a plan that is adopted, or one that stays a draft. Locks that cannot be
// kept are lifted first.
func (y *played) plan() {
	o := PlanOptions{Solver: fewRounds}
	switch y.rng.IntN(4) {
	case 0:
		o.Trial = "a what-if"
	case 1:
		o.IsDraft = true
	}
	y.say("plan, trial %q, draft %v", o.Trial, o.IsDraft)
	stored, err := y.s.MakePlan(context.Background(), o)
	for errors.Is(err, problem.ErrInfeasible) && len(y.n.locks) > 0 {
		var of []unitYear
		for at := range y.n.locks {
			if u := y.n.unit(at.unit); u != nil && !y.n.isRetired(u) {
				of = append(of, at)
			}
		}
		slices.SortFunc(of, func(a, b unitYear) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
		if len(of) == 0 {
			break
		}
		y.unlock(of[0])
		stored, err = y.s.MakePlan(context.Background(), o)
	}
	y.must(err)
	p := &ownPlan{number: stored.Number, step: y.n.step, first: int(stored.FirstYear), last: int(stored.LastYear()), standing: "draft", shared: map[string]ownShare{}}
	for _, b := range stored.Burns() {
		p.burns = append(p.burns, ownBurn{b.Unit, int(b.Year), b.Season})
	}
	p.become = slices.Clone(p.burns)
	for _, u := range y.n.present() {
		p.units = append(p.units, u.name)
		p.shared[u.name] = y.n.shareOf(u, p.first, p.last)
	}
	if p.number != len(y.n.plans)+1 {
		y.fail("plan %d follows %d plans", p.number, len(y.n.plans))
	}
	y.n.plans = append(y.n.plans, p)
	if o.Trial == "" && !o.IsDraft {
		y.n.adopt(p)
	}
	y.comparePlan(stored, p)
}

// adopt adopts any plan; one of other units or of years gone by is refused.
func (y *played) adopt() {
	p, ok := choose(y, y.n.plans)
	if !ok {
		return
	}
	var there []string
	for _, u := range y.n.present() {
		there = append(there, u.name)
	}
	slices.Sort(there)
	knows := slices.Sorted(slices.Values(p.units))
	fits := slices.Equal(there, knows) && p.last >= y.n.yearOf(y.n.today)
	_, isNew, err := y.s.Adopt(context.Background(), p.number, "")
	y.say("adopt %d (%s): new %v, %v", p.number, p.standing, isNew, err)
	switch already := y.n.inForce() == p; {
	case already && (isNew || err != nil):
		y.fail("plan %d is adopted already", p.number)
	case already:
	case fits != (err == nil):
		y.fail("plan %d of %v, with %v there: %v", p.number, knows, there, err)
	case fits:
		y.n.adopt(p)
	}
}

func (y *played) discard() {
	p, ok := choose(y, y.n.plans)
	if !ok {
		return
	}
	_, err := y.s.Discard(context.Background(), p.number, "")
	y.say("discard %d (%s): %v", p.number, p.standing, err)
	if (p.standing == "draft") != (err == nil) {
		y.fail("discard a plan that is %s: %v", p.standing, err)
	}
	if err == nil {
		p.standing = "discarded"
	}
}

func (y *played) split() {
	u, ok := choose(y, y.n.present())
	if !ok || len(y.n.units) > 9 || u.acres < 1 {
		return
	}
	names := []string{y.name(), y.name()}
	one := float64(max(1, y.rng.IntN(int(u.acres*10)-1))) / 10
	acres := []float64{one, float64(quantity.Acres(u.acres - one).Kept())}
	y.say("split %s (%v) into %v %v", u.name, u.acres, names, acres)
	_, err := y.s.Split(context.Background(), SplitOptions{Unit: u.name, Parts: []UnitPiece{{Name: names[0], Acres: quantity.Acres(acres[0])}, {Name: names[1], Acres: quantity.Acres(acres[1])}}})
	y.must(err)
	y.n.split(u, names, acres)
}

func (y *played) merge() {
	all := y.n.present()
	for range 20 {
		a, ok := choose(y, all)
		b, _ := choose(y, all)
		if !ok || a == b || a.min != b.min || a.max != b.max || !a.from.Equal(b.from) || !a.until.Equal(b.until) || a.inMix != b.inMix || a.inRefuge != b.inRefuge {
			continue
		}
		name := y.name()
		_, err := y.s.Merge(context.Background(), MergeOptions{Units: []string{a.name, b.name}, Into: name})
		y.say("merge %s and %s into %s: %v", a.name, b.name, name, err)
		clash := false
		for at, lock := range y.n.locks {
			other, ok := y.n.locks[unitYear{b.name, at.year}]
			clash = clash || at.unit == a.name && at.year >= plainYear(y.n.today) && ok && other != lock
		}
		switch {
		case clash && err == nil:
			y.fail("%s and %s are locked to different things", a.name, b.name)
		case !clash:
			y.must(err)
			y.n.merge(a, b, name)
		case !source.Is(err):
			y.fail("%v", err)
		}
		return
	}
}

func (y *played) rename() {
	u, ok := choose(y, y.n.present())
	if !ok {
		return
	}
	name := y.name()
	y.say("rename %s %s", u.name, name)
	_, err := y.s.Rename(context.Background(), u.name, name, "")
	y.must(err)
	y.n.rename(u, name)
}

// own sells a unit, now or on a day to come, or gives it its first day.
func (y *played) own() {
	all := y.n.present()
	u, ok := choose(y, all)
	if !ok || len(all) < 4 {
		return
	}
	o := OwnOptions{Unit: u.name}
	was := *u
	if y.rng.IntN(3) == 0 {
		u.from = next(y.n.today, y.rng.IntN(500))
		from := ofCivil(u.from)
		o.From = &from
	} else {
		u.until = next(y.n.today, y.rng.IntN(200)-1)
		until := ofCivil(u.until)
		o.Until, o.Retire = &until, true
	}
	_, err := y.s.Own(context.Background(), o)
	y.say("own %s from %v until %v: %v", u.name, o.From, o.Until, err)
	late := false
	for _, f := range u.ground.all() {
		late = late || !f.record.gone && o.Until != nil && f.record.through.After(u.until)
	}
	if refused := late || !u.until.IsZero() && u.until.Before(u.from); refused != (err != nil) {
		y.fail("refused: %v, want %v", err, refused)
	}
	if err != nil {
		*u = was
		return
	}
	y.n.change("own")
}

func (y *played) buy() {
	if len(y.n.units) > 9 {
		return
	}
	u := y.newUnit(false, false)
	y.say("new unit %s", u.ID)
	y.must(y.s.update(context.Background(), "a new unit", func(tx *store.Tx) error { return tx.PutUnit(u) }))
	y.n.change("unit")
	if y.rng.IntN(2) == 0 {
		y.say("delete it again")
		_, err := y.s.Delete(context.Background(), u.ID, "mistyped")
		y.must(err)
		y.n.units = y.n.units[:len(y.n.units)-1]
	}
}

// task notes that a task of a planned burn was done, or takes that back.
func (y *played) task() {
	p := y.n.inForce()
	if p == nil {
		return
	}
	b, ok := choose(y, slices.DeleteFunc(slices.Clone(p.burns), func(b ownBurn) bool { u := y.n.unit(b.unit); return u == nil || y.n.isRetired(u) }))
	of, _ := choose(y, y.n.tasks)
	task := of.name
	if !ok {
		return
	}
	key := taskKey{task, b.unit, b.year}
	undo := y.n.done[key]
	y.say("task %v, undo %v", key, undo)
	_, err := y.s.NoteTask(context.Background(), TaskOptions{Unit: b.unit, Year: date.ProgramYear(b.year), Task: task, Undo: undo})
	y.must(err)
	if undo {
		delete(y.n.done, key)
	} else {
		y.n.done[key] = true
	}
}
