package bound

import "math"

// Proximal improves the prices of an engine with year blocks by taking its blocks one
// after another. It keeps, of each block, a weighted mean of the choices that it made,
// and prices that are those of a center moved along the violation of all means together:
//
//	price = center + pace · weight · Σ_B (what the mean of block B takes of the row)
//
// which are the best prices for the means less a penalty for leaving the center. A block
// that is searched at these prices moves its mean toward what it has found by the step
// that is best for that objective, and the next block sees prices that know of it: the
// Frank-Wolfe method, block by block, on the dual of a proximal step (Lacoste-Julien,
// Jaggi, Schmidt and Pletscher 2013; Swoboda and Kolmogorov 2019). Where prices prove to
// be better than the center, they become it.
//
// Shares stay as they are, and all goes on one thread, in the order of the blocks.
type Proximal struct {
	a *Ascent
	e *Engine
	// pace is the length of a proximal step.
	pace float64

	// Coordinates are those of Ascent: rows, shifts, shares, then year blocks' prices,
	// common prices and parts of pairs; then prices of ages, and what blocks pay of pairs
	// of others. shiftAt and so on are where each kind begins. Where ages have prices,
	// shifts stay as they are, as in an ascent.
	shiftAt, shareAt, priceAt, commonAt, splitAt, ageAt, partAt int
	// x holds the prices at hand, center those that they move around, sum what the means
	// take, less the right side, and weight how far each price moves for it.
	x, center, sum, weight []float64
	low, high              []float64
	// common and amount hold, for each price of a year block, the coordinate of the common
	// price of its class, −1 for none, and how much of it goes into the price.
	common []int32
	amount []float64

	// copyOf is the copy of each price of an age.
	copyOf []int32
	// ofPair lists, for each neighbor pair, the coordinates in the first year that say what
	// others than its own block pay of it.
	ofPair [][]int

	blocks  []meanBlock
	unitAt  [][]int32 // the coordinates that a path of unit i may take something of
	passes  int
	isReady bool

	found []float64 // what a choice takes of each coordinate of the block at hand
	seen  []float64 // prices of an evaluation
}

// meanBlock is the mean of a block's choices: what it costs beside prices, and takes of
// the coordinates at.
type meanBlock struct {
	at   []int32
	cost float64
	take []float64
}

const (
	// firstPace is the pace at first; where prices are not better than the center it is
	// multiplied by shorter. It is long enough for prices that are still on their way, and
	// becomes short within some passes where they are not (see schedule/bench/NOTES.md).
	firstPace = 0.01
	shorter   = 0.9
	// leastVary keeps the weight of a price finite on which blocks have hardly ever
	// disagreed: as if they did so in one step of a hundred.
	leastVary = 0.1
	// passesBetween is how many passes go on between evaluations of the bound.
	passesBetween = 2
)

// NewProximal goes on from the best prices of an ascent of an engine with year blocks.
func NewProximal(a *Ascent) *Proximal {
	e := a.e
	p := &Proximal{a: a, e: e, pace: firstPace}
	p.shiftAt = len(e.Price)
	p.shareAt = p.shiftAt + len(e.shift)
	p.priceAt = p.shareAt + len(e.share)
	p.commonAt = p.priceAt + len(e.years.price)
	p.splitAt = p.commonAt + len(e.years.common)
	p.ageAt = p.splitAt + len(e.years.split)
	p.partAt = p.ageAt + len(e.age)
	n := p.partAt + len(e.part)
	for _, v := range [...]*[]float64{&p.x, &p.center, &p.sum, &p.weight, &p.low, &p.high, &p.found, &p.seen} {
		*v = make([]float64, n)
	}
	p.layRanges()
	p.layUnits()
	p.layBlocks()
	a.Return()
	p.read()
	copy(p.center, p.x)
	return p
}

