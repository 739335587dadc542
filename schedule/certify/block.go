package certify

import (
	"errors"
	"fmt"
	"math/big"
	"slices"

	"emberquilt/schedule/problem"
)

// blockStates is the largest number of joint ages of a block in one year, and
// blockWork the largest number of steps of its search.
const (
	blockStates = 1 << 23
	blockWork   = 2 << 30
)

// block is a set of units whose joint paths are searched.
type block struct {
	units []int
	// share is that of each unit; shift at k·T+t adds to a burn of the k-th unit,
	// nil where nothing does.
	share []float64
	shift []float64
	// ages at k·T+t holds what the k-th unit pays for ending the year with each age,
	// the last price being that of all greater ones too; nil where nothing does.
	ages [][]float64
	// pays lists the neighbor pairs inside that this block pays for.
	pays []pay
	// mixes lists the mixes that this block pays.
	mixes []int
	// apart at k holds the bits of the units before k that are apart from it.
	apart []uint32
}

// pay is a neighbor pair by positions in the block, the lower first.
type pay struct {
	first, second int
	// cost is 0 where an earlier block pays the pair and this one a part of it.
	cost sum
	// more at t is added to it: the part, or less what others pay; nil for nothing.
	more []sum
	// isPart says that an earlier block pays the pair.
	isPart bool
}

// in gives what the pair costs the block in a year.
func (p *pay) in(t int) sum {
	if p.more == nil {
		return p.cost
	}
	return p.cost.plus(p.more[t])
}

// add adds to what the pair costs the block in a year.
func (p *pay) add(t, years int, cost float64) {
	if p.more == nil {
		p.more = make([]sum, years)
	}
	p.more[t] = p.more[t].plus(of(cost))
}

// maxBlockUnits is the most units of a block: sets of them are bits.
const maxBlockUnits = 30

// blocksOf checks the blocks of a leaf and makes them ready; units in none are
// left out.
//
// inside are the neighbor pairs and paid the mixes that blocks pay.
func (f *frame) blocksOf(leaf *problem.Leaf) (blocks []block, inside map[[2]int]bool, paid map[int]bool, err error) {
	blocks = make([]block, len(leaf.Blocks))
	inside, paid = map[[2]int]bool{}, map[int]bool{}
	for k := range leaf.Blocks {
		b, err := f.blockOf(&leaf.Blocks[k], inside, paid)
		if err != nil {
			return nil, nil, nil, fmt.Errorf("block %d: %w", k, err)
		}
		blocks[k] = b
		if err := f.partsOf(blocks[:k+1], &leaf.Blocks[k]); err != nil {
			return nil, nil, nil, fmt.Errorf("block %d: %w", k, err)
		}
	}
	if err := f.checkSplit(leaf); err != nil {
		return nil, nil, nil, err
	}
	for _, r := range leaf.Prices {
		if r.Kind == problem.RowNeighbors && inside[r.Pair] {
			return nil, nil, nil, fmt.Errorf("row %s: the pair is inside a block, which pays for it", describe(f.p, r.Row))
		}
		if (r.Kind == problem.RowMixLow || r.Kind == problem.RowMixHigh) && paid[r.Mix] {
			return nil, nil, nil, fmt.Errorf("row %s: a block pays for the mix", describe(f.p, r.Row))
		}
	}
	return blocks, inside, paid, nil
}

