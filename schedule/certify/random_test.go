package certify

import (
	"math"
	"math/rand/v2"
	"slices"

	"emberquilt/schedule/problem"
)

// drawer makes random certificates, valid by construction.
type drawer struct {
	*rand.Rand
	f *frame
	// size is the magnitude of prices.
	size float64
}

func newDrawer(r *rand.Rand, p *problem.Problem) drawer {
	return drawer{r, newFrame(p), []float64{0.01, 0.3, 1, 5}[r.IntN(4)]}
}

// rows lists every row of a problem with the largest price of its range.
func (d drawer) rows() (rows []problem.RowPrice) {
	p := d.f.p
	add := func(r problem.Row) {
		if _, top, err := d.f.rows.find(r); err == nil {
			rows = append(rows, problem.RowPrice{Row: r, PerUnit: top})
		}
	}
	for t := range d.f.T {
		year := p.FirstYear + t
		for _, kind := range []problem.RowKind{problem.RowAcres, problem.RowBurns, problem.RowCost, problem.RowEvenLow, problem.RowEvenHigh} {
			add(problem.Row{Kind: kind, Year: year})
		}
		for s := range d.f.S {
			add(problem.Row{Kind: problem.RowBurnDays, Season: s, Year: year})
		}
		for r := range p.Refuges {
			add(problem.Row{Kind: problem.RowRefuge, Refuge: r, Year: year})
		}
		for _, pair := range p.Apart {
			add(problem.Row{Kind: problem.RowApart, Pair: pair, Year: year})
		}
		for _, pair := range p.Neighbors {
			add(problem.Row{Kind: problem.RowNeighbors, Pair: pair, Year: year})
		}
		for m := range p.Mixes {
			for k := range p.Mixes[m].Classes {
				add(problem.Row{Kind: problem.RowMixLow, Mix: m, Class: k, Year: year})
				add(problem.Row{Kind: problem.RowMixHigh, Mix: m, Class: k, Year: year})
			}
		}
	}
	return rows
}

func (d drawer) leaf() *problem.Leaf {
	leaf := &problem.Leaf{}
	inside := map[[2]int]bool{}
	if d.IntN(2) == 0 {
		leaf.Blocks = d.blocks(inside)
	}
	paid := d.pay(leaf.Blocks)
	density := d.Float64()
	yearly := map[problem.Row]bool{}
	if d.IntN(2) == 0 {
		leaf.Years = d.years(inside, paid, yearly)
	}
	for _, r := range d.rows() {
		if yearly[r.Row] {
			continue
		}
		if d.Float64() > density || r.Kind == problem.RowNeighbors && inside[r.Pair] || isPaid(r.Row, paid) {
			continue
		}
		top := r.PerUnit
		r.PerUnit = min(top, d.size*d.ExpFloat64())
		if r.Kind == problem.RowBurns || r.Kind == problem.RowApart || r.Kind == problem.RowNeighbors || r.Kind == problem.RowBurnDays {
			r.PerUnit = min(top, 30*r.PerUnit)
		}
		if d.IntN(10) == 0 && !math.IsInf(top, 1) {
			r.PerUnit = top
		}
		leaf.Prices = append(leaf.Prices, r)
	}
	d.Shuffle(len(leaf.Prices), func(i, j int) { leaf.Prices[i], leaf.Prices[j] = leaf.Prices[j], leaf.Prices[i] })
	for range d.IntN(4) {
		if c, ok := d.cut(); ok && d.f.checkCut(&c) == nil {
			leaf.Cuts = append(leaf.Cuts, c)
		}
	}
	return leaf
}

// pay lets blocks pay some of the mixes that they hold whole.
func (d drawer) pay(blocks []problem.Block) (paid []int) {
	for k := range blocks {
		for x := range d.f.p.Mixes {
			whole := !slices.Contains(paid, x) && d.IntN(3) > 0
			for i := range d.f.p.Units {
				whole = whole && (d.f.p.Units[i].Mix != x || slices.Contains(blocks[k].Units, i))
			}
			if whole {
				blocks[k].Mixes = append(blocks[k].Mixes, x)
				paid = append(paid, x)
			}
		}
	}
	return paid
}

