package model

import (
	"fmt"
	"math"

	"emberquilt/schedule/problem"
)

// MaxSeasons is the largest number of seasons; a Plan keeps a season in 8 bits.
const MaxSeasons = 127

// Rest is the entry of a Plan for a year without a burn.
const Rest = int8(-1)

// Inf is the cost of what is not allowed.
var Inf = math.Inf(1)

// Plan holds the season of the burn of unit i in year t at i·T+t, or Rest.
type Plan []int8

// Pair is an apart or neighbor pair; Cost is what a common burn costs, and 0
// for apart pairs, which never burn together.
type Pair struct {
	I, J int32
	Cost float64
}

// Adjacent lists, for each unit, the pairs that it stands in: those of unit i
// are at Start[i] … Start[i+1]−1, with the other unit and the pair's index.
type Adjacent struct {
	Start []int32
	Other []int32
	Pair  []int32
}

// Limits are the caps of one year with SlackAllowed added; +Inf where none.
type Limits struct {
	Acres, Burns, Cost float64
	Days               []float64 // one a season
}

// DayBan is a burn that alone passes the burn-day cap of its season.
type DayBan struct{ Unit, Year, Season int32 }

// Model is a problem in flat arrays. It is read-only after New.
type Model struct {
	Problem *problem.Problem
	N, T, S int

	// Per unit.
	Acres, Days, Dollars []float64
	K                    []int32
	Start                []int16
	RefugeOf, MixOf      []int32 // −1: none

	// Per unit and state, at StateBase[i]+k.
	StateBase []int32
	CanBurn   []bool
	// OverdueCost is w·a in overdue states, times what overdue has grown by, else 0.
	OverdueCost []float64
	// Class is the index into Classes, −1 without a mix.
	Class []int32

	// RestOwn[i·T+t] is what resting costs the unit by itself apart from its
	// age (keep), Inf where a burn is locked. BurnOwn[(i·T+t)·S+s] is what a
	// burn costs (season, keep), Inf where it is not allowed: season, closed, locked
	// rest or other season, or alone more than a limit of its year.
	RestOwn, BurnOwn []float64
	// MayBurn[i·T+t] says whether any season is left.
	MayBurn []bool
	DayBans []DayBan
	// Closed at (i·T+t)·S+s is the problem's list; nil where it is empty.
	Closed []bool
	// LockedBurn and LockedRest at i·T+t. Contradiction says that some unit
	// and year is locked both ways, or in two seasons.
	LockedBurn, LockedRest []bool
	Contradiction          bool
	// KeepBurn at i·T+t for the first KeepYears years is the previous plan.
	KeepBurn []bool

	Limit       []Limits  // per year, slack added
	RefugeLimit []float64 // acres a year, slack added
	RefugeUnits [][]int32
	EvenLo      float64 // −Inf: none
	EvenHi      float64 // +Inf: none
	Classes     []Class
	Apart       []Pair
	Neighbors   []Pair
	ApartOf     Adjacent
	NeighborsOf Adjacent

	Rows Rows
	// costMeasure and costOff: see costStep.
	costMeasure, costOff float64
}

// Class is one age class of one mix with its band in acres.
type Class struct {
	Mix, Class int32
	Lo, Hi     float64
}

// New builds the model. It fails only where a problem is too large for it.
func New(p *problem.Problem) (*Model, error) {
	n, t, s := len(p.Units), p.T(), len(p.Seasons)
	if s > MaxSeasons {
		return nil, fmt.Errorf("problem: %d seasons are too many; accepts at most %d", s, MaxSeasons)
	}
	if t > math.MaxInt16/2-2 {
		return nil, fmt.Errorf("problem: %d years are too many; accepts at most %d", t, math.MaxInt16/2-2)
	}
	m := &Model{Problem: p, N: n, T: t, S: s, EvenLo: p.EvenLo, EvenHi: p.EvenHi}
	m.setLimits()
	m.setUnits()
	m.setClasses()
	m.setStates()
	m.setOwn()
	m.setPairs()
	m.Rows = newRows(m)
	m.costMeasure, m.costOff = m.costStep()
	return m, nil
}

// IsLoose reports whether nothing couples units but the sums of whole years.
func (m *Model) IsLoose() bool {
	if len(m.RefugeUnits) > 0 || len(m.Apart) > 0 || len(m.Neighbors) > 0 {
		return false
	}
	for _, x := range m.MixOf {
		if x >= 0 {
			return false
		}
	}
	return true
}

func (m *Model) setLimits() {
	p := m.Problem
	m.Limit = make([]Limits, m.T)
	for t := range m.Limit {
		c := &p.Caps[t]
		l := Limits{withSlack(c.Acres), withSlack(c.Burns), withSlack(c.Cost), make([]float64, m.S)}
		for s := range l.Days {
			l.Days[s] = Inf
			if s < len(c.BurnDays) {
				l.Days[s] = withSlack(c.BurnDays[s])
			}
		}
		m.Limit[t] = l
	}
	m.RefugeLimit = make([]float64, len(p.Refuges))
	for r, acres := range p.RefugeAcres() {
		m.RefugeLimit[r] = withSlack(p.Refuges[r].MaxShare * acres)
	}
}