// layRanges sets the ranges and weights of all coordinates. The weight is the metric of
// the ascent: steps of coordinates on which blocks disagree often are short.
func (p *Proximal) layRanges() {
	e, a := p.e, p.a
	m, y := e.M, e.years
	for k := range p.x {
		p.low[k], p.high[k] = math.Inf(-1), math.Inf(1)
	}
	// vary is of gradients times scale, and never less than that of least.
	set := func(k int, scale, vary, least float64) {
		p.weight[k] = scale * scale / max(math.Sqrt(vary), leastVary*least, tiny)
	}
	for _, row := range e.Active {
		p.low[row], p.high[row] = 0, m.Rows.PriceMax[row]
		set(int(row), a.scale[row], a.vary[row], 1)
		p.sum[row] = -m.Rows.Right[row]
	}
	p.copyOf = make([]int32, len(e.age))
	for _, i := range e.shared {
		first := int(e.copies[i][0])
		for _, c := range e.copies[i] {
			for t := range m.T {
				set(p.shiftAt+int(c)*m.T+t, m.Acres[i], a.vary[p.shiftAt+first*m.T+t], m.Acres[i])
			}
			if e.age == nil {
				continue
			}
			for x := range m.T * int(m.K[i]) {
				set(p.ageAt+e.ageAt[c]+x, m.Acres[i], a.ageVary[e.ageAt[first]+x], m.Acres[i])
				p.copyOf[e.ageAt[c]+x] = c
			}
		}
	}
	p.common, p.amount = none(len(y.price)), make([]float64, len(y.price))
	for x := range y.blocks {
		b := &y.blocks[x]
		for u, i := range b.units {
			k := p.priceAt + b.first + u
			set(k, m.Acres[i], square(m.Acres[i])*a.vary[k], m.Acres[i])
			if b.class >= 0 {
				p.common[b.first+u], p.amount[b.first+u] = int32(p.commonAt+x), b.sum.amounts[u]
			}
			if b.sum != nil {
				p.low[k], p.high[k] = -b.sum.most[u], b.sum.most[u]
			}
		}
		set(p.commonAt+x, 1, a.vary[p.commonAt+x], 1)
	}
	p.ofPair = make([][]int, len(m.Neighbors))
	pay := func(first int, pair int32, vary []float64) {
		p.ofPair[pair] = append(p.ofPair[pair], first)
		cost := m.Neighbors[pair].Cost
		for t := range m.T {
			set(first+t, cost, square(cost)*vary[t], cost)
			p.low[first+t], p.high[first+t] = 0, cost*nearlyAll
		}
	}
	for s, pair := range y.splits {
		pay(p.splitAt+s*m.T, pair, a.vary[p.splitAt+s*m.T:])
	}
	for k := range e.parts {
		pay(p.partAt+k*m.T, e.parts[k].pair, a.partVary[k*m.T:])
	}
}

func square(x float64) float64 { return x * x }

// layUnits lists the coordinates of each unit.
func (p *Proximal) layUnits() {
	e := p.e
	m, r, t := e.M, &e.M.Rows, e.M.T
	active := make([]bool, r.Many)
	for _, row := range e.Active {
		active[row] = true
	}
	p.unitAt = make([][]int32, m.N)
	for i := range m.N {
		var at []int32
		add := func(base, item int) {
			for row := base + item*t; row < base+(item+1)*t; row++ {
				if active[row] {
					at = append(at, int32(row))
				}
			}
		}
		for _, base := range [...]int{int(r.Acres), int(r.Burns), int(r.Cost), int(r.EvenLow), int(r.EvenHigh)} {
			add(base, 0)
		}
		for s := range m.S {
			add(int(r.Days), s)
		}
		if g := m.RefugeOf[i]; g >= 0 {
			add(int(r.Refuge), int(g))
		}
		for x := m.ApartOf.Start[i]; x < m.ApartOf.Start[i+1]; x++ {
			add(int(r.Apart), int(m.ApartOf.Pair[x]))
		}
		for x := m.NeighborsOf.Start[i]; x < m.NeighborsOf.Start[i+1]; x++ {
			add(int(r.Neighbors), int(m.NeighborsOf.Pair[x]))
		}
		if mix := m.MixOf[i]; mix >= 0 {
			for c, class := range m.Classes {
				if class.Mix == mix {
					add(int(r.MixLow), c)
					add(int(r.MixHigh), c)
				}
			}
		}
		for _, place := range e.years.places[i] {
			b := &e.years.blocks[place.block]
			if b.class >= 0 { // before the price, whose range it shifts
				at = append(at, int32(p.commonAt)+place.block)
			}
			at = append(at, int32(p.priceAt+b.first+int(place.at)))
		}
		p.unitAt[i] = at
	}
}

