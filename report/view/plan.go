package view

import (
	"fmt"
	"math"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// Plan is what the views of a plan are computed from. Problem and Answer are
// required; everything else adds to what can be said.
type Plan struct {
	Stamp Stamp
	// Known is the day up to which records are known, where that is before the day of
	// the stamp, as when a season to come is asked about; zero means the stamp's.
	Known date.Day
	// Number is that of the stored plan; 0 means that it has none, and then Name
	// says what it is.
	Number   int
	Name     string
	Property habitat.Property
	Units    []habitat.Unit
	// Retired are units that were the property's to burn in years gone by.
	Retired []habitat.Unit
	Records []habitat.BurnRecord
	Pairs   []habitat.Pair
	Problem *problem.Problem
	Answer  *problem.Answer
	// Assumptions says in plain words what had to be taken for granted.
	Assumptions []string
	// Scenarios says what the burn days of other years would cost.
	Scenarios []habitat.BurnDayScenario
	// Planned lists the burns that were planned for years that are past or under
	// way, each season by the plan that was in force when it opened.
	Planned []habitat.PlannedBurn
	// Became says what became of units that the plan knows and that are not there
	// anymore, by name. Nothing is due of them.
	Became map[string]string
	// Lineage says what units became until now, so that calendars know a renamed one again.
	Lineage habitat.Lineage
	// Now names the units that they are now, or are part of; none of one that was retired.
	Now map[string][]string
	// Before is the plan that this one replaces; nil where there is none.
	Before *EarlierPlan
	// Lines are those of contracts of which something remains, with what the plan does
	// for them.
	Lines []PlannedLine
	// PastLocks are locks of burns whose season is over without one: no plan counts them.
	PastLocks []habitat.Lock
	// Standing says what counts on the plan.
	Standing habitat.PlanStanding
}

// EarlierPlan is a plan by its number, its years and its burns in them.
type EarlierPlan struct {
	Number      int
	First, Last date.ProgramYear
	Burns       []habitat.PlannedBurn
	// Units names the units that it knew; nil where it knew all.
	Units []string
}

// layout is a plan laid out by unit and year. Years are indices from 0 for the
// problem's first year, lookahead included.
type layout struct {
	*Plan
	// season holds a burn's season for [unit][year], −1 for a rest.
	season [][]int
	// age holds the stand age at the end of [unit][year] as the plan has it, which its
	// shortfall is counted from. stands holds it as things stand: from the records as
	// far as they go, and from the plan for what is still ahead.
	age, stands [][]int
	// stood holds the season in which [unit][year] burns as things stand: a burn that was
	// missed is none, one on record that was not planned is one. −1 for none, the number
	// of seasons for one outside them.
	stood [][]int
	// treated names the treatment other than fire that set a unit's age back in the
	// first year; empty where none did.
	treated []habitat.RecordKind
	// known finds the property's unit by name.
	known map[string]*habitat.Unit
	// records holds the records of each unit.
	records map[string][]habitat.BurnRecord
	// mixAcres and refugeAcres are those of whole groups; used is what burns in
	// each year, and held the acres of each [year][mix][class] at its end as the plan
	// has it, holds as things stand.
	mixAcres, refugeAcres []float64
	used                  []usage
	held, holds           [][][]float64
	// allowed reports whether a unit may burn in a season of a program year.
	allowed func(unit, year, season int) bool
}

// newLayout lays the plan out. The error names what does not fit together:
// it means that the answer belongs to another problem.
func newLayout(plan *Plan) (*layout, error) {
	p, a := plan.Problem, plan.Answer
	if p == nil || a == nil {
		return nil, fmt.Errorf("lay out the plan: there is no problem or no answer")
	}
	l := &layout{
		Plan:    plan,
		season:  make([][]int, len(p.Units)),
		age:     make([][]int, len(p.Units)),
		known:   map[string]*habitat.Unit{},
		records: plan.recordsByUnit(),
		allowed: p.Allowed(),
	}
	for i := range plan.Units {
		l.known[plan.Units[i].ID] = &plan.Units[i]
	}
	for i := range p.Units {
		l.season[i] = make([]int, p.T())
		for t := range l.season[i] {
			l.season[i][t] = -1
		}
	}
	for _, b := range a.Burns {
		t := b.Year - p.FirstYear
		if b.Unit < 0 || b.Unit >= len(p.Units) || t < 0 || t >= p.T() || b.Season < 0 || b.Season >= len(p.Seasons) {
			return nil, fmt.Errorf("lay out the plan: a burn of unit %d in %d, season %d, is not in the problem", b.Unit, b.Year, b.Season)
		}
		l.season[b.Unit][t] = b.Season
	}
	for i := range p.Units {
		age := p.Units[i].Age
		l.age[i] = make([]int, p.T())
		for t := range l.age[i] {
			if age++; l.season[i][t] >= 0 {
				age = 0
			}
			l.age[i][t] = age
		}
	}
	l.standAges()
	l.treated = make([]habitat.RecordKind, len(p.Units))
	for i := range p.Units {
		// A treatment other than fire stands in the problem as a burn of its first
		// year; it is none.
		if known := l.known[p.Units[i].ID]; known != nil && len(plan.Property.TreatmentsReset) > 0 {
			year := l.year(0)
			if reset, ok := plan.Property.LastReset(known, l.records[known.ID], year, plan.Stamp.On); ok && reset.Year == year && reset.By != "" {
				l.season[i][0], l.treated[i] = -1, reset.By
			}
		}
	}
	l.standBurns()
	l.mixAcres, l.refugeAcres = p.MixAcres(), p.RefugeAcres()
	for t := range p.T() {
		l.used = append(l.used, l.usedIn(t))
		l.held = append(l.held, l.heldIn(l.age, t))
		l.holds = append(l.holds, l.heldIn(l.stands, t))
	}
	return l, nil
}

// heldIn gives the acres of each class of each mix at the end of a year, by ages.
func (l *layout) heldIn(ages [][]int, t int) [][]float64 {
	held := make([][]float64, len(l.Problem.Mixes))
	for m := range held {
		held[m] = make([]float64, len(l.Problem.Mixes[m].Classes))
	}
	for i := range l.Problem.Units {
		if u := &l.Problem.Units[i]; u.Mix >= 0 {
			if c := l.class(u.Mix, ages[i][t]); c >= 0 {
				held[u.Mix][c] += u.Acres
			}
		}
	}
	return held
}

// class finds the class of a mix that holds an age, −1 where none does.
func (l *layout) class(mix, age int) int {
	for c, class := range l.Problem.Mixes[mix].Classes {
		if age >= class.From && age <= class.To {
			return c
		}
	}
	return -1
}

func (l *layout) burns(unit, year int) bool { return l.season[unit][year] >= 0 }

// overdue reports whether a unit ends a year overdue. Before it is owned, and after,
// it is not.
func (l *layout) overdue(unit, year int) bool {
	u := &l.Problem.Units[unit]
	if owned, ok := l.Property.Owned[u.ID]; ok && !owned.Has(l.Property.YearStart.Span(l.year(year)).Last) {
		return false
	}
	return l.stands[unit][year] >= u.MaxInterval
}

// standAges fills stands. A planned burn whose season is over without a record does
// not count, one on record does whether it was planned or not.
func (l *layout) standAges() {
	p := l.Problem
	l.stands = make([][]int, len(p.Units))
	dated := l.Property.YearStart != 0 && !l.Stamp.On.IsZero()
	for i := range p.Units {
		known := l.known[p.Units[i].ID]
		if known == nil || !dated {
			l.stands[i] = l.age[i]
			continue
		}
		age := l.before(i)
		l.stands[i] = make([]int, p.T())
		for t := range l.stands[i] {
			age++
			if l.isDone(known, t) || l.burns(i, t) && !l.isOver(i, t) {
				age = 0
			}
			l.stands[i][t] = age
		}
	}
}

// standBurns fills stood.
func (l *layout) standBurns() {
	p := l.Problem
	l.stood = make([][]int, len(p.Units))
	for i := range p.Units {
		known := l.known[p.Units[i].ID]
		l.stood[i] = slices.Clone(l.season[i])
		if known == nil || l.Property.YearStart == 0 || l.Stamp.On.IsZero() {
			continue
		}
		for t := range l.stood[i] {
			switch {
			case l.isMissed(i, t):
				l.stood[i][t] = -1
			case l.season[i][t] < 0 && l.isDone(known, t):
				if state, _ := l.stateIn(i, t); state.Last.By == "" {
					l.stood[i][t] = len(p.Seasons)
					if s, _, ok := l.Property.SeasonOf(state.Last.On); ok && slices.Contains(p.Seasons, l.Property.Seasons[s].Name) {
						l.stood[i][t] = slices.Index(p.Seasons, l.Property.Seasons[s].Name)
					}
				}
			}
		}
	}
}

// before gives the stand age at the end of the year before the first, from the
// records. What a unit that is bought later counts as until then is the plan's.
func (l *layout) before(unit int) int {
	u := &l.Problem.Units[unit]
	known, last := l.known[u.ID], l.year(0)-1
	if known == nil || l.Property.YearStart == 0 || l.Stamp.On.IsZero() || !known.Owned.From.IsZero() && l.Property.YearStart.Of(known.Owned.From) > last+1 {
		return u.Age
	}
	return l.Property.AgeAtEnd(known, l.records[known.ID], last, l.Stamp.On).Years
}

// beforeYear gives the stand age at the end of the year before t.
func (l *layout) beforeYear(unit, t int) int {
	if t == 0 {
		return l.before(unit)
	}
	return l.stands[unit][t-1]
}

// today is the day up to which records are known.
func (plan *Plan) today() date.Day {
	if !plan.Known.IsZero() && plan.Known.Before(plan.Stamp.On) {
		return plan.Known
	}
	return plan.Stamp.On
}

// isDone reports whether a unit's burn of a year is on record.
func (l *layout) isDone(u *habitat.Unit, t int) bool {
	own := l.records[u.ID]
	if len(own) == 0 || l.year(t) > l.Property.YearOf(l.Stamp.On) {
		return false
	}
	reset, ok := l.Property.LastReset(u, own, l.year(t), l.Stamp.On)
	return ok && reset.Year == l.year(t)
}

// isOver reports whether the season of a planned burn is over.
func (l *layout) isOver(unit, t int) bool {
	s := l.season[unit][t]
	return s >= 0 && !l.today().IsZero() && BurnSpan(&l.Property, l.Problem.Seasons[s], l.year(t)).Last.Before(l.today())
}

// isMissed reports whether a planned burn is over and not on record.
func (l *layout) isMissed(unit, t int) bool {
	known := l.known[l.Problem.Units[unit].ID]
	return known != nil && l.Property.YearStart != 0 && l.isOver(unit, t) && !l.isDone(known, t)
}

func (l *layout) year(t int) date.ProgramYear { return date.ProgramYear(l.Problem.FirstYear + t) }

// interval gives a unit's return interval.
func (l *layout) interval(unit int) habitat.Interval {
	u := &l.Problem.Units[unit]
	return habitat.Interval{Min: u.MinInterval, Max: u.MaxInterval}
}

// centsOf rounds dollars, half a cent away from zero.
func centsOf(dollars float64) quantity.Cents { return quantity.Cents(math.Round(dollars * 100)) }

// limit gives nil for an absent limit: an infinite number has no JSON.
func limit(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	return &v
}
