package bound

import (
	"cmp"
	"math"
	"slices"
)

// sumShape is one sum of a year: amounts of whole units, counted in cells, with a
// limit and a band beyond which each unit of amount costs weight. What an amount is
// off its cells is not lost: below the band an amount a of k cells lowers the cost
// by weight·(cell·k) and by weight·(a − cell·k), which goes into the unit's price;
// above the band the other way round. So there are up to three tables, one for each
// piece of the cost, and each of them bounds it.
type sumShape struct {
	// cell is how much of the amount a cell is.
	cell float64
	// rest says that the units counted are those not chosen.
	rest bool
	// order lists the positions of the units, fewest cells first; cells and off
	// (in acre-years: weight times what the amount is off its cells) stand beside.
	order []int32
	cells []int32
	off   []float64
	// pieces are those parts of the cost that can be largest.
	pieces []sumPiece
	// grain is what prices are multiples of, most the largest size of each.
	grain   float64
	most    []float64
	amounts []float64
	// size bounds what the parts of the cost and the prices add up to.
	size float64
	top  int // the largest count of cells
	many int // length of a table, a multiple of sumLanes
}

// sumPiece is one straight part of the cost: at a count of cells, in grains, and
// the sign with which off counts.
type sumPiece struct {
	cost []int32
	sign float64
}

const (
	// sumLanes is how many cells are done at once.
	sumLanes = 8
	// unreached marks counts of cells that no set has.
	unreached = math.MinInt32 / 2
)

// newSumShape lays out a sum; hi or limit must be finite. It gives nil where the
// amounts do not fit into so many cells.
//
// most bounds the size of each unit's price; it is brought down to what pays for
// leaving a band, where nothing else limits the sum.
func newSumShape(amounts, most []float64, limit, lo, hi, weight float64, mostCells int) *sumShape {
	total, largest := 0.0, 0.0
	for _, a := range amounts {
		total += a
		largest = max(largest, a)
	}
	if !(total > 0) || weight <= 0 && limit >= total {
		return nil
	}
	s := &sumShape{amounts: amounts}
	banded := weight > 0
	s.most = make([]float64, len(amounts))
	size := 0.0
	for u, a := range amounts {
		s.most[u] = most[u]
		if math.IsInf(limit, 1) {
			s.most[u] = weight * a * (1 - 1e-9)
		}
		size += s.most[u]
	}
	reach := total
	if banded && math.IsInf(limit, 1) {
		if reach = min(total, hi+largest); total-lo+largest < reach {
			s.rest = true
			lo, hi = total-hi, total-lo
			reach = min(total, hi+largest)
		}
	}
	reach = max(0, min(reach, limit)) // a band may lie above all the sum can come to
	s.cell = cellOf(amounts, reach, mostCells)
	if s.cell == 0 {
		return nil
	}
	s.layItems(amounts, weight)
	less, off := 0.0, 0.0 // how far sums can be below their cells, and off them
	for _, o := range s.off {
		less += max(0, -o)
		off += math.Abs(o)
	}
	s.top = int(math.Floor((reach+less)/s.cell + 1e-3))
	all := 0
	for _, k := range s.cells {
		all += int(k)
	}
	s.top = min(s.top, all)
	if s.top > 2*mostCells+16 {
		return nil
	}
	s.many = (s.top + sumLanes) / sumLanes * sumLanes
	size += weight * (off + math.Abs(max(lo, 0)) + s.cell*float64(s.top))
	if !math.IsInf(hi, 1) {
		size += weight * hi
	}
	s.size = size + 2*weight*total
	_, exponent := math.Frexp(size)
	if exponent > 27 || math.IsNaN(size) || math.IsInf(size, 0) {
		return nil
	}
	s.grain = math.Ldexp(1, -min(20, 29-exponent))
	s.layPieces(lo, hi, weight, off, total)
	for x := range s.off {
		s.off[x] *= weight
	}
	return s
}

// layItems orders the units that count.
func (s *sumShape) layItems(amounts []float64, weight float64) {
	for u := range amounts {
		s.order = append(s.order, int32(u))
	}
	cells := func(u int32) int32 { return int32(math.Round(amounts[u] / s.cell)) }
	slices.SortStableFunc(s.order, func(a, b int32) int { return cmp.Compare(cells(a), cells(b)) })
	for _, u := range s.order {
		k := cells(u)
		s.cells = append(s.cells, k)
		s.off = append(s.off, amounts[u]-float64(k)*s.cell)
	}
}

// layPieces lays out the parts of the cost. Where amounts are off their cells by
// next to nothing, one table is enough, and the band is widened.
func (s *sumShape) layPieces(lo, hi, weight, off, total float64) {
	table := func(sign float64, cost func(sum float64) float64) {
		p := sumPiece{sign: sign, cost: make([]int32, s.top+1)}
		for k := range p.cost {
			c := cost(float64(k) * s.cell)
			p.cost[k] = int32(math.Floor(c/s.grain - 1e-3))
		}
		s.pieces = append(s.pieces, p)
	}
	if weight <= 0 {
		s.pieces = []sumPiece{{cost: make([]int32, s.top+1)}}
		return
	}
	if weight*off < 1e-6 {
		p := sumPiece{cost: make([]int32, s.top+1)}
		for k := range p.cost {
			sum := float64(k) * s.cell
			if c := weight * (max(lo-sum, sum-hi) - off - 1e-12*(sum+total)); c > 0 {
				p.cost[k] = max(0, int32(math.Floor(c/s.grain-1e-3)))
			}
		}
		s.pieces = []sumPiece{p}
		return
	}
	s.pieces = []sumPiece{{cost: make([]int32, s.top+1)}}
	if lo > 0 {
		table(1, func(sum float64) float64 { return weight * (lo - sum) })
	}
	if float64(s.top)*s.cell > hi {
		table(-1, func(sum float64) float64 { return weight * (sum - hi) })
	}
}