func (f *frame) blockOf(from *problem.Block, inside map[[2]int]bool, paid map[int]bool) (block, error) {
	b := block{units: from.Units, share: from.Share}
	switch {
	case len(b.units) == 0:
		return b, errors.New("it has no units")
	case len(b.units) > maxBlockUnits:
		return b, fmt.Errorf("it has %d units; at most %d are allowed", len(b.units), maxBlockUnits)
	case b.share != nil && len(b.share) != len(b.units):
		return b, fmt.Errorf("it has %d shares for %d units", len(b.share), len(b.units))
	}
	position := map[int]int{}
	for k, i := range b.units {
		if i < 0 || i >= f.N || k > 0 && i <= b.units[k-1] {
			return b, errors.New("its units are not in ascending order")
		}
		position[i] = k
	}
	for _, x := range from.Mixes {
		if x < 0 || x >= len(f.p.Mixes) {
			return b, errors.New("it pays a mix that the problem does not have")
		}
		if paid[x] {
			return b, fmt.Errorf("mix %s is paid twice", f.p.Mixes[x].Name)
		}
		paid[x] = true
		for i := range f.units {
			if _, known := position[i]; f.units[i].Mix == x && !known {
				return b, fmt.Errorf("it pays mix %s without unit %s", f.p.Mixes[x].Name, f.units[i].ID)
			}
		}
	}
	b.mixes = from.Mixes
	if b.share == nil {
		b.share = make([]float64, len(b.units))
		for k := range b.share {
			b.share[k] = 1
		}
	}
	for _, s := range from.Shift {
		k, known := position[s.Unit]
		t := s.Year - f.p.FirstYear
		if !known || t < 0 || t >= f.T {
			return b, errors.New("a shift is of a unit or year that it does not have")
		}
		if b.shift == nil {
			b.shift = make([]float64, len(b.units)*f.T)
		}
		if b.shift[k*f.T+t] != 0 {
			return b, fmt.Errorf("the shift of unit %s in %d is named twice", f.units[s.Unit].ID, s.Year)
		}
		b.shift[k*f.T+t] = s.Price
	}
	if err := f.agesOf(&b, from, position); err != nil {
		return b, err
	}
	b.apart = make([]uint32, len(b.units))
	for k, i := range b.units {
		for j := range k {
			pair := [2]int{b.units[j], i}
			if _, apart := f.apart[pair]; apart {
				b.apart[k] |= 1 << j
			}
			if _, near := f.neighbors[pair]; near && !inside[pair] {
				inside[pair] = true
				b.pays = append(b.pays, pay{j, k, product(f.p.Weights.Neighbors, f.smaller(pair)), nil, false})
			}
		}
	}
	return b, nil
}

// agesOf takes in the prices of ages. Ages from a unit's top on are one to a search,
// so that they must have one price.
func (f *frame) agesOf(b *block, from *problem.Block, position map[int]int) error {
	for _, a := range from.Ages {
		k, known := position[a.Unit]
		t := a.Year - f.p.FirstYear
		if !known || t < 0 || t >= f.T {
			return errors.New("prices of ages are of a unit or year that it does not have")
		}
		if b.ages == nil {
			b.ages = make([][]float64, len(b.units)*f.T)
		}
		if b.ages[k*f.T+t] != nil {
			return fmt.Errorf("the ages of unit %s in %d are priced twice", f.units[a.Unit].ID, a.Year)
		}
		if most := f.units[a.Unit].top + 1; len(a.Price) == 0 || len(a.Price) > most {
			return fmt.Errorf("it has %d prices of ages of unit %s in %d; accepts 1 to %d", len(a.Price), f.units[a.Unit].ID, a.Year, most)
		}
		b.ages[k*f.T+t] = a.Price
	}
	return nil
}

// agePrice gives the price of an age in a list of which the last holds for all
// greater ages; that of an empty list is 0.
func agePrice(prices []float64, age int) float64 {
	if len(prices) == 0 {
		return 0
	}
	return prices[min(age, len(prices)-1)]
}

// checkAges sees that the prices of each age of a unit sum to exactly 0 in each year.
func (f *frame) checkAges(leaf *problem.Leaf) error {
	type place struct{ unit, year int }
	lists := map[place][][]float64{}
	var order []place // so that the message does not depend on a map
	for k := range leaf.Blocks {
		for _, a := range leaf.Blocks[k].Ages {
			at := place{a.Unit, a.Year}
			if lists[at] == nil {
				order = append(order, at)
			}
			lists[at] = append(lists[at], a.Price)
		}
	}
	for _, at := range order {
		most := 0
		for _, prices := range lists[at] {
			most = max(most, len(prices))
		}
		for age := range most {
			left := new(exact)
			for _, prices := range lists[at] {
				p := agePrice(prices, age)
				if !(p-p == 0) {
					return fmt.Errorf("a price of unit %s at age %d in %d is not a number", f.units[at.unit].ID, age, at.year)
				}
				left.add(p)
			}
			if left.x.Sign() != 0 {
				return fmt.Errorf("the prices of unit %s at age %d in %d sum to %v, not to 0", f.units[at.unit].ID, age, at.year, left.float())
			}
		}
	}
	return nil
}

