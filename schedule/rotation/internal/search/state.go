package search

import "emberquilt/schedule/rotation/internal/model"

// rest stands for "no burn" where a season is expected.
const rest = model.Rest

// state is a plan, whole or in part, with the sums of all its rows. Units that
// are out count in no sum.
//
// The rows with a limit lie in one array, kind by kind, within a kind item by
// item, within an item year by year: acres, burns, cost, burn days of each
// season, acres of each refuge group. Passing a limit costs rate times what
// passes it.
type state struct {
	*instance
	season []int8 // [unit*T+year]: season of the burn, or rest
	in     []bool // whether the unit is placed

	used, rate []float64 // [row]
	low        []float64 // [row] what a unit of the row costs within the limit too
	sumClass   []float64 // [class*T+year] acres
	near       []float64 // [unit*T+year] neighbor cost of a burn
	clash      []float64 // [unit*T+year] acres of clashes of a burn with apart partners
	barred     []int32   // [unit*T+year] how many apart partners burn
	apartRate  float64

	total    float64 // cost of what is placed, penalties included
	violated int     // rows over their limit and apart pairs that burn together
	isVector bool    // whether vector instructions are used

	scratch
}

// scratch is what prepare leaves for respond and pathCost.
type scratch struct {
	burnAt  []float64 // [year] cost of a burn, +Inf where it cannot be
	burnIn  []int64   // [year] its cheapest season
	classAt []float64 // [year*classWide+class of the mix] cost of standing in it
	noClass []float64 // the same for units without a mix: nothing
	noisy   []float64 // burnAt with noise
	costs   []float64 // [year*ageWide+age at its end] least cost so far
	path    []int8    // [year] what respond found
	years   []int32   // see burnsOf
}

func newState(in *instance) *state {
	n, T := in.N, in.T
	s := &state{
		instance: in,
		season:   make([]int8, n*T), in: make([]bool, n),
		used: padded(len(in.limit)), rate: padded(len(in.limit)), low: padded(len(in.limit)),
		sumClass: padded((len(in.Classes) + vectorClasses - 1) * T),
		near:     padded(n * T), clash: padded(n * T), barred: make([]int32, n*T),
		isVector: hasVector && in.fitsVector,
		scratch: scratch{
			burnAt: make([]float64, chunk*in.chunks), burnIn: make([]int64, chunk*in.chunks),
			classAt: make([]float64, chunk*in.chunks*in.classWide), noClass: make([]float64, T*in.classWide),
			noisy: make([]float64, chunk*in.chunks), costs: make([]float64, T*in.ageWide), path: make([]int8, T), years: make([]int32, T),
		},
	}
	s.clear()
	return s
}

// padded gives n numbers that can be read in whole chunks from each.
func padded(n int) []float64 { return make([]float64, n, n+chunk) }

// clear takes every unit out.
func (s *state) clear() {
	for k := range s.season {
		s.season[k] = rest
	}
	clear(s.in)
	s.resum()
}

// pathOf is the path that a unit is on, or was on when it was taken out.
func (s *state) pathOf(i int) []int8 { return s.season[i*s.T:][:s.T] }

// put places a unit that is out, on path; it does not change total.
func (s *state) put(i int, path []int8) {
	s.in[i] = true
	s.shift(i, path, 1)
	copy(s.pathOf(i), path)
}

// take removes a unit that is in; season keeps its path until the next put. It
// does not change total.
func (s *state) take(i int) {
	s.in[i] = false
	s.shift(i, s.pathOf(i), -1)
}

// shift adds a unit's path to all sums, or takes it off with sign −1.
func (s *state) shift(i int, path []int8, sign float64) {
	T := s.T
	a, days, cost := sign*s.Acres[i], sign*s.Days[i], sign*s.Dollars[i]
	step := int32(sign)
	refuge := s.refugeRow(i)
	used, limit := s.used, s.limit
	neighbors, apart := s.neighbors[i], s.apart[i]
	v := 0
	for _, year := range s.burnsOf(path) {
		t := int(year)
		v += add(used, limit, t, a)
		v += add(used, limit, (rowDays+int(path[t]))*T+t, days)
		if s.hasBurns {
			v += add(used, limit, rowBurns*T+t, sign)
		}
		if s.hasCost {
			v += add(used, limit, rowCost*T+t, cost)
		}
		if refuge >= 0 {
			v += add(used, limit, refuge+t, a)
		}
		for _, o := range neighbors {
			s.near[int(o.unit)*T+t] += sign * o.cost
		}
		if len(apart) > 0 {
			v += int(step * s.barred[i*T+t])
			for _, o := range apart {
				s.barred[int(o.unit)*T+t] += step
				s.clash[int(o.unit)*T+t] += sign * o.cost
			}
		}
	}
	s.violated += v
	if s.MixOf[i] < 0 {
		return
	}
	age, last := int(s.age0[i]), int(s.lastAge[i])
	classOf := s.classOf[s.classOff[i]:][:last+1]
	for t, q := range path {
		age = min(age+1, last)
		if q >= 0 {
			age = 0
		}
		s.sumClass[int(classOf[age])*T+t] += a
	}
}

// burnsOf lists the years in which a path burns, until the next call. Which years those
// are cannot be foretold, so that a branch for each would cost more than all the rest.
func (s *state) burnsOf(path []int8) []int32 {
	years, n := s.years[:len(path)], 0
	for t, q := range path {
		years[n] = int32(t)
		n += int(1 - uint8(q)>>7) // rest is negative
	}
	return years[:n]
}

