package certify

import (
	"errors"
	"slices"
)

var errBlockTooLarge = errors.New("it is too large to search")

// joint searches the joint paths of a block.
//
// Before a year there is a least cost for each tuple of ages, in an array with
// one dimension a unit, the last unit fastest. A year is done unit by unit: a
// unit either rests and keeps its dimension, or burns, and then its dimension
// goes, each remaining tuple taking the least over the ages from which it may
// burn. Sets that break a requirement are left where they do; sets that contain
// them are never reached. At the end of the way the tuples move to the ages
// after the year.
type joint struct {
	*costs
	b      *block
	tables []table
	grain  scale
	pays   [][]int64 // cost of each pair of b.pays in each year
	// bands are the age classes, nil where the block pays no mix; acres are those
	// in each class at the tuple at hand.
	bands []band
	acres []int64
	// refuge holds the distinct refuges of the units, refugeOf the position in
	// it of each unit's, −1 for none.
	refuge, refugeOf []int
	cur, next        []int64
	layers           [][]int64
	work             int64

	t      int
	burned uint32
	stride []int // of each unit in next
	load   load
}

// load is what the burning units of a year take together.
type load struct {
	acres, burns, cost float64
	refuge             []float64
}

// joint gives the least cost of the joint paths of a block, units being the costs
// of its units, in the scale that it
// gives beside, infinite where there is none.
func (c *costs) joint(b *block, units []unitCosts) (int64, scale, error) {
	grain, ok := c.blockScale(b, units)
	if !ok {
		return 0, 0, errTooLarge
	}
	j := &joint{costs: c, b: b, grain: grain, layers: make([][]int64, len(b.units)+1), stride: make([]int, len(b.units))}
	for k, i := range b.units {
		var shift []float64
		if b.shift != nil {
			shift = b.shift[k*c.T : (k+1)*c.T]
		}
		var aged [][]float64
		if b.ages != nil {
			aged = b.ages[k*c.T : (k+1)*c.T]
		}
		pays := slices.Contains(b.mixes, c.units[i].Mix)
		j.tables = append(j.tables, c.tableOf(i, b.share[k], shift, aged, &units[k], grain, pays))
		j.refugeOf = append(j.refugeOf, j.refugeAt(c.units[i].Refuge))
	}
	for _, p := range b.pays {
		costs := make([]int64, c.T)
		for t := range costs {
			costs[t] = grain.floor(p.in(t))
		}
		j.pays = append(j.pays, costs)
	}
	if len(b.mixes) > 0 {
		j.bands = c.bands()
		j.acres = make([]int64, len(j.bands))
	}
	j.load.refuge = make([]float64, len(j.refuge))
	j.cur = []int64{0}
	for t := range c.T {
		if err := j.year(t); err != nil {
			return 0, 0, err
		}
	}
	best := infinite
	for _, cost := range j.cur {
		best = min(best, cost)
	}
	return best, grain, nil
}

func (j *joint) refugeAt(r int) int {
	if r < 0 {
		return -1
	}
	for k, known := range j.refuge {
		if known == r {
			return k
		}
	}
	j.refuge = append(j.refuge, r)
	return len(j.refuge) - 1
}

// year does one year.
func (j *joint) year(t int) error {
	size := 1
	for k := len(j.tables) - 1; k >= 0; k-- {
		j.stride[k] = size
		size *= j.tables[k].count[t+1]
		if size > blockStates {
			return errBlockTooLarge
		}
	}
	j.t = t
	j.next = fill(j.next, size)
	dims := make([]int, 0, len(j.tables))
	for k := range j.tables {
		dims = append(dims, j.tables[k].count[t])
	}
	j.load.acres, j.load.burns, j.load.cost = 0, 0, 0
	clear(j.load.refuge)
	j.burned = 0
	if err := j.unit(0, j.cur, dims, make([]int, 0, len(dims)), 0); err != nil {
		return err
	}
	j.endOfYear()
	j.cur, j.next = j.next, j.cur
	return nil
}

// fill gives a slice of infinite costs, reusing memory.
func fill(a []int64, n int) []int64 {
	if cap(a) < n {
		a = make([]int64, n)
	}
	a = a[:n]
	for k := range a {
		a[k] = infinite
	}
	return a
}

