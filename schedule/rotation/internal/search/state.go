package search

import "emberquilt/schedule/rotation/internal/model"

// rest stands for "no burn" where a season is expected.
const rest = model.Rest

// state is a plan, whole or in part, with the sums of all its rows. Units that
// are out count in no sum.
type state struct {
	*instance
	season []int8 // [unit*T+year]: season of the burn, or rest
	in     []bool // whether the unit is placed

	sumAcres, sumBurns, sumCost []float64 // [year]
	sumDays                     []float64 // [season*T+year]
	sumRefuge                   []float64 // [group*T+year]
	sumClass                    []float64 // [class*T+year]
	near                        []float64 // [unit*T+year] neighbour cost of a burn
	barred                      []int32   // [unit*T+year] apart partners that burn
	clash                       []float64 // [unit*T+year] the acres of those clashes
	total                       float64   // cost of what is placed, penalties included
	violated                    int       // rows over their limit, apart pairs included

	// penalty rates for what passes a limit
	pAcres, pBurns, pCost, pDays, pApart float64
	unit                                 [4]float64

	scratch
}

// scratch is what prepare leaves for respond and pathCost.
type scratch struct {
	burnAt  []float64 // [year] cost of a burn, +Inf where it cannot be
	burnIn  []int8    // [year] its cheapest season
	restAt  []float64 // [year] cost of a rest
	classAt []float64 // [class of the mix*T+year] cost of standing in it
	noisy   []float64 // burnAt with noise
	birth   []float64 // [year] cost so far when the last burn was then
	from    []int32   // [year] the burn before the burn of that year
	path    []int8    // [year] what respond found
	zero    []float64 // T zeros
}

func newState(in *instance) *state {
	n, T := in.N, in.T
	s := &state{
		instance: in,
		season:   make([]int8, n*T), in: make([]bool, n),
		sumAcres: make([]float64, T), sumBurns: make([]float64, T), sumCost: make([]float64, T),
		sumDays: make([]float64, in.S*T), sumRefuge: make([]float64, len(in.refugeMax)*T),
		sumClass: make([]float64, len(in.Classes)*T), near: make([]float64, n*T), barred: make([]int32, n*T), clash: make([]float64, n*T),
		scratch: scratch{
			burnAt: make([]float64, T), burnIn: make([]int8, T), restAt: make([]float64, T),
			classAt: make([]float64, max(1, in.maxClasses)*T), noisy: make([]float64, T),
			birth: make([]float64, T), from: make([]int32, T), path: make([]int8, T),
			zero: make([]float64, T),
		},
	}
	s.setUnits()
	s.clear()
	return s
}

// clear takes every unit out.
func (s *state) clear() {
	for k := range s.season {
		s.season[k] = rest
	}
	clear(s.in)
	clear(s.sumAcres)
	clear(s.sumBurns)
	clear(s.sumCost)
	clear(s.sumDays)
	clear(s.sumRefuge)
	clear(s.sumClass)
	clear(s.near)
	clear(s.barred)
	clear(s.clash)
	s.total, s.violated = 0, 0
	for t := range s.T {
		s.total += s.evenCost(t, 0)
		for c := range len(s.Classes) {
			s.total += s.classCost(c, 0)
		}
	}
}

// evenCost is the evenness cost of a year that burns so many acres.
func (in *instance) evenCost(_ int, acres float64) float64 {
	return in.wEven * (max(0, in.evenLo-acres) + max(0, acres-in.evenHi))
}

// classCost is the mix cost of a class that holds so many acres in a year.
func (in *instance) classCost(c int, acres float64) float64 {
	return in.wMix * (max(0, in.Classes[c].Lo-acres) + max(0, acres-in.Classes[c].Hi))
}

// put places a unit that is out, on path; it does not change total.
func (s *state) put(i int, path []int8) {
	s.in[i] = true
	s.shift(i, path, 1)
	copy(s.season[i*s.T:(i+1)*s.T], path)
}

// take removes a unit that is in; season keeps its path until the next put. It
// does not change total.
func (s *state) take(i int) {
	s.in[i] = false
	s.shift(i, s.season[i*s.T:(i+1)*s.T], -1)
}

