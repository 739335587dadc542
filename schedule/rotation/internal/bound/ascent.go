package bound

import (
	"math"

	"emberquilt/schedule/rotation/internal/model"
)

// Ascent improves the prices of an engine by steps along the subgradient, each
// coordinate with its own step length from running means of its gradient
// (Kingma and Ba 2015, "Adam"), in natural units: a step of the same size means
// about as much for an acre as for a burn day or a dollar.
type Ascent struct {
	e *Engine
	// Best is the best value seen; BestPrice, BestShift and BestShare are where.
	Best      float64
	BestPrice []float64
	BestShift []float64
	bestAge   []float64
	bestPart  []float64
	BestShare []float64
	bestYear  []float64
	// Rate is the step length now; each step multiplies it by Decay.
	Rate, Decay float64

	scale      []float64 // per row
	mean, vary []float64 // per row, then per copy and year
	// ageMean and ageVary are the same for prices of ages, as Engine.age.
	ageMean, ageVary   []float64
	partMean, partVary []float64 // per part and year
	steps              int
	// Burned is the burn share of unit i in year t at i·T+t in the last
	// evaluation; Average is its running mean: an estimate of the relaxation's
	// fractional plan.
	Burned, Average []float64
	activity        []float64
	count           []float64 // copies of a unit in each state
	ended           []float64 // shares of units that end a year in a class, as Years.classCost
	state, path     []float64
}

// NewAscent starts at the engine's prices.
func NewAscent(e *Engine) *Ascent {
	a := &Ascent{e: e, Best: math.Inf(-1), Rate: 0.1, Decay: 1}
	a.scale = scales(e.M)
	a.Burned, a.Average = make([]float64, e.M.N*e.M.T), make([]float64, e.M.N*e.M.T)
	a.activity = make([]float64, e.M.Rows.Many)
	a.BestPrice = make([]float64, e.M.Rows.Many)
	a.Reset()
	return a
}

// Reset forgets the running means, and the best value: the engine's blocks or
// fixings have changed.
func (a *Ascent) Reset() {
	n := len(a.e.Price) + len(a.e.shift) + len(a.e.share) + a.e.years.coordinates()
	a.resetAges()
	a.resetParts()
	if len(a.mean) != n {
		a.mean, a.vary = make([]float64, n), make([]float64, n)
		a.BestShift = make([]float64, len(a.e.shift))
		a.BestShare = make([]float64, len(a.e.share))
	}
	a.bestYear = nil
	clear(a.mean)
	clear(a.vary)
	a.steps = 0
	a.Best = math.Inf(-1)
}

// Extend makes room for the year blocks that the engine has got, and keeps what the
// other coordinates have learned.
func (a *Ascent) Extend() {
	mean, vary, steps := a.mean, a.vary, a.steps
	a.Reset()
	copy(a.mean, mean)
	copy(a.vary, vary)
	a.steps = steps
}

// scales gives what a price of one unit of a row is worth beside a price of one
// acre-year per acre.
func scales(m *model.Model) []float64 {
	var acres, days, dollars float64
	for i := range m.N {
		acres += m.Acres[i]
		days += m.Days[i]
		dollars += m.Dollars[i]
	}
	r := &m.Rows
	s := make([]float64, r.Many)
	ratio := func(of float64) float64 {
		if of <= 0 {
			return 1
		}
		return acres / of
	}
	fill := func(from, to model.Row, v float64) {
		for row := from; row < to; row++ {
			s[row] = v
		}
	}
	fill(r.Acres, r.Burns, 1)
	fill(r.Burns, r.Cost, ratio(float64(m.N)))
	fill(r.Cost, r.Days, ratio(dollars))
	fill(r.Days, r.Refuge, ratio(days))
	fill(r.Refuge, r.Apart, 1)
	t := model.Row(m.T)
	for x, pair := range m.Apart {
		fill(r.Apart+model.Row(x)*t, r.Apart+model.Row(x+1)*t, min(m.Acres[pair.I], m.Acres[pair.J]))
	}
	fill(r.MixLow, r.Neighbors, 1)
	for x, pair := range m.Neighbors {
		fill(r.Neighbors+model.Row(x)*t, r.Neighbors+model.Row(x+1)*t, min(m.Acres[pair.I], m.Acres[pair.J]))
	}
	return s
}

// Run takes steps; Return brings the engine to the best prices found. It stops
// early once the value is at least enough, no path is left, or the engine was
// stopped.
func (a *Ascent) Run(steps int, enough float64) float64 {
	e := a.e
	for range steps {
		v := e.Evaluate()
		a.note(v)
		if v >= enough || math.IsInf(v, 0) {
			break
		}
		a.Measure()
		a.step()
		a.Rate *= a.Decay
	}
	return a.Best
}

