package bound

import (
	"math"
	"slices"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
)

// A year block holds one year of many units as a small program of its own: what
// may burn together, or what one sum of a year costs, with whole burns. The
// copies of a unit's choice in the unit blocks and in a year block are tied by a
// price, which the one pays and the other gives back, so that it cancels in every
// plan: the sum of the minima is a lower bound at any prices (Lagrangian
// decomposition; Guignard and Kim 1987).
//
// Its arithmetic is of whole grains, so that its value is exact for prices that
// are multiples of its grain: Round makes them so.
type yearBlock struct {
	kind problem.YearKind
	year int
	// row is the row that a sum keeps, refuge, season, mix and class among it; see
	// model.Name. It is −1 for a graph.
	row   model.Row
	class int32 // index into Model.Classes; −1 where the choice is a burn
	// season of the burns that a burn-day cap counts, else −1.
	season int
	units  []int32
	// first is the index of its first price, one a unit.
	first int
	graph *graphShape
	sum   *sumShape
}

// Years holds the year blocks of an engine.
type Years struct {
	blocks []yearBlock
	// price holds one price a unit of each block, and common one a block for each
	// unit of its sum, which moves the prices of all its units together; whole is
	// what the two come to, as last priced.
	price, common, whole []float64
	// take says what the last evaluation chose, beside price; value what each block
	// came to.
	take  []uint8
	value []float64
	// splits lists the neighbor pairs inside unit blocks of whose cost the graph
	// blocks pay a part, at split[k·T+t]; blockSplits those of each unit block.
	splits      []int32
	split       []float64
	blockSplits [][]blockSplit
	// splitAt holds the positions of each pair's units in the graph blocks, which are
	// the first T of blocks.
	splitAt [][2]int
	// graphOf and evenOf mark the neighbor pairs (at pair·T+t) and the years whose
	// cost a block pays; classOf the classes (at class·T+t).
	paidPair, paidEven, paidClass []bool
	// classBase[i] + class·T + t is where classCost holds what unit i pays for
	// ending year t in a class.
	classBase []int32
	classCost []float64
	// places lists the blocks that hold each unit, and where.
	places [][]yearPlace
	// seasonCost at (i·T+t)·S+s is what a burn in a season costs more; nil where
	// no block speaks of seasons.
	seasonCost []float64
}

// blockSplit is a pair of a unit block: the set of both by position, and its index
// in Years.splits.
type blockSplit struct {
	both     int
	k        int
	one, two int // copies
}

// yearPlace is a year block and the position of a unit in it.
type yearPlace struct{ block, at int32 }

// YearKinds says which year blocks to use.
type YearKinds struct {
	Graph bool
	// MixUnits is up to how many units a mix has blocks; CapBurns up to about how
	// many burns a cap allows for it to have one.
	MixUnits int
	CapBurns float64
	// Cells is up to how many cells a sum may have.
	Cells int
}

// SetYears chooses the year blocks, for the unit blocks as they are. Prices of
// rows that they pay are carried over, those of year blocks before kept.
func (e *Engine) SetYears(kinds YearKinds) {
	m := e.M
	before := e.allYears
	if before == nil {
		before = e.yearsBefore
	}
	e.yearsBefore = nil
	y := &Years{paidPair: make([]bool, len(m.Neighbors)*m.T), paidEven: make([]bool, m.T), paidClass: make([]bool, len(m.Classes)*m.T)}
	e.layClasses(y)
	if kinds.Graph {
		if shape := newGraphShape(m, e.ownerOf, e.maySplit); shape != nil {
			y.splits = shape.splits
			for _, p := range shape.splits {
				one, _ := slices.BinarySearch(shape.units, m.Neighbors[p].I)
				two, _ := slices.BinarySearch(shape.units, m.Neighbors[p].J)
				y.splitAt = append(y.splitAt, [2]int{one, two})
			}
			for t := range m.T {
				y.add(yearBlock{kind: problem.YearGraph, year: t, row: -1, class: -1, season: -1, units: shape.units, graph: shape})
				for _, p := range shape.pays {
					y.paidPair[int(p)*m.T+t] = true
				}
			}
		}
	}
	e.laySplits(y)
	e.addMixYears(y, kinds)
	e.addCapYears(y, kinds)
	if len(y.blocks) == 0 {
		e.years, e.allYears = nil, nil
		e.setActive()
		return
	}
	y.price, y.take = make([]float64, y.size()), make([]uint8, y.size())
	y.value, y.common, y.whole = make([]float64, len(y.blocks)), make([]float64, len(y.blocks)), make([]float64, y.size())
	y.layPlaces(m.N)
	e.years, e.allYears = y, y
	e.carryOver(before)
	e.setActive()
}

