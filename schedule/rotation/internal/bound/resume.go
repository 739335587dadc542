package bound

import (
	"slices"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
)

// Start is a dual that was found elsewhere, in the numbers of the model at hand.
type Start struct {
	// Price holds the price of each row, 0 where none is known.
	Price []float64
	// Groups are blocks of two or more units, or of one that stands in others too.
	// Share and Shift hold, for each, one share a unit and, at unit·T+t, what the
	// block adds to burns; a nil Share or Shift is not known.
	Groups [][]int32
	Share  [][]float64
	Shift  [][]float64
	// Ages and Parts hold, for each group, the prices of its units' ages and what it pays
	// of neighbor pairs of earlier ones.
	Ages  [][]problem.AgePrices
	Parts [][]problem.PairParts
	// Years holds year blocks with their prices.
	Years []problem.YearBlock
}

// ResumeYears takes the prices of year blocks that the engine has too.
func (e *Engine) ResumeYears(blocks []problem.YearBlock) {
	type key struct {
		kind                     problem.YearKind
		year, season, mix, class int
	}
	y, m := e.years, e.M
	if y == nil {
		return
	}
	known := map[key]*problem.YearBlock{}
	for x := range blocks {
		b := &blocks[x]
		known[key{b.Kind, b.Year, b.Season, b.Mix, b.Class}] = b
	}
	price := make([]float64, m.N)
	for x := range y.blocks {
		to := &y.blocks[x]
		k := key{kind: to.kind, year: m.Problem.FirstYear + to.year, season: to.season}
		if to.class >= 0 {
			k.mix, k.class = int(m.Classes[to.class].Mix), int(m.Classes[to.class].Class)
		}
		from := known[k]
		if from == nil {
			continue
		}
		clear(price)
		for n, i := range from.Units {
			price[i] = from.Prices[n]
		}
		for u, i := range to.units {
			y.price[to.first+u] = price[i]
		}
		y.common[x] = 0
		for _, part := range from.Split {
			for k, p := range y.splits {
				if pair := m.Neighbors[p]; int(pair.I) == part.Pair[0] && int(pair.J) == part.Pair[1] {
					y.split[k*m.T+to.year] = min(part.Cost, pair.Cost*(1-1e-9))
				}
			}
		}
	}
}

// MostStates gives the joint states of the largest group; 1 without groups.
func (s *Start) MostStates(m *model.Model) float64 {
	most := 1.0
	for _, units := range s.Groups {
		size := 1.0
		for _, i := range units {
			size *= float64(m.K[i])
		}
		most = max(most, size)
	}
	return most
}

// Resume takes the blocks and multipliers of a start: any are valid, and those of a
// problem nearly alike nearly as good as they were.
func (e *Engine) Resume(s *Start) {
	m, t := e.M, e.M.T
	clear(e.Price)
	e.SetBlocks(s.Groups)
	for _, row := range e.Active {
		e.Price[row] = min(s.Price[row], m.Rows.PriceMax[row])
	}
	clear(e.shift)
	for b := range s.Groups {
		first := e.blocks[b].first
		if s.Share[b] != nil {
			copy(e.share[first:], s.Share[b])
		}
		if s.Shift[b] != nil && e.shift != nil {
			copy(e.shift[first*t:], s.Shift[b])
		}
	}
	// Shares sum to 1 and shifts to 0, whatever was left out.
	for _, copies := range e.copies {
		if len(copies) == 1 {
			e.share[copies[0]] = 1
			if e.shift != nil {
				clear(e.shift[int(copies[0])*t : int(copies[0]+1)*t])
			}
			continue
		}
		total := 0.0
		for _, c := range copies {
			total += e.share[c]
		}
		for _, c := range copies {
			if total > 0 {
				e.share[c] /= total
			} else {
				e.share[c] = 1 / float64(len(copies))
			}
		}
		for y := range t {
			mean := 0.0
			for _, c := range copies {
				mean += e.shift[int(c)*t+y] / float64(len(copies))
			}
			for _, c := range copies {
				e.shift[int(c)*t+y] -= mean
			}
		}
	}
}

// ResumeTies takes prices of ages and parts of pairs into use, those of a start first.
// The engine must have its blocks.
func (e *Engine) ResumeTies(s *Start) {
	e.UseTies()
	for b := range s.Groups {
		if e.age != nil {
			e.resumeAges(b, s.Ages[b])
		}
	}
	e.centerAges()
	clear(e.paidBy)
	for k := range e.parts {
		e.resumePart(k, s)
	}
}

func (e *Engine) resumeAges(b int, ages []problem.AgePrices) {
	m, blk := e.M, &e.blocks[b]
	for _, a := range ages {
		u := slices.Index(blk.units, int32(a.Unit))
		if u < 0 || len(e.copies[a.Unit]) < 2 {
			continue
		}
		k, skip := int(m.K[a.Unit]), m.SkippedAges(a.Unit)
		row := e.age[e.ageAt[blk.first+u]+(a.Year-m.Problem.FirstYear)*k:][:k]
		for state := range row {
			age := state
			if state >= m.T {
				age += skip
			}
			row[state] = a.Price[min(age, len(a.Price)-1)]
		}
	}
}

// centerAges makes the prices of each age sum to 0 again, whatever was left out.
func (e *Engine) centerAges() {
	if e.age == nil {
		return
	}
	for _, i := range e.shared {
		copies := e.copies[i]
		for x := range e.M.T * int(e.M.K[i]) {
			mean := 0.0
			for _, c := range copies {
				mean += e.age[e.ageAt[c]+x] / float64(len(copies))
			}
			for _, c := range copies {
				e.age[e.ageAt[c]+x] -= mean
			}
		}
	}
}

func (e *Engine) resumePart(k int, s *Start) {
	p, t := &e.parts[k], e.M.T
	if int(p.payer.block) >= len(s.Parts) {
		return
	}
	pair := e.M.Neighbors[p.pair]
	for _, from := range s.Parts[p.payer.block] {
		if from.Pair != [2]int{int(pair.I), int(pair.J)} {
			continue
		}
		for y := range t {
			paid := &e.paidBy[int(p.pair)*t+y]
			e.part[k*t+y] = max(0, min(from.Cost[y], pair.Cost*nearlyAll-*paid))
			*paid += e.part[k*t+y]
		}
	}
}