// note takes in a value of the engine's prices, and reports whether it is the best.
func (a *Ascent) note(v float64) bool {
	if v <= a.Best {
		return false
	}
	e := a.e
	a.Best = v
	copy(a.BestPrice, e.Price)
	copy(a.BestShift, e.shift)
	copy(a.bestAge, e.age)
	copy(a.bestPart, e.part)
	copy(a.BestShare, e.share)
	if e.years != nil {
		a.bestYear = e.years.save(a.bestYear[:0])
	}
	return true
}

// Return sets the engine to the best prices.
func (a *Ascent) Return() {
	copy(a.e.Price, a.BestPrice)
	copy(a.e.shift, a.BestShift)
	copy(a.e.age, a.bestAge)
	copy(a.e.part, a.bestPart)
	copy(a.e.share, a.BestShare)
	if a.e.years != nil {
		a.e.years.load(a.bestYear)
	}
}

// Measure computes Burned, and what the last evaluation's paths take of each row.
func (a *Ascent) Measure() {
	e, m := a.e, a.e.M
	r, t := &m.Rows, m.T
	act := a.activity
	clear(act[:r.Apart])
	clear(act[r.MixLow:r.Neighbors])
	clear(a.Burned)
	var base []int32
	if e.years != nil {
		a.ended = grow(a.ended, len(e.years.classCost))
		clear(a.ended)
		base = e.years.classBase
	}
	for c, i := range e.copyUnit {
		states, share := e.State[c*t:c*t+t], e.share[c]
		burned := a.Burned[int(i)*t : int(i)*t+t]
		for y, k := range states {
			if k == 0 {
				burned[y] += share
			}
		}
		if m.MixOf[i] >= 0 {
			class := m.Class[m.StateBase[i]:m.StateBase[i+1]]
			acres := m.Acres[i] * share
			for y, k := range states {
				act[int(r.MixHigh)+int(class[k])*t+y] += acres
			}
			if base != nil {
				at := int(base[i])
				for y, k := range states {
					a.ended[at+int(class[k])*t+y] += share
				}
			}
		}
	}
	for i := range m.N {
		acres, dollars, days := m.Acres[i], m.Dollars[i], m.Days[i]
		refuge := int(r.Refuge) + int(m.RefugeOf[i])*t
		for y, x := range a.Burned[i*t : i*t+t] {
			if x == 0 {
				continue
			}
			act[int(r.Acres)+y] += acres * x
			act[int(r.Burns)+y] += x
			act[int(r.Cost)+y] += dollars * x
			if s := e.Season[i*t+y]; s >= 0 {
				act[int(r.Days)+int(s)*t+y] += days * x
			}
			if m.RefugeOf[i] >= 0 {
				act[refuge+y] += acres * x
			}
		}
	}
	for y := range t {
		act[int(r.EvenHigh)+y] = act[int(r.Acres)+y]
		act[int(r.EvenLow)+y] = -act[int(r.Acres)+y]
	}
	for x := int(r.MixLow); x < int(r.MixHigh); x++ {
		act[x] = -act[x+int(r.MixHigh-r.MixLow)]
	}
	a.measurePairs(m.Apart, int(r.Apart))
	a.measurePairs(m.Neighbors, int(r.Neighbors))
}

func (a *Ascent) measurePairs(pairs []model.Pair, base int) {
	t := a.e.M.T
	for x, pair := range pairs {
		i, j := a.Burned[int(pair.I)*t:int(pair.I)*t+t], a.Burned[int(pair.J)*t:int(pair.J)*t+t]
		row := a.activity[base+x*t : base+x*t+t]
		for y := range row {
			row[y] = i[y] + j[y]
		}
	}
}

// Decay rates of the running means, as usual, and what keeps a step finite
// where the gradient has always been 0.
const (
	meanDecay = 0.9
	varyDecay = 0.99
	tiny      = 1e-9
	// meanLength is over how many steps Average is a running mean.
	meanLength = 50
)

