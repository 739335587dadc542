package search

import (
	"math"

	"emberquilt/schedule/rotation/internal/model"
)

var inf = math.Inf(1)

// never is an interval that no horizon reaches.
const never = math.MaxInt32 / 2

// pair is one end of a neighbor or apart pair: the other unit and what a burn
// of both in one year costs.
type pair struct {
	unit int32
	cost float64
}

// instance is a model in the order in which the kernels read it: what changes
// with the year lies year by year. It is built once and never changed.
//
// Index order: [unit*T+year], [season*T+year], [group*T+year],
// [class*T+year] with the classes of all mixes numbered through.
type instance struct {
	*model.Model

	minRest  []int32 // m, in age states; never where none can burn
	age0     []int32 // age state before the first year
	lastAge  []int32 // the last age state, at least 1
	classOff []int32 // first entry of the unit in classOf
	classOf  []int32 // [classOff+age] → class; no entries without mix
	locked   []bool  // whether the unit must burn in some year
	ages     []ages  // of each unit

	hasRestCost []bool // whether resting costs the unit something by itself in some year

	// chunks hold the years, ageWide the ages of a unit, classWide the classes of a mix.
	// fitsVector says that a mix has as few classes as vector instructions take.
	chunks, ageWide, classWide int
	fitsVector                 bool

	// burnOwn is the model's BurnOwn at [(unit*S+season)*T+year]; seasons lists
	// the seasons in which unit i may ever burn, from seasonOff[i] on.
	burnOwn   []float64
	seasonOff []int32
	seasons   []int8

	neighbors, apart [][]pair

	// limit holds the limits of the rows, slack included but for a hair; see
	// state for their order.
	limit             []float64
	hasBurns, hasCost bool
	meanAcres         float64 // of a unit
	perDay, perDollar float64 // acres

	mixBand    [][2 * vectorClasses]float64 // lower ends, then upper ends of the classes of each mix
	hasEven    bool
	mixFirst   []int32 // first class of each mix, and one more
	maxClasses int
	wMix       float64
	wEven      float64
	evenLo     float64 // 0 where none
	evenHi     float64
	mixUnits   [][]int32

	noise noise
}

// ages is what the ages of a unit cost and allow, wide of them: those after the last
// cannot be.
type ages struct {
	late, may, stay, start []float64 // see layAges
	class                  []int32   // counted from the first of the mix
	lanes                  []int32   // the same in halves of numbers, for vector instructions
	wide                   int
}

// ceiling keeps a thousandth of the allowed slack back for the rounding of
// running sums.
func ceiling(limit float64) float64 {
	if math.IsInf(limit, 1) {
		return inf
	}
	return limit - max(1, math.Abs(limit))*1e-9
}

func newInstance(m *model.Model) *instance {
	n, T, S := m.N, m.T, m.S
	in := &instance{
		Model:   m,
		minRest: make([]int32, n), age0: make([]int32, n),
		lastAge:  make([]int32, n),
		classOff: make([]int32, n), locked: make([]bool, n), hasRestCost: make([]bool, n),
		burnOwn: padded(n * S * T), seasonOff: make([]int32, n+1),
		limit: padded((rowDays + S + len(m.RefugeLimit)) * T),
		wMix:  m.Problem.Weights.Mix, wEven: m.Problem.Weights.Evenness,
		evenLo: max(0, m.EvenLo), evenHi: m.EvenHi,
		mixUnits:  make([][]int32, len(m.Problem.Mixes)),
		neighbors: pairsOf(n, &m.NeighborsOf, m.Neighbors),
		apart:     pairsOf(n, &m.ApartOf, m.Apart),
		noise:     newNoise(),
	}
	for i := range in.apart {
		for k := range in.apart[i] {
			o := &in.apart[i][k]
			o.cost = min(m.Acres[i], m.Acres[o.unit])
		}
	}
	for t := range T {
		l := &m.Limit[t]
		in.limit[t], in.limit[rowBurns*T+t], in.limit[rowCost*T+t] = ceiling(l.Acres), ceiling(l.Burns), ceiling(l.Cost)
		in.hasBurns = in.hasBurns || l.Burns < inf
		in.hasCost = in.hasCost || l.Cost < inf
		for q := range S {
			in.limit[(rowDays+q)*T+t] = ceiling(l.Days[q])
		}
		for r, limit := range m.RefugeLimit {
			in.limit[(rowDays+S+r)*T+t] = ceiling(limit)
		}
	}
	in.layNatural()
	at := int32(0)
	for _, x := range m.Problem.Mixes {
		in.mixFirst = append(in.mixFirst, at)
		at += int32(len(x.Classes))
		in.maxClasses = max(in.maxClasses, len(x.Classes))
	}
	in.mixFirst = append(in.mixFirst, at)
	for k := range m.Problem.Mixes {
		var band [2 * vectorClasses]float64
		for c, class := range m.Classes[in.mixFirst[k]:][:min(vectorClasses, int(in.mixFirst[k+1]-in.mixFirst[k]))] {
			band[c], band[vectorClasses+c] = class.Lo, class.Hi
		}
		in.mixBand = append(in.mixBand, band)
	}
	for i := range n {
		in.layUnit(i)
	}
	in.chunks, in.classWide = chunksOf(T), max(vectorClasses, in.maxClasses)
	for i := range n {
		in.layAges(i)
		in.ageWide = max(in.ageWide, in.ages[i].wide)
	}
	in.fitsVector = in.maxClasses <= vectorClasses
	in.hasEven = in.wEven > 0 && (in.evenLo > 0 || in.evenHi < inf)
	return in
}