// shift adds a unit's path to all sums, or takes it off with sign −1.
func (s *state) shift(i int, path []int8, sign float64) {
	T := s.T
	a, days, cost := sign*s.Acres[i], sign*s.Days[i], sign*s.Dollars[i]
	step := int32(sign)
	age, last := s.age0[i], s.lastAge[i]
	refuge, refugeMax := -1, 0.0
	if r := int(s.RefugeOf[i]); r >= 0 {
		refuge, refugeMax = r*T, s.refugeMax[r]
	}
	inMix := s.MixOf[i] >= 0
	var classOf []int32
	if inMix {
		classOf = s.classOf[s.classOff[i]:]
	}
	v := 0
	for t, q := range path {
		if age < last {
			age++
		}
		if q >= 0 {
			age = 0
			v += add(&s.sumAcres[t], a, s.acresMax[t]) + add(&s.sumBurns[t], sign, s.burnsMax[t]) +
				add(&s.sumCost[t], cost, s.costMax[t]) + add(&s.sumDays[int(q)*T+t], days, s.daysMax[int(q)*T+t])
			if refuge >= 0 {
				v += add(&s.sumRefuge[refuge+t], a, refugeMax)
			}
			v += int(step * s.barred[i*T+t])
			for _, o := range s.neighbours[i] {
				s.near[int(o.unit)*T+t] += sign * o.cost
			}
			for _, o := range s.apart[i] {
				s.barred[int(o.unit)*T+t] += step
				s.clash[int(o.unit)*T+t] += sign * o.cost
			}
		}
		if inMix {
			s.sumClass[int(classOf[age])*T+t] += a
		}
	}
	s.violated += v
}

// add adds a to a sum and returns 1 when that passes the limit, −1 when it
// comes back within it.
func add(sum *float64, a, limit float64) int {
	x := *sum
	y := x + a
	*sum = y
	if x > limit {
		if y > limit {
			return 0
		}
		return -1
	}
	if y > limit {
		return 1
	}
	return 0
}

// over is what adding a to a sum of x adds to what passes the limit.
func over(x, a, limit float64) float64 { return max(0, x+a-limit) - max(0, x-limit) }

// burnPenalty is what a burn of a unit that is out adds in penalties, but for
// its burn days.
func (s *state) burnPenalty(i, t int) float64 {
	a := s.Acres[i]
	p := s.pAcres*over(s.sumAcres[t], a, s.acresMax[t]) + s.pBurns*over(s.sumBurns[t], 1, s.burnsMax[t]) +
		s.pCost*over(s.sumCost[t], s.Dollars[i], s.costMax[t]) + s.pApart*s.clash[i*s.T+t]
	if r := int(s.RefugeOf[i]); r >= 0 {
		p += s.pAcres * over(s.sumRefuge[r*s.T+t], a, s.refugeMax[r])
	}
	return p
}

// marginal is what the path of a unit that is out adds to the cost of the rest.
func (s *state) marginal(i int, path []int8) float64 {
	T, a := s.T, s.Acres[i]
	age, last, M := s.age0[i], s.lastAge[i], s.maxRest[i]
	var classOf []int32
	if s.MixOf[i] >= 0 {
		classOf = s.classOf[s.classOff[i]:]
	}
	sum := 0.0
	for t, q := range path {
		if age < last {
			age++
		}
		if q >= 0 {
			age = 0
			x := s.sumAcres[t]
			sum += s.BurnOwn[(i*T+t)*s.S+int(q)] + s.near[i*T+t] + s.evenCost(t, x+a) - s.evenCost(t, x) +
				s.burnPenalty(i, t) + s.pDays*over(s.sumDays[int(q)*T+t], s.Days[i], s.daysMax[int(q)*T+t])
		} else {
			sum += s.RestOwn[i*T+t]
		}
		if age >= M {
			sum += s.overdue[i]
		}
		if classOf != nil {
			c := int(classOf[age])
			x := s.sumClass[c*T+t]
			sum += s.classCost(c, x+a) - s.classCost(c, x)
		}
	}
	return sum
}

