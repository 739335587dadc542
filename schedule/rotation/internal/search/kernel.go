package search

// What one response adds up, row by row. Products are rounded before they are added, so
// that the vector instructions of kernel_amd64.s and these give the same numbers on every
// machine.

// Vector instructions work on so many years or ages at a time, and are for mixes of up to
// so many classes and units of up to so many ages.
const (
	chunk         = 4
	vectorClasses = 4
	vectorAges    = 16
)

// chunksOf is how many chunks hold n numbers.
func chunksOf(n int) int { return (n + chunk - 1) / chunk }

// charge is what a more of a row costs: low within the limit, rate more beyond it.
func charge(used, limit, rate, low, a float64) float64 {
	return float64(low*a) + float64(rate*min(max(used+a-limit, 0), a))
}

// band is what a more of a sum of x cost, at w, where lo to hi is free.
func band(x, lo, hi, w, a float64) float64 {
	return float64(w * (min(max(x+a-hi, 0), a) - min(max(lo-x, 0), a)))
}

// trySeason puts season q of unit i where it is cheaper than the one before.
func (s *state) trySeason(i int, q int8) {
	T, days := s.T, s.Days[i]
	row := (rowDays + int(q)) * T
	own := s.burnOwn[(i*s.S+int(q))*T:]
	if s.isVector {
		seasonVector(&s.burnAt[0], &s.burnIn[0], &own[0], &s.used[row], &s.limit[row], &s.rate[row], &s.low[row], s.chunks, days, int64(q))
		return
	}
	burnAt, burnIn := s.burnAt[:T], s.burnIn[:T]
	used, limit, rate, low := s.used[row:][:T], s.limit[row:][:T], s.rate[row:][:T], s.low[row:][:T]
	for t, c := range own[:T] {
		c = (float64(low[t]*days) + c) + float64(rate[t]*min(max(used[t]+days-limit[t], 0), days))
		if c < burnAt[t] {
			burnAt[t], burnIn[t] = c, int64(q)
		}
	}
}

// charge adds to burnAt what a burn that takes a of a row costs.
func (s *state) charge(row int, a float64) {
	if s.isVector {
		chargeVector(&s.burnAt[0], &s.used[row], &s.limit[row], &s.rate[row], &s.low[row], s.chunks, a)
		return
	}
	T := s.T
	used, limit, rate, low := s.used[row:][:T], s.limit[row:][:T], s.rate[row:][:T], s.low[row:][:T]
	for t := range s.burnAt[:T] {
		s.burnAt[t] += charge(used[t], limit[t], rate[t], low[t], a)
	}
}

// add adds x, so many times, to burnAt.
func (s *state) add(x []float64, factor float64) {
	if s.isVector {
		addVector(&s.burnAt[0], &x[0], s.chunks, factor)
		return
	}
	for t, c := range x[:s.T] {
		s.burnAt[t] += float64(factor * c)
	}
}

// even adds to burnAt what a burn of a acres costs by evenness.
func (s *state) even(a float64) {
	if s.isVector {
		bandVector(&s.burnAt[0], &s.used[0], s.chunks, s.evenLo, s.evenHi, s.wEven, a)
		return
	}
	for t, x := range s.used[:s.T] {
		s.burnAt[t] += band(x, s.evenLo, s.evenHi, s.wEven, a)
	}
}

// classes finds what a acres cost in each class of mix k, in each year.
func (s *state) classes(k int, a float64) {
	T, first, end := s.T, int(s.mixFirst[k]), int(s.mixFirst[k+1])
	if s.isVector {
		classVector(&s.classAt[0], &s.sumClass[first*T], T, s.chunks, &s.mixBand[k], s.wMix, a)
		return
	}
	for c := first; c < end; c++ {
		lo, hi := s.Classes[c].Lo, s.Classes[c].Hi
		for t, x := range s.sumClass[c*T:][:T] {
			s.classAt[t*s.classWide+c-first] = band(x, lo, hi, s.wMix, a)
		}
	}
}