func (y *Years) add(b yearBlock) {
	b.first = y.size()
	y.blocks = append(y.blocks, b)
}

func (y *Years) size() int {
	if y == nil {
		return 0
	}
	if n := len(y.blocks); n > 0 {
		return y.blocks[n-1].first + len(y.blocks[n-1].units)
	}
	return 0
}

func (e *Engine) layClasses(y *Years) {
	m := e.M
	y.classBase = make([]int32, m.N)
	firstClass, count := make([]int32, len(m.Problem.Mixes)), make([]int32, len(m.Problem.Mixes))
	for c := len(m.Classes) - 1; c >= 0; c-- {
		firstClass[m.Classes[c].Mix] = int32(c)
		count[m.Classes[c].Mix]++
	}
	at := int32(0)
	for i := range m.N {
		if x := m.MixOf[i]; x >= 0 {
			y.classBase[i] = (at - firstClass[x]) * int32(m.T)
			at += count[x]
		}
	}
	y.classCost = make([]float64, int(at)*m.T)
}

// addMixYears adds a block for each class and year of the mixes that are small
// enough and that no unit block pays.
func (e *Engine) addMixYears(y *Years, kinds YearKinds) {
	m := e.M
	w := m.Problem.Weights.Mix
	for c, class := range m.Classes {
		units := e.mixUnits[class.Mix]
		if len(units) == 0 || len(units) > kinds.MixUnits || e.mixOf[class.Mix] >= 0 || w <= 0 {
			continue
		}
		amounts := make([]float64, len(units))
		for x, i := range units {
			amounts[x] = m.Acres[i]
		}
		shape := newSumShape(amounts, amounts, model.Inf, class.Lo, class.Hi, w, kinds.Cells)
		if shape == nil {
			continue
		}
		for t := range m.T {
			y.add(yearBlock{kind: problem.YearMix, year: t, row: m.Rows.MixHigh + model.Row(c*m.T+t), class: int32(c), season: -1, units: units, sum: shape})
			y.paidClass[c*m.T+t] = true
		}
	}
}

// addCapYears adds blocks for the caps of years that hold few burns.
func (e *Engine) addCapYears(y *Years, kinds YearKinds) {
	if kinds.CapBurns <= 0 {
		return
	}
	m, r := e.M, &e.M.Rows
	scale := 0.0
	add := func(kind problem.YearKind, t int, row model.Row, season int, amount []float64, lo, hi, w float64) {
		limit := r.Right[row]
		if r.PriceMax[row] <= 0 {
			limit = model.Inf
		}
		if math.IsInf(limit, 1) && (w <= 0 || math.IsInf(hi, 1)) {
			return // nothing limits the sum
		}
		var units []int32
		var amounts, most []float64
		total := 0.0
		for i := range m.N {
			at := i*m.T + t
			switch {
			case kind == problem.YearEvenness:
			case season >= 0 && math.IsInf(m.BurnOwn[at*m.S+season], 1), !m.MayBurn[at], amount[i] <= 0:
				continue
			}
			units, amounts = append(units, int32(i)), append(amounts, amount[i])
			most = append(most, scale*m.Acres[i])
			total += amount[i]
		}
		if len(units) == 0 || min(limit, hi)*float64(len(units)) > kinds.CapBurns*total {
			return
		}
		if shape := newSumShape(amounts, most, limit, lo, hi, w, kinds.Cells); shape != nil {
			y.add(yearBlock{kind: kind, year: t, row: row, class: -1, season: season, units: units, sum: shape})
			if kind == problem.YearEvenness {
				y.paidEven[t] = true
			}
		}
	}
	w := &m.Problem.Weights
	// No burn of sense is worth more than this an acre.
	scale = 4 * (w.Overdue + w.Mix + w.Season + w.Evenness + w.Neighbors + w.Keep)
	ones := make([]float64, m.N)
	for i := range ones {
		ones[i] = 1
	}
	none := math.Inf(1)
	for t := range m.T {
		if w := w.Evenness; w > 0 && !(math.IsInf(m.EvenLo, -1) && math.IsInf(m.EvenHi, 1)) {
			add(problem.YearEvenness, t, r.Acres+model.Row(t), -1, m.Acres, m.EvenLo, m.EvenHi, w)
		} else {
			add(problem.YearAcres, t, r.Acres+model.Row(t), -1, m.Acres, -none, none, 0)
		}
		add(problem.YearBurns, t, r.Burns+model.Row(t), -1, ones, -none, none, 0)
		add(problem.YearCost, t, r.Cost+model.Row(t), -1, m.Dollars, -none, none, 0)
		for s := range m.S {
			add(problem.YearBurnDays, t, r.Days+model.Row(s*m.T+t), s, m.Days, -none, none, 0)
		}
	}
}