// years draws year blocks of all kinds; yearly gets the rows that they pay.
func (d drawer) years(inside map[[2]int]bool, paid []int, yearly map[problem.Row]bool) (years []problem.YearBlock) {
	p := d.f.p
	for t := range d.f.T {
		year := p.FirstYear + t
		add := func(kind problem.YearKind, may func(i int) bool) *problem.YearBlock {
			b := problem.YearBlock{Kind: kind, Year: year, Season: -1}
			if kind != problem.YearGraph {
				b.Cell = []float64{0.1, 0.5, 1, 0.3, 7, 0.05 + 5*d.Float64()}[d.IntN(6)]
			}
			size := 10 * d.size * d.ExpFloat64()
			for i := range d.f.N {
				if may(i) && d.IntN(4) > 0 {
					b.Units = append(b.Units, i)
					b.Prices = append(b.Prices, size*(d.Float64()-0.3)*(1+p.Units[i].Acres/10))
				}
			}
			years = append(years, b)
			return &years[len(years)-1]
		}
		all := func(int) bool { return true }
		if d.IntN(2) == 0 {
			b := add(problem.YearGraph, all)
			in := b.Units
			for _, pair := range p.Neighbors {
				if slices.Contains(in, pair[0]) && slices.Contains(in, pair[1]) && inside[pair] && d.IntN(3) > 0 {
					cost := p.Weights.Neighbors * d.f.smaller(pair)
					b.Split = append(b.Split, problem.PairCost{Pair: pair, Cost: min(cost, 1.2*cost*d.Float64())})
				}
				if slices.Contains(in, pair[0]) && slices.Contains(in, pair[1]) && !inside[pair] {
					yearly[problem.Row{Kind: problem.RowNeighbors, Year: year, Pair: pair}] = true
				}
			}
		}
		if d.IntN(2) == 0 && !(math.IsInf(p.EvenLo, -1) && math.IsInf(p.EvenHi, 1)) {
			add(problem.YearEvenness, all)
			yearly[problem.Row{Kind: problem.RowEvenLow, Year: year}] = true
			yearly[problem.Row{Kind: problem.RowEvenHigh, Year: year}] = true
		}
		for x := range p.Mixes {
			for k := range p.Mixes[x].Classes {
				if slices.Contains(paid, x) || d.IntN(2) == 0 {
					continue
				}
				b := add(problem.YearMix, func(i int) bool { return p.Units[i].Mix == x })
				b.Mix, b.Class = x, k
				yearly[problem.Row{Kind: problem.RowMixLow, Year: year, Mix: x, Class: k}] = true
				yearly[problem.Row{Kind: problem.RowMixHigh, Year: year, Mix: x, Class: k}] = true
			}
		}
		for _, kind := range []problem.YearKind{problem.YearAcres, problem.YearBurns, problem.YearCost} {
			if _, _, err := d.f.rows.find(problem.Row{Kind: problem.RowKind(kind), Year: year}); err == nil && d.IntN(2) == 0 {
				if b := add(kind, all); kind == problem.YearCost {
					b.Cell *= 50
				}
			}
		}
		for s := range d.f.S {
			if _, _, err := d.f.rows.find(problem.Row{Kind: problem.RowBurnDays, Season: s, Year: year}); err == nil && d.IntN(2) == 0 {
				b := add(problem.YearBurnDays, all)
				b.Season = s
				b.Cell = []float64{0.25, 0.5, 0.3, 1, 0.01}[d.IntN(5)]
			}
		}
	}
	return years
}

// isPaid reports whether a row is one of a mix that a block pays.
func isPaid(r problem.Row, paid []int) bool {
	return (r.Kind == problem.RowMixLow || r.Kind == problem.RowMixHigh) && slices.Contains(paid, r.Mix)
}

// cut draws a cut that may hold or not.
func (d drawer) cut() (problem.Cut, bool) {
	c := problem.Cut{Year: d.f.p.FirstYear + d.IntN(d.f.T), Season: d.IntN(d.f.S+1) - 1, Price: 40 * d.size * d.ExpFloat64()}
	total := 0
	for i := range d.f.N {
		if d.IntN(3) > 0 {
			w := 1 + d.IntN(3)
			c.Units, c.Weight = append(c.Units, i), append(c.Weight, w)
			total += w
		}
	}
	if total == 0 {
		return c, false
	}
	c.AtMost = d.IntN(total)
	return c, true
}

