package certify

import (
	"fmt"
	"math"

	"emberquilt/schedule/problem"
)

// rowIndex gives every row that a problem has a number.
type rowIndex struct {
	f *frame
	// start holds the first number of each kind; rows of a kind lie item by
	// item, year by year.
	start map[problem.RowKind]int
	count int
	// class is the number of the first class of each mix; classCount counts all.
	class      []int
	classCount int
}

func newRowIndex(f *frame) rowIndex {
	x := rowIndex{f: f, start: map[problem.RowKind]int{}}
	classes := 0
	for m := range f.p.Mixes {
		x.class = append(x.class, classes)
		classes += len(f.p.Mixes[m].Classes)
	}
	x.classCount = classes
	for _, kind := range []struct {
		kind  problem.RowKind
		items int
	}{
		{problem.RowAcres, 1}, {problem.RowBurns, 1}, {problem.RowCost, 1}, {problem.RowBurnDays, f.S}, {problem.RowRefuge, len(f.p.Refuges)},
		{problem.RowApart, len(f.p.Apart)}, {problem.RowMixLow, classes}, {problem.RowMixHigh, classes}, {problem.RowEvenLow, 1},
		{problem.RowEvenHigh, 1}, {problem.RowNeighbors, len(f.p.Neighbors)},
	} {
		x.start[kind.kind] = x.count
		x.count += kind.items * f.T
	}
	return x
}

// find gives the number of a row and the largest price that it may have; an
// error where the problem has no such row.
func (x *rowIndex) find(r problem.Row) (number int, top float64, err error) {
	p, f := x.f.p, x.f
	none := func(why string) (int, float64, error) {
		return 0, 0, fmt.Errorf("row %s: %s", describe(p, r), why)
	}
	t := r.Year - p.FirstYear
	if t < 0 || t >= f.T {
		return none("its year is outside the plan")
	}
	start, known := x.start[r.Kind]
	if !known {
		return none("there is no such kind of row")
	}
	item, limit := 0, 0.0
	top = math.Inf(1)
	switch r.Kind {
	case problem.RowAcres:
		limit = f.limits[t].acres
	case problem.RowBurns:
		limit = f.limits[t].burns
	case problem.RowCost:
		limit = f.limits[t].cost
	case problem.RowBurnDays:
		if r.Season < 0 || r.Season >= f.S {
			return none("there is no such season")
		}
		item, limit = r.Season, f.limits[t].days[r.Season]
	case problem.RowRefuge:
		if r.Refuge < 0 || r.Refuge >= len(p.Refuges) {
			return none("there is no such refuge")
		}
		item = r.Refuge
	case problem.RowApart, problem.RowNeighbors:
		pairs := f.apart
		if r.Kind == problem.RowNeighbors {
			pairs = f.neighbors
		}
		k, known := pairs[r.Pair]
		if !known {
			return none("there is no such pair")
		}
		item = k
		if r.Kind == problem.RowNeighbors {
			top = math.Nextafter(p.Weights.Neighbors*f.smaller(r.Pair), math.Inf(1))
		}
	case problem.RowMixLow, problem.RowMixHigh:
		if r.Mix < 0 || r.Mix >= len(p.Mixes) || r.Class < 0 || r.Class >= len(p.Mixes[r.Mix].Classes) {
			return none("there is no such age class")
		}
		item, top = x.class[r.Mix]+r.Class, p.Weights.Mix
	case problem.RowEvenLow:
		limit, top = -p.EvenLo, p.Weights.Evenness
	case problem.RowEvenHigh:
		limit, top = p.EvenHi, p.Weights.Evenness
	}
	if math.IsInf(limit, 1) {
		return none("the problem has no such limit")
	}
	return start + item*f.T + t, top, nil
}

// smaller gives the acres of the smaller unit of a pair.
func (f *frame) smaller(pair [2]int) float64 {
	return min(f.units[pair[0]].Acres, f.units[pair[1]].Acres)
}

// describe names a row, whatever stands in it.
func describe(p *problem.Problem, r problem.Row) (text string) {
	defer func() {
		if recover() != nil { // indices that the problem does not have
			text = fmt.Sprintf("%s %d", r.Kind, r.Year)
		}
	}()
	return p.Describe(r)
}

// priced is the sum of all rows and cuts of a leaf with their prices: what they
// add to the cost of burns and of ages, and a constant.
type priced struct {
	// acre, burn, dollar at t and day at s·T+t add to a burn by its acres, by
	// itself, by its cost and by its days; refuge at r·T+t by acres of a group.
	acre, burn, dollar, day, refuge []sum
	// class at (class number)·T+t adds to an acre in an age class.
	class []sum
	// own at i·T+t adds to one burn of one unit, ownDay at (i·T+t)·S+s to one in
	// a season; nil where nothing does.
	own, ownDay []sum
	// ownClass at unit, class of its mix and year adds to ending the year in it.
	ownClass map[[3]int]sum
	// constant is the sum of constantIn, which holds one a year.
	constant   sum
	constantIn []sum
}

