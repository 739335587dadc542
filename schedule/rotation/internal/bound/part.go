package bound

import (
	"math"
	"slices"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
)

// pairPart is what a block pays of a neighbor pair that an earlier block pays. Without
// it a block of a whole refuge group would not know what the neighbors in it cost, which
// some other block has.
type pairPart struct {
	pair        int32
	payer, paid partSide
}

// partSide is a block, the set of both units in it, and their copies.
type partSide struct {
	block    int32
	both     int
	one, two int
}

// useParts lets blocks of up to mostSplitUnits units pay parts of the neighbor pairs that
// they and an earlier one hold.
func (e *Engine) useParts() {
	m := e.M
	holders := e.pairHolders()
	e.parts, e.partsOf = nil, make([][]int, len(e.blocks))
	for pair, blocks := range holders {
		owner := e.ownerOf[pair]
		if owner < 0 || m.Neighbors[pair].Cost <= 0 || !e.maySplit(int32(pair)) {
			continue
		}
		for _, b := range blocks {
			if b == owner || len(e.blocks[b].units) > mostSplitUnits {
				continue
			}
			for _, side := range [2]int32{b, owner} {
				e.partsOf[side] = append(e.partsOf[side], len(e.parts))
			}
			e.parts = append(e.parts, pairPart{int32(pair), e.partSide(b, m.Neighbors[pair]), e.partSide(owner, m.Neighbors[pair])})
		}
	}
	for b, parts := range e.partsOf {
		if len(parts) > 0 {
			e.joinParts(b)
		}
	}
	e.part, e.paidBy = make([]float64, len(e.parts)*m.T), make([]float64, len(m.Neighbors)*m.T)
}

// pairHolders lists the blocks that hold both units of each neighbor pair.
func (e *Engine) pairHolders() [][]int32 {
	holders := make([][]int32, len(e.M.Neighbors))
	for pair, p := range e.M.Neighbors {
		for _, c := range e.copies[p.I] {
			if b := e.blockOf[c]; slices.Contains(e.blocks[b].units, p.J) {
				holders[pair] = append(holders[pair], b)
			}
		}
	}
	return holders
}

func (e *Engine) partSide(b int32, pair model.Pair) partSide {
	blk := &e.blocks[b]
	i, j := slices.Index(blk.units, pair.I), slices.Index(blk.units, pair.J)
	return partSide{b, 1<<i | 1<<j, blk.first + i, blk.first + j}
}

// joinParts has a block look at the sets that hold a pair of which it pays a part.
func (e *Engine) joinParts(b int) {
	s := e.blocks[b].shape
	costs := make([]bool, 1<<len(s.k))
	for _, at := range s.joined {
		costs[s.zero[at]] = true
	}
	for _, k := range e.partsOf[b] {
		if payer := e.parts[k].payer; payer.block == int32(b) {
			for set := range costs {
				costs[set] = costs[set] || set&payer.both == payer.both
			}
		}
	}
	s.joined = nil
	for at, set := range s.zero {
		if costs[set] {
			s.joined = append(s.joined, int32(at))
		}
	}
}

// addParts adds to what sets of a block cost in a year what it pays for others, less
// what others pay.
func (e *Engine) addParts(b, y int, table []float64) {
	if len(e.parts) == 0 {
		return
	}
	for _, k := range e.partsOf[b] {
		p, h := &e.parts[k], e.part[k*e.M.T+y]
		if p.payer.block == int32(b) {
			addBoth(table, p.payer.both, h)
		} else {
			addBoth(table, p.paid.both, -h)
		}
	}
}

// nearlyAll is how much of a pair's cost others than its own block may pay, so that
// rounding never makes it more.
const nearlyAll = 1 - 1e-9

// partLeft gives what a graph block may pay of a pair in a year.
func (e *Engine) partLeft(pair int32, year int) float64 {
	left := e.M.Neighbors[pair].Cost * nearlyAll
	if len(e.paidBy) > 0 {
		left -= e.paidBy[int(pair)*e.M.T+year]
	}
	return max(0, left)
}

func (a *Ascent) resetParts() {
	n := len(a.e.part)
	a.bestPart, a.partMean, a.partVary = make([]float64, n), make([]float64, n), make([]float64, n)
}

// stepParts lets a block pay more of a pair that it burns together and the pair's own
// block does not. What graph blocks pay gives way.
func (a *Ascent) stepParts(warm float64) {
	e, t := a.e, a.e.M.T
	if len(e.parts) == 0 {
		return
	}
	clear(e.paidBy)
	for k := range e.parts {
		p := &e.parts[k]
		cost := e.M.Neighbors[p.pair].Cost
		paid := e.paidBy[int(p.pair)*t:][:t]
		for y := range t {
			g := 0.0
			if e.State[p.payer.one*t+y] == 0 && e.State[p.payer.two*t+y] == 0 {
				g++
			}
			if e.State[p.paid.one*t+y] == 0 && e.State[p.paid.two*t+y] == 0 {
				g--
			}
			at := k*t + y
			a.partMean[at] = meanDecay*a.partMean[at] + (1-meanDecay)*g
			a.partVary[at] = yearVaryDecay*a.partVary[at] + (1-yearVaryDecay)*g*g
			h := e.part[at] + cost*warm*a.partMean[at]/(math.Sqrt(a.partVary[at])+tiny)
			e.part[at] = max(0, min(cost*nearlyAll-paid[y], h))
			paid[y] += e.part[at]
		}
	}
}

// leafParts gives what a block pays for others as a certificate holds it.
func (e *Engine) leafParts(b int) []problem.PairParts {
	if e.partsOf == nil {
		return nil
	}
	m := e.M
	var out []problem.PairParts
	for _, k := range e.partsOf[b] {
		costs := e.part[k*m.T : (k+1)*m.T]
		if p := &e.parts[k]; p.payer.block == int32(b) && slices.Max(costs) > 0 {
			pair := m.Neighbors[p.pair]
			out = append(out, problem.PairParts{Pair: [2]int{int(pair.I), int(pair.J)}, Cost: slices.Clone(costs)})
		}
	}
	return out
}