// resum rebuilds all sums from the paths of the units that are in, in unit
// order, so that rounding does not pile up; total is recomputed.
func (s *state) resum() {
	clear(s.sumAcres)
	clear(s.sumBurns)
	clear(s.sumCost)
	clear(s.sumDays)
	clear(s.sumRefuge)
	clear(s.sumClass)
	clear(s.near)
	clear(s.barred)
	clear(s.clash)
	s.violated = 0
	for i := range s.N {
		if s.in[i] {
			s.shift(i, s.season[i*s.T:(i+1)*s.T], 1)
		}
	}
	s.total = s.fullCost() + s.fullPenalty()
}

// fullCost computes the cost of what is placed from the sums.
func (s *state) fullCost() float64 {
	T := s.T
	sum := 0.0
	for t := range T {
		sum += s.evenCost(t, s.sumAcres[t])
		for c := range len(s.Classes) {
			sum += s.classCost(c, s.sumClass[c*T+t])
		}
	}
	for i := range s.N {
		if !s.in[i] {
			continue
		}
		age, last, M := s.age0[i], s.lastAge[i], s.maxRest[i]
		for t, q := range s.season[i*T : (i+1)*T] {
			if age < last {
				age++
			}
			if q >= 0 {
				age = 0
				sum += s.BurnOwn[(i*T+t)*s.S+int(q)]
				for _, o := range s.neighbours[i] {
					if int(o.unit) > i && s.in[o.unit] && s.season[int(o.unit)*T+t] >= 0 {
						sum += o.cost
					}
				}
			} else {
				sum += s.RestOwn[i*T+t]
			}
			if age >= M {
				sum += s.overdue[i]
			}
		}
	}
	return sum
}

// meets reports whether the placed units meet every requirement of the years.
func (s *state) meets() bool {
	T := s.T
	for t := range T {
		if s.sumAcres[t] > s.acresMax[t] || s.sumBurns[t] > s.burnsMax[t] || s.sumCost[t] > s.costMax[t] {
			return false
		}
		for q := range s.S {
			if s.sumDays[q*T+t] > s.daysMax[q*T+t] {
				return false
			}
		}
		for r := range len(s.refugeMax) {
			if s.sumRefuge[r*T+t] > s.refugeMax[r] {
				return false
			}
		}
	}
	for i := range s.N {
		for t, q := range s.season[i*T : (i+1)*T] {
			if s.in[i] && q >= 0 && s.barred[i*T+t] > 0 {
				return false
			}
		}
	}
	return true
}

// fullPenalty computes the penalties of what is placed.
func (s *state) fullPenalty() float64 {
	T := s.T
	p := 0.0
	for t := range T {
		p += s.pAcres*max(0, s.sumAcres[t]-s.acresMax[t]) + s.pBurns*max(0, s.sumBurns[t]-s.burnsMax[t]) + s.pCost*max(0, s.sumCost[t]-s.costMax[t])
		for q := range s.S {
			p += s.pDays * max(0, s.sumDays[q*T+t]-s.daysMax[q*T+t])
		}
		for r := range s.refugeMax {
			p += s.pAcres * max(0, s.sumRefuge[r*T+t]-s.refugeMax[r])
		}
	}
	for i := range s.N {
		if !s.in[i] {
			continue
		}
		for t, q := range s.season[i*T:][:T] {
			if q >= 0 {
				for _, o := range s.apart[i] {
					if int(o.unit) > i && s.in[o.unit] && s.season[int(o.unit)*T+t] >= 0 {
						p += s.pApart * o.cost
					}
				}
			}
		}
	}
	return p
}

// setPenalty sets the rates to so many acre-years per acre and resums.
func (s *state) setPenalty(rate float64) {
	s.pAcres, s.pBurns, s.pCost, s.pDays, s.pApart = rate, rate*s.unit[0], rate*s.unit[1], rate*s.unit[2], rate
	s.resum()
}

func (s *state) setUnits() {
	var a, c, d float64
	for i := range s.N {
		a += s.Acres[i]
		c += s.Dollars[i]
		d += s.Days[i]
	}
	s.unit[0] = a / float64(s.N)
	if c > 0 {
		s.unit[1] = a / c
	}
	if d > 0 {
		s.unit[2] = a / d
	}
}