// carryOver brings prices of rows that the year blocks pay to their units, and
// takes those of year blocks before that are still there.
func (e *Engine) carryOver(before *Years) {
	m, y := e.M, e.years
	r, t := &m.Rows, m.T
	type key struct {
		kind problem.YearKind
		year int
		row  model.Row
	}
	known := map[key]*yearBlock{}
	if before != nil {
		for x := range before.blocks {
			b := &before.blocks[x]
			known[key{b.kind, b.year, b.row}] = b
		}
		for k, p := range y.splits {
			if old := slices.Index(before.splits, p); old >= 0 {
				copy(y.split[k*t:k*t+t], before.split[old*t:old*t+t])
			}
		}
	}
	for x := range y.blocks {
		b := &y.blocks[x]
		price := y.price[b.first : b.first+len(b.units)]
		if old := known[key{b.kind, b.year, b.row}]; old != nil {
			at := 0
			for u, i := range b.units {
				for at < len(old.units) && old.units[at] < i {
					at++
				}
				if at < len(old.units) && old.units[at] == i {
					price[u] = before.whole[old.first+at]
				}
			}
			continue
		}
		switch b.kind {
		case problem.YearMix:
			y.common[x] = e.Price[b.row] - e.Price[b.row-r.MixHigh+r.MixLow]
		case problem.YearEvenness:
			y.common[x] = e.Price[int(r.EvenHigh)+b.year] - e.Price[int(r.EvenLow)+b.year]
		case problem.YearGraph:
			at := map[int32]int{}
			for u, i := range b.units {
				at[i] = u
			}
			for _, p := range b.graph.pays {
				row := int(r.Neighbors) + int(p)*t + b.year
				price[at[m.Neighbors[p].I]] += e.Price[row]
				price[at[m.Neighbors[p].J]] += e.Price[row]
			}
		}
	}
}

// priceYears adds the prices of the year blocks, as last added up, to the costs of
// unit i.
func (e *Engine) priceYears(i int) {
	y, m := e.years, e.M
	for _, place := range y.places[i] {
		b := &y.blocks[place.block]
		price := y.whole[b.first+int(place.at)]
		switch {
		case b.class >= 0:
			y.classCost[int(y.classBase[i])+int(b.class)*m.T+b.year] = price
		case b.season >= 0:
			if y.seasonCost == nil {
				y.seasonCost = make([]float64, m.N*m.T*m.S)
			}
			y.seasonCost[(i*m.T+b.year)*m.S+b.season] = price
		default:
			e.burn[i*m.T+b.year] += price
		}
	}
}

// layPlaces lists where the units are.
func (y *Years) layPlaces(units int) {
	y.places = make([][]yearPlace, units)
	for x := range y.blocks {
		for u, i := range y.blocks[x].units {
			y.places[i] = append(y.places[i], yearPlace{int32(x), int32(u)})
		}
	}
}

// addUp brings prices and common prices together.
func (y *Years) addUp() {
	copy(y.whole, y.price)
	for x := range y.blocks {
		b := &y.blocks[x]
		if b.sum == nil {
			continue
		}
		for u := range b.units {
			y.addUpOne(x, u)
		}
	}
}

// addUpOne is addUp for the unit at position u of block x.
func (y *Years) addUpOne(x, u int) {
	b := &y.blocks[x]
	p := y.price[b.first+u]
	if b.sum != nil {
		p = max(-b.sum.most[u], min(b.sum.most[u], p+y.common[x]*b.sum.amounts[u]))
	}
	y.whole[b.first+u] = p
}

// fold brings the common prices into those of the units.
func (y *Years) fold() {
	y.addUp()
	copy(y.price, y.whole)
	clear(y.common)
}

// solveYear evaluates one year block.
func (e *Engine) solveYear(w *worker, x int) {
	y := e.years
	b := &y.blocks[x]
	price, take := y.whole[b.first:b.first+len(b.units)], y.take[b.first:b.first+len(b.units)]
	if b.graph != nil {
		w.graph.split = w.graph.split[:0]
		for k := range y.splits {
			w.graph.split = append(w.graph.split, int64(math.Round(y.split[k*e.M.T+b.year]/graphGrain)))
		}
		y.value[x] = w.graph.solve(b.graph, price, take)
	} else {
		y.value[x] = w.sum.solve(b.sum, price, take)
	}
}

