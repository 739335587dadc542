package bound

import "emberquilt/schedule/rotation/internal/model"

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