// cellOf chooses a cell: the largest of a decimal grid that holds all amounts, or,
// where that makes too many, one that makes as many as may be.
func cellOf(amounts []float64, reach float64, mostCells int) float64 {
	for _, cell := range [...]float64{1000, 500, 250, 100, 50, 25, 10, 5, 2.5, 1, 0.5, 0.25, 0.1, 0.05, 0.025, 0.01} {
		if reach/cell > float64(mostCells) {
			break
		}
		fits := true
		for _, a := range amounts {
			if math.Abs(a-math.Round(a/cell)*cell) > 1e-9*a {
				fits = false
				break
			}
		}
		if fits {
			return cell
		}
	}
	cell := reach / float64(mostCells)
	if !(cell > 0) || math.IsInf(cell, 0) {
		return 0
	}
	// A short number that is not less.
	_, exponent := math.Frexp(cell)
	step := math.Ldexp(1, exponent-4)
	return math.Ceil(cell/step) * step
}

// sumSolver holds the tables of a sum; it is not safe for concurrent use.
type sumSolver struct {
	tables [3][]int32
	memory [3][]int32
	taken  [3][]uint8
}

// solve gives the least cost of a year less what the units that are chosen are
// given, and the set.
func (w *sumSolver) solve(s *sumShape, price []float64, take []uint8) float64 {
	n := len(s.order)
	pad := 0
	for _, k := range s.cells {
		pad = max(pad, int(k))
	}
	pad = (pad + 2*sumLanes) / sumLanes * sumLanes
	rows := s.many / sumLanes
	constant := int64(0)
	if s.rest {
		for _, p := range price {
			constant -= int64(math.Round(p / s.grain))
		}
	}
	for q := range s.pieces {
		piece := &s.pieces[q]
		if len(w.memory[q]) < pad+s.many {
			w.memory[q] = make([]int32, pad+s.many)
		}
		if len(w.taken[q]) < n*rows {
			w.taken[q] = make([]uint8, n*rows)
		}
		memory := w.memory[q][:pad+s.many]
		for x := range memory {
			memory[x] = unreached
		}
		f := memory[pad:]
		f[0] = 0
		w.tables[q] = f
		reached := 0
		for x, u := range s.order {
			k := int(s.cells[x])
			p := price[u]
			if s.rest {
				p = -p
			}
			value := int32(math.Round(p / s.grain))
			if piece.sign != 0 {
				value = int32(math.Ceil((p+piece.sign*s.off[x])/s.grain + 1e-6))
			}
			reached = min(s.top, reached+k)
			chunks := reached/sumLanes + 1
			taken := w.taken[q][x*rows : x*rows+rows]
			if chunks < rows {
				clear(taken[chunks:])
			}
			if hasVector {
				sumStepVector(&memory[pad], &taken[0], chunks, k, value)
			} else {
				sumStep(memory, pad, taken[:chunks], k, value)
			}
		}
	}
	// The count that costs least: of each, its largest piece.
	best, at, by := int64(math.MaxInt64), -1, 0
	for k := range s.top + 1 {
		if w.tables[0][k] <= unreached/2 {
			continue
		}
		most, piece := int64(s.pieces[0].cost[k])-int64(w.tables[0][k]), 0
		for q := 1; q < len(s.pieces); q++ {
			if c := int64(s.pieces[q].cost[k]) - int64(w.tables[q][k]); c > most {
				most, piece = c, q
			}
		}
		if most < best {
			best, at, by = most, k, piece
		}
	}
	for x := n - 1; x >= 0; x-- {
		u := s.order[x]
		take[u] = w.taken[by][x*rows+at/sumLanes] >> (at % sumLanes) & 1
		if take[u] == 1 {
			at -= int(s.cells[x])
		}
		if s.rest {
			take[u] = 1 - take[u]
		}
	}
	return float64(best+constant) * s.grain
}

// sumStep lets a unit of k cells be counted or not, over the cells of the given
// chunks, the last first; taken gets a bit where it is.
func sumStep(memory []int32, pad int, taken []uint8, k int, value int32) {
	for chunk := len(taken) - 1; chunk >= 0; chunk-- {
		to := memory[pad+chunk*sumLanes:][:sumLanes]
		from := memory[pad+chunk*sumLanes-k:][:sumLanes]
		var with [sumLanes]int32
		for x := range with {
			with[x] = from[x] + value
		}
		bits := uint8(0)
		for x, c := range with {
			if c > to[x] {
				to[x] = c
				bits |= 1 << x
			}
		}
		taken[chunk] = bits
	}
}