// roundYears brings the prices to whole grains within their range.
func (y *Years) round() {
	y.fold()
	for x, h := range y.split {
		y.split[x] = math.Trunc(h/graphGrain) * graphGrain
	}
	for x := range y.blocks {
		b := &y.blocks[x]
		grain := graphGrain
		if b.sum != nil {
			grain = b.sum.grain
		}
		for u := range b.units {
			p := &y.price[b.first+u]
			*p = math.Trunc(*p/grain) * grain
		}
	}
}

// size sums the magnitudes of all prices.
func (y *Years) magnitude() float64 {
	sum := 0.0
	for _, p := range y.whole {
		sum += math.Abs(p)
	}
	for _, h := range y.split {
		sum += h
	}
	return sum
}

// pays reports whether year blocks pay what a row is about, so that it has no
// price.
func (y *Years) pays(r *model.Rows, row model.Row) bool {
	switch {
	case row >= r.Neighbors:
		return y.paidPair[row-r.Neighbors]
	case row >= r.EvenLow:
		return y.paidEven[int(row-r.EvenLow)%r.T]
	case row >= r.MixHigh:
		return y.paidClass[row-r.MixHigh]
	case row >= r.MixLow:
		return y.paidClass[row-r.MixLow]
	}
	return false
}

// clone gives year blocks with prices and results of their own.
func (y *Years) clone() *Years {
	if y == nil {
		return nil
	}
	c := *y
	c.price = append([]float64(nil), y.price...)
	c.common = append([]float64(nil), y.common...)
	c.whole = make([]float64, len(y.whole))
	c.split = append([]float64(nil), y.split...)
	c.take, c.value = make([]uint8, len(y.take)), make([]float64, len(y.value))
	c.classCost = make([]float64, len(y.classCost))
	c.seasonCost = nil
	return &c
}

// leafYears gives the year blocks as a certificate holds them.
func (e *Engine) leafYears() []problem.YearBlock {
	if e.years == nil {
		return nil
	}
	m := e.M
	var out []problem.YearBlock
	for x := range e.years.blocks {
		b := &e.years.blocks[x]
		to := problem.YearBlock{Kind: b.kind, Year: m.Problem.FirstYear + b.year, Season: -1}
		if b.sum != nil {
			to.Cell = b.sum.cell
		}
		switch b.kind {
		case problem.YearMix:
			to.Mix, to.Class = int(m.Classes[b.class].Mix), int(m.Classes[b.class].Class)
		case problem.YearBurnDays:
			to.Season = b.season
		}
		for k, p := range e.years.splits {
			if h := e.years.split[k*m.T+b.year]; b.graph != nil && h > 0 {
				pair := m.Neighbors[p]
				to.Split = append(to.Split, problem.PairCost{Pair: [2]int{int(pair.I), int(pair.J)}, Cost: h})
			}
		}
		for u, i := range b.units {
			p := e.years.price[b.first+u]
			if p != 0 || b.graph != nil {
				to.Units, to.Prices = append(to.Units, int(i)), append(to.Prices, p)
			}
		}
		out = append(out, to)
	}
	return out
}

// UseYears takes year blocks out of use, and into use again. Without them every row
// has its price, which proves the cost of a plan exactly.
func (e *Engine) UseYears(use bool) {
	if use == (e.years != nil) || e.allYears == nil {
		return
	}
	e.years = nil
	if use {
		e.years = e.allYears
	}
	e.setActive()
}

// HasYearSums reports whether some of the engine's year blocks hold sums.
func (e *Engine) HasYearSums() bool {
	return e.years != nil && slices.ContainsFunc(e.years.blocks, func(b yearBlock) bool { return b.sum != nil })
}

// HasYears reports whether the engine has year blocks.
func (e *Engine) HasYears() bool { return e.years != nil }

// save adds the prices, as last added up, and the parts of pairs to a list.
func (y *Years) save(to []float64) []float64 { return append(append(to, y.whole...), y.split...) }

// load takes over what save gave.
func (y *Years) load(from []float64) {
	copy(y.price, from)
	copy(y.whole, from)
	clear(y.common)
	if len(from) > 0 {
		copy(y.split, from[len(y.price):])
	}
}

// margin bounds what a checker may lose of the blocks' values: they are exact here,
// and there each part of a sum is rounded down to at worst 2⁻⁵⁸ of the sum of all
// magnitudes, by up to three grains.
func (y *Years) margin() float64 {
	const part = 4 * 0x1p-58
	sum, prices := 0.0, y.magnitude()
	for x := range y.blocks {
		b := &y.blocks[x]
		size := prices
		if b.sum != nil {
			size += b.sum.size
		} else {
			size += b.graph.size
		}
		sum += part * float64(2*len(b.units)+len(y.splits)+16) * size
	}
	return sum
}
