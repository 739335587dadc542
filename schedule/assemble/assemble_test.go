package assemble

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

func day(text string) date.Day {
	d, err := date.ParseDay(text)
	if err != nil {
		panic(err)
	}
	return d
}

func span(fm time.Month, fd int, lm time.Month, ld int) date.AnnualSpan {
	return date.AnnualSpan{First: date.Annual{Month: fm, Dom: fd}, Last: date.Annual{Month: lm, Dom: ld}}
}

func unit(id string, acres quantity.Acres) habitat.Unit {
	return habitat.Unit{ID: id, Acres: acres, Interval: habitat.Interval{Min: 2, Max: 3}, BurnDays: 1, Cost: 115050}
}

func burn(unit, on string) habitat.BurnRecord {
	return habitat.BurnRecord{Unit: unit, On: day(on), Through: day(on), Kind: habitat.Prescribed}
}

// terrace is a property of three units on 25 November 2026, ten days into its
// dormant season of 2027.
func terrace() Input {
	p := habitat.NewProperty("Test terrace")
	p.Seasons = []habitat.Season{
		{Name: "dormant", Span: span(time.November, 15, time.March, 15)},
		{Name: "early-growing", Span: span(time.March, 16, time.May, 10)},
	}
	return Input{
		Property: p, Today: day("2026-11-25"),
		Units:   []habitat.Unit{unit("A", 40), unit("B", 30), unit("C", 20)},
		Records: []habitat.BurnRecord{burn("A", "2025-03-01"), burn("B", "2024-03-01")},
	}
}