func (a *Ascent) step() {
	e := a.e
	a.steps++
	warm := a.Rate * math.Sqrt(1-math.Pow(varyDecay, float64(a.steps))) / (1 - math.Pow(meanDecay, float64(a.steps)))
	right, top := e.M.Rows.Right, e.M.Rows.PriceMax
	for _, row := range e.Active {
		s := a.scale[row]
		g := (a.activity[row] - right[row]) * s
		mean := meanDecay*a.mean[row] + (1-meanDecay)*g
		vary := varyDecay*a.vary[row] + (1-varyDecay)*g*g
		a.mean[row], a.vary[row] = mean, vary
		p := e.Price[row] + warm*s*mean/(math.Sqrt(vary)+tiny)
		if p < 0 {
			p = 0
		} else if p > top[row] {
			p = top[row]
		}
		e.Price[row] = p
	}
	if e.shift != nil {
		if e.age != nil {
			a.stepAges(warm)
		} else {
			a.stepShifts(warm)
		}
		a.stepShares(warm)
	}
	a.stepParts(warm)
	if e.years != nil {
		a.stepYears(warm)
	}
	part := 1 / float64(min(a.steps, meanLength))
	for x, b := range a.Burned {
		a.Average[x] += part * (b - a.Average[x])
	}
}

// stepShifts moves the shifts of units with several copies toward agreement:
// a copy that burns more than the mean of the copies is charged more. The sum
// over the copies stays 0.
func (a *Ascent) stepShifts(warm float64) {
	e, t := a.e, a.e.M.T
	at := len(e.Price)
	for _, i := range e.shared {
		copies := e.copies[i]
		s := e.M.Acres[i]
		for y := range t {
			mean := 0.0
			for _, c := range copies {
				if e.State[int(c)*t+y] == 0 {
					mean++
				}
			}
			mean /= float64(len(copies))
			// One step length for all copies keeps the sum at 0.
			first := at + int(copies[0])*t + y
			square := 0.0
			for _, c := range copies {
				g := -mean
				if e.State[int(c)*t+y] == 0 {
					g++
				}
				g *= s
				square += g * g
				x := at + int(c)*t + y
				a.mean[x] = meanDecay*a.mean[x] + (1-meanDecay)*g
			}
			a.vary[first] = varyDecay*a.vary[first] + (1-varyDecay)*square
			length := warm * s / (math.Sqrt(a.vary[first]) + tiny)
			for _, c := range copies {
				e.shift[int(c)*t+y] += length * a.mean[at+int(c)*t+y]
			}
		}
	}
}

// Polish sets prices for a leaf in which all burns are decided: those of bands
// and pairs to the end of their range that the last evaluation's paths ask for,
// which proves their cost exactly; those of hard rows to 0, or, where they are
// broken, to what lifts the bound by more than need. Prices of burn days are
// left alone until the seasons are decided as well.
//
// It goes by what Measure found, and knows rows alone: see Engine.UseYears.
func (a *Ascent) Polish(need float64, seasons bool) {
	e := a.e
	r := &e.M.Rows
	for _, row := range e.Active {
		above := a.activity[row] - r.Right[row]
		switch hard := math.IsInf(r.PriceMax[row], 1); {
		case row >= r.Days && row < r.Refuge && !seasons:
		case above <= 0:
			e.Price[row] = 0
		case !hard:
			e.Price[row] = r.PriceMax[row]
		case model.Passes(a.activity[row], r.Right[row]):
			e.Price[row] = math.Ceil(2 * (need + 1) / above)
		}
	}
}

// shareScale is the step length of shares beside that of a price per acre.
const shareScale = 0.3

// stepShares moves a unit's shares toward the copies whose paths cost most:
// what a copy carries of the path cost counts at the price of its own path.
func (a *Ascent) stepShares(warm float64) {
	e, t := a.e, a.e.M.T
	base := len(e.Price) + len(e.shift)
	for _, i := range e.shared {
		k := int(e.M.K[i])
		a.state = grow(a.state, t*k)
		e.stateCost(int(i), a.state)
		copies := e.copies[i]
		mean := 0.0
		a.path = grow(a.path, len(copies))
		for x, c := range copies {
			sum := 0.0
			for y, s := range e.State[int(c)*t : int(c)*t+t] {
				sum += a.state[y*k+int(s)]
				if s == 0 {
					sum += e.burn[int(i)*t+y]
				} else {
					sum += e.rest[int(i)*t+y]
				}
			}
			a.path[x] = sum
			mean += sum / float64(len(copies))
		}
		square := 0.0
		for x, c := range copies {
			g := a.path[x] - mean
			square += g * g
			at := base + int(c)
			a.mean[at] = meanDecay*a.mean[at] + (1-meanDecay)*g
		}
		first := base + int(copies[0])
		a.vary[first] = varyDecay*a.vary[first] + (1-varyDecay)*square
		length := shareScale * warm / (math.Sqrt(a.vary[first]) + tiny)
		total := 0.0
		for _, c := range copies {
			e.share[c] = max(0, e.share[c]+length*a.mean[base+int(c)])
			total += e.share[c]
		}
		for _, c := range copies {
			e.share[c] /= total
		}
	}
}
