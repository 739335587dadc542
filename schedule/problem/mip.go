package problem

import (
	"fmt"
	"math"
)

// mip is a problem as a mixed-integer linear program: minimize the cost of
// its columns, each at least 0, under its rows.
//
// Formulation. A burn of unit i in year t in season s is the binary column
// x(i,t,s); seasons that are not allowed, or closed in the year, have none. Each unit
// walks through (year, age): a column q(i,t,g) is 1 when it rests in year t from
// age g, b(i,t,g) when it burns in year t from age g, and flow goes in and out
// of every (year, age) alike. Rest intervals are arcs that are not there. The
// walk is a network, so that only x need be integer, and its relaxation is that
// of whole burn sequences. Costs of ages lie on the arcs that end in them; mix,
// evenness and neighbors have a column each for what is short or too much.
// Every limit stands with the slack by which a sum may pass it, so that the
// optimum is that of the problem.
type mip struct {
	columns []mipColumn
	rows    []mipRow
	// notes are lines that say which unit, season and group a number is.
	notes []string
}

type mipColumn struct {
	name   string
	cost   float64
	binary bool
}

type mipRow struct {
	name  string
	sense byte // 'L', 'G' or 'E'
	right float64
	terms []mipTerm
}

type mipTerm struct {
	column int
	factor float64
}

func (m *mip) column(name string, cost float64) int {
	m.columns = append(m.columns, mipColumn{name: name, cost: cost})
	return len(m.columns) - 1
}

// row adds a row; one without terms is left out unless it cannot hold.
func (m *mip) row(name string, sense byte, right float64, terms []mipTerm) {
	holds := sense == 'L' && right >= 0 || sense == 'G' && right <= 0 || sense == 'E' && right == 0
	if len(terms) > 0 || !holds {
		m.rows = append(m.rows, mipRow{name, sense, right, terms})
	}
}

// formulation makes the program of a problem.
type formulation struct {
	mip
	p *Problem
	// burn at [i][t] holds the columns x(i,t,s), −1 for none.
	burn [][][]int
	// aged at [class number][t] holds the terms of the acres in an age class.
	aged      [][][]mipTerm
	classBase []int
	previous  map[UnitYear]bool
	allowed   func(unit, year, season int) bool
}

func formulate(p *Problem) *mip {
	f := &formulation{p: p, previous: map[UnitYear]bool{}, allowed: p.Allowed()}
	for _, b := range p.Previous {
		f.previous[b] = true
	}
	f.note()
	classes := 0
	for m := range p.Mixes {
		f.classBase = append(f.classBase, classes)
		classes += len(p.Mixes[m].Classes)
	}
	f.aged = make([][][]mipTerm, classes)
	for c := range f.aged {
		f.aged[c] = make([][]mipTerm, p.T())
	}
	f.burn = make([][][]int, len(p.Units))
	for i := range p.Units {
		f.burns(i)
		f.walk(i)
	}
	for t := range p.T() {
		f.year(t)
	}
	f.lockRows()
	return &f.mip
}

func (f *formulation) note() {
	say := func(format string, args ...any) { f.notes = append(f.notes, fmt.Sprintf(format, args...)) }
	say("rotation problem %s", f.p.SHA256)
	say("minimize the cost in acre-years; x_uI_YEAR_sK = 1: unit I burns in YEAR in season K")
	for s, name := range f.p.Seasons {
		say("s%d = %+q", s+1, name)
	}
	for i := range f.p.Units {
		say("u%d = %+q", i+1, f.p.Units[i].ID)
	}
	for r := range f.p.Refuges {
		say("r%d = %+q", r+1, f.p.Refuges[r].Name)
	}
	for m := range f.p.Mixes {
		for k, c := range f.p.Mixes[m].Classes {
			say("m%d_c%d = %+q of %+q", m+1, k+1, c.Name, f.p.Mixes[m].Name)
		}
	}
}

func (f *formulation) at(i, t int) string { return fmt.Sprintf("u%d_%d", i+1, f.p.FirstYear+t) }

