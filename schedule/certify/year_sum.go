package certify

import (
	"errors"
	"fmt"
	"math"

	"emberquilt/schedule/problem"
)

// Limits of the search of a sum: cells, and cells times units.
const (
	sumCells = 1 << 20
	sumWork  = 1 << 30
)

var errSumTooLarge = errors.New("it has too many cells to search")

// yearSum is one sum of a year: which units count with what amount, what a set may
// come to at most (+Inf: anything), and the band outside of which it costs.
type yearSum struct {
	units  []int
	amount func(i int) float64
	most   float64
	weight float64
	// lo and hi are nil where that side of the band is absent.
	lo, hi *sum
}

// sumOf gives the value of a year block that is not a graph.
func (y *yearChecker) sumOf(b *problem.YearBlock, price []float64, t int) (value, error) {
	s := yearSum{units: b.Units, most: math.Inf(1), amount: func(i int) float64 { return y.units[i].Acres }}
	l := &y.reach[t]
	cap := func(most float64, amount func(i int) float64) {
		s.most, s.amount = most, amount
	}
	w := &y.p.Weights
	switch b.Kind {
	case problem.YearMix:
		class := &y.p.Mixes[b.Mix].Classes[b.Class]
		lo, hi := y.mixAcres[b.Mix].times(class.MinShare), y.mixAcres[b.Mix].times(class.MaxShare)
		s.weight, s.lo, s.hi, s.units = w.Mix, &lo, &hi, nil
		for i := range y.units {
			if y.units[i].Mix == b.Mix {
				s.units = append(s.units, i)
			}
		}
		return s.value(price, b.Cell)
	case problem.YearEvenness:
		s.most, s.weight, s.units = l.acres, w.Evenness, nil
		for i := range y.units {
			s.units = append(s.units, i)
		}
		if !math.IsInf(y.p.EvenLo, -1) {
			lo := of(y.p.EvenLo)
			s.lo = &lo
		}
		if !math.IsInf(y.p.EvenHi, 1) {
			hi := of(y.p.EvenHi)
			s.hi = &hi
		}
		return s.value(price, b.Cell)
	case problem.YearAcres:
		cap(l.acres, s.amount)
	case problem.YearBurns:
		cap(l.burns, func(int) float64 { return 1 })
	case problem.YearCost:
		cap(l.cost, func(i int) float64 { return y.units[i].Cost })
	case problem.YearBurnDays:
		cap(l.days[b.Season], func(i int) float64 { return y.units[i].BurnDays })
	}
	if math.IsInf(s.most, 1) {
		return value{}, errors.New("the problem has no such limit")
	}
	return s.value(price, b.Cell)
}

// value gives at most the least cost of a set less the prices of its units.
//
// Let k be the cells of a unit, a its amount, and K the cells of a set. The set
// costs at least 0; at least w·(lo − Σ a) = w·(lo − cell·K) − Σ w·(a − cell·k); and
// at least w·(Σ a − hi), likewise. For each of the three, the least over the sets
// with K cells is a table over K; whatever the set, it costs at least the largest of
// the three. Sets with more cells than the limit can hold, whatever they are off,
// are left out.
func (s *yearSum) value(price []float64, cell float64) (value, error) {
	n := len(s.units)
	cells, off := make([]int, n), make([]sum, n)
	total, less := 0, 0.0
	size := 0.0
	for x, i := range s.units {
		a := s.amount(i)
		k := math.Round(a / cell)
		if !(k <= sumCells) {
			return value{}, errSumTooLarge
		}
		cells[x] = int(k)
		off[x] = of(a).plus(product(-k, cell))
		total += cells[x]
		less += max(0, -off[x].hi)
		size += math.Abs(price[i]) + s.weight*off[x].abs
	}
	top := total
	if most := (s.most+less)/cell + 1e-6; most < float64(total) {
		if most < 0 {
			return value{}, fmt.Errorf("its limit %v is below 0", s.most)
		}
		top = int(most)
	}
	if top > sumCells || float64(top)*float64(n) > sumWork {
		return value{}, errSumTooLarge
	}
	for _, end := range [...]*sum{s.lo, s.hi} {
		if end != nil {
			size += s.weight * end.abs
		}
	}
	size += s.weight * cell * float64(top+1)
	grain, ok := scaleOf(2 * size)
	if !ok {
		return value{}, errTooLarge
	}
	// What a set of each count costs at least.
	worth := make([]int64, top+1)
	piece := func(sign float64, cost func(k int) int64) {
		table := s.table(price, cells, off, top, sign, grain)
		for k, gained := range table {
			if gained <= -infinite {
				worth[k] = infinite
			} else {
				worth[k] = max(worth[k], cost(k)-gained)
			}
		}
	}
	for k := range worth {
		worth[k] = -infinite
	}
	piece(0, func(int) int64 { return 0 })
	step := product(s.weight, cell)
	if s.lo != nil && s.weight > 0 && s.lo.hi > 0 {
		end := s.lo.times(s.weight)
		piece(1, func(k int) int64 { return grain.floor(end.plus(step.times(-float64(k)))) })
	}
	if s.hi != nil && s.weight > 0 {
		end := s.hi.times(-s.weight)
		piece(-1, func(k int) int64 { return grain.floor(end.plus(step.times(float64(k)))) })
	}
	least := infinite
	for _, c := range worth {
		least = min(least, c)
	}
	return value{least, grain}, nil
}

// table gives for each count of cells the most that a set of that count gains,
// rounded up: prices, and sign·w·off of its units; −infinite where there is none.
func (s *yearSum) table(price []float64, cells []int, off []sum, top int, sign float64, grain scale) []int64 {
	table := make([]int64, top+1)
	for k := range table {
		table[k] = -infinite
	}
	table[0] = 0
	reached := 0
	for x, i := range s.units {
		loss := of(-price[i])
		if sign != 0 {
			loss = loss.plus(off[x].times(-sign * s.weight))
		}
		gain := -grain.floor(loss)
		k := cells[x]
		reached = min(top, reached+k)
		for to := reached; to >= k; to-- {
			if from := table[to-k]; from > -infinite {
				table[to] = max(table[to], from+gain)
			}
		}
	}
	return table
}