func withSlack(limit float64) float64 { return limit + problem.SlackAllowed(limit) }

func (m *Model) setUnits() {
	p := m.Problem
	m.Acres, m.Days, m.Dollars = make([]float64, m.N), make([]float64, m.N), make([]float64, m.N)
	m.RefugeOf, m.MixOf = make([]int32, m.N), make([]int32, m.N)
	m.RefugeUnits = make([][]int32, len(p.Refuges))
	for i := range p.Units {
		u := &p.Units[i]
		m.Acres[i], m.Days[i], m.Dollars[i] = u.Acres, u.BurnDays, u.Cost
		m.RefugeOf[i], m.MixOf[i] = int32(u.Refuge), int32(u.Mix)
		if u.Refuge >= 0 {
			m.RefugeUnits[u.Refuge] = append(m.RefugeUnits[u.Refuge], int32(i))
		}
	}
}

func (m *Model) setClasses() {
	acres := m.Problem.MixAcres()
	for x, mix := range m.Problem.Mixes {
		for c, class := range mix.Classes {
			m.Classes = append(m.Classes, Class{int32(x), int32(c), class.MinShare * acres[x], class.MaxShare * acres[x]})
		}
	}
}

// state is what a stand age means.
type state struct {
	canBurn bool
	overdue float64 // weights an acre
	class   int32
}

// SkippedAges gives how many ages unit i has no states for: ages from T on occur only
// before the first burn, and state T stands for one that is so much older.
func (m *Model) SkippedAges(i int) int { return max(0, m.Problem.Units[i].Age-m.T) }

func (m *Model) setStates() {
	firstClass := make([]int32, len(m.Problem.Mixes))
	at := int32(0)
	for x, mix := range m.Problem.Mixes {
		firstClass[x] = at
		at += int32(len(mix.Classes))
	}
	m.K, m.Start = make([]int32, m.N), make([]int16, m.N)
	m.StateBase = make([]int32, m.N+1)
	var of []state
	for i := range m.Problem.Units {
		u := &m.Problem.Units[i]
		skip := m.SkippedAges(i)
		last := u.Age - skip + m.T // the oldest state that can be reached
		of = of[:0]
		for k := 0; k <= last; k++ {
			age := k
			if k >= m.T {
				age += skip
			}
			st := state{canBurn: age >= u.MinInterval-1, overdue: m.Problem.OverdueFactor(age, u.MaxInterval), class: -1}
			if u.Mix >= 0 {
				for c, class := range m.Problem.Mixes[u.Mix].Classes {
					if age >= class.From && age <= class.To {
						st.class = firstClass[u.Mix] + int32(c)
					}
				}
			}
			of = append(of, st)
		}
		for last > 1 && of[last-1] == of[last] {
			last--
		}
		m.K[i] = int32(last + 1)
		m.Start[i] = int16(min(u.Age-skip, last))
		m.StateBase[i+1] = m.StateBase[i] + m.K[i]
		for _, st := range of[:last+1] {
			m.CanBurn = append(m.CanBurn, st.canBurn)
			m.OverdueCost = append(m.OverdueCost, m.Problem.Weights.Overdue*u.Acres*st.overdue)
			m.Class = append(m.Class, st.class)
		}
	}
}

func (m *Model) setOwn() {
	p := m.Problem
	m.RestOwn, m.BurnOwn = make([]float64, m.N*m.T), make([]float64, m.N*m.T*m.S)
	m.MayBurn, m.KeepBurn = make([]bool, m.N*m.T), make([]bool, m.N*m.T)
	m.LockedBurn, m.LockedRest = make([]bool, m.N*m.T), make([]bool, m.N*m.T)
	season := make([]int, m.N*m.T)
	for at := range season {
		season[at] = -1
	}
	for _, l := range p.Locks {
		at := l.Unit*m.T + l.Year - p.FirstYear
		if !l.Burn {
			m.LockedRest[at] = true
		} else {
			m.LockedBurn[at] = true
			if l.Season >= 0 {
				if season[at] >= 0 && season[at] != l.Season {
					m.Contradiction = true
				}
				season[at] = l.Season
			}
		}
		if m.LockedBurn[at] && m.LockedRest[at] {
			m.Contradiction = true
		}
	}
	m.setClosed()
	for _, b := range p.Previous {
		if t := b.Year - p.FirstYear; t < p.KeepYears {
			m.KeepBurn[b.Unit*m.T+t] = true
		}
	}
	for i := range p.Units {
		u := &p.Units[i]
		for t := range m.T {
			at := i*m.T + t
			burn, rest := 0.0, 0.0
			if t < p.KeepYears {
				if m.KeepBurn[at] {
					rest = p.Weights.Keep * u.Acres
				} else {
					burn = p.Weights.Keep * u.Acres
				}
			}
			if m.LockedBurn[at] {
				rest = Inf
			}
			if m.LockedRest[at] || m.alone(i, t) {
				burn = Inf
			}
			m.RestOwn[at] = rest
			for s := range m.S {
				cost := burn + p.Weights.Season*u.Penalty[s]*u.Acres
				switch {
				case !u.Allows(s), m.Closed != nil && m.Closed[at*m.S+s], season[at] >= 0 && season[at] != s:
					cost = Inf
				case Passes(m.Days[i], m.Limit[t].Days[s]) && !math.IsInf(cost, 1):
					m.DayBans = append(m.DayBans, DayBan{int32(i), int32(t), int32(s)})
					cost = Inf
				}
				m.BurnOwn[at*m.S+s] = cost
				m.MayBurn[at] = m.MayBurn[at] || !math.IsInf(cost, 1)
			}
		}
	}
}