// burns adds the columns x of a unit.
func (f *formulation) burns(i int) {
	p, u := f.p, &f.p.Units[i]
	f.burn[i] = make([][]int, p.T())
	for t := range f.burn[i] {
		f.burn[i][t] = make([]int, len(p.Seasons))
		for s := range p.Seasons {
			f.burn[i][t][s] = -1
			if f.allowed(i, p.FirstYear+t, s) {
				f.burn[i][t][s] = f.column(fmt.Sprintf("x_%s_s%d", f.at(i, t), s+1), p.Weights.Season*u.Penalty[s]*u.Acres)
				f.columns[f.burn[i][t][s]].binary = true
			}
		}
	}
}

// anyBurn adds the terms of x(i,t) = Σ x(i,t,s).
func (f *formulation) anyBurn(terms []mipTerm, i, t int, factor float64) []mipTerm {
	for _, column := range f.burn[i][t] {
		if column >= 0 && factor != 0 {
			terms = append(terms, mipTerm{column, factor})
		}
	}
	return terms
}

// walk adds the network of a unit's ages. Ages from which nothing changes any
// more are one.
func (f *formulation) walk(i int) {
	p, u := f.p, &f.p.Units[i]
	top := max(min(p.OverdueAge(u.MaxInterval), max(u.MaxInterval, u.Age+p.T())), u.MinInterval-1)
	if u.Mix >= 0 {
		for _, c := range p.Mixes[u.Mix].Classes {
			top = max(top, c.From)
		}
	}
	// into[g] holds the columns that end year t at age g, in order of age.
	ages, into := []int{min(u.Age, top)}, map[int][]mipTerm{}
	for t := range p.T() {
		var next []int
		arrive := func(age, column int) {
			if into[age] == nil {
				next = append(next, age)
			}
			into[age] = append(into[age], mipTerm{column, 1})
			if u.Mix >= 0 {
				for k, c := range p.Mixes[u.Mix].Classes {
					if age >= c.From && age <= c.To {
						at := &f.aged[f.classBase[u.Mix]+k][t]
						*at = append(*at, mipTerm{column, u.Acres})
					}
				}
			}
		}
		before := into
		into = map[int][]mipTerm{}
		keep := 0.0
		if t < p.KeepYears {
			keep = p.Weights.Keep * u.Acres
		}
		burned := f.previous[UnitYear{i, p.FirstYear + t}]
		out := make([][]mipTerm, len(ages))
		var burns []mipTerm
		if f.anyBurn(nil, i, t, 1) != nil {
			for k, g := range ages {
				if g+1 >= u.MinInterval {
					column := f.column(fmt.Sprintf("b_%s_g%d", f.at(i, t), g), f.arcCost(u, 0, keep, burned, true))
					burns = append(burns, mipTerm{column, 1})
					out[k] = append(out[k], mipTerm{column, -1})
					arrive(0, column)
				}
			}
		}
		for k, g := range ages {
			to := min(g+1, top)
			column := f.column(fmt.Sprintf("q_%s_g%d", f.at(i, t), g), f.arcCost(u, to, keep, burned, false))
			out[k] = append(out[k], mipTerm{column, -1})
			arrive(to, column)
		}
		for k, g := range ages {
			right := 0.0
			if t == 0 {
				right = -1
			}
			f.row(fmt.Sprintf("flow_%s_g%d", f.at(i, t), g), 'E', right, append(before[g], out[k]...))
		}
		f.row("burn_"+f.at(i, t), 'E', 0, f.anyBurn(burns, i, t, -1))
		ages = next
	}
}

// arcCost is what a year costs that ends at an age, overdue and keep.
func (f *formulation) arcCost(u *Unit, age int, keep float64, before, burns bool) float64 {
	cost := f.p.Weights.Overdue * u.Acres * f.p.OverdueFactor(age, u.MaxInterval)
	if before != burns {
		cost += keep
	}
	return cost
}