// partsOf lets the last of the blocks pay parts of pairs of earlier ones.
func (f *frame) partsOf(blocks []block, from *problem.Block) error {
	b := &blocks[len(blocks)-1]
	for _, part := range from.Parts {
		name := func() string { return f.units[part.Pair[0]].ID + " and " + f.units[part.Pair[1]].ID }
		first, one := slices.BinarySearch(b.units, part.Pair[0])
		second, two := slices.BinarySearch(b.units, part.Pair[1])
		owner := payOf(blocks[:len(blocks)-1], part.Pair)
		switch {
		case !one || !two || first >= second:
			return errors.New("it pays a part of a pair that it does not hold")
		case owner == nil:
			return fmt.Errorf("it pays a part of %s, and no earlier block pays the pair", name())
		case len(part.Cost) != f.T:
			return fmt.Errorf("it has %d parts of %s for %d years", len(part.Cost), name(), f.T)
		case slices.ContainsFunc(b.pays, func(p pay) bool { return p.first == first && p.second == second }):
			return fmt.Errorf("its parts of %s are named twice", name())
		}
		to := pay{first: first, second: second, isPart: true}
		for t, cost := range part.Cost {
			if most := f.p.Weights.Neighbors * f.smaller(part.Pair); !(cost >= 0 && cost <= most) {
				return fmt.Errorf("its part %v of %s is out of its range, 0 to %v", cost, name(), most)
			}
			to.add(t, f.T, cost)
			owner.add(t, f.T, -cost)
		}
		b.pays = append(b.pays, to)
	}
	return nil
}

// payOf finds the block that pays a pair, but for parts; nil where none does.
func payOf(blocks []block, pair [2]int) *pay {
	for k := range blocks {
		b := &blocks[k]
		for n := range b.pays {
			if p := &b.pays[n]; !p.isPart && b.units[p.first] == pair[0] && b.units[p.second] == pair[1] {
				return p
			}
		}
	}
	return nil
}

// checkSplit sees that the shares of each unit sum to exactly 1 and its shifts
// to exactly 0 in each year, and the prices of its ages.
func (f *frame) checkSplit(leaf *problem.Leaf) error {
	type place struct{ unit, year int }
	shares, shifts := map[int]*exact{}, map[place]*exact{}
	count := map[int]int{}
	for k := range leaf.Blocks {
		b := &leaf.Blocks[k]
		for n, i := range b.Units {
			share := 1.0
			if b.Share != nil {
				share = b.Share[n]
			}
			if !(share >= 0 && share <= 1) {
				return fmt.Errorf("block %d: share %v of unit %s is out of its range, 0 to 1", k, share, f.units[i].ID)
			}
			if shares[i] == nil {
				shares[i] = new(exact)
			}
			shares[i].add(share)
			count[i]++
		}
		for _, s := range b.Shift {
			at := place{s.Unit, s.Year}
			if shifts[at] == nil {
				shifts[at] = new(exact)
			}
			if !(s.Price-s.Price == 0) {
				return fmt.Errorf("block %d: the shift of unit %s in %d is not a number", k, f.units[s.Unit].ID, s.Year)
			}
			shifts[at].add(s.Price)
		}
	}
	one := big.NewFloat(1)
	for i := range f.units { // in order, so that the message does not depend on a map
		if shares[i] != nil && shares[i].x.Cmp(one) != 0 {
			return fmt.Errorf("the shares of unit %s in %d blocks sum to %v, not to 1", f.units[i].ID, count[i], shares[i].float())
		}
	}
	for k := range leaf.Blocks {
		for _, s := range leaf.Blocks[k].Shift {
			if left := shifts[place{s.Unit, s.Year}]; left.x.Sign() != 0 {
				return fmt.Errorf("the shifts of unit %s in %d sum to %v, not to 0", f.units[s.Unit].ID, s.Year, left.float())
			}
		}
	}
	return f.checkAges(leaf)
}

