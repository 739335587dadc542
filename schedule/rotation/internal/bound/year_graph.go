package bound

import (
	"math"
	"slices"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
)

// graphGrain is what prices of graph blocks are multiples of.
const graphGrain = 1.0 / (1 << 20)

// mostWidth is how many open units a step of the elimination may have.
const mostWidth = 12

// forbidden is a cost that no set pays; sums of a few thousand do not overflow.
const forbidden = int64(1) << 50

// graphShape is what may burn together in a year: refuge shares, apart pairs, and
// neighbor pairs, which it pays. Units are eliminated one by one: the least cost
// over the unit is a table over the units that are linked to it and still there.
type graphShape struct {
	units []int32
	// pays lists the neighbor pairs whose cost the year pays.
	pays []int32
	// splits lists those of whose cost it pays a part that may change.
	splits []int32
	// size is the sum of all pairs' costs.
	size  float64
	steps []graphStep
}

// graphStep eliminates a unit. A set of its scope is a number, the unit itself
// the highest bit.
type graphStep struct {
	unit  int   // position in units
	scope []int // positions of the others
	base  []int64
	from  []graphMessage
	split []graphSplit
}

// graphSplit is a pair by its index in splits and by the set of both.
type graphSplit struct{ k, both int }

// graphMessage is the table of an earlier step, and where in it a set of this
// step's scope stands.
type graphMessage struct {
	step int
	at   []uint16
}

// newGraphShape gives nil where nothing links two units. owner says which
// neighbor pairs a unit block pays, maySplit of which of them a part.
func newGraphShape(m *model.Model, owner []int32, maySplit func(pair int32) bool) *graphShape {
	paid := func(p int32) bool { return owner[p] >= 0 && !maySplit(p) }
	links := make([]map[int32]bool, m.N)
	link := func(i, j int32) {
		for _, p := range [2][2]int32{{i, j}, {j, i}} {
			if links[p[0]] == nil {
				links[p[0]] = map[int32]bool{}
			}
			links[p[0]][p[1]] = true
		}
	}
	for _, p := range m.Apart {
		link(p.I, p.J)
	}
	for x, p := range m.Neighbors {
		if !paid(int32(x)) && p.Cost > 0 && p.Cost < 1e9 {
			link(p.I, p.J)
		}
	}
	var groups [][]int32
	for g, units := range m.RefugeUnits {
		sum := 0.0
		for _, i := range units {
			sum += m.Acres[i]
		}
		if len(units) > problem.MaxYearGroup || !model.Passes(sum, m.RefugeLimit[g]) {
			continue
		}
		groups = append(groups, units)
		for x, i := range units {
			for _, j := range units[:x] {
				link(i, j)
			}
		}
	}
	order := eliminate(links)
	s := &graphShape{}
	for i := range links {
		if links[i] != nil {
			s.units = append(s.units, int32(i))
		}
	}
	if len(order) < 2 {
		return nil
	}
	s.lay(m, links, order, groups, paid, owner)
	return s
}

// eliminate gives an order of the linked units in which none has more than
// mostWidth others open: of least degree first. Where that cannot be had, the unit
// with most open links loses its links, and the order goes on without it.
func eliminate(links []map[int32]bool) (order []int32) {
	open := make([]map[int32]bool, len(links))
	var left []int32
	for i := range links {
		if links[i] == nil {
			continue
		}
		open[i] = map[int32]bool{}
		for j := range links[i] {
			open[i][j] = true
		}
		left = append(left, int32(i))
	}
	for len(left) > 0 {
		least, worst := 0, 0
		for x, i := range left {
			if len(open[i]) < len(open[left[least]]) {
				least = x
			}
			if len(open[i]) > len(open[left[worst]]) {
				worst = x
			}
		}
		at := least
		if len(open[left[least]]) > mostWidth {
			at = worst
		}
		i := left[at]
		left = slices.Delete(left, at, at+1)
		for j := range open[i] {
			delete(open[j], i)
		}
		if at != least {
			for j := range links[i] {
				delete(links[j], i)
			}
			links[i] = nil
			continue
		}
		order = append(order, i)
		for j := range open[i] {
			for k := range open[i] {
				if j != k {
					open[j][k] = true
				}
			}
		}
	}
	return order
}