// layBlocks lists the coordinates of each block, and makes room for the means.
func (p *Proximal) layBlocks() {
	e, y := p.e, p.e.years
	known := make([]int, len(p.x)) // the last block that has the coordinate, from 1
	p.blocks = make([]meanBlock, len(e.blocks)+len(y.blocks))
	for b := range p.blocks {
		to := &p.blocks[b]
		add := func(k int) {
			if known[k] != b+1 {
				known[k] = b + 1
				to.at = append(to.at, int32(k))
			}
		}
		if b < len(e.blocks) {
			p.layUnitBlock(b, add)
		} else {
			p.layYearBlock(b-len(e.blocks), add)
		}
		to.take = make([]float64, len(to.at))
	}
}

func (p *Proximal) layUnitBlock(b int, add func(k int)) {
	e, t := p.e, p.e.M.T
	blk := &e.blocks[b]
	for u, i := range blk.units {
		switch c := blk.first + u; {
		case len(e.copies[i]) == 1:
		case e.age == nil:
			for year := range t {
				add(p.shiftAt + c*t + year)
			}
		default:
			for x := range t * int(e.M.K[i]) {
				add(p.ageAt + e.ageAt[c] + x)
			}
		}
		for _, k := range p.unitAt[i] {
			add(int(k))
		}
	}
	for _, s := range e.years.blockSplits[b] {
		for year := range t {
			add(p.splitAt + s.k*t + year)
		}
	}
	if e.partsOf != nil {
		for _, k := range e.partsOf[b] {
			for year := range t {
				add(p.partAt + k*t + year)
			}
		}
	}
}

func (p *Proximal) layYearBlock(x int, add func(k int)) {
	y := p.e.years
	b := &y.blocks[x]
	if b.class >= 0 {
		add(p.commonAt + x)
	}
	for u := range b.units {
		add(p.priceAt + b.first + u)
	}
	if b.graph != nil {
		for s := range y.splits {
			add(p.splitAt + s*p.e.M.T + b.year)
		}
	}
}

// read takes the prices from the engine.
func (p *Proximal) read() {
	e, y := p.e, p.e.years
	copy(p.x, e.Price)
	copy(p.x[p.shiftAt:], e.shift)
	copy(p.x[p.priceAt:], y.price)
	copy(p.x[p.commonAt:], y.common)
	copy(p.x[p.splitAt:], y.split)
	copy(p.x[p.ageAt:], e.age)
	copy(p.x[p.partAt:], e.part)
}

// move brings the prices of a block's coordinates up to date with the means.
func (p *Proximal) move(at []int32) {
	e, y := p.e, p.e.years
	for _, k := range at {
		k := int(k)
		gone := p.sum[k]
		if c, first := p.tied(k); c >= 0 {
			gone -= p.meanOf(e.copies[e.copyUnit[c]], k, first)
		}
		low, high := p.rangeOf(k)
		x := max(low, min(high, p.center[k]+p.pace*p.weight[k]*gone))
		p.x[k] = x
		switch {
		case k < p.shiftAt:
			e.Price[k] = x
		case k < p.shareAt:
			e.shift[k-p.shiftAt] = x
		case k < p.commonAt:
			y.price[k-p.priceAt] = x
		case k < p.splitAt:
			y.common[k-p.commonAt] = x
		case k < p.ageAt:
			y.split[k-p.splitAt] = x
		case k < p.partAt:
			e.age[k-p.ageAt] = x
		default:
			e.part[k-p.partAt] = x
		}
	}
}

// rangeOf gives the range of a price. Where the units of a class have a common price
// too, the two together have a range, and so has what others pay of a pair.
func (p *Proximal) rangeOf(k int) (low, high float64) {
	low, high = p.low[k], p.high[k]
	switch {
	case k >= p.priceAt && k < p.commonAt:
		if c := p.common[k-p.priceAt]; c >= 0 {
			apart := p.x[c] * p.amount[k-p.priceAt]
			return low - apart, high - apart
		}
	case k >= p.splitAt && k < p.ageAt:
		high = p.leftOf(p.e.years.splits[(k-p.splitAt)/p.e.M.T], k, high)
	case k >= p.partAt:
		high = p.leftOf(p.e.parts[(k-p.partAt)/p.e.M.T].pair, k, high)
	}
	return low, high
}

