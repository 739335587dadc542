package reference

import (
	"fmt"
	"math/rand/v2"

	"emberquilt/schedule/problem"
)

// Size says how large a random problem may be. The zero value of a field takes
// the default.
type Size struct {
	MinUnits, MaxUnits int // default 1 to 5
	MinYears, MaxYears int // T, default 2 to 6
	// Locks is the chance, in percent, of locks; they may clash.
	Locks int
	// Wild takes acres, weights and intervals that differ by many powers of ten.
	Wild bool
}

// Random makes a random small problem in which every feature is on or off by
// chance. The same source gives the same problem.
func Random(r *rand.Rand, size Size) *problem.Problem {
	if size.MaxUnits == 0 {
		size.MinUnits, size.MaxUnits = 1, 5
	}
	if size.MaxYears == 0 {
		size.MinYears, size.MaxYears = 2, 6
	}
	g := generator{r}
	T := g.between(size.MinYears, size.MaxYears)
	p := &problem.Problem{FirstYear: 2027, Lookahead: r.IntN(min(T, 3)), EvenLo: -problem.NoLimit, EvenHi: problem.NoLimit}
	p.Years = T - p.Lookahead
	p.Seasons = []string{"dormant", "early-growing", "late-growing"}[:1+r.IntN(3)]
	g.groups(p)
	for i := range g.between(size.MinUnits, size.MaxUnits) {
		p.Units = append(p.Units, g.unit(p, i))
	}
	if size.Wild {
		g.wildUnits(p)
	}
	g.caps(p)
	g.pairs(p)
	g.wishes(p)
	if size.Wild {
		p.Weights = problem.Weights{Overdue: g.pick(0, 0.001, 3, 1000), Mix: g.pick(0, 0.001, 2, 1000), Season: g.pick(0, 0.001, 0.5, 1000),
			Evenness: g.pick(0, 0.001, 1, 1000), Neighbors: g.pick(0, 0.001, 1, 1000), Keep: g.pick(0, 0.001, 1, 1000)}
	}
	if g.chance(size.Locks) {
		g.locks(p)
	}
	g.growth(p)
	g.closed(p)
	good, err := problem.Canonical(p)
	if err != nil {
		panic("reference: a random problem is bad: " + err.Error())
	}
	return good
}

type generator struct{ *rand.Rand }

func (g generator) between(lo, hi int) int    { return lo + g.IntN(hi-lo+1) }
func (g generator) chance(percent int) bool   { return g.IntN(100) < percent }
func (g generator) tenths(lo, hi int) float64 { return float64(g.between(10*lo, 10*hi)) / 10 }

func (g generator) pick(values ...float64) float64 { return values[g.IntN(len(values))] }

func (g generator) groups(p *problem.Problem) {
	for k := range g.IntN(3) {
		p.Refuges = append(p.Refuges, problem.Refuge{Name: []string{"north", "south"}[k], MaxShare: float64(g.between(20, 100)) / 100})
	}
	for k := range g.IntN(3) {
		mix := problem.Mix{Name: []string{"m1", "m2"}[k]}
		from := 0
		classes := g.between(1, 4)
		for c := range classes {
			class := problem.Class{Name: fmt.Sprintf("c%d", c), From: from, To: from + g.IntN(3), MaxShare: 1}
			from = class.To + 1
			if c == classes-1 {
				class.To = problem.OpenEnded
			}
			if g.chance(70) {
				class.MinShare = float64(g.between(0, 50)) / 100
			}
			if g.chance(70) {
				class.MaxShare = class.MinShare + float64(g.between(0, int(100-100*class.MinShare)))/100
				class.MaxShare = min(1, class.MaxShare)
			}
			mix.Classes = append(mix.Classes, class)
		}
		p.Mixes = append(p.Mixes, mix)
	}
}

func (g generator) unit(p *problem.Problem, i int) problem.Unit {
	u := problem.Unit{ID: fmt.Sprintf("n%d", i+1), Acres: g.tenths(4, 80), MinInterval: g.between(1, 3), Age: g.IntN(6),
		BurnDays: 1, Mix: g.IntN(len(p.Mixes)+1) - 1, Refuge: g.IntN(len(p.Refuges)+1) - 1}
	if g.chance(5) {
		u.Acres = g.pick(0.1, 20000)
	}
	u.MaxInterval = u.MinInterval + g.IntN(3)
	for range p.Seasons {
		penalty := -1.0
		if g.chance(70) {
			penalty = g.pick(0, 0.5, 1)
		}
		u.Penalty = append(u.Penalty, penalty)
	}
	if g.chance(50) {
		u.BurnDays = g.pick(0, 0.5, 0.75, 1, 1.5)
	}
	if g.chance(50) {
		u.Cost = float64(50 * g.between(3, 30))
	}
	return u
}