// unit decides on unit k and those after it. from has a dimension for each unit
// in resting and for the units from k on; dims are all dimensions.
func (j *joint) unit(k int, from []int64, dims, resting []int, cost int64) error {
	if j.work += int64(len(from)); j.work > blockWork {
		return errBlockTooLarge
	}
	if k == len(j.tables) {
		j.arrive(from, dims, resting, cost)
		return nil
	}
	tb := &j.tables[k]
	if still := tb.still[j.t]; still < infinite {
		if err := j.unit(k+1, from, dims, append(resting, k), cost+still); err != nil {
			return err
		}
	}
	if tb.burn[j.t] >= infinite || j.burned&j.b.apart[k] != 0 {
		return nil
	}
	before := j.load
	u := &j.units[j.b.units[k]]
	l := &j.limits[j.t]
	j.load.acres += u.Acres
	j.load.burns++
	j.load.cost += u.Cost
	fits := !passes(j.load.acres, l.acres) && !passes(j.load.burns, l.burns) && !passes(j.load.cost, l.cost)
	r := j.refugeOf[k]
	taken := 0.0
	if r >= 0 {
		taken = j.load.refuge[r]
		j.load.refuge[r] = taken + u.Acres
		fits = fits && !passes(taken+u.Acres, j.frame.refuge[j.refuge[r]])
	}
	var err error
	if fits {
		if reduced, any := j.collapse(k, from, dims, len(resting)); any {
			cost += tb.burn[j.t]
			for n, p := range j.b.pays {
				if p.second == k && j.burned&(1<<p.first) != 0 {
					cost += j.pays[n][j.t]
				}
			}
			j.burned |= 1 << k
			dims := append(append(make([]int, 0, len(dims)), dims[:len(resting)]...), dims[len(resting)+1:]...)
			err = j.unit(k+1, reduced, dims, resting, cost)
			j.burned &^= 1 << k
		}
	}
	j.load = before
	if r >= 0 {
		j.load.refuge[r] = taken
	}
	return err
}

// collapse takes away dimension at of from, that of unit k, keeping the least
// over the states from which it may burn.
func (j *joint) collapse(k int, from []int64, dims []int, at int) (to []int64, any bool) {
	outer, inner := 1, 1
	for d := range at {
		outer *= dims[d]
	}
	for d := at + 1; d < len(dims); d++ {
		inner *= dims[d]
	}
	to = fill(j.layers[k], outer*inner)
	j.layers[k] = to
	ready := j.tables[k].ready[j.t]
	for o := range outer {
		into := to[o*inner : (o+1)*inner]
		for g, ok := range ready {
			if !ok {
				continue
			}
			for x, cost := range from[(o*dims[at]+g)*inner : (o*dims[at]+g+1)*inner] {
				if cost < into[x] {
					into[x] = cost
					any = true
				}
			}
		}
	}
	return to, any
}

// arrive moves each tuple of ages of the resting units to the one after the
// year; the units that burned have state 0 there.
func (j *joint) arrive(from []int64, dims, resting []int, cost int64) {
	last := len(resting) - 1
	if last < 0 {
		if from[0] < infinite {
			j.next[0] = min(j.next[0], from[0]+cost)
		}
		return
	}
	index := make([]int, last)
	rest, stride := j.tables[resting[last]].rest[j.t], j.stride[resting[last]]
	for len(from) > 0 {
		base := 0
		for d, k := range resting[:last] {
			base += j.stride[k] * int(j.tables[k].rest[j.t][index[d]])
		}
		next := j.next[base:]
		for x, c := range from[:dims[last]] {
			if c < infinite {
				if to := stride * int(rest[x]); c+cost < next[to] {
					next[to] = c + cost
				}
			}
		}
		from = from[dims[last]:]
		advance(index, dims)
	}
}

// advance counts up a tuple of digits, the last one fastest.
func advance(index, dims []int) {
	for d := len(index) - 1; d >= 0; d-- {
		if index[d]++; index[d] < dims[d] {
			return
		}
		index[d] = 0
	}
}

// endOfYear adds what the year's end costs to each tuple that was reached.
func (j *joint) endOfYear() {
	last := len(j.tables) - 1
	dims, index := make([]int, last), make([]int, last)
	for k := range dims {
		dims[k] = j.tables[k].count[j.t+1]
	}
	costs := j.tables[last].cost[j.t+1]
	for next := j.next; len(next) > 0; next = next[len(costs):] {
		base := int64(0)
		for k, x := range index {
			base += j.tables[k].cost[j.t+1][x]
		}
		for x, cost := range costs {
			if next[x] < infinite {
				next[x] += base + cost + j.mixCost(index, x)
			}
		}
		advance(index, dims)
	}
}

// mixCost gives what the mixes that the block pays cost at the end of the year,
// the last unit being in state last and those before it in states.
func (j *joint) mixCost(states []int, last int) int64 {
	if j.bands == nil {
		return 0
	}
	clear(j.acres)
	for k, i := range j.b.units {
		state := last
		if k < len(states) {
			state = states[k]
		}
		if c := j.tables[k].class[j.t+1][state]; c >= 0 {
			j.acres[c] += j.bands[c].acres[i]
		}
	}
	cost := int64(0)
	for _, x := range j.b.mixes {
		for c := range j.p.Mixes[x].Classes {
			c += j.rows.class[x]
			cost += j.bands[c].cost(j.acres[c], j.grain)
		}
	}
	return cost
}

// mixSize is above all that a mix can cost in a year.
func (f *frame) mixSize(x int) float64 {
	return 2 * f.p.Weights.Mix * f.mixAcres[x].float() * float64(len(f.p.Mixes[x].Classes)+1)
}