// leftOf gives what others leave of a pair's cost to coordinate k.
func (p *Proximal) leftOf(pair int32, k int, cost float64) float64 {
	t := p.e.M.T
	year := (k - p.splitAt) % t
	if k >= p.partAt {
		year = (k - p.partAt) % t
	}
	for _, first := range p.ofPair[pair] {
		if first+year != k {
			cost -= p.x[first+year]
		}
	}
	return max(0, cost)
}

// tied gives, for a price that sums to 0 over the copies of a unit, its copy and where
// the prices of that begin; −1 for others.
func (p *Proximal) tied(k int) (copy, first int) {
	switch {
	case k >= p.shiftAt && k < p.shareAt:
		c := (k - p.shiftAt) / p.e.M.T
		return c, p.shiftAt + c*p.e.M.T
	case k >= p.ageAt && k < p.partAt:
		c := int(p.copyOf[k-p.ageAt])
		return c, p.ageAt + p.e.ageAt[c]
	}
	return -1, 0
}

// meanOf gives the mean over the copies of a unit of what the means take of a price that
// is at k for the copy whose prices begin at first.
func (p *Proximal) meanOf(copies []int32, k, first int) float64 {
	sum := 0.0
	for _, c := range copies {
		at := p.shiftAt + int(c)*p.e.M.T
		if k >= p.ageAt {
			at = p.ageAt + p.e.ageAt[c]
		}
		sum += p.sum[at+k-first]
	}
	return sum / float64(len(copies))
}

// Run takes so many passes over all blocks, an evaluation of the bound among them as one
// pass, and gives the best value that the ascent knows of.
func (p *Proximal) Run(passes int) float64 {
	if !p.isReady {
		p.begin()
	}
	for range passes {
		p.passes++
		if p.passes%(passesBetween+1) == 0 {
			if !p.evaluate() {
				break
			}
		} else {
			for b := range p.blocks {
				if p.e.IsStopped() {
					return p.a.Best
				}
				p.search(b)
			}
		}
	}
	return p.a.Best
}

// begin takes the choices at the center for the means.
func (p *Proximal) begin() {
	p.isReady = true
	p.e.Evaluate()
	for b := range p.blocks {
		p.take(b, p.x, true)
	}
}

// evaluate computes the bound at the prices at hand, and makes them the center if they
// are the best. What the blocks chose moves their means too. It reports false where the
// engine was stopped.
func (p *Proximal) evaluate() bool {
	for b := range p.blocks {
		p.move(p.blocks[b].at)
	}
	copy(p.seen, p.x)
	v := p.e.Evaluate()
	if math.IsInf(v, 0) {
		return false
	}
	if p.a.note(v) {
		copy(p.center, p.x)
	} else {
		p.pace *= shorter
	}
	for b := range p.blocks {
		p.move(p.blocks[b].at)
		p.take(b, p.seen, false)
	}
	return true
}

// search searches a block at the prices that the means make now, and moves its mean.
func (p *Proximal) search(b int) {
	e := p.e
	p.move(p.blocks[b].at)
	if b < len(e.blocks) {
		for _, i := range e.blocks[b].units {
			p.priceUnit(int(i))
		}
	} else {
		for u := range e.years.blocks[b-len(e.blocks)].units {
			e.years.addUpOne(b-len(e.blocks), u)
		}
	}
	e.solve(e.workers[0], b)
	p.take(b, p.x, false)
}

// priceUnit brings up to date what unit i pays.
func (p *Proximal) priceUnit(i int) {
	e := p.e
	for _, place := range e.years.places[i] {
		e.years.addUpOne(int(place.block), int(place.at))
	}
	if mix := e.M.MixOf[i]; mix >= 0 {
		for c, class := range e.M.Classes {
			if class.Mix == mix {
				e.priceClass(c)
			}
		}
	}
	e.priceUnit(i)
}
