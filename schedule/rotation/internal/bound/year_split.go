package bound

import "slices"

// mostSplitUnits is up to how many units a unit block may have for year blocks to
// pay a part of its neighbor pairs: its tables of all sets are made anew each time.
const mostSplitUnits = 8

// maySplit reports whether the cost of a pair that a unit block pays may be split
// between the block and the years.
func (e *Engine) maySplit(pair int32) bool {
	b := e.ownerOf[pair]
	return b >= 0 && len(e.blocks[b].units) <= mostSplitUnits
}

// laySplits finds the pairs in their unit blocks.
func (e *Engine) laySplits(y *Years) {
	m := e.M
	y.split, y.blockSplits = make([]float64, len(y.splits)*m.T), make([][]blockSplit, len(e.blocks))
	for k, p := range y.splits {
		b := e.ownerOf[p]
		blk := &e.blocks[b]
		i, j := slices.Index(blk.units, m.Neighbors[p].I), slices.Index(blk.units, m.Neighbors[p].J)
		y.blockSplits[b] = append(y.blockSplits[b], blockSplit{1<<i | 1<<j, k, blk.first + i, blk.first + j})
	}
}

// isSplit reports whether others pay a part of what sets of a unit block cost, or it a
// part for others.
func (e *Engine) isSplit(b int) bool {
	return e.years != nil && len(e.years.blockSplits[b]) > 0 || e.partsOf != nil && len(e.partsOf[b]) > 0
}

// splitTables gives what sets of a unit block cost in each year where it is split, in
// the given memory.
func (e *Engine) splitTables(b int, memory [][]float64) [][]float64 {
	if !e.isSplit(b) {
		return memory
	}
	s, t := e.blocks[b].shape, e.M.T
	for len(memory) < t {
		memory = append(memory, nil)
	}
	for y := range t {
		table := grow(memory[y], 1<<len(s.k))
		memory[y] = table
		if s.joint[y] != nil {
			copy(table, s.joint[y])
		} else {
			clear(table)
		}
		e.addParts(b, y, table)
		if e.years == nil {
			continue
		}
		for _, split := range e.years.blockSplits[b] {
			addBoth(table, split.both, -e.years.split[split.k*t+y])
		}
	}
	return memory[:t]
}

// addBoth adds a cost to the sets that hold a pair.
func addBoth(table []float64, both int, cost float64) {
	if cost == 0 {
		return
	}
	for set := range table {
		if set&both == both {
			table[set] += cost
		}
	}
}