// add adds a to a row and returns 1 when that passes the limit, −1 when it
// comes back within it.
func add(used, limit []float64, row int, a float64) int {
	x, most := used[row], limit[row]
	y := x + a
	used[row] = y
	v := 0
	if y > most {
		v = 1
	}
	if x > most {
		v--
	}
	return v
}

// over is what adding a ≥ 0 to a sum of x adds to what passes the limit.
func over(x, a, limit float64) float64 { return min(max(x+a-limit, 0), a) }

// overRow is over for a row, at its rate.
func (s *state) overRow(row int, a float64) float64 {
	return s.low[row]*a + s.rate[row]*over(s.used[row], a, s.limit[row])
}

// classCost is the mix cost of a class that holds so many acres in a year.
func (in *instance) classCost(c int, acres float64) float64 {
	return in.wMix * (max(0, in.Classes[c].Lo-acres) + max(0, acres-in.Classes[c].Hi))
}

// classStep is what adding a ≥ 0 acres to a class that holds x costs.
func (in *instance) classStep(c int, x, a float64) float64 {
	return in.wMix * (over(x, a, in.Classes[c].Hi) - min(max(in.Classes[c].Lo-x, 0), a))
}

// evenCost is the evenness cost of a year that burns so many acres.
func (in *instance) evenCost(acres float64) float64 {
	return in.wEven * (max(0, in.evenLo-acres) + max(0, acres-in.evenHi))
}

// evenStep is what burning a ≥ 0 acres more than x costs.
func (in *instance) evenStep(x, a float64) float64 {
	return in.wEven * (over(x, a, in.evenHi) - min(max(in.evenLo-x, 0), a))
}

// burnStep is what a burn in year t and season q of a unit that is out adds to
// the cost and the penalties of the rest.
func (s *state) burnStep(i, t, q int) float64 {
	T, a := s.T, s.Acres[i]
	sum := s.BurnOwn[(i*T+t)*s.S+q] + s.near[i*T+t] + s.apartRate*s.clash[i*T+t] + s.evenStep(s.used[t], a) +
		s.overRow(t, a) + s.overRow((rowDays+q)*T+t, s.Days[i])
	if s.hasBurns {
		sum += s.overRow(rowBurns*T+t, 1)
	}
	if s.hasCost {
		sum += s.overRow(rowCost*T+t, s.Dollars[i])
	}
	if r := s.refugeRow(i); r >= 0 {
		sum += s.overRow(r+t, a)
	}
	return sum
}

// marginal is what the path of a unit that is out adds to the cost of the rest.
func (s *state) marginal(i int, path []int8) float64 {
	T, a := s.T, s.Acres[i]
	age, last, late := s.age0[i], s.lastAge[i], s.lateCosts(i)
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
			sum += s.burnStep(i, t, int(q))
		} else {
			sum += s.RestOwn[i*T+t]
		}
		sum += late[age]
		if classOf != nil {
			c := int(classOf[age])
			sum += s.classStep(c, s.sumClass[c*T+t], a)
		}
	}
	return sum
}

// resum rebuilds all sums from the paths of the units that are in, in unit
// order, so that rounding does not pile up, and computes total anew.
func (s *state) resum() {
	clear(s.used)
	clear(s.sumClass)
	clear(s.near)
	clear(s.clash)
	clear(s.barred)
	s.violated = 0
	for i := range s.N {
		if s.in[i] {
			s.shift(i, s.pathOf(i), 1)
		}
	}
	s.total = s.cost() + s.penalty()
}

// cost computes the cost of what is placed, without penalties, from the sums.
func (s *state) cost() float64 {
	T := s.T
	sum := 0.0
	for t := range T {
		sum += s.evenCost(s.used[t])
		for c := range s.Classes {
			sum += s.classCost(c, s.sumClass[c*T+t])
		}
	}
	for i := range s.N {
		if !s.in[i] {
			continue
		}
		age, last, late := s.age0[i], s.lastAge[i], s.lateCosts(i)
		for t, q := range s.pathOf(i) {
			if age < last {
				age++
			}
			if q >= 0 {
				age = 0
				sum += s.BurnOwn[(i*T+t)*s.S+int(q)]
				for _, o := range s.neighbors[i] {
					if int(o.unit) > i && s.in[o.unit] && s.season[int(o.unit)*T+t] >= 0 {
						sum += o.cost
					}
				}
			} else {
				sum += s.RestOwn[i*T+t]
			}
			sum += late[age]
		}
	}
	return sum
}

// penalty computes the penalties of what is placed.
func (s *state) penalty() float64 {
	T := s.T
	p := 0.0
	for row, x := range s.used {
		p += s.low[row]*x + s.rate[row]*max(0, x-s.limit[row])
	}
	for i := range s.N {
		if !s.in[i] {
			continue
		}
		for t, q := range s.pathOf(i) {
			if q >= 0 {
				for _, o := range s.apart[i] {
					if int(o.unit) > i && s.in[o.unit] && s.season[int(o.unit)*T+t] >= 0 {
						p += s.apartRate * o.cost
					}
				}
			}
		}
	}
	return p
}

// setRates sets every rate to so many acre-years per acre, in the natural unit
// of its row, and sums anew.
func (s *state) setRates(rate float64) {
	for row := range s.rate {
		s.rate[row], s.low[row] = rate*s.natural(row), 0
	}
	s.apartRate = rate
	s.resum()
}

// meets reports whether the placed units meet every requirement of the years.
func (s *state) meets() bool {
	for row, x := range s.used {
		if x > s.limit[row] {
			return false
		}
	}
	for i := range s.N {
		for t, q := range s.pathOf(i) {
			if s.in[i] && q >= 0 && s.barred[i*s.T+t] > 0 {
				return false
			}
		}
	}
	return true
}