// price gathers the rows and cuts of a leaf.
func (f *frame) price(leaf *problem.Leaf) (*priced, error) {
	classes := 0
	for m := range f.p.Mixes {
		classes += len(f.p.Mixes[m].Classes)
	}
	q := &priced{
		acre: make([]sum, f.T), burn: make([]sum, f.T), dollar: make([]sum, f.T), day: make([]sum, f.S*f.T),
		refuge: make([]sum, len(f.p.Refuges)*f.T), class: make([]sum, classes*f.T), constantIn: make([]sum, f.T),
	}
	seen := make([]uint64, (f.rows.count+63)/64)
	for _, r := range leaf.Prices {
		number, top, err := f.rows.find(r.Row)
		if err != nil {
			return nil, err
		}
		if seen[number/64]&(1<<(number%64)) != 0 {
			return nil, fmt.Errorf("row %s is named twice", describe(f.p, r.Row))
		}
		seen[number/64] |= 1 << (number % 64)
		if !(r.PerUnit >= 0) || r.PerUnit > top || math.IsInf(r.PerUnit, 1) {
			return nil, fmt.Errorf("row %s: price %v is out of its range, 0 to %v", describe(f.p, r.Row), r.PerUnit, top)
		}
		q.add(f, r)
	}
	for k := range leaf.Cuts {
		if err := q.addCut(f, &leaf.Cuts[k]); err != nil {
			return nil, fmt.Errorf("cut %d: %w", k, err)
		}
	}
	return q, nil
}

// add adds the term of one row; see problem.Certificate.
func (q *priced) add(f *frame, r problem.RowPrice) {
	p, price, t := f.p, r.PerUnit, r.Year-f.p.FirstYear
	add := func(to *sum, by sum) { *to = to.plus(by) }
	constant := func(price, limit float64) { q.addConstant(t, product(-price, limit)) }
	switch r.Kind {
	case problem.RowAcres:
		add(&q.acre[t], of(price))
		constant(price, f.reach[t].acres)
	case problem.RowBurns:
		add(&q.burn[t], of(price))
		constant(price, f.reach[t].burns)
	case problem.RowCost:
		add(&q.dollar[t], of(price))
		constant(price, f.reach[t].cost)
	case problem.RowBurnDays:
		add(&q.day[r.Season*f.T+t], of(price))
		constant(price, f.reach[t].days[r.Season])
	case problem.RowRefuge:
		add(&q.refuge[r.Refuge*f.T+t], of(price))
		constant(price, f.reachRefuge[r.Refuge])
	case problem.RowApart, problem.RowNeighbors:
		if r.Kind == problem.RowNeighbors {
			// The range ends at an exact product, of which a float may be a
			// rounding. A smaller price is as good.
			price = min(price, math.Nextafter(p.Weights.Neighbors*f.smaller(r.Pair), 0))
		}
		q.needOwn(f)
		for _, i := range r.Pair {
			add(&q.own[i*f.T+t], of(price))
		}
		constant(price, 1)
	case problem.RowMixLow:
		add(&q.class[(f.rows.class[r.Mix]+r.Class)*f.T+t], of(-price))
		q.addConstant(t, f.mixAcres[r.Mix].times(p.Mixes[r.Mix].Classes[r.Class].MinShare).times(price))
	case problem.RowMixHigh:
		add(&q.class[(f.rows.class[r.Mix]+r.Class)*f.T+t], of(price))
		q.addConstant(t, f.mixAcres[r.Mix].times(p.Mixes[r.Mix].Classes[r.Class].MaxShare).times(-price))
	case problem.RowEvenLow:
		add(&q.acre[t], of(-price))
		constant(-price, p.EvenLo)
	case problem.RowEvenHigh:
		add(&q.acre[t], of(price))
		constant(price, p.EvenHi)
	}
}

func (q *priced) addConstant(t int, by sum) {
	q.constant = q.constant.plus(by)
	q.constantIn[t] = q.constantIn[t].plus(by)
}

func (q *priced) needOwn(f *frame) {
	if q.own == nil {
		q.own = make([]sum, f.N*f.T)
	}
}

// addCut checks a cut and adds its term.
func (q *priced) addCut(f *frame, c *problem.Cut) error {
	if err := f.checkCut(c); err != nil {
		return err
	}
	if !(c.Price >= 0) || math.IsInf(c.Price, 1) {
		return fmt.Errorf("price %v is out of its range, 0 or more", c.Price)
	}
	t := c.Year - f.p.FirstYear
	for k, i := range c.Units {
		by := product(c.Price, float64(c.Weight[k]))
		if c.Season < 0 {
			q.needOwn(f)
			q.own[i*f.T+t] = q.own[i*f.T+t].plus(by)
			continue
		}
		if q.ownDay == nil {
			q.ownDay = make([]sum, f.N*f.T*f.S)
		}
		x := (i*f.T+t)*f.S + c.Season
		q.ownDay[x] = q.ownDay[x].plus(by)
	}
	q.addConstant(t, product(-c.Price, float64(c.AtMost)))
	return nil
}
