package bound

import (
	"math"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
)

// Dual is what proves a bound: prices of the active rows, shares and shifts.
// Many nodes of a tree may share one.
type Dual struct {
	price, share, shift, age, part, year []float64
}

// Save copies the engine's prices, shares and shifts.
func (e *Engine) Save() *Dual {
	d := &Dual{price: make([]float64, len(e.Active))}
	for x, row := range e.Active {
		d.price[x] = e.Price[row]
	}
	if e.shift != nil {
		d.share = append([]float64(nil), e.share...)
		d.shift = append([]float64(nil), e.shift...)
		d.age, d.part = append([]float64(nil), e.age...), append([]float64(nil), e.part...)
	}
	if e.years != nil {
		e.years.addUp()
		d.year = e.years.save(nil)
	}
	return d
}

// DualSize counts the numbers of a saved dual.
func (e *Engine) DualSize() int {
	return len(e.Active) + len(e.share) + len(e.shift) + len(e.age) + len(e.part) + e.years.coordinates()
}

// Load sets the engine to saved prices, shares and shifts. Its blocks must be
// those of the engine that saved them.
func (e *Engine) Load(d *Dual) {
	e.UseYears(d.year != nil)
	for x, row := range e.Active {
		e.Price[row] = d.price[x]
	}
	if d.shift != nil {
		copy(e.share, d.share)
		copy(e.shift, d.shift)
		clear(e.age) // of before ages had prices and pairs parts
		clear(e.part)
		copy(e.age, d.age)
		copy(e.part, d.part)
	}
	if d.year != nil {
		e.years.load(d.year)
	}
}

// LeafOf gives a saved dual as a certificate's leaf.
func (e *Engine) LeafOf(d *Dual) *problem.Leaf {
	e.Load(d)
	e.price()
	return e.Leaf()
}

// Clone gives an engine with the same blocks and its own prices and fixings,
// for one thread.
func (e *Engine) Clone() *Engine {
	c := New(e.M, 1)
	c.Stop = e.Stop
	c.blocks, c.copyUnit, c.blockOf, c.copies, c.shared = e.blocks, e.copyUnit, e.blockOf, e.copies, e.shared
	c.share = append([]float64(nil), e.share...)
	c.shift = nil
	if e.shift != nil {
		c.shift = append([]float64(nil), e.shift...)
	}
	c.age, c.ageAt = append([]float64(nil), e.age...), e.ageAt
	c.parts, c.part, c.partsOf = e.parts, append([]float64(nil), e.part...), e.partsOf
	c.paidBy = make([]float64, len(e.paidBy))
	c.ownerOf, c.insideOf, c.wholeOf, c.mixOf = e.ownerOf, e.insideOf, e.wholeOf, e.mixOf
	c.allYears = e.allYears.clone()
	if e.years != nil {
		c.years = c.allYears
	}
	c.value = make([]float64, len(e.blocks))
	c.State = make([]int16, len(e.copyUnit)*e.M.T)
	c.Active = append([]model.Row(nil), e.Active...)
	copy(c.Price, e.Price)
	copy(c.Fix, e.Fix)
	copy(c.Barred, e.Barred)
	return c
}

// Marginals computes, for the prices of the last Evaluate, lower bounds of the
// plans in which unit i burns, and rests, in year t (at i·T+t). Margin applies
// to them as to Value.
func (e *Engine) Marginals(burn, rest []float64) {
	t := e.M.T
	w := e.workers[0]
	for x := range burn {
		burn[x], rest[x] = e.Value, e.Value
	}
	for b := range e.blocks {
		blk := &e.blocks[b]
		n := len(blk.units)
		w.burn, w.rest = grow(w.burn, n*t), grow(w.rest, n*t)
		if blk.shape == nil {
			i := int(blk.units[0])
			k := int(e.M.K[i])
			w.state = grow(w.state, t*k)
			e.stateCost(i, w.state)
			w.path.Marginals(&e.paths[i], e.burn[i*t:i*t+t], e.rest[i*t:i*t+t], w.state, w.burn, w.rest)
		} else {
			e.solve(w, b)
			w.joint.marginals(blk.shape, t, w.cost, w.burn, w.rest)
		}
		for u, i := range blk.units {
			for y := range t {
				at := int(i)*t + y
				burn[at] += w.burn[u*t+y] - e.value[b]
				rest[at] += w.rest[u*t+y] - e.value[b]
			}
		}
	}
	for x := range burn {
		if math.IsNaN(burn[x]) || math.IsNaN(rest[x]) {
			panic("bound: marginals of a leaf without a path")
		}
	}
}

// Plan gives the paths of the last evaluation as a plan, which need not meet the
// requirements. Of a unit with several copies it takes the first.
func (e *Engine) Plan() model.Plan {
	t := e.M.T
	plan := e.M.NewPlan()
	for i := range e.M.N {
		c := int(e.copies[i][0])
		for y := range t {
			if e.State[c*t+y] == 0 {
				plan[i*t+y] = e.Season[i*t+y]
			}
		}
	}
	return plan
}