func (s *graphShape) lay(m *model.Model, links []map[int32]bool, order []int32, groups [][]int32, paid func(int32) bool, owner []int32) {
	place, rank := make([]int, m.N), make([]int, m.N)
	for i := range place {
		place[i], rank[i] = -1, -1
	}
	for u, i := range s.units {
		place[i] = u
	}
	for x, i := range order {
		rank[i] = x
	}
	open := make([]map[int32]bool, m.N)
	for i := range links {
		open[i] = map[int32]bool{}
		for j := range links[i] {
			open[i][j] = true
		}
	}
	waiting := make([][]int, len(order)) // steps whose tables a step takes in
	scopes := make([][]int32, len(order))
	for x, i := range order {
		var scope []int32
		for j := range open[i] {
			scope = append(scope, j)
		}
		slices.SortFunc(scope, func(a, b int32) int { return rank[a] - rank[b] })
		for _, j := range scope {
			delete(open[j], i)
			for _, k := range scope {
				if j != k {
					open[j][k] = true
				}
			}
		}
		scopes[x] = scope
		step := graphStep{unit: place[i], base: make([]int64, 2<<len(scope))}
		for _, j := range scope {
			step.scope = append(step.scope, place[j])
		}
		bit := map[int32]int{i: len(scope)}
		for k, j := range scope {
			bit[j] = k
		}
		for _, from := range waiting[x] {
			msg := graphMessage{step: from, at: make([]uint16, len(step.base))}
			for set := range msg.at {
				for k, j := range scopes[from] {
					msg.at[set] |= uint16(set >> bit[j] & 1 << k)
				}
			}
			step.from = append(step.from, msg)
		}
		if len(scope) > 0 {
			waiting[rank[scope[0]]] = append(waiting[rank[scope[0]]], x)
		}
		s.steps = append(s.steps, step)
	}
	first := func(units []int32) (x int, bits []int) {
		x = len(order)
		for _, i := range units {
			x = min(x, rank[i])
		}
		for _, i := range units {
			b := slices.Index(scopes[x], i)
			if i == order[x] {
				b = len(scopes[x])
			}
			bits = append(bits, b)
		}
		return x, bits
	}
	for p, pair := range m.Apart {
		_ = p
		s.pair(first, pair, forbidden)
	}
	for p, pair := range m.Neighbors {
		s.size += pair.Cost
		if place[pair.I] < 0 || place[pair.J] < 0 || paid(int32(p)) || !links[pair.I][pair.J] {
			continue
		}
		if owner[p] >= 0 {
			x, bits := first([]int32{pair.I, pair.J})
			s.steps[x].split = append(s.steps[x].split, graphSplit{len(s.splits), 1<<bits[0] | 1<<bits[1]})
			s.splits = append(s.splits, int32(p))
			continue
		}
		s.pays = append(s.pays, int32(p))
		s.pair(first, pair, max(0, int64(math.Floor(pair.Cost/graphGrain))-1))
	}
	for _, units := range groups {
		var inside []int32
		for _, i := range units {
			if place[i] >= 0 {
				inside = append(inside, i)
			}
		}
		if len(inside) == 0 {
			continue
		}
		x, bits := first(inside)
		step := &s.steps[x]
		limit := m.RefugeLimit[m.RefugeOf[inside[0]]]
		for set := range step.base {
			sum := 0.0
			for k, b := range bits {
				if set>>b&1 == 1 {
					sum += m.Acres[inside[k]]
				}
			}
			if model.Passes(sum, limit) {
				step.base[set] = forbidden
			}
		}
	}
}

// pair adds what two units cost if both burn.
func (s *graphShape) pair(first func([]int32) (int, []int), p model.Pair, cost int64) {
	for _, i := range [2]int32{p.I, p.J} {
		if _, known := slices.BinarySearch(s.units, i); !known {
			return
		}
	}
	x, bits := first([]int32{p.I, p.J})
	if bits[0] < 0 || bits[1] < 0 {
		return
	}
	both := 1<<bits[0] | 1<<bits[1]
	base := s.steps[x].base
	for set := range base {
		if set&both == both {
			base[set] = min(forbidden, base[set]+cost)
		}
	}
}

// graphSolver holds the tables of a year; it is not safe for concurrent use.
type graphSolver struct {
	memory []int64
	tables [][]int64
	work   []int64
	price  []int64
	// split holds what the year pays of each pair of splits.
	split []int64
}

// solve gives the least cost of a year less what the units of a set are given,
// and the set.
func (g *graphSolver) solve(s *graphShape, price []float64, take []uint8) float64 {
	g.price = g.price[:0]
	for _, p := range price {
		g.price = append(g.price, int64(math.Round(p/graphGrain)))
	}
	g.lay(s)
	constant := int64(0)
	for x := range s.steps {
		step := &s.steps[x]
		half := len(step.base) / 2
		work := g.work[:len(step.base)]
		copy(work, step.base)
		for k := range step.from {
			msg := &step.from[k]
			table := g.tables[msg.step]
			at := msg.at[:len(work)]
			for set := range work {
				work[set] += table[at[set]]
			}
		}
		for _, p := range step.split {
			if h := g.split[p.k]; h != 0 {
				for set := range work {
					if set&p.both == p.both {
						work[set] += h
					}
				}
			}
		}
		gain := g.price[step.unit]
		out := g.tables[x]
		with := work[half:][:len(out)]
		for set, c := range work[:len(out)] {
			out[set] = min(c, with[set]-gain)
		}
		if half == 1 {
			constant += out[0]
		}
	}
	g.trace(s, take)
	return float64(constant) * graphGrain
}

// lay makes room for the tables of all steps.
func (g *graphSolver) lay(s *graphShape) {
	total, most := 0, 0
	for x := range s.steps {
		total += len(s.steps[x].base) / 2
		most = max(most, len(s.steps[x].base))
	}
	if cap(g.memory) < total {
		g.memory = make([]int64, total)
	}
	if cap(g.work) < most {
		g.work = make([]int64, most)
	}
	g.tables = g.tables[:0]
	at := 0
	for x := range s.steps {
		n := len(s.steps[x].base) / 2
		g.tables = append(g.tables, g.memory[at:at+n])
		at += n
	}
}

// trace walks back: each unit burns where that is cheaper beside those that are
// decided.
func (g *graphSolver) trace(s *graphShape, take []uint8) {
	for x := len(s.steps) - 1; x >= 0; x-- {
		step := &s.steps[x]
		set := 0
		for k, u := range step.scope {
			set |= int(take[u]) << k
		}
		with := set | 1<<len(step.scope)
		rest, burn := step.base[set], step.base[with]-g.price[step.unit]
		for k := range step.from {
			table, at := g.tables[step.from[k].step], step.from[k].at
			rest += table[at[set]]
			burn += table[at[with]]
		}
		for _, p := range step.split {
			if set&p.both == p.both {
				rest += g.split[p.k]
			}
			if with&p.both == p.both {
				burn += g.split[p.k]
			}
		}
		take[step.unit] = 0
		if burn < rest {
			take[step.unit] = 1
		}
	}
}
