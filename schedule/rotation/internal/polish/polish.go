package polish

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/model"
	"emberquilt/schedule/rotation/internal/sweep"
)

// Limits of a neighborhood.
const (
	leastUnits, mostUnits = 4, 28
	// blockStates bounds the joint blocks of the completion bound.
	blockStates = 300
	// climb is how many steps the prices take around the plan, fewer in large
	// problems, and rate how long.
	climb      = 40
	leastClimb = 5
	climbUnits = 8000
	rate       = 0.05
)

// Polisher improves plans of one model. It is not safe for concurrent use.
type Polisher struct {
	m      *model.Model
	random *rand.Rand
	engine *bound.Engine
	// pairs holds of each unit those that it is paired with; inRefuge counts those of
	// them that share its refuge.
	pairs    [][]int32
	inRefuge []int
	mixes    [][]int32
	// size is the size of the next neighborhood, in units.
	size float64
	// Tried and Better count neighborhoods.
	Tried, Better int
}

// New gives a polisher.
func New(m *model.Model, seed uint64) *Polisher {
	p := &Polisher{m: m, random: rand.New(rand.NewPCG(seed, 0x901154)), engine: bound.New(m, 1), size: 8}
	p.pairs, p.inRefuge = make([][]int32, m.N), make([]int, m.N)
	join := func(i, j int32) {
		if i == j || slices.Contains(p.pairs[i], j) {
			return
		}
		p.pairs[i] = append(p.pairs[i], j)
		if m.RefugeOf[i] >= 0 && m.RefugeOf[i] == m.RefugeOf[j] {
			p.inRefuge[i]++
		}
	}
	for _, pairs := range [][]model.Pair{m.Neighbors, m.Apart} {
		for _, pair := range pairs {
			join(pair.I, pair.J)
			join(pair.J, pair.I)
		}
	}
	p.mixes = make([][]int32, len(m.Problem.Mixes)+1)
	for i := range m.N {
		x := m.MixOf[i] + 1
		p.mixes[x] = append(p.mixes[x], int32(i))
	}
	return p
}

// Step searches one neighborhood of a plan that meets every requirement, with
// the row prices of a bound (or nil), and gives the better plan or nil. work
// bounds the options that it looks at.
func (p *Polisher) Step(ctx context.Context, plan model.Plan, cost float64, price []float64, work int64) (model.Plan, float64) {
	return p.search(ctx, plan, cost, price, work, p.pick(nil, min(int(p.size), p.m.N)))
}

// Around is Step in a neighborhood of units that are given.
func (p *Polisher) Around(ctx context.Context, plan model.Plan, cost float64, price []float64, work int64, units []int32) (model.Plan, float64) {
	return p.search(ctx, plan, cost, price, work, p.pick(units, min(int(p.size), p.m.N)))
}

func (p *Polisher) search(ctx context.Context, plan model.Plan, cost float64, price []float64, work int64, free []int32) (model.Plan, float64) {
	p.Tried++
	e := p.engine
	e.Stop = ctx.Done()
	p.fix(plan, free)
	e.SetBlocks(bound.ClusterAmong(p.m, free, blockStates))
	if price != nil {
		clear(e.Price) // rows that a block keeps have no price
		for _, row := range e.Active {
			e.Price[row] = price[row]
		}
	}
	a := bound.NewAscent(e)
	a.Rate = rate
	a.Run(max(leastClimb, min(climb, climbUnits/p.m.N)), cost)
	if a.Best >= cost-improvement(cost) {
		return nil, cost
	}
	c, ok := e.Completion()
	if !ok || ctx.Err() != nil {
		return nil, cost
	}
	s, ok := sweep.NewAround(p.m, c, plan, free)
	if !ok {
		p.size = math.Max(leastUnits, p.size-1)
		return nil, cost
	}
	out := s.Run(ctx, cost-improvement(cost), sweep.Limit{Work: work, States: 200_000})
	switch {
	case !out.Done:
		p.size = math.Max(leastUnits, p.size*0.97)
	case out.Work < work/8:
		p.size = math.Min(mostUnits, p.size*1.02)
	}
	if out.Plan == nil {
		return nil, cost
	}
	p.Better++
	return out.Plan, out.Cost
}

// improvement is the least gain that counts: above the rounding of sums.
func improvement(cost float64) float64 { return 1e-7 * math.Max(1, cost) }

// fix fixes all units but the free ones to the plan.
func (p *Polisher) fix(plan model.Plan, free []int32) {
	for at, s := range plan {
		p.engine.Fix[at] = bound.FixedRest
		if s != model.Rest {
			p.engine.Fix[at] = bound.FixedBurn
		}
	}
	for _, i := range free {
		clear(p.engine.Fix[int(i)*p.m.T : int(i+1)*p.m.T])
	}
}

// pick draws a neighborhood: from some of the units that are given, or from a
// random one, along links, with one unit in four from anywhere in the mixes of
// those drawn so far.
func (p *Polisher) pick(given []int32, size int) []int32 {
	in := map[int32]bool{}
	var list []int32
	for _, x := range p.random.Perm(len(given)) {
		if len(list) < (size+1)/2 {
			in[given[x]] = true
			list = append(list, given[x])
		}
	}
	if len(list) == 0 {
		start := int32(p.random.IntN(p.m.N))
		in[start] = true
		list = append(list, start)
	}
	for tries := 0; len(list) < size && tries < 20*size; tries++ {
		from := list[p.random.IntN(len(list))]
		var next int32
		if links := p.links(from); links == 0 || p.random.IntN(4) == 0 {
			pool := p.mixes[p.m.MixOf[from]+1]
			next = pool[p.random.IntN(len(pool))]
		} else {
			next = p.link(from, p.random.IntN(links))
		}
		if !in[next] {
			in[next] = true
			list = append(list, next)
		}
	}
	slices.Sort(list)
	return list
}

// links counts the units that a unit is coupled with, by a pair or by its refuge. (They
// are not held: a refuge of 24,000 units has half a billion of them.)
func (p *Polisher) links(of int32) int {
	n := len(p.pairs[of])
	if g := p.m.RefugeOf[of]; g >= 0 {
		n += len(p.m.RefugeUnits[g]) - 1 - p.inRefuge[of]
	}
	return n
}

// link gives one of them: those of pairs come first, then the others of the refuge.
func (p *Polisher) link(of int32, k int) int32 {
	if k < len(p.pairs[of]) {
		return p.pairs[of][k]
	}
	k -= len(p.pairs[of])
	for _, j := range p.m.RefugeUnits[p.m.RefugeOf[of]] {
		if j == of || slices.Contains(p.pairs[of], j) {
			continue
		}
		if k == 0 {
			return j
		}
		k--
	}
	panic("polish: a unit has fewer links than were counted")
}