func (in *instance) layUnit(i int) {
	K, base := int(in.K[i]), int(in.StateBase[i])
	last := max(1, K-1)
	in.lastAge[i], in.age0[i] = int32(last), int32(in.Start[i])
	in.minRest[i] = never
	in.classOff[i] = int32(len(in.classOf))
	for g := range last + 1 {
		k := base + min(g, K-1)
		if in.CanBurn[k] && in.minRest[i] == never {
			in.minRest[i] = int32(g + 1)
		}
		if in.MixOf[i] >= 0 {
			in.classOf = append(in.classOf, in.Class[k])
		}
	}
	if x := in.MixOf[i]; x >= 0 {
		in.mixUnits[x] = append(in.mixUnits[x], int32(i))
	}
	for q := range in.S {
		ever := false
		for t := range in.T {
			c := in.BurnOwn[(i*in.T+t)*in.S+q]
			in.burnOwn[(i*in.S+q)*in.T+t] = c
			ever = ever || c < inf
		}
		if ever {
			in.seasons = append(in.seasons, int8(q))
		}
	}
	in.seasonOff[i+1] = int32(len(in.seasons))
	for t := range in.T {
		in.locked[i] = in.locked[i] || in.LockedBurn[i*in.T+t]
		in.hasRestCost[i] = in.hasRestCost[i] || in.RestOwn[i*in.T+t] != 0
	}
}

// layAges lays out what respond reads of the ages of unit i: what it is overdue, 0 where
// it may burn a year later, 0 where it stays at that age and 0 where it begins, +Inf
// elsewhere.
func (in *instance) layAges(i int) {
	last := int(in.lastAge[i])
	const half = vectorAges / 2
	wide := (last + half) / half * half
	var all [4][]float64
	numbers := make([]float64, 4*wide)
	for k := range numbers {
		numbers[k] = inf
	}
	for k := range all {
		all[k] = numbers[k*wide:][:wide]
	}
	a := ages{all[0], all[1], all[2], all[3], make([]int32, wide), make([]int32, 2*wide), wide}
	copy(a.late, in.lateCosts(i)[:last+1])
	for g := range last + 1 {
		if g+1 >= int(in.minRest[i]) {
			a.may[g] = 0
		}
		if in.MixOf[i] >= 0 {
			classOf := in.classOf[in.classOff[i]:]
			a.class[g] = classOf[g] - classOf[0]
		}
	}
	a.stay[last], a.start[in.age0[i]] = 0, 0
	for g, c := range a.class {
		a.lanes[2*g], a.lanes[2*g+1] = 2*c, 2*c+1
	}
	in.ages = append(in.ages, a)
}

// lateCosts gives what overdue costs a unit at each of its ages.
func (in *instance) lateCosts(i int) []float64 {
	return in.OverdueCost[in.StateBase[i]:in.StateBase[i+1]]
}

func pairsOf(n int, adjacent *model.Adjacent, pairs []model.Pair) [][]pair {
	out := make([][]pair, n)
	for i := range n {
		for k := adjacent.Start[i]; k < adjacent.Start[i+1]; k++ {
			out[i] = append(out[i], pair{adjacent.Other[k], pairs[adjacent.Pair[k]].Cost})
		}
	}
	return out
}

// The first rows of each kind, in items of T rows; refuge rows follow those of
// the seasons.
const (
	rowBurns = 1
	rowCost  = 2
	rowDays  = 3
)

// refugeRows is the first row of the refuge groups.
func (in *instance) refugeRows() int { return (rowDays + in.S) * in.T }

// refugeRow is the first row of the unit's refuge group, or −1.
func (in *instance) refugeRow(i int) int {
	if r := int(in.RefugeOf[i]); r >= 0 {
		return in.refugeRows() + r*in.T
	}
	return -1
}

// layNatural finds how many acres an average burn, burn day and dollar stand
// for.
func (in *instance) layNatural() {
	var acres, days, dollars float64
	for i := range in.N {
		acres += in.Acres[i]
		days += in.Days[i]
		dollars += in.Dollars[i]
	}
	in.meanAcres = acres / max(1, float64(in.N))
	// A burn may take next to nothing of them. What a weight is made of must stay a number,
	// or what costs nothing, nothing times infinity, would be none.
	if days > 0 {
		in.perDay = min(acres/days, mostNatural)
	}
	if dollars > 0 {
		in.perDollar = min(acres/dollars, mostNatural)
	}
}

// mostNatural are the acres of the largest unit a billionth of a day.
const mostNatural = 1e18

// natural gives the acres that one unit of a row's quantity stands for.
func (in *instance) natural(row int) float64 {
	switch item := row / in.T; {
	case item == rowBurns:
		return in.meanAcres
	case item == rowCost:
		return in.perDollar
	case item >= rowDays && item < rowDays+in.S:
		return in.perDay
	}
	return 1
}
