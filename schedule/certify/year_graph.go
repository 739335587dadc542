package certify

import (
	"errors"
	"slices"

	"emberquilt/schedule/problem"
)

// graphWidth is how many units may be open beside the one that is eliminated, and
// graphWork how many entries all tables of a year may have.
const (
	graphWidth = 20
	graphWork  = 1 << 25
)

var errGraphTooWide = errors.New("too many of its units are linked to be eliminated")

// factor is a cost of sets of a few units: units holds positions, ascending, and
// cost one entry a set, of which the x-th unit is bit x.
type factor struct {
	units []int
	cost  []int64
}

// graph gives the value of a graph block: the least cost of a set of its units
// less their prices, found by eliminating one unit after another.
func (y *yearChecker) graph(b *problem.YearBlock, price []float64, t int) (value, error) {
	units := b.Units
	place := map[int]int{}
	for x, i := range units {
		place[i] = x
	}
	var pairs []pay
	size := 0.0
	for _, i := range units {
		size += max(price[i], -price[i])
	}
	for _, pair := range y.p.Neighbors {
		first, known := place[pair[0]]
		second, also := place[pair[1]]
		at := pairYear{pair, t}
		if !known || !also || y.inside[pair] || y.pairs[at] {
			continue
		}
		y.pairs[at] = true
		cost := product(y.p.Weights.Neighbors, y.smaller(pair))
		pairs = append(pairs, pay{first, second, cost, nil, false})
		size += cost.abs
	}
	for _, part := range b.Split {
		first, known := place[part.Pair[0]]
		second, also := place[part.Pair[1]]
		if !known || !also {
			return value{}, errors.New("it splits a pair of which it does not name both")
		}
		if err := y.split(part, t); err != nil {
			return value{}, err
		}
		pairs = append(pairs, pay{first, second, of(part.Cost), nil, false})
		size += part.Cost
	}
	grain, ok := scaleOf(2 * size)
	if !ok {
		return value{}, errTooLarge
	}
	var factors []factor
	for x, i := range units {
		factors = append(factors, factor{[]int{x}, []int64{0, grain.floor(of(-price[i]))}})
	}
	both := func(first, second int, cost int64) {
		factors = append(factors, factor{[]int{min(first, second), max(first, second)}, []int64{0, 0, 0, cost}})
	}
	for _, p := range pairs {
		both(p.first, p.second, max(0, grain.floor(p.cost)))
	}
	for _, pair := range y.p.Apart {
		first, known := place[pair[0]]
		second, also := place[pair[1]]
		if known && also {
			both(first, second, infinite)
		}
	}
	factors = append(factors, y.shares(units)...)
	least, err := eliminate(len(units), factors)
	return value{least, grain}, err
}

// shares gives the refuge shares that a graph block keeps.
func (y *yearChecker) shares(units []int) (factors []factor) {
	count := make([]int, len(y.refuge))
	for i := range y.units {
		if r := y.units[i].Refuge; r >= 0 {
			count[r]++
		}
	}
	for r, limit := range y.refuge {
		var f factor
		total := 0.0
		for x, i := range units {
			if y.units[i].Refuge == r {
				f.units = append(f.units, x)
				total += y.units[i].Acres
			}
		}
		if count[r] > problem.MaxYearGroup || !passes(total, limit) {
			continue
		}
		f.cost = make([]int64, 1<<len(f.units))
		for set := range f.cost {
			acres := 0.0
			for x, u := range f.units {
				if set>>x&1 == 1 {
					acres += y.units[units[u]].Acres
				}
			}
			if passes(acres, limit) {
				f.cost[set] = infinite
			}
		}
		factors = append(factors, f)
	}
	return factors
}

// eliminate gives the least sum of factors over all sets of n units. The next unit
// is always one that is linked to the fewest.
func eliminate(n int, factors []factor) (int64, error) {
	of := make([][]int, n) // factors of each unit
	linked := make([]map[int]bool, n)
	for x := range linked {
		linked[x] = map[int]bool{}
	}
	add := func(k int) {
		for _, u := range factors[k].units {
			of[u] = append(of[u], k)
			for _, v := range factors[k].units {
				if u != v {
					linked[u][v] = true
				}
			}
		}
	}
	for k := range factors {
		add(k)
	}
	constant, work := int64(0), 0
	gone := make([]bool, n)
	for range n {
		unit := -1
		for u := range n {
			if !gone[u] && (unit < 0 || len(linked[u]) < len(linked[unit])) {
				unit = u
			}
		}
		var scope []int
		for v := range linked[unit] {
			scope = append(scope, v)
			delete(linked[v], unit)
		}
		slices.Sort(scope)
		if work += 2 << len(scope); len(scope) > graphWidth || work > graphWork {
			return 0, errGraphTooWide
		}
		gone[unit] = true
		out := factor{scope, make([]int64, 1<<len(scope))}
		with := make([]int64, len(out.cost))
		for _, k := range of[unit] {
			f := &factors[k]
			if f.cost == nil {
				continue // an earlier elimination took it in
			}
			// Where the units of the factor are in a set of the scope.
			places, own := make([]int, len(f.units)), 0
			for x, u := range f.units {
				if places[x] = slices.Index(scope, u); u == unit {
					own = 1 << x
				}
			}
			for set := range out.cost {
				at := 0
				for x, p := range places {
					if p >= 0 {
						at |= set >> p & 1 << x
					}
				}
				out.cost[set] = plus(out.cost[set], f.cost[at])
				with[set] = plus(with[set], f.cost[at|own])
			}
			f.cost = nil
		}
		for set, c := range with {
			out.cost[set] = min(out.cost[set], c)
		}
		if len(scope) == 0 {
			constant = plus(constant, out.cost[0])
			continue
		}
		factors = append(factors, out)
		add(len(factors) - 1)
	}
	return constant, nil
}

// plus adds costs of which either may be infinite.
func plus(a, b int64) int64 {
	if a >= infinite || b >= infinite {
		return infinite
	}
	return a + b
}
