package search

import (
	"math"
	"slices"
)

// mostRuin is how many units a move takes out at most.
const mostRuin = 4

// noiseScale is the scale of the noise on the costs of burns, in temperatures.
const noiseScale = 0.3

// move takes a few units out and puts them back one by one, each on its best
// path under some noise, and keeps that if the temperature allows it.
func (x *walk) move(tau float64) {
	T := x.T
	count := 1
	for count < mostRuin && x.rng.Uint64()&1 == 0 {
		count++
	}
	x.pick(count)
	units := x.units
	// 1. Out, in one order or the other: who goes last comes back first, and
	// chooses first.
	if x.rng.Uint64()&1 == 0 {
		slices.Reverse(units)
	}
	delta, gain := 0.0, 0.0 // gain by the guide
	for j, u := range units {
		i := int(u)
		path := x.pathOf(i)
		copy(x.old[j*T:][:T], path)
		x.take(i)
		if j < len(units)-1 {
			delta -= x.marginal(i, path)
		}
	}
	// 2. In again, in the opposite order. The first to come back is priced by
	// what prepare finds anyway; the last is placed only if all is accepted.
	limit := tau * x.noise.exponential(x.rng.Uint64())
	same := true
	for j := len(units) - 1; j >= 0; j-- {
		i := int(units[j])
		x.prepare(i)
		if j == len(units)-1 {
			delta -= x.pathCost(i, x.pathOf(i))
		}
		x.noise.add(x.noisy, x.burnAt, tau*noiseScale, x.rng.Uint64())
		x.prefer(i, tau)
		cost := x.respond(i, x.noisy)
		x.steps++
		if cost < inf {
			delta += x.withoutNoise(cost)
			gain += x.preference(i, x.path, tau) - x.preference(i, x.old[j*T:][:T], tau)
			same = same && slices.Equal(x.path, x.old[j*T:][:T])
		}
		if cost == inf || j == 0 && delta-gain > limit {
			x.back(j + 1)
			return
		}
		x.put(i, x.path)
	}
	if same {
		return
	}
	x.total += delta
	if x.plain && x.violated == 0 && x.total < x.found.cost-epsilon && x.steps >= x.recordFrom {
		x.record()
		x.recordFrom = x.steps + int64(x.N)
	}
}

// back puts all units of the move on their old paths; those from number first
// on are in.
func (x *walk) back(first int) {
	for _, u := range x.units[first:] {
		x.take(int(u))
	}
	for j, u := range x.units {
		x.put(int(u), x.old[j*x.T:][:x.T])
	}
}

// pick chooses up to count units that have to do with each other.
func (x *walk) pick(count int) {
	x.units = append(x.units[:0], x.opener())
	for tries := 0; len(x.units) < count && tries < 4*count; tries++ {
		from := int(x.units[x.rng.IntN(len(x.units))])
		if c := x.related(from); c >= 0 && !slices.Contains(x.units, c) {
			x.units = append(x.units, c)
		}
	}
}

// lookouts is how many units are drawn at most for one that burns beside a neighbor.
const lookouts = 8

// opener draws the unit that a move begins with: any, or, where prices have decided all
// else, mostly one that burns beside a neighbor.
func (x *walk) opener() int32 {
	i := x.rng.IntN(x.N)
	if !x.cycle.seeks || x.rng.Uint64()&1 == 0 {
		return int32(i)
	}
	for range lookouts {
		near := x.near[i*x.T:][:x.T]
		for t, q := range x.pathOf(i) {
			if q >= 0 && near[t] > 0 {
				return int32(i)
			}
		}
		i = x.rng.IntN(x.N)
	}
	return int32(i)
}

// related draws a unit that has to do with unit i, or −1.
func (x *walk) related(i int) int32 {
	switch x.rng.IntN(7) {
	case 0:
		return x.partner(x.neighbors[i])
	case 1:
		return x.partner(x.apart[i])
	case 2:
		if r := x.RefugeOf[i]; r >= 0 {
			return x.oneOf(x.RefugeUnits[r])
		}
	case 3:
		if k := x.MixOf[i]; k >= 0 {
			return x.oneOf(x.mixUnits[k])
		}
	case 4:
		return int32(x.rng.IntN(x.N))
	case 5:
		return x.burnsWith(i, true)
	case 6:
		return x.burnsWith(i, false)
	}
	return -1
}

func (x *walk) oneOf(units []int32) int32 { return units[x.rng.IntN(len(units))] }

func (x *walk) partner(pairs []pair) int32 {
	if len(pairs) == 0 {
		return -1
	}
	return pairs[x.rng.IntN(len(pairs))].unit
}

// burnsWith draws a unit that burns in a year in which unit i burns too, or in
// which it rests.
func (x *walk) burnsWith(i int, burns bool) int32 {
	path := x.pathOf(i)
	t := x.rng.IntN(x.T)
	for range x.T {
		if (path[t] >= 0) == burns {
			break
		}
		if t++; t == x.T {
			t = 0
		}
	}
	for range 8 {
		if j := x.rng.IntN(x.N); x.season[j*x.T+t] >= 0 {
			return int32(j)
		}
	}
	return -1
}

// noise holds quantiles to draw from: a table lookup costs less than a
// logarithm.
type noise struct{ exponentials, gumbels []float64 }

// noiseSize is the length of the tables, a power of 2.
const noiseSize = 4096

func newNoise() noise {
	n := noise{make([]float64, noiseSize), make([]float64, noiseSize)}
	for k := range noiseSize {
		u := (float64(k) + 0.5) / noiseSize
		n.exponentials[k] = -math.Log(u)
		n.gumbels[k] = math.Log(-math.Log(u))
	}
	return n
}

// exponential turns random bits into a draw of mean 1.
func (n *noise) exponential(bits uint64) float64 { return n.exponentials[bits&(noiseSize-1)] }

// add sets out to in plus noise: it walks the table from a random place with a
// random odd stride, which never meets the same place twice in noiseSize steps.
func (n *noise) add(out, in []float64, scale float64, bits uint64) {
	at, step := bits&(noiseSize-1), bits>>20|1
	for t, c := range in {
		out[t] = c + scale*n.gumbels[at]
		at = (at + step) & (noiseSize - 1)
	}
}
