package family

import (
	"fmt"
	"math"
	"math/rand/v2"

	"emberquilt/schedule/problem"
)

// habitat is a kind of ground of an invented property: its return intervals and
// the ages at which its classes begin.
type habitat struct {
	name      string
	intervals [][2]int
	from      []int
}

var habitats = []habitat{
	{"prairie", [][2]int{{1, 2}, {2, 3}, {2, 3}, {2, 4}}, []int{0, 1, 3}},
	{"savanna", [][2]int{{2, 3}, {2, 4}, {3, 5}, {3, 6}}, []int{0, 1, 3, 5}},
	{"woodland", [][2]int{{3, 6}, {4, 8}, {3, 5}}, []int{0, 1, 4, 7}},
	{"barrens", [][2]int{{5, 12}, {4, 8}}, []int{0, 1, 5, 9}},
}

// Property gives an invented property: units on a rough grid, of four habitats
// with wanted age classes, two units in five in refuge groups of three to eight
// that lie together, neighbors and a few apart pairs along the grid, caps on
// acres, burns, dollars and burn days that are a little short of the need, a few
// better and worse years, and a few locks.
func Property(seed uint64, units, years, lookahead int) *problem.Problem {
	g := land{rand.New(rand.NewPCG(seed, uint64(units*1000+years+lookahead))), empty(years, lookahead, "dormant", "early-growing", "late-growing")}
	g.habitats()
	for i := range units {
		g.unit(i)
	}
	side := max(2, int(math.Sqrt(float64(units))))
	g.refuges(side)
	g.pairs(side)
	g.caps()
	g.locks()
	return finish(g.p)
}

type land struct {
	r *rand.Rand
	p *problem.Problem
}

func (g *land) between(lo, hi float64) float64 { return lo + (hi-lo)*g.r.Float64() }

// share gives a share in hundredths.
func (g *land) share(lo, hi float64) float64 { return math.Round(100*g.between(lo, hi)) / 100 }

// habitats wants of each age class about the share that a steady rotation has.
func (g *land) habitats() {
	for _, h := range habitats {
		mean := 0.0
		for _, interval := range h.intervals {
			mean += float64(interval[0]+interval[1]) / 2 / float64(len(h.intervals))
		}
		mix := problem.Mix{Name: h.name}
		share, total := make([]float64, len(h.from)), 0.0
		for k, from := range h.from {
			c := problem.Class{Name: []string{"fresh", "young", "mid", "old"}[k], From: from, To: problem.OpenEnded}
			share[k] = 0.3
			if k+1 < len(h.from) {
				c.To = h.from[k+1] - 1
				share[k] = min(float64(c.To-c.From+1), mean-float64(from))
			}
			share[k] = max(0.3, share[k])
			total += share[k]
			mix.Classes = append(mix.Classes, c)
		}
		for k := range mix.Classes {
			mix.Classes[k].MinShare = g.share(0.75*share[k]/total, 0.9*share[k]/total)
			mix.Classes[k].MaxShare = min(1, g.share(1.1*share[k]/total, 1.4*share[k]/total))
		}
		g.p.Mixes = append(g.p.Mixes, mix)
	}
}

func (g *land) unit(i int) {
	acres := math.Round(10*min(200, max(3, 30*math.Exp(0.8*g.r.NormFloat64())))) / 10
	h := g.r.IntN(10)
	mix := []int{0, 0, 0, 0, 1, 1, 1, 1, 2, 3}[h]
	interval := habitats[mix].intervals[g.r.IntN(len(habitats[mix].intervals))]
	u := problem.Unit{ID: fmt.Sprintf("u%05d", i+1), Acres: acres, MinInterval: interval[0], MaxInterval: interval[1],
		Age: g.r.IntN(interval[1] + 1), BurnDays: 1, Mix: mix, Refuge: -1, Penalty: []float64{-1, -1, -1},
		Cost: 10 * math.Round(40+1.5*acres)}
	if g.r.IntN(12) == 0 {
		u.Age += g.r.IntN(20) // behind schedule
	}
	if g.r.IntN(25) == 0 {
		u.Mix = -1
	}
	first := g.r.IntN(2)
	u.Penalty[first] = 0
	for s := range u.Penalty {
		if s != first && g.r.IntN(2) == 0 {
			u.Penalty[s] = []float64{0, 0.5, 1}[g.r.IntN(3)]
		}
	}
	switch {
	case acres < 20:
		u.BurnDays = 0.5
	case acres > 150:
		u.BurnDays = 2
	case acres > 100:
		u.BurnDays = 1.5
	}
	g.p.Units = append(g.p.Units, u)
}