func (m *Model) setClosed() {
	p := m.Problem
	if len(p.Closed) == 0 {
		return
	}
	m.Closed = make([]bool, m.N*m.T*m.S)
	for _, c := range p.Closed {
		at := (c.Unit*m.T + c.Year - p.FirstYear) * m.S
		for s := range m.S {
			m.Closed[at+s] = m.Closed[at+s] || c.Season < 0 || c.Season == s
		}
	}
}

// alone reports whether one burn by itself passes a limit of its year.
func (m *Model) alone(i, t int) bool {
	l := &m.Limit[t]
	r := m.RefugeOf[i]
	return Passes(m.Acres[i], l.Acres) || Passes(1, l.Burns) || Passes(m.Dollars[i], l.Cost) ||
		r >= 0 && Passes(m.Acres[i], m.RefugeLimit[r])
}

// looser is how far a sum must pass a limit and its slack before a set of
// burns is ruled out, relative to the limit: far above the float error of a sum
// of a few dozen numbers, and on the safe side, since ruling fewer sets out
// lowers a bound.
const looser = 1e-12

// Passes reports whether a sum of a few dozen numbers passes a limit, slack
// included, whatever rounding did to either.
func Passes(sum, limit float64) bool {
	return sum > limit+looser*math.Max(1, math.Abs(limit))
}

func (m *Model) setPairs() {
	for _, pair := range m.Problem.Apart {
		m.Apart = append(m.Apart, Pair{int32(pair[0]), int32(pair[1]), 0})
	}
	for _, pair := range m.Problem.Neighbors {
		cost := m.Problem.Weights.Neighbors * min(m.Acres[pair[0]], m.Acres[pair[1]])
		m.Neighbors = append(m.Neighbors, Pair{int32(pair[0]), int32(pair[1]), cost})
	}
	m.ApartOf, m.NeighborsOf = adjacent(m.N, m.Apart), adjacent(m.N, m.Neighbors)
}

func adjacent(n int, pairs []Pair) Adjacent {
	a := Adjacent{make([]int32, n+1), make([]int32, 2*len(pairs)), make([]int32, 2*len(pairs))}
	for _, p := range pairs {
		a.Start[p.I+1]++
		a.Start[p.J+1]++
	}
	for i := range n {
		a.Start[i+1] += a.Start[i]
	}
	next := make([]int32, n)
	copy(next, a.Start)
	for x, p := range pairs {
		for _, end := range [2][2]int32{{p.I, p.J}, {p.J, p.I}} {
			a.Other[next[end[0]]], a.Pair[next[end[0]]] = end[1], int32(x)
			next[end[0]]++
		}
	}
	return a
}

// Next gives the state after a year of rest in state k.
func (m *Model) Next(i int, k int16) int16 {
	if int32(k)+1 < m.K[i] {
		return k + 1
	}
	return k
}

// NewPlan gives a plan in which every unit rests in every year.
func (m *Model) NewPlan() Plan {
	p := make(Plan, m.N*m.T)
	for at := range p {
		p[at] = Rest
	}
	return p
}

// PlanOf gives the plan with the burns and rests in all other years.
func (m *Model) PlanOf(burns []problem.Burn) Plan {
	p := m.NewPlan()
	for _, b := range burns {
		p[b.Unit*m.T+b.Year-m.Problem.FirstYear] = int8(b.Season)
	}
	return p
}

// Burns lists a plan's burns as an answer does: by year, then by unit.
func (m *Model) Burns(p Plan) []problem.Burn {
	var burns []problem.Burn
	for t := range m.T {
		for i := range m.N {
			if s := p[i*m.T+t]; s != Rest {
				burns = append(burns, problem.Burn{Unit: i, Year: m.Problem.FirstYear + t, Season: int(s)})
			}
		}
	}
	return burns
}
