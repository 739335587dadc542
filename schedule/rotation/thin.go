package rotation

import (
	"math"

	"emberquilt/schedule/rotation/internal/model"
)

// idleBurn is the most, in acre-years, that a plan may seem to cost more when
// a burn is taken away that does nothing for it: the rounding of a few sums.
const idleBurn = 1e-9

// thin takes away burns without which the plan costs no more: burning costs
// nothing by itself, so that among plans of equal cost the search has no reason
// to prefer the one with less work. Taking a burn away breaks no requirement
// but a lock. The last years go first.
func thin(m *model.Model, plan model.Plan) model.Plan {
	x := thinner{m: m, plan: append(model.Plan(nil), plan...)}
	x.sum()
	for again := true; again; {
		again = false
		for t := m.T - 1; t >= 0; t-- {
			for i := range m.N {
				at := i*m.T + t
				if x.plan[at] != model.Rest && !m.LockedBurn[at] && x.without(i, t) < idleBurn {
					x.remove(i, t)
					again = true
				}
			}
		}
	}
	return x.plan
}

// thinner holds a plan with the sums that mix and evenness are made of.
type thinner struct {
	m    *model.Model
	plan model.Plan
	// age holds the states at i·T+t, class the acres at c·T+t, acres those burned
	// at t.
	age          []int16
	class, acres []float64
}

func (x *thinner) sum() {
	m := x.m
	x.age, x.class, x.acres = make([]int16, m.N*m.T), make([]float64, len(m.Classes)*m.T), make([]float64, m.T)
	for i := range m.N {
		k := m.Start[i]
		for t := range m.T {
			if k = m.Next(i, k); x.plan[i*m.T+t] != model.Rest {
				k = 0
				x.acres[t] += m.Acres[i]
			}
			x.age[i*m.T+t] = k
			x.move(i, t, k, 1)
		}
	}
}

// move adds the unit's acres, or takes them away, where a state puts them.
func (x *thinner) move(i, t int, k int16, sign float64) {
	if c := x.m.Class[int(x.m.StateBase[i])+int(k)]; c >= 0 {
		x.class[int(c)*x.m.T+t] += sign * x.m.Acres[i]
	}
}

// off gives how far acres lie outside lo … hi.
func off(acres, lo, hi float64) float64 { return math.Max(0, lo-acres) + math.Max(0, acres-hi) }

// without gives by how much more the plan costs without one burn.
func (x *thinner) without(i, t int) float64 {
	m, w := x.m, &x.m.Problem.Weights
	at, a := i*m.T+t, m.Acres[i]
	delta := m.RestOwn[at] - m.BurnOwn[at*m.S+int(x.plan[at])]
	delta += w.Evenness * (off(x.acres[t]-a, m.EvenLo, m.EvenHi) - off(x.acres[t], m.EvenLo, m.EvenHi))
	for p := m.NeighborsOf.Start[i]; p < m.NeighborsOf.Start[i+1]; p++ {
		if x.plan[int(m.NeighborsOf.Other[p])*m.T+t] != model.Rest {
			delta -= m.Neighbors[m.NeighborsOf.Pair[p]].Cost
		}
	}
	x.each(i, t, func(y int, old, now int16) {
		base := int(m.StateBase[i])
		delta += m.OverdueCost[base+int(now)] - m.OverdueCost[base+int(old)]
		c, d := m.Class[base+int(old)], m.Class[base+int(now)]
		if c == d {
			return
		}
		for _, s := range [2]struct {
			class int32
			sign  float64
		}{{c, -a}, {d, a}} {
			band, acres := &m.Classes[s.class], x.class[int(s.class)*m.T+y]
			delta += w.Mix * (off(acres+s.sign, band.Lo, band.Hi) - off(acres, band.Lo, band.Hi))
		}
	})
	return delta
}

// each calls with the years whose state a burn changes, and the states with it
// and without it.
func (x *thinner) each(i, t int, year func(y int, old, now int16)) {
	m := x.m
	k := m.Start[i]
	if t > 0 {
		k = x.age[i*m.T+t-1]
	}
	for y := t; y < m.T && (y == t || x.plan[i*m.T+y] == model.Rest); y++ {
		k = m.Next(i, k)
		if old := x.age[i*m.T+y]; old != k {
			year(y, old, k)
		}
	}
}

func (x *thinner) remove(i, t int) {
	x.each(i, t, func(y int, old, now int16) {
		x.move(i, y, old, -1)
		x.move(i, y, now, 1)
		x.age[i*x.m.T+y] = now
	})
	x.acres[t] -= x.m.Acres[i]
	x.plan[i*x.m.T+t] = model.Rest
}