// year adds the rows of one year.
func (f *formulation) year(t int) {
	p, year := f.p, f.p.FirstYear+t
	sum := func(factor func(u *Unit) float64) []mipTerm {
		var terms []mipTerm
		for i := range p.Units {
			terms = f.anyBurn(terms, i, t, factor(&p.Units[i]))
		}
		return terms
	}
	limit := func(name string, limit float64, terms []mipTerm) {
		if limit != NoLimit {
			f.row(name, 'L', limit+SlackAllowed(limit), terms)
		}
	}
	acres := func(u *Unit) float64 { return u.Acres }
	c := &p.Caps[t]
	limit(fmt.Sprintf("acres_%d", year), c.Acres, sum(acres))
	limit(fmt.Sprintf("burns_%d", year), c.Burns, sum(func(*Unit) float64 { return 1 }))
	limit(fmt.Sprintf("cost_%d", year), c.Cost, sum(func(u *Unit) float64 { return u.Cost }))
	for s := range p.Seasons {
		var terms []mipTerm
		for i := range p.Units {
			if column := f.burn[i][t][s]; column >= 0 && p.Units[i].BurnDays != 0 {
				terms = append(terms, mipTerm{column, p.Units[i].BurnDays})
			}
		}
		limit(fmt.Sprintf("days_%d_s%d", year, s+1), c.BurnDays[s], terms)
	}
	groups := p.RefugeAcres()
	for r := range p.Refuges {
		limit(fmt.Sprintf("refuge_%d_r%d", year, r+1), p.Refuges[r].MaxShare*groups[r], sum(func(u *Unit) float64 {
			if u.Refuge == r {
				return u.Acres
			}
			return 0
		}))
	}
	f.pairRows(t)
	f.bandRows(t, sum(acres))
}

func (f *formulation) pairRows(t int) {
	p := f.p
	for _, pair := range p.Apart {
		both := f.anyBurn(f.anyBurn(nil, pair[0], t, 1), pair[1], t, 1)
		f.row(fmt.Sprintf("apart_%d_u%d_u%d", p.FirstYear+t, pair[0]+1, pair[1]+1), 'L', 1, both)
	}
	for _, pair := range p.Neighbors {
		cost := p.Weights.Neighbors * min(p.Units[pair[0]].Acres, p.Units[pair[1]].Acres)
		both := f.anyBurn(f.anyBurn(nil, pair[0], t, 1), pair[1], t, 1)
		if cost == 0 || len(both) == 0 {
			continue
		}
		name := fmt.Sprintf("%d_u%d_u%d", p.FirstYear+t, pair[0]+1, pair[1]+1)
		f.row("near_"+name, 'L', 1, append(both, mipTerm{f.column("n_"+name, cost), -1}))
	}
}

// bandRows adds what is short of a wanted range or above it.
func (f *formulation) bandRows(t int, burned []mipTerm) {
	p, year := f.p, f.p.FirstYear+t
	short := func(name string, weight, lo float64, terms []mipTerm) {
		if weight > 0 && lo > 0 {
			terms = append(append([]mipTerm{}, terms...), mipTerm{f.column("short_"+name, weight), 1})
			f.row("low_"+name, 'G', lo, terms)
		}
	}
	above := func(name string, weight, hi float64, terms []mipTerm) {
		if weight > 0 && hi != NoLimit && len(terms) > 0 {
			terms = append(append([]mipTerm{}, terms...), mipTerm{f.column("above_"+name, weight), -1})
			f.row("high_"+name, 'L', hi, terms)
		}
	}
	name := fmt.Sprintf("even_%d", year)
	if !math.IsInf(p.EvenLo, -1) {
		short(name, p.Weights.Evenness, p.EvenLo, burned)
	}
	above(name, p.Weights.Evenness, p.EvenHi, burned)
	acres := p.MixAcres()
	for m := range p.Mixes {
		for k, c := range p.Mixes[m].Classes {
			name := fmt.Sprintf("mix_%d_m%d_c%d", year, m+1, k+1)
			terms := f.aged[f.classBase[m]+k][t]
			short(name, p.Weights.Mix, c.MinShare*acres[m], terms)
			above(name, p.Weights.Mix, c.MaxShare*acres[m], terms)
		}
	}
}

// lockRows fixes what is locked.
func (f *formulation) lockRows() {
	for k, l := range f.p.Locks {
		t := l.Year - f.p.FirstYear
		right := 0.0
		terms := f.anyBurn(nil, l.Unit, t, 1)
		if l.Burn {
			right = 1
			if l.Season >= 0 {
				terms = nil
				if column := f.burn[l.Unit][t][l.Season]; column >= 0 {
					terms = []mipTerm{{column, 1}}
				}
			}
		}
		f.row(fmt.Sprintf("lock%d_%s", k+1, f.at(l.Unit, t)), 'E', right, terms)
	}
}
