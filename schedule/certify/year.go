package certify

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"emberquilt/schedule/problem"
)

// yearsOf checks the year blocks of a leaf, gives what each is worth, and adds
// their prices to those of the units. inside holds the neighbor pairs and paid the
// mixes that unit blocks pay.
func (f *frame) yearsOf(leaf *problem.Leaf, q *priced, blocks []block, inside map[[2]int]bool, paid map[int]bool) ([]yearValue, error) {
	y := yearChecker{frame: f, q: q, blocks: blocks, inside: inside, paid: paid, values: make([]yearValue, len(leaf.Years)),
		pairs: map[pairYear]bool{}, classes: map[[2]int]bool{}, even: map[int]bool{}}
	for k := range leaf.Years {
		v, err := y.block(&leaf.Years[k])
		if err != nil {
			return nil, fmt.Errorf("year block %d: %w", k, err)
		}
		y.values[k] = v
	}
	for _, r := range leaf.Prices {
		t := r.Year - f.p.FirstYear
		var again bool
		switch r.Kind {
		case problem.RowNeighbors:
			again = y.pairs[pairYear{r.Pair, t}]
		case problem.RowEvenLow, problem.RowEvenHigh:
			again = y.even[t]
		case problem.RowMixLow, problem.RowMixHigh:
			again = y.classes[[2]int{f.rows.class[r.Mix] + r.Class, t}]
		}
		if again {
			return nil, fmt.Errorf("row %s: a year block pays for it", describe(f.p, r.Row))
		}
	}
	return y.values, nil
}

// yearValue is the least cost of a year block.
type yearValue struct {
	year int
	value
}

type pairYear struct {
	pair [2]int
	year int
}

type yearChecker struct {
	*frame
	q      *priced
	inside map[[2]int]bool
	paid   map[int]bool
	blocks []block
	values []yearValue
	// pairs, classes (class number and year) and even are paid by year blocks.
	pairs   map[pairYear]bool
	classes map[[2]int]bool
	even    map[int]bool
}

// block checks one year block, adds its prices to the units' and finds its value.
func (y *yearChecker) block(b *problem.YearBlock) (yearValue, error) {
	t := b.Year - y.p.FirstYear
	if err := y.form(b, t); err != nil {
		return yearValue{}, err
	}
	price := make([]float64, y.N)
	for n, i := range b.Units {
		price[i] = b.Prices[n]
		y.charge(b, i, t, of(b.Prices[n]))
	}
	var v value
	var err error
	if b.Kind == problem.YearGraph {
		v, err = y.graph(b, price, t)
	} else {
		v, err = y.sumOf(b, price, t)
	}
	return yearValue{t, v}, err
}

// form checks all that is not arithmetic.
func (y *yearChecker) form(b *problem.YearBlock, t int) error {
	switch {
	case t < 0 || t >= y.T:
		return errors.New("its year is outside the plan")
	case !slices.Contains(problem.YearKinds, b.Kind):
		return errors.New("there is no such kind of year block")
	case len(b.Prices) != len(b.Units):
		return fmt.Errorf("it has %d prices for %d units", len(b.Prices), len(b.Units))
	case b.Kind == problem.YearGraph && b.Cell != 0:
		return errors.New("it has cells, and no sum")
	case b.Kind != problem.YearGraph && !(b.Cell > 0 && b.Cell < 0x1p200):
		return fmt.Errorf("a cell of %v is out of its range, above 0", b.Cell)
	case b.Kind != problem.YearGraph && len(b.Split) > 0:
		return errors.New("it splits pairs, and is not a graph")
	case b.Kind == problem.YearBurnDays && (b.Season < 0 || b.Season >= y.S):
		return errors.New("there is no such season")
	}
	for n, i := range b.Units {
		if i < 0 || i >= y.N || n > 0 && i <= b.Units[n-1] {
			return errors.New("its units are not in ascending order")
		}
		if !(math.Abs(b.Prices[n]) < 0x1p200) {
			return fmt.Errorf("price %v of unit %s is not a number to add up", b.Prices[n], y.units[i].ID)
		}
	}
	switch b.Kind {
	case problem.YearMix:
		if b.Mix < 0 || b.Mix >= len(y.p.Mixes) || b.Class < 0 || b.Class >= len(y.p.Mixes[b.Mix].Classes) {
			return errors.New("there is no such age class")
		}
		if y.paid[b.Mix] {
			return fmt.Errorf("mix %s is paid by a block", y.p.Mixes[b.Mix].Name)
		}
		for _, i := range b.Units {
			if y.units[i].Mix != b.Mix {
				return fmt.Errorf("unit %s is not of mix %s", y.units[i].ID, y.p.Mixes[b.Mix].Name)
			}
		}
		at := [2]int{y.rows.class[b.Mix] + b.Class, t}
		if y.classes[at] {
			return errors.New("its class is paid twice in the year")
		}
		y.classes[at] = true
	case problem.YearEvenness:
		if math.IsInf(y.p.EvenLo, -1) && math.IsInf(y.p.EvenHi, 1) {
			return errors.New("the problem has no evenness band")
		}
		if y.even[t] {
			return errors.New("evenness is paid twice in the year")
		}
		y.even[t] = true
	}
	return nil
}

// charge adds the price of a unit to what the unit pays.
func (y *yearChecker) charge(b *problem.YearBlock, i, t int, price sum) {
	q, f := y.q, y.frame
	switch b.Kind {
	case problem.YearMix:
		if q.ownClass == nil {
			q.ownClass = make(map[[3]int]sum)
		}
		at := [3]int{i, b.Class, t}
		q.ownClass[at] = q.ownClass[at].plus(price)
	case problem.YearBurnDays:
		if q.ownDay == nil {
			q.ownDay = make([]sum, f.N*f.T*f.S)
		}
		x := (i*f.T+t)*f.S + b.Season
		q.ownDay[x] = q.ownDay[x].plus(price)
	default:
		q.needOwn(f)
		q.own[i*f.T+t] = q.own[i*f.T+t].plus(price)
	}
}

// in brings the value to another scale, rounded down.
func (v value) in(grain scale) int64 {
	if by := int(v.scale - grain); by >= 0 {
		return v.grains >> min(by, 63)
	}
	// The scale of a whole plan is not finer than that of a part, but for parts of
	// next to nothing.
	return int64(math.Floor(math.Ldexp(float64(v.grains), int(grain-v.scale)) * (1 - math.Copysign(0x1p-50, float64(v.grains)))))
}

// split takes what a graph block pays of a pair off the unit block that pays it.
func (y *yearChecker) split(part problem.PairCost, t int) error {
	pair := part.Pair
	if _, near := y.neighbors[pair]; !near || !y.inside[pair] {
		return errors.New("it splits a pair that no block pays")
	}
	if at := (pairYear{pair, t}); y.pairs[at] {
		return errors.New("it splits a pair twice in the year")
	} else {
		y.pairs[at] = true
	}
	if !(part.Cost >= 0 && part.Cost <= y.p.Weights.Neighbors*y.smaller(pair)) {
		return fmt.Errorf("its part %v of a pair is out of its range, 0 to %v", part.Cost, y.p.Weights.Neighbors*y.smaller(pair))
	}
	payOf(y.blocks, pair).add(t, y.T, -part.Cost)
	return nil
}
