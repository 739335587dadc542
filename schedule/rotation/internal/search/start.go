package search

import "slices"

// packLimit bounds the exact packing of one year; see packYear.
const packLimit = 1 << 20

// start places every unit on its locked burns alone and reports whether that
// stands. Locked burns without a season are packed into seasons year by year.
func (s *state) start() bool {
	s.clear()
	path := make([]int8, s.N*s.T)
	for k := range path {
		path[k] = rest
	}
	for t := range s.T {
		if !s.packYear(t, path) {
			return false
		}
	}
	for i := range s.N {
		s.put(i, path[i*s.T:(i+1)*s.T])
	}
	s.resum()
	return s.meets()
}

// packYear chooses the seasons of the locked burns of year t: an exhaustive
// search, units with the fewest seasons and the most days first, seasons by
// cost. Seasons with the same days left are tried once.
func (s *state) packYear(t int, path []int8) bool {
	T, S := s.T, s.S
	var units []int
	for i := range s.N {
		if s.locked[i] && s.LockedBurn[i*T+t] {
			units = append(units, i)
		}
	}
	choices := make([][]int8, s.N)
	for _, i := range units {
		own := s.BurnOwn[(i*T+t)*S:][:S]
		for q, c := range own {
			if c < inf {
				choices[i] = append(choices[i], int8(q))
			}
		}
		slices.SortStableFunc(choices[i], func(a, b int8) int {
			switch {
			case own[a] < own[b]:
				return -1
			case own[a] > own[b]:
				return 1
			}
			return 0
		})
	}
	slices.SortStableFunc(units, func(a, b int) int {
		if d := len(choices[a]) - len(choices[b]); d != 0 {
			return d
		}
		switch {
		case s.Days[a] > s.Days[b]:
			return -1
		case s.Days[a] < s.Days[b]:
			return 1
		}
		return a - b
	})
	left := make([]float64, S)
	for q := range left {
		left[q] = s.limit[(rowDays+q)*T+t]
	}
	tries := packLimit
	var pack func(k int) bool
	pack = func(k int) bool {
		if k == len(units) {
			return true
		}
		if tries--; tries < 0 {
			return false
		}
		i := units[k]
		for _, q := range choices[i] {
			if s.Days[i] > left[q] {
				continue
			}
			before := left[q]
			left[q] -= s.Days[i]
			path[i*T+t] = q
			if pack(k + 1) {
				return true
			}
			left[q] = before
		}
		path[i*T+t] = rest
		return false
	}
	return pack(0)
}
