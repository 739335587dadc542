package bound

import (
	"slices"

	"emberquilt/schedule/rotation/internal/model"
)

// SetBlocks chooses the blocks of two or more units; units in none get one
// each. Shares are even, and shifts carry over what the rows took that the
// blocks now keep.
func (e *Engine) SetBlocks(groups [][]int32) {
	m := e.M
	e.blocks, e.copyUnit, e.blockOf = nil, nil, nil
	e.copies = make([][]int32, m.N)
	// Which block keeps a pair or a group, or pays a mix, −1 none.
	ownerOf, insideOf, wholeOf := none(len(m.Neighbors)), none(len(m.Apart)), none(len(m.RefugeUnits))
	mixOf := none(len(m.Problem.Mixes))
	e.ownerOf, e.insideOf, e.wholeOf, e.mixOf = ownerOf, insideOf, wholeOf, mixOf
	if e.allYears != nil {
		e.years, e.allYears, e.yearsBefore = nil, nil, e.allYears
	}
	member := make([]bool, m.N)
	for b, units := range groups {
		for _, i := range units {
			member[i] = true
		}
		for _, i := range units {
			for x := m.NeighborsOf.Start[i]; x < m.NeighborsOf.Start[i+1]; x++ {
				if p := m.NeighborsOf.Pair[x]; member[m.NeighborsOf.Other[x]] && ownerOf[p] < 0 {
					ownerOf[p] = int32(b)
				}
			}
			for x := m.ApartOf.Start[i]; x < m.ApartOf.Start[i+1]; x++ {
				if p := m.ApartOf.Pair[x]; member[m.ApartOf.Other[x]] && insideOf[p] < 0 {
					insideOf[p] = int32(b)
				}
			}
			if g := m.RefugeOf[i]; g >= 0 && wholeOf[g] < 0 && isWhole(m.RefugeUnits[g], member) {
				wholeOf[g] = int32(b)
			}
		}
		shape := newShape(m, units, func(p int32) bool { return ownerOf[p] == int32(b) })
		for x := range e.mixUnits {
			if mixOf[x] < 0 && isWhole(e.mixUnits[x], member) {
				mixOf[x] = int32(b)
				shape.payMix(m, units, x)
			}
		}
		e.addBlock(units, shape)
		for _, i := range units {
			member[i] = false
		}
	}
	for i := range m.N {
		if len(e.copies[i]) == 0 {
			e.addBlock([]int32{int32(i)}, nil)
		}
	}
	e.share = make([]float64, len(e.copyUnit))
	e.shift, e.shared = nil, nil
	e.age, e.ageAt = nil, nil
	e.parts, e.part, e.partsOf, e.paidBy = nil, nil, nil, nil
	for i, c := range e.copies {
		if len(c) > 1 {
			e.shared = append(e.shared, int32(i))
		}
	}
	if len(e.shared) > 0 {
		e.shift = make([]float64, len(e.copyUnit)*m.T)
	}
	for _, copies := range e.copies {
		for _, c := range copies {
			e.share[c] = 1 / float64(len(copies))
		}
	}
	e.value = make([]float64, len(e.blocks))
	e.State = make([]int16, len(e.copyUnit)*m.T)
	before := slices.Clone(e.Price)
	e.setActive()
	if e.shift != nil {
		e.keepPrices(before, ownerOf, insideOf, wholeOf)
	}
}

func (e *Engine) addBlock(units []int32, s *shape) {
	b := int32(len(e.blocks))
	e.blocks = append(e.blocks, block{units: units, shape: s, first: len(e.copyUnit)})
	for _, i := range units {
		e.copies[i] = append(e.copies[i], int32(len(e.copyUnit)))
		e.copyUnit = append(e.copyUnit, i)
		e.blockOf = append(e.blockOf, b)
	}
}

func none(n int) []int32 {
	s := make([]int32, n)
	for x := range s {
		s[x] = -1
	}
	return s
}

func isWhole(units []int32, member []bool) bool {
	for _, i := range units {
		if !member[i] {
			return false
		}
	}
	return true
}

// keepPrices carries prices of rows that the blocks now keep exactly over into
// shifts: every copy of a unit goes on paying its share of the row's price, and
// the block that keeps the row gives it back, which is never more than what the
// row gave. At equal shares the bound does not fall.
func (e *Engine) keepPrices(before []float64, ownerOf, insideOf, wholeOf []int32) {
	m, t := e.M, e.M.T
	pass := func(i, b int32, row int, factor float64) {
		for _, c := range e.copies[i] {
			given := e.share[c]
			if e.blockOf[c] == b {
				given--
			}
			if given == 0 {
				continue
			}
			for y := range t {
				e.shift[int(c)*t+y] += given * factor * before[row+y]
			}
		}
	}
	for x, b := range insideOf {
		if b >= 0 {
			pass(m.Apart[x].I, b, int(m.Rows.Apart)+x*t, 1)
			pass(m.Apart[x].J, b, int(m.Rows.Apart)+x*t, 1)
		}
	}
	for x, b := range ownerOf {
		if b >= 0 {
			pass(m.Neighbors[x].I, b, int(m.Rows.Neighbors)+x*t, 1)
			pass(m.Neighbors[x].J, b, int(m.Rows.Neighbors)+x*t, 1)
		}
	}
	for g, b := range wholeOf {
		if b >= 0 {
			for _, i := range m.RefugeUnits[g] {
				pass(i, b, int(m.Rows.Refuge)+g*t, m.Acres[i])
			}
		}
	}
}

func (e *Engine) setActive() {
	owned, inside, whole, paid, y := e.ownerOf, e.insideOf, e.wholeOf, e.mixOf, e.years
	r := &e.M.Rows
	t := model.Row(e.M.T)
	e.Active = e.Active[:0]
	for row := range r.Many {
		skip := r.PriceMax[row] <= 0
		switch {
		case row >= r.Neighbors:
			skip = skip || owned[(row-r.Neighbors)/t] >= 0
		case row >= r.MixHigh && row < r.EvenLow:
			skip = skip || paid[e.M.Classes[(row-r.MixHigh)/t].Mix] >= 0
		case row >= r.MixLow && row < r.MixHigh:
			skip = skip || paid[e.M.Classes[(row-r.MixLow)/t].Mix] >= 0
		case row >= r.Refuge && row < r.Apart:
			skip = skip || whole[(row-r.Refuge)/t] >= 0
		case row >= r.Apart && row < r.MixLow:
			skip = skip || inside[(row-r.Apart)/t] >= 0
		}
		if skip || y != nil && y.pays(r, row) {
			e.Price[row] = 0
		} else {
			e.Active = append(e.Active, row)
		}
	}
}
