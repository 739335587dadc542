package model

import (
	"math"

	"emberquilt/schedule/problem"
)

// Row is the index of a coupling row.
type Row = int32

// Rows addresses the coupling rows: a row's index is the base of its kind plus
// item·T + year, see the package's text. Each row adds, for a price p, the term
// p·(Σ coefficients of what happens − Right) to the cost.
type Rows struct {
	T                                  int
	Acres, Burns, Cost, Days           Row
	Refuge, Apart, MixLow, MixHigh     Row
	EvenLow, EvenHigh, Neighbors, Many Row

	// Right is what a sum can come to within the limit and its slack, 1 for pairs, and the band's end for
	// bands (negative for lower ends, whose coefficients are negative too).
	Right []float64
	// PriceMax is the largest valid price; 0 where the problem lacks the row.
	PriceMax []float64
}

func newRows(m *Model) Rows {
	t := Row(m.T)
	r := Rows{T: m.T}
	at := Row(0)
	for _, kind := range []struct {
		base  *Row
		items int
	}{
		{&r.Acres, 1}, {&r.Burns, 1}, {&r.Cost, 1}, {&r.Days, m.S},
		{&r.Refuge, len(m.RefugeLimit)}, {&r.Apart, len(m.Apart)},
		{&r.MixLow, len(m.Classes)}, {&r.MixHigh, len(m.Classes)},
		{&r.EvenLow, 1}, {&r.EvenHigh, 1}, {&r.Neighbors, len(m.Neighbors)},
	} {
		*kind.base = at
		at += Row(kind.items) * t
	}
	r.Many = at
	r.Right, r.PriceMax = make([]float64, at), make([]float64, at)
	hard := func(row Row, limit float64) {
		if !math.IsInf(limit, 1) {
			r.Right[row], r.PriceMax[row] = limit, Inf
		}
	}
	soft := func(row Row, right, weight float64) {
		if !math.IsInf(right, 0) {
			r.Right[row], r.PriceMax[row] = right, weight
		}
	}
	w := m.Problem.Weights
	acres, dollars, days := divisor(m.Acres), divisor(m.Dollars), divisor(m.Days)
	group := make([]float64, len(m.RefugeUnits))
	for g, units := range m.RefugeUnits {
		var of []float64
		for _, i := range units {
			of = append(of, m.Acres[i])
		}
		group[g] = divisor(of)
	}
	for y := range t {
		l := &m.Limit[y]
		hard(r.Acres+y, reach(l.Acres, acres))
		hard(r.Burns+y, reach(l.Burns, 1))
		hard(r.Cost+y, reach(l.Cost, dollars))
		for s := range l.Days {
			hard(r.Days+Row(s)*t+y, reach(l.Days[s], days))
		}
		for g, limit := range m.RefugeLimit {
			hard(r.Refuge+Row(g)*t+y, reach(limit, group[g]))
		}
		for a := range m.Apart {
			hard(r.Apart+Row(a)*t+y, 1)
		}
		for c, class := range m.Classes {
			if class.Lo > 0 {
				soft(r.MixLow+Row(c)*t+y, -class.Lo, w.Mix)
			}
			soft(r.MixHigh+Row(c)*t+y, class.Hi, w.Mix)
		}
		soft(r.EvenLow+y, -m.EvenLo, w.Evenness)
		soft(r.EvenHigh+y, m.EvenHi, w.Evenness)
		for b, pair := range m.Neighbors {
			soft(r.Neighbors+Row(b)*t+y, 1, pair.Cost)
		}
	}
	return r
}