func build(t *testing.T, in Input) *Result {
	t.Helper()
	r, err := New(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// assumes reports whether something was taken for granted.
func assumes(r *Result, want Assumption) bool {
	return slices.ContainsFunc(r.Assumptions, func(a Assumption) bool { return reflect.DeepEqual(a, want) })
}

// assumesAge reports whether the age of a unit was taken for granted.
func assumesAge(r *Result, unit string, how habitat.AgeAssumed) bool {
	return slices.ContainsFunc(r.Assumptions, func(a Assumption) bool {
		age, ok := a.(AssumedAge)
		return ok && age.Unit == unit && age.Age.Assumed == how
	})
}

func TestAgesAndYears(t *testing.T) {
	r := build(t, terrace())
	p := r.Problem
	if p.FirstYear != 2027 || p.Years != 5 || p.Lookahead != 3 || len(p.Caps) != 8 {
		t.Errorf("years %d + %d + %d, %d caps", p.FirstYear, p.Years, p.Lookahead, len(p.Caps))
	}
	for i, want := range []int{1, 2, 3} {
		if p.Units[i].Age != want {
			t.Errorf("%s: age %d, want %d", p.Units[i].ID, p.Units[i].Age, want)
		}
	}
	if !assumesAge(r, "C", habitat.AtMaxInterval) || assumesAge(r, "A", habitat.AtMaxInterval) {
		t.Errorf("assumptions: %+v", r.Assumptions)
	}
	if p.Units[0].Cost != 1150.5 {
		t.Errorf("cost in dollars: %v", p.Units[0].Cost)
	}
}

func TestCapsOfSingleYears(t *testing.T) {
	in := terrace()
	days, acres, other := 4.0, quantity.Acres(60), quantity.Acres(30)
	in.Property.Seasons[0].BurnDays = &days
	in.Property.Caps.Acres = &acres
	in.Property.CapsIn = []habitat.CapsIn{{Year: 2028, Caps: habitat.Caps{Acres: &other, BurnDays: map[string]float64{"early-growing": 1}}}}
	p := build(t, in).Problem
	if p.Caps[0].Acres != 60 || p.Caps[1].Acres != 30 || p.Caps[2].Acres != 60 {
		t.Errorf("acre caps %v, %v, %v", p.Caps[0].Acres, p.Caps[1].Acres, p.Caps[2].Acres)
	}
	if p.Caps[1].BurnDays[0] != 4 || p.Caps[1].BurnDays[1] != 1 || p.Caps[0].BurnDays[1] != problem.NoLimit {
		t.Errorf("burn days %v, %v", p.Caps[0].BurnDays, p.Caps[1].BurnDays)
	}
	in.BurnDays = map[string]float64{"dormant": 2.5, "early-growing": 3}
	p = build(t, in).Problem
	if p.Caps[0].BurnDays[0] != 2.5 || p.Caps[0].BurnDays[1] != 3 || p.Caps[1].BurnDays[1] != 1 {
		t.Errorf("replaced burn days %v, %v: a cap of its own year stays", p.Caps[0].BurnDays, p.Caps[1].BurnDays)
	}
}

func TestRecordedBurnsAreLocks(t *testing.T) {
	in := terrace()
	in.Records = append(in.Records, burn("B", "2026-11-20"))
	in.Locks = []habitat.Lock{{Unit: "B", Year: 2027, Burn: false}, {Unit: "A", Year: 2029, Burn: true, Season: "dormant"}, {Unit: "A", Year: 2020, Burn: true}}
	r := build(t, in)
	want := []problem.Lock{{Unit: 0, Year: 2029, Burn: true, Season: 0}, {Unit: 1, Year: 2027, Burn: true, Season: 0}}
	if !slices.Equal(r.Problem.Locks, want) {
		t.Errorf("locks %+v, want %+v", r.Problem.Locks, want)
	}
	if !assumes(r, LockOvertaken{Unit: "B", Year: 2027}) {
		t.Errorf("assumptions: %+v", r.Assumptions)
	}
	if len(r.Recorded) != 1 || r.Recorded[0] != (habitat.PlannedBurn{Unit: "B", Year: 2027, Season: "dormant"}) {
		t.Errorf("recorded %+v", r.Recorded)
	}
}

func TestFactsBeatRestAndCaps(t *testing.T) {
	in := terrace()
	acres := quantity.Acres(30)
	in.Property.Caps.Acres = &acres
	in.Records = append(in.Records, burn("A", "2026-03-01"), burn("A", "2026-11-20"))
	r := build(t, in)
	if u := r.Problem.Units[0]; u.Age+1 < u.MinInterval {
		t.Errorf("a recorded burn would break the rest: age %d, min interval %d", u.Age, u.MinInterval)
	}
	if r.Ages[0].Years != 0 {
		t.Errorf("the age that is shown is the true one, 0, not %d", r.Ages[0].Years)
	}
	if r.Problem.Caps[0].Acres != 40 || r.Problem.Caps[1].Acres != 30 {
		t.Errorf("caps %v, %v", r.Problem.Caps[0].Acres, r.Problem.Caps[1].Acres)
	}
	if !assumes(r, BurnedEarly{Unit: "A", Year: 2027, Age: 1, MinInterval: 2}) || !assumes(r, CapGivesWay{Year: 2027, Of: CapAcres, Sum: 40, Capped: 30}) {
		t.Errorf("assumptions: %+v", r.Assumptions)
	}
}

func TestFactsThatBreakForGoodMoveTheStart(t *testing.T) {
	in := terrace()
	in.Pairs = []habitat.Pair{habitat.NewPair("B", "A", habitat.Apart)}
	in.Records = append(in.Records, burn("A", "2026-11-18"), burn("B", "2026-11-20"))
	r := build(t, in)
	if r.Problem.FirstYear != 2028 || r.Problem.Units[0].Age != 0 || r.Problem.Units[2].Age != 3 {
		t.Errorf("first year %d, ages %+v", r.Problem.FirstYear, r.Ages)
	}
	if !assumes(r, ApartBurned{"A", "B", 2027}) {
		t.Errorf("assumptions: %+v", r.Assumptions)
	}
}

func TestSeasonThatIsOver(t *testing.T) {
	in := terrace()
	in.Today = day("2027-04-01")
	in.Records = append(in.Records, burn("B", "2027-02-01"))
	r := build(t, in)
	want := []problem.Closed{{Unit: 0, Year: 2027, Season: 0}, {Unit: 2, Year: 2027, Season: 0}}
	if !slices.Equal(r.Problem.Closed, want) || !assumes(r, SeasonOver{"dormant", 2027}) {
		t.Errorf("closed: %+v, assumptions %+v", r.Problem.Closed, r.Assumptions)
	}
	if got := r.Problem.Caps[0].BurnDays; got[0] != 1 || got[1] != problem.NoLimit {
		t.Errorf("burn days of the first year: %v, want the one that is recorded and no limit", got)
	}
	in.Today = day("2027-06-01")
	if r = build(t, in); len(r.Problem.Closed) != 4 {
		t.Errorf("with every season over, the two unburned units rest: %+v", r.Problem.Closed)
	}
}

// A lock on a season that is over without a burn is overtaken, and said; one
// that names no season waits for the season that is left.
func TestLocksOfASeasonThatIsOver(t *testing.T) {
	in := terrace()
	in.Today = day("2027-04-01")
	in.Records = append(in.Records, burn("A", "2027-02-01"))
	in.Locks = []habitat.Lock{{Unit: "B", Year: 2027, Burn: true}, {Unit: "C", Year: 2027, Burn: true, Season: "dormant"}, {Unit: "C", Year: 2028, Burn: true, Season: "dormant"}}
	r := build(t, in)
	want := []problem.Lock{{Unit: 0, Year: 2027, Burn: true, Season: 0}, {Unit: 1, Year: 2027, Burn: true, Season: -1}, {Unit: 2, Year: 2028, Burn: true, Season: 0}}
	byUnit := func(a, b problem.Lock) int { return a.Unit - b.Unit }
	slices.SortFunc(r.Problem.Locks, byUnit)
	if !slices.Equal(r.Problem.Locks, want) {
		t.Errorf("locks: %+v, want %+v", r.Problem.Locks, want)
	}
	if !assumes(r, LockOvertaken{"C", "dormant", 2027}) {
		t.Errorf("assumptions: %+v", r.Assumptions)
	}
}

func TestClosures(t *testing.T) {
	in := terrace()
	spring := span(time.March, 1, time.June, 1)
	winter := date.Span{First: day("2027-11-01"), Last: day("2028-03-31")}
	in.Property.Closures = []habitat.Closure{
		{Name: "calves", Yearly: &spring, Units: []string{"A"}},
		{Name: "pipeline work", Once: &winter, Units: []string{"A"}},
	}
	r := build(t, in)
	for t0 := range r.Problem.T() {
		year := 2027 + t0
		if !slices.Contains(r.Problem.Closed, problem.Closed{Unit: 0, Year: year, Season: 1}) {
			t.Errorf("early-growing season %d is open to A: %+v", year, r.Problem.Closed)
		}
		if slices.Contains(r.Problem.Closed, problem.Closed{Unit: 0, Year: year, Season: 0}) != (year == 2028) {
			t.Errorf("dormant season %d is open or closed to A against the work of one winter: %+v", year, r.Problem.Closed)
		}
	}
	if len(r.Problem.Locks) > 0 {
		t.Errorf("a closed season is not a lock: %+v", r.Problem.Locks)
	}
	for _, want := range []Assumption{NeverOpen{Season: "early-growing", Units: []string{"A"}}, SeasonClosed{Season: "dormant", Year: 2028, Units: []string{"A"}}} {
		if !assumes(r, want) {
			t.Errorf("assumptions without %+v: %+v", want, r.Assumptions)
		}
	}
}

// The whole dormant season is closed, and there is no weather record: nothing
// burns in it. The cap of a season that is cut short is what is left of it.
func TestClosuresOfTheWholeProperty(t *testing.T) {
	in := terrace()
	closed := span(time.November, 1, time.March, 15)
	in.Property.Closures = []habitat.Closure{{Name: "ban", Yearly: &closed}}
	r := build(t, in)
	if want := 3 * r.Problem.T(); len(r.Problem.Closed) != want {
		t.Errorf("%d seasons are closed, want %d", len(r.Problem.Closed), want)
	}
	// A ban on one spring leaves the others alone.
	once := date.Span{First: day("2028-03-16"), Last: day("2028-05-08")}
	in.Property.Closures = []habitat.Closure{{Name: "ban", Once: &once}}
	r = build(t, in)
	for t0, c := range r.Problem.Caps {
		// May 9 and 10, 2028 are a Tuesday and a Wednesday.
		if want := map[bool]float64{true: 2, false: problem.NoLimit}[t0 == 1]; c.BurnDays[1] != want {
			t.Errorf("%d: %v burn days in early-growing, want %v", 2027+t0, c.BurnDays[1], want)
		}
	}
	if len(r.Problem.Closed) > 0 {
		t.Errorf("two days are left, yet %+v", r.Problem.Closed)
	}
}

// What burned in the fall takes none of the days that are still to come.
func TestExpectedDaysAreThoseToCome(t *testing.T) {
	in := terrace()
	in.Today = day("2027-02-01")
	in.Records = append(in.Records, burn("B", "2026-11-20"))
	in.ExpectedDays = map[date.ProgramYear]map[string]float64{2027: {"dormant": 1}, 2028: {"dormant": 2}, 2029: {"early-growing": 0}}
	own := 1.5
	in.Property.CapsIn = []habitat.CapsIn{{Year: 2028, Caps: habitat.Caps{BurnDays: map[string]float64{"dormant": own}}}}
	r := build(t, in)
	for _, c := range []struct {
		year, season int
		want         float64
	}{{0, 0, 2}, {1, 0, own}, {2, 0, problem.NoLimit}, {2, 1, 0}, {0, 1, problem.NoLimit}} {
		if got := r.Problem.Caps[c.year].BurnDays[c.season]; got != c.want {
			t.Errorf("%d: %v burn days in %s, want %v", 2027+c.year, got, r.Problem.Seasons[c.season], c.want)
		}
	}
}

func TestPreviousPlan(t *testing.T) {
	in := terrace()
	keep := 2
	in.Property.KeepYears = &keep
	if p := build(t, in).Problem; p.KeepYears != 0 || p.Previous != nil {
		t.Error("without a plan before there is nothing to keep")
	}
	in.Previous = []habitat.PlannedBurn{{Unit: "B", Year: 2028, Season: "dormant"}, {Unit: "A", Year: 2027}, {Unit: "gone", Year: 2027}, {Unit: "A", Year: 2026}}
	in.PreviousFrom, in.PreviousThrough = 2026, 2030
	p := build(t, in).Problem
	if p.KeepYears != 2 || !slices.Equal(p.Previous, []problem.UnitYear{{Unit: 0, Year: 2027}, {Unit: 1, Year: 2028}}) {
		t.Errorf("keep %d of %+v", p.KeepYears, p.Previous)
	}
	in.PreviousThrough = 2027
	if p := build(t, in).Problem; p.KeepYears != 1 {
		t.Errorf("keep %d years of a plan that ends with the first", p.KeepYears)
	}
	in.PreviousFrom, in.PreviousThrough = 2027, 2030
	if p := build(t, in).Problem; p.KeepYears != 2 {
		t.Errorf("keep %d years of a plan that begins with this one", p.KeepYears)
	}
	in.PreviousFrom = 2028
	if p := build(t, in).Problem; p.KeepYears != 0 || p.Previous != nil {
		t.Errorf("keep %d years of a plan that begins after the first year: %v", p.KeepYears, p.Previous)
	}
	in.PreviousFrom, in.PreviousThrough = 2026, 2026
	if p := build(t, in).Problem; p.KeepYears != 0 {
		t.Errorf("keep %d years of a plan that is over", p.KeepYears)
	}
}

func TestPairThatIsBothIsApart(t *testing.T) {
	in := terrace()
	in.Pairs = []habitat.Pair{habitat.NewPair("A", "B", habitat.Neighbors), habitat.NewPair("B", "A", habitat.Apart), habitat.NewPair("C", "B", habitat.Neighbors), habitat.NewPair("C", "gone", habitat.Apart)}
	for _, order := range []string{"as listed", "the other way round"} {
		p := build(t, in).Problem
		if !slices.Equal(p.Apart, [][2]int{{0, 1}}) || !slices.Equal(p.Neighbors, [][2]int{{1, 2}}) {
			t.Errorf("%s: apart %v, neighbors %v", order, p.Apart, p.Neighbors)
		}
		slices.Reverse(in.Pairs)
	}
}

// Locks hold through the last year of the lookahead.
func TestLocksOfTheLastYear(t *testing.T) {
	in := terrace()
	p := build(t, in).Problem
	last := date.ProgramYear(p.FirstYear + p.T() - 1)
	in.Locks = []habitat.Lock{{Unit: "A", Year: last}, {Unit: "B", Year: last + 1}}
	if got := build(t, in).Problem.Locks; !slices.Equal(got, []problem.Lock{{Unit: 0, Year: int(last), Season: -1}}) {
		t.Errorf("locks %+v", got)
	}
}

func TestWhatCannotBePlanned(t *testing.T) {
	in := terrace()
	in.Units = nil
	if _, err := New(in); err == nil || !strings.Contains(err.Error(), "has no units") {
		t.Errorf("got %v", err)
	}
	in = terrace()
	in.Locks = []habitat.Lock{{Unit: "Z", Year: 2027, Burn: true}}
	if _, err := New(in); err == nil || !strings.Contains(err.Error(), `lock of "Z"`) {
		t.Errorf("got %v", err)
	}
}

func TestBreaksAreInTheCost(t *testing.T) {
	in := terrace()
	in.BreakFeet = map[string]quantity.Feet{"A": 5000, "B": 2500}
	if p := build(t, in).Problem; p.Units[0].Cost != 1150.5 {
		t.Errorf("without a price a foot, breaks cost nothing more: %v", p.Units[0].Cost)
	}
	in.Property.BreakDollars = 0.333
	in.BreakFeet["A"] = 1001
	// 1,150.50 and 1,001 × 0.333 = 333.333 dollars are 1,483.83.
	if p := build(t, in).Problem; p.Units[0].Cost != 1483.83 {
		t.Errorf("a cost of %v dollars is not whole cents", p.Units[0].Cost)
	}
	in.BreakFeet["A"] = 5000
	in.Property.BreakDollars = 0.4
	r := build(t, in)
	if p := r.Problem; p.Units[0].Cost != 3150.5 || p.Units[1].Cost != 2150.5 || p.Units[2].Cost != 1150.5 {
		t.Errorf("costs %v, %v, %v", p.Units[0].Cost, p.Units[1].Cost, p.Units[2].Cost)
	}
	if !assumes(r, BreaksInCost{Units: 2, DollarsAFoot: 0.4, WithoutShapes: []string{"C"}}) {
		t.Errorf("assumptions: %+v", r.Assumptions)
	}
}

// Overdue grows as the settings say.
func TestOverdueGrowsAsTheSettingsSay(t *testing.T) {
	in := terrace()
	if p := build(t, in).Problem; p.OverdueGrowth != 1 || p.OverdueGrowthYears != 3 {
		t.Errorf("by default overdue grows by %v for %d years", p.OverdueGrowth, p.OverdueGrowthYears)
	}
	in.Property.Weights.OverdueGrowth, in.Property.Weights.OverdueGrowthYears = 0.25, 7
	if p := build(t, in).Problem; p.OverdueGrowth != 0.25 || p.OverdueGrowthYears != 7 {
		t.Errorf("overdue grows by %v for %d years", p.OverdueGrowth, p.OverdueGrowthYears)
	}
}

// Closed seasons reach the problem as they are, those of other years and of
// burns on record do not, and a name that means nothing is an error.
func TestClosedSeasonsAreHandedOn(t *testing.T) {
	in := terrace()
	in.Records = append(in.Records, burn("C", "2026-11-20"))
	in.Closed = []Closed{{"A", 2028, "dormant"}, {"B", 2029, ""}, {"A", 2028, "dormant"}, {"A", 2026, ""}, {"B", 2035, ""}, {"C", 2027, "dormant"}, {"C", 2028, "early-growing"}}
	p := build(t, in).Problem
	want := []problem.Closed{{Unit: 0, Year: 2028, Season: 0}, {Unit: 1, Year: 2029, Season: -1}, {Unit: 2, Year: 2028, Season: 1}}
	if !slices.Equal(p.Closed, want) {
		t.Errorf("got %v, want %v", p.Closed, want)
	}
	for _, c := range []struct {
		closed Closed
		want   string
	}{
		{Closed{"Z", 2028, ""}, `closed season of "Z" in 2028: there is no such unit`},
		{Closed{"A", 2028, "fall"}, `closed season of A in 2028: "fall" is not a season of this property`},
	} {
		in.Closed = []Closed{c.closed}
		if _, err := New(in); err == nil || err.Error() != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
}

// A burn outside the seasons of its unit may have taken a day of any of them.
func TestABurnWithoutASeasonTakesADayOfEach(t *testing.T) {
	in := terrace()
	in.Today = day("2027-02-01")
	in.Records = append(in.Records, burn("B", "2026-11-01"))
	in.ExpectedDays = map[date.ProgramYear]map[string]float64{2027: {"dormant": 1, "early-growing": 1}}
	r := build(t, in)
	if !assumes(r, BurnedOutOfSeason{"B", day("2026-11-01")}) {
		t.Errorf("assumptions: %+v", r.Assumptions)
	}
	if got := r.Problem.Caps[0].BurnDays; got[0] != 2 || got[1] != 2 {
		t.Errorf("burn days %v, want 2 and 2: one to come in each, and the one that was burned", got)
	}
}

// The days of the calendar hold as many burn days as a day of the crew does.
func TestUsableDaysHoldWhatADayOfTheCrewHolds(t *testing.T) {
	for _, c := range []struct{ holds, want float64 }{{0, 1}, {1.5, 1.5}, {0.5, 0.5}} {
		in := terrace()
		in.Today = day("2027-03-15") // the last day of the dormant season, a Monday
		in.Property.DayHolds = c.holds
		if got := build(t, in).Problem.Caps[0].BurnDays[0]; got != c.want {
			t.Errorf("a day holds %v: %v burn days in the dormant season, want %v", c.holds, got, c.want)
		}
	}
}

// A unit that comes or goes within the plan counts in no class, and its refuge is a
// share of the others: 0.5 of 30 + 20 acres where A's 40 are sold. Its burns take of it
// all the same.
func TestAUnitThatIsSoldIsNotInShares(t *testing.T) {
	in := terrace()
	in.Years = 3
	in.Property.Mixes = []habitat.Mix{{Name: "grass", Classes: []habitat.AgeClass{{Name: "fresh", To: 0, MaxShare: 0.5}, {Name: "old", From: 1, To: habitat.OpenEnded, MaxShare: 1}}}}
	in.Property.Refuges = []habitat.Refuge{{Name: "west", MaxShare: 0.5}}
	for i := range in.Units {
		in.Units[i].Mix, in.Units[i].Refuge = "grass", "west"
	}
	limit := func(r *Result) float64 { return r.Problem.Refuges[0].MaxShare * r.Problem.RefugeAcres()[0] }
	all := build(t, in)
	if got := limit(all); got != 45 || all.Problem.MixAcres()[0] != 90 {
		t.Errorf("all owned: %v acres of the refuge may burn, the mix has %v", got, all.Problem.MixAcres()[0])
	}
	// The plan years are those of October 2026 to September 2029.
	for _, c := range []struct {
		from, until string
		out         bool
	}{
		{"", "2029-09-29", true}, {"", "2029-09-30", false}, {"", "2031-05-01", false},
		{"2026-10-02", "", true}, {"2026-10-01", "", false}, {"2028-02-01", "2029-01-01", true},
	} {
		in.Units[0].Owned = habitat.Ownership{}
		if c.from != "" {
			in.Units[0].Owned.From = day(c.from)
		}
		if c.until != "" {
			in.Units[0].Owned.Until = day(c.until)
		}
		r := build(t, in)
		u, acres, mix := r.Problem.Units[0], 45.0, 90.0
		if c.out {
			acres, mix = 25, 50
		}
		if got := limit(r); math.Abs(got-acres) > 1e-9 || r.Problem.MixAcres()[0] != mix {
			t.Errorf("%+v: %v acres of the refuge may burn, the mix has %v; want %v, %v", c, got, r.Problem.MixAcres()[0], acres, mix)
		}
		if u.Refuge != 0 || (u.Mix == -1) != c.out {
			t.Errorf("%+v: unit %+v", c, u)
		}
		if assumes(r, NotInShares{Unit: "A", Mix: "grass", Refuge: "west"}) != c.out {
			t.Errorf("%+v: assumptions %+v", c, r.Assumptions)
		}
	}
	// Where every unit goes, the share is one of all of them.
	for i := range in.Units {
		in.Units[i].Owned = habitat.Ownership{Until: day("2028-05-01")}
	}
	if got := limit(build(t, in)); got != 45 {
		t.Errorf("all sold: %v acres of the refuge may burn", got)
	}
}