// blocks draws blocks that may overlap, with shares and shifts that sum up.
func (d drawer) blocks(inside map[[2]int]bool) []problem.Block {
	var blocks []problem.Block
	at := make([][]int, d.f.N) // blocks of each unit
	for range 1 + d.IntN(3) {
		var units []int
		for i := range d.f.N {
			if d.IntN(2) == 0 {
				units = append(units, i)
			}
		}
		if len(units) == 0 {
			continue
		}
		for k, i := range units {
			at[i] = append(at[i], len(blocks))
			for _, j := range units[:k] {
				inside[[2]int{j, i}] = true
			}
		}
		blocks = append(blocks, problem.Block{Units: units})
	}
	const grain = 1.0 / (1 << 20)
	for i := range at {
		if len(at[i]) < 2 {
			continue
		}
		left := 1.0
		for n, k := range at[i] {
			b := &blocks[k]
			if b.Share == nil {
				b.Share = make([]float64, len(b.Units))
				for x := range b.Share {
					b.Share[x] = 1
				}
			}
			share := left
			if n < len(at[i])-1 {
				share = math.Floor(left*d.Float64()/grain) * grain
			}
			left -= share
			b.Share[slices.Index(b.Units, i)] = share
		}
		for t := range d.f.T {
			if d.IntN(2) == 0 {
				continue
			}
			move := math.Round(40*d.size*(d.Float64()-0.5)/grain) * grain
			year := d.f.p.FirstYear + t
			first, second := &blocks[at[i][0]], &blocks[at[i][1]]
			if d.IntN(4) == 0 {
				d.part(blocks, at[i][0], at[i][1])
			}
			first.Shift = append(first.Shift, problem.Shift{Unit: i, Year: year, Price: move})
			second.Shift = append(second.Shift, problem.Shift{Unit: i, Year: year, Price: -move})
			if d.IntN(2) == 0 {
				give, take := d.ages(i, year)
				first.Ages, second.Ages = append(first.Ages, give), append(second.Ages, take)
			}
		}
	}
	return blocks
}

// part lets the second of two blocks pay a part of the first pair that both hold, the
// first of all blocks to do so.
func (d drawer) part(blocks []problem.Block, one, two int) {
	if len(blocks[two].Parts) > 0 {
		return
	}
	for _, pair := range d.f.p.Neighbors {
		pair = [2]int{min(pair[0], pair[1]), max(pair[0], pair[1])}
		holds := func(b int) bool {
			return slices.Contains(blocks[b].Units, pair[0]) && slices.Contains(blocks[b].Units, pair[1])
		}
		if _, near := d.f.neighbors[pair]; !near || !holds(one) || !holds(two) {
			continue
		}
		part := problem.PairParts{Pair: pair}
		for range d.f.T {
			part.Cost = append(part.Cost, math.Floor(16*d.Float64()*d.f.p.Weights.Neighbors*d.f.smaller(pair))/16)
		}
		blocks[two].Parts = append(blocks[two].Parts, part)
		return
	}
}

// ages draws prices of ages that cancel, the one list maybe longer than the other by
// what is the same.
func (d drawer) ages(i, year int) (give, take problem.AgePrices) {
	give, take = problem.AgePrices{Unit: i, Year: year}, problem.AgePrices{Unit: i, Year: year}
	for range 1 + d.IntN(d.f.units[i].top+1) {
		move := math.Round(40 * d.size * (d.Float64() - 0.5))
		give.Price, take.Price = append(give.Price, move), append(take.Price, -move)
	}
	if last := len(give.Price) - 1; last < d.f.units[i].top && d.IntN(2) == 0 {
		give.Price = append(give.Price, give.Price[last])
	}
	return give, take
}

// certificate draws a tree of up to the given depth; its bound is left to the
// caller.
func (d drawer) certificate(depth int) *problem.Certificate {
	c := &problem.Certificate{ProblemSHA256: d.f.p.SHA256}
	for range d.IntN(3) {
		c.Shared = append(c.Shared, *d.leaf())
	}
	c.Tree = d.node(c, depth)
	return c
}

func (d drawer) node(c *problem.Certificate, depth int) *problem.Node {
	if depth == 0 || d.IntN(4) == 0 {
		if len(c.Shared) > 0 && d.IntN(3) > 0 {
			return &problem.Node{Use: d.IntN(len(c.Shared))}
		}
		return &problem.Node{Leaf: d.leaf()}
	}
	n := &problem.Node{Unit: d.IntN(d.f.N), Year: d.f.p.FirstYear + d.IntN(d.f.T), Burn: d.node(c, depth-1), Rest: d.node(c, depth-1)}
	if d.IntN(3) == 0 {
		n.InSeason, n.Season = true, d.IntN(d.f.S)
	}
	return n
}