// Finder gives a function that finds the row that answers and certificates name;
// ok is false where the model has none.
func (m *Model) Finder() func(problem.Row) (row Row, ok bool) {
	r, t := &m.Rows, m.T
	pairs := func(list []Pair) map[[2]int]int {
		index := make(map[[2]int]int, len(list))
		for x, pair := range list {
			index[[2]int{int(pair.I), int(pair.J)}] = x
		}
		return index
	}
	apart, neighbors := pairs(m.Apart), pairs(m.Neighbors)
	classes := map[[2]int]int{}
	for x, c := range m.Classes {
		classes[[2]int{int(c.Mix), int(c.Class)}] = x
	}
	return func(name problem.Row) (Row, bool) {
		base, item, known := r.Acres, 0, true
		switch name.Kind {
		case problem.RowAcres:
		case problem.RowBurns:
			base = r.Burns
		case problem.RowCost:
			base = r.Cost
		case problem.RowBurnDays:
			base, item, known = r.Days, name.Season, name.Season >= 0 && name.Season < m.S
		case problem.RowRefuge:
			base, item, known = r.Refuge, name.Refuge, name.Refuge >= 0 && name.Refuge < len(m.RefugeLimit)
		case problem.RowApart:
			base = r.Apart
			item, known = apart[name.Pair]
		case problem.RowMixLow, problem.RowMixHigh:
			if base = r.MixLow; name.Kind == problem.RowMixHigh {
				base = r.MixHigh
			}
			item, known = classes[[2]int{name.Mix, name.Class}]
		case problem.RowEvenLow:
			base = r.EvenLow
		case problem.RowEvenHigh:
			base = r.EvenHigh
		case problem.RowNeighbors:
			base = r.Neighbors
			item, known = neighbors[name.Pair]
		default:
			known = false
		}
		y := name.Year - m.Problem.FirstYear
		if !known || y < 0 || y >= t {
			return 0, false
		}
		return base + Row(item*t+y), true
	}
}

// Name gives a row as answers and certificates name it.
func (m *Model) Name(row Row) problem.Row {
	r, t := &m.Rows, Row(m.T)
	year := m.Problem.FirstYear
	item := func(base Row) (int, int) { return int((row - base) / t), year + int((row-base)%t) }
	var out problem.Row
	var x int
	switch {
	case row < r.Burns:
		out.Kind = problem.RowAcres
		_, out.Year = item(r.Acres)
	case row < r.Cost:
		out.Kind = problem.RowBurns
		_, out.Year = item(r.Burns)
	case row < r.Days:
		out.Kind = problem.RowCost
		_, out.Year = item(r.Cost)
	case row < r.Refuge:
		out.Kind = problem.RowBurnDays
		out.Season, out.Year = item(r.Days)
	case row < r.Apart:
		out.Kind = problem.RowRefuge
		out.Refuge, out.Year = item(r.Refuge)
	case row < r.MixLow:
		out.Kind = problem.RowApart
		x, out.Year = item(r.Apart)
		out.Pair = [2]int{int(m.Apart[x].I), int(m.Apart[x].J)}
	case row < r.MixHigh:
		out.Kind = problem.RowMixLow
		x, out.Year = item(r.MixLow)
		out.Mix, out.Class = int(m.Classes[x].Mix), int(m.Classes[x].Class)
	case row < r.EvenLow:
		out.Kind = problem.RowMixHigh
		x, out.Year = item(r.MixHigh)
		out.Mix, out.Class = int(m.Classes[x].Mix), int(m.Classes[x].Class)
	case row < r.EvenHigh:
		out.Kind = problem.RowEvenLow
		_, out.Year = item(r.EvenLow)
	case row < r.Neighbors:
		out.Kind = problem.RowEvenHigh
		_, out.Year = item(r.EvenHigh)
	default:
		out.Kind = problem.RowNeighbors
		x, out.Year = item(r.Neighbors)
		out.Pair = [2]int{int(m.Neighbors[x].I), int(m.Neighbors[x].J)}
	}
	return out
}

// ClassRounding is what a check may take off the cost of an age class in a year: it counts
// acres in whole parts, down by a few for each unit, and the weight of mixes multiplies
// them.
func (m *Model) ClassRounding() float64 {
	acres := 0.0
	for _, a := range m.Acres {
		acres += a
	}
	return m.Problem.Weights.Mix * float64(8*(m.N+1)) * (4*acres + 1) * 0x1p-59
}