// wildUnits changes acres, intervals, ages, costs and days.
func (g generator) wildUnits(p *problem.Problem) {
	for i := range p.Units {
		u := &p.Units[i]
		u.Acres = g.pick(0.1, 1.0/3, 7, 1234.5678, 20000)
		if g.chance(30) {
			u.MinInterval, u.MaxInterval, u.Age = g.between(1, 30), 30, g.between(0, 200)
		}
		u.Cost, u.BurnDays = g.pick(0, 0.01, 1e6), g.pick(0, 1e-9, 1, 1e3)
	}
}

func (g generator) caps(p *problem.Problem) {
	base := problem.YearCaps{Acres: problem.NoLimit, Burns: problem.NoLimit, Cost: problem.NoLimit}
	var total, cost float64
	for i := range p.Units {
		total += p.Units[i].Acres
		cost += p.Units[i].Cost
	}
	fill := func(c *problem.YearCaps, percent int) {
		if g.chance(percent) {
			c.Acres = float64(int(10*total*float64(g.between(10, 80))/100)) / 10
		}
		if g.chance(percent) {
			c.Burns = float64(g.between(0, max(1, len(p.Units)-1)))
		}
		if g.chance(percent) {
			c.Cost = float64(int(cost * float64(g.between(10, 80)) / 100))
		}
		for s := range c.BurnDays {
			if g.chance(percent) {
				c.BurnDays[s] = g.pick(0, 0.5, 0.75, 1, 1.5, 2, 3)
			}
		}
	}
	for range p.Seasons {
		base.BurnDays = append(base.BurnDays, problem.NoLimit)
	}
	fill(&base, 40)
	for range p.T() {
		c := base
		c.BurnDays = append([]float64(nil), base.BurnDays...)
		if g.chance(20) {
			fill(&c, 30)
		}
		p.Caps = append(p.Caps, c)
	}
}

func (g generator) pairs(p *problem.Problem) {
	apart, near := g.pick(0, 15, 40), g.pick(0, 25, 60)
	for i := range p.Units {
		for j := i + 1; j < len(p.Units); j++ {
			switch {
			case g.chance(int(apart)):
				p.Apart = append(p.Apart, [2]int{i, j})
			case g.chance(int(near)):
				p.Neighbors = append(p.Neighbors, [2]int{i, j})
			}
		}
	}
}

func (g generator) wishes(p *problem.Problem) {
	p.Weights = problem.DefaultWeights()
	if g.chance(20) {
		p.Weights = problem.Weights{Overdue: g.pick(0, 1, 3), Mix: g.pick(0, 2, 5), Season: g.pick(0, 0.5, 4),
			Evenness: g.pick(0, 1, 10), Neighbors: g.pick(0, 1, 3), Keep: g.pick(0, 1, 2)}
	}
	var total float64
	for i := range p.Units {
		total += p.Units[i].Acres
	}
	if g.chance(40) {
		p.EvenLo = float64(int(total * float64(g.between(0, 40)) / 100))
	}
	if g.chance(40) {
		p.EvenHi = max(p.EvenLo, float64(int(total*float64(g.between(20, 60))/100)))
	}
	if g.chance(30) {
		for t := range p.T() {
			for i := range p.Units {
				if g.chance(30) {
					p.Previous = append(p.Previous, problem.UnitYear{Unit: i, Year: p.FirstYear + t})
				}
			}
		}
		p.KeepYears = g.between(1, p.T())
	}
}

// growth lets overdue grow in half of the problems.
func (g generator) growth(p *problem.Problem) {
	if g.chance(50) {
		p.OverdueGrowth, p.OverdueGrowthYears = g.pick(0.1, 1.0/3, 0.5, 1, 1, 2.5), g.IntN(5)
	}
}

// closed closes seasons to units in a third of the problems.
func (g generator) closed(p *problem.Problem) {
	if !g.chance(33) {
		return
	}
	percent := g.between(3, 30)
	for i := range p.Units {
		for t := range p.T() {
			if g.chance(percent) {
				p.Closed = append(p.Closed, problem.Closed{Unit: i, Year: p.FirstYear + t, Season: g.between(-1, len(p.Seasons)-1)})
			}
		}
	}
}

func (g generator) locks(p *problem.Problem) {
	seen := map[problem.Lock]bool{}
	for range g.between(1, 4) {
		l := problem.Lock{Unit: g.IntN(len(p.Units)), Year: p.FirstYear + g.IntN(p.T()), Burn: g.chance(70), Season: -1}
		if l.Burn && g.chance(30) {
			l.Season = g.IntN(len(p.Seasons))
		}
		if !seen[l] {
			seen[l] = true
			p.Locks = append(p.Locks, l)
		}
	}
}