// table holds, for one unit of a block, its ages year by year: state 0 … ages−1
// before year t, where each goes by a rest, and what a year's end costs.
type table struct {
	// count at t is the number of states before year t; t = T is the end.
	count []int
	// rest at t lists where a state of before year t is after a rest.
	rest [][]int32
	// ready at t says whether a burn in year t is allowed by age.
	ready [][]bool
	// cost at t is that of a state at the end of year t−1, in the block's scale.
	cost [][]int64
	// class at t is the index of the class of a state at the end of year t−1, −1
	// where the block does not pay its mix.
	class [][]int
	// burn and still are the costs of a burn and of a rest in the block's scale.
	burn, still []int64
}

// tableOf lays out the ages of a unit: since its last burn 0 … young as far as
// the years allow, then, where it is not one of these, the age of a unit that
// has not burned yet.
//
// aged holds the block's prices of its ages for each year, nil for none.
func (c *costs) tableOf(i int, share float64, shift []float64, aged [][]float64, own *unitCosts, grain scale, pays bool) table {
	u := &c.units[i]
	tb := table{count: make([]int, c.T+1), rest: make([][]int32, c.T), ready: make([][]bool, c.T), cost: make([][]int64, c.T+1), class: make([][]int, c.T+1),
		burn: make([]int64, c.T), still: make([]int64, c.T)}
	// ages lists the age of each state before year t.
	ages := func(t int) []int {
		var list []int
		for g := 0; g <= min(t-1, u.young); g++ {
			list = append(list, g)
		}
		if never := min(u.Age+t, u.top); never > len(list)-1 || never < u.top {
			list = append(list, never)
		}
		return list
	}
	before := ages(0)
	tb.count[0] = len(before)
	for t := range c.T {
		after := ages(t + 1)
		tb.count[t+1] = len(after)
		tb.rest[t], tb.ready[t] = make([]int32, len(before)), make([]bool, len(before))
		for k, g := range before {
			tb.ready[t][k] = g+1 >= u.MinInterval
			to := min(g+1, u.top)
			switch young := k < min(t, u.young+1); {
			case young:
				tb.rest[t][k] = int32(min(k+1, u.young))
			case len(after)-1 > min(t, u.young):
				tb.rest[t][k] = int32(len(after) - 1)
			default: // an age from which nothing changes, that is also one since a burn
				tb.rest[t][k] = int32(to)
			}
		}
		tb.cost[t+1] = make([]int64, len(after))
		for k, g := range after {
			tb.cost[t+1][k] = own.scale.coarser(own.ageCost(u, t, g), share, grain)
			if aged != nil {
				tb.cost[t+1][k] += grain.floor(of(agePrice(aged[t], g)))
			}
			class := -1
			if pays && u.class != nil {
				class = c.rows.class[u.Mix] + u.class[min(g, u.top)]
			}
			tb.class[t+1] = append(tb.class[t+1], class)
		}
		tb.burn[t], tb.still[t] = infinite, infinite
		if own.burn[t] < infinite {
			tb.burn[t] = own.scale.coarser(own.burn[t], share, grain)
			if shift != nil {
				tb.burn[t] += grain.floor(of(shift[t]))
			}
		}
		if own.rest[t] < infinite {
			tb.still[t] = own.scale.coarser(own.rest[t], share, grain)
		}
		before = after
	}
	return tb
}

// blockScale gives a scale that holds the sums of a block.
func (c *costs) blockScale(b *block, units []unitCosts) (scale, bool) {
	size := 0.0
	for k := range units {
		size += units[k].size
	}
	for _, p := range b.pays {
		for t := range c.T {
			size += 2 * p.in(t).abs
		}
	}
	for _, s := range b.shift {
		size += max(s, -s)
	}
	for _, prices := range b.ages {
		most := 0.0
		for _, p := range prices {
			most = max(most, p, -p)
		}
		size += most
	}
	for _, x := range b.mixes {
		size += float64(c.T) * c.mixSize(x)
	}
	grain, ok := scaleOf(size)
	for k := range units { // not finer than any unit's own
		grain = min(grain, units[k].scale)
	}
	return grain, ok
}