// refuges puts runs of units, which lie side by side, into groups.
func (g *land) refuges(side int) {
	units := g.p.Units
	for i := 0; i < len(units); {
		size := 3 + g.r.IntN(6)
		end := min(len(units), i+size, (i/side+1)*side)
		if g.r.IntN(5) < 2 && end-i >= 3 {
			largest, total := 0.0, 0.0
			for k := i; k < end; k++ {
				units[k].Refuge = len(g.p.Refuges)
				largest, total = max(largest, units[k].Acres), total+units[k].Acres
			}
			share := max(g.share(0.35, 0.55), math.Ceil(100*largest/total)/100)
			g.p.Refuges = append(g.p.Refuges, problem.Refuge{Name: fmt.Sprintf("r%04d", len(g.p.Refuges)+1), MaxShare: share})
		}
		i = end
	}
}

func (g *land) pairs(side int) {
	for i := range g.p.Units {
		for _, j := range []int{i - 1, i - side, i - side - 1} {
			if j < 0 || j == i-1 && i%side == 0 {
				continue
			}
			switch n := g.r.IntN(100); {
			case n < 12:
				g.p.Apart = append(g.p.Apart, [2]int{j, i})
			case n < 60 && j != i-side-1:
				g.p.Neighbors = append(g.p.Neighbors, [2]int{j, i})
			}
		}
	}
}

// caps sets limits from what the intervals ask for in a mean year.
func (g *land) caps() {
	p := g.p
	var acres, burns, cost float64
	days := make([]float64, 3)
	for i := range p.Units {
		u := &p.Units[i]
		rate := 2 / float64(u.MinInterval+u.MaxInterval)
		acres += rate * u.Acres
		burns += rate
		cost += rate * u.Cost
		for s := range days {
			if u.Penalty[s] == 0 {
				days[s] += rate * u.BurnDays
				break
			}
		}
	}
	// A unit must fit, so that caps do not fall below the largest.
	p.EvenLo, p.EvenHi = math.Round(0.7*acres), math.Round(0.95*acres)
	short := g.between(0.85, 0.95)
	for t := range p.Caps {
		year := short
		if g.r.IntN(7) == 0 {
			year *= g.between(0.7, 1.2)
		}
		c := &p.Caps[t]
		c.Acres, c.Burns, c.Cost = max(200, math.Round(acres*year)), max(2, math.Round(1.05*burns*year)), max(4000, 100*math.Round(cost*year/100))
		for s := range days {
			c.BurnDays[s] = max(2, math.Round(2*1.1*days[s]*year)/2)
		}
	}
}

// locks fixes a few rests, and burns of units that stand in no pair and no
// refuge and are of age, one a year at most, so that they can stand.
func (g *land) locks() {
	p := g.p
	for range len(p.Units) / 40 {
		p.Locks = append(p.Locks, problem.Lock{Unit: g.r.IntN(len(p.Units)), Year: p.FirstYear + g.r.IntN(3), Season: -1})
	}
	seen := map[int]bool{}
	for _, l := range p.Locks {
		seen[l.Unit] = true
	}
	for k := range min(3, len(p.Units)/30) {
		i := g.r.IntN(len(p.Units))
		if u := &p.Units[i]; !seen[i] && u.Refuge < 0 && u.Age+1 >= u.MinInterval {
			p.Locks = append(p.Locks, problem.Lock{Unit: i, Year: p.FirstYear + k, Burn: true, Season: -1})
			seen[i] = true
		}
	}
	p.Locks = dedupe(p.Locks)
}

func dedupe(locks []problem.Lock) []problem.Lock {
	seen := map[problem.Lock]bool{}
	var out []problem.Lock
	for _, l := range locks {
		if !seen[l] {
			seen[l] = true
			out = append(out, l)
		}
	}
	return out
}
