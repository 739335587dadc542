package certify

import (
	"errors"
	"fmt"
	"math/big"

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
	cost          sum
	// less at t is what a year block pays of it; nil for nothing.
	less []float64
}

// in gives what the pair costs the block in a year.
func (p *pay) in(t int) sum {
	if p.less == nil {
		return p.cost
	}
	return p.cost.plus(of(-p.less[t]))
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
	b.apart = make([]uint32, len(b.units))
	for k, i := range b.units {
		for j := range k {
			pair := [2]int{b.units[j], i}
			if _, apart := f.apart[pair]; apart {
				b.apart[k] |= 1 << j
			}
			if _, near := f.neighbors[pair]; near && !inside[pair] {
				inside[pair] = true
				b.pays = append(b.pays, pay{j, k, product(f.p.Weights.Neighbors, f.smaller(pair)), nil})
			}
		}
	}
	return b, nil
}

// checkSplit sees that the shares of each unit sum to exactly 1 and its shifts
// to exactly 0 in each year.
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
	return nil
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
func (c *costs) tableOf(i int, share float64, shift []float64, own *unitCosts, grain scale, pays bool) table {
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
		size += 2 * p.cost.abs * float64(c.T)
	}
	for _, s := range b.shift {
		size += max(s, -s)
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
