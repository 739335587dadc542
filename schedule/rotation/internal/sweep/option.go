package sweep

import (
	"cmp"
	"math"
	"slices"

	"emberquilt/schedule/rotation/internal/model"
)

// option is one way in which a block can go through a year.
type option struct {
	// priced is the block's cost of the year at the prices with ToGo added: by
	// it options are ordered and cut.
	priced float64
	// own is the true cost of the year that is the block's own: overdue and the
	// keep of its resting units. toGo is the completion bound after it.
	own, toGo float64
	// acres, burns and dollars are what the burning units take.
	acres, burns, dollars float64
	// key is the block's part of the tuple's key, set the units that burn.
	key uint64
	set uint32
	// class holds the acres by class that the block ends the year with.
	class [maxClasses]float64
}

// blockOptions holds the options of one block and year by state.
type blockOptions struct{ from [][]option }

// prepare builds the options that the tuples of a layer ask for.
func (s *Sweeper) prepare(t int, from *layer) {
	for b := range s.blocks {
		size, scale := uint64(s.blocks[b].Size), s.scale[b]
		have := s.options[t][b].from
		for _, key := range from.key {
			if state := key / scale % size; have[state] == nil {
				have[state] = s.build(t, b, int(state))
			}
		}
	}
}

// build lists the options of a block from a state, cheapest first; of equal
// ones the smaller set comes first.
func (s *Sweeper) build(t, b, state int) []option {
	block := &s.blocks[b]
	n := len(block.Units)
	before, after := make([]int, n), make([]int, n)
	rest := state
	for u, k := range block.K {
		before[u] = rest % k
		rest /= k
	}
	list := []option{}
	for set := range 1 << n {
		o := option{}
		at, ok := s.follow(t, b, set, before, after, &o)
		if !ok {
			continue
		}
		o.toGo = block.ToGo[t+1][at]
		o.priced = block.YearCost(t, set, after) + o.toGo
		o.key = uint64(at) * s.scale[b]
		if !math.IsInf(o.priced, 1) {
			list = append(list, o)
		}
	}
	slices.SortFunc(list, func(x, y option) int { return cmp.Or(cmp.Compare(x.priced, y.priced), cmp.Compare(x.set, y.set)) })
	return list
}

// follow takes the units of a block through a year and adds up what is theirs.
func (s *Sweeper) follow(t, b, set int, before, after []int, o *option) (at int, ok bool) {
	m, block := s.m, &s.blocks[b]
	for u, i := range block.Units {
		if set>>u&1 == 1 {
			if before[u] < block.First[u] {
				return 0, false
			}
			after[u] = 0
			o.acres += m.Acres[i]
			o.burns++
			o.dollars += m.Dollars[i]
			o.set |= 1 << s.bit[i]
		} else {
			after[u] = int(m.Next(int(i), int16(before[u])))
			rest := m.RestOwn[int(i)*m.T+t]
			if math.IsInf(rest, 1) {
				return 0, false
			}
			o.own += rest
		}
		k := int(m.StateBase[i]) + after[u]
		o.own += m.OverdueCost[k]
		if c := m.Class[k]; c >= 0 {
			o.class[c] += m.Acres[i]
		}
		at += after[u] * block.Stride[u]
	}
	return at, !model.Passes(o.acres, m.Limit[t].Acres)
}
