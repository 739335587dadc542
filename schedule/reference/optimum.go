package reference

import (
	"cmp"
	"math"
	"slices"

	"emberquilt/schedule/problem"
)

// Result is the best plan of a problem. Burns is ordered by year, then unit.
type Result struct {
	Cost  float64
	Burns []problem.Burn
	// States counts the joint ages that were reached in all years.
	States int
}

// Optimum finds the best plan, or reports that there is none.
//
// Per year it lists the sets of units that may burn together with the cheapest
// seasons for each; over the years it keeps the least cost of each tuple of
// ages. Ages above which nothing changes are one.
func Optimum(p *problem.Problem) (Result, bool) {
	s := newSolver(p)
	start := make([]byte, len(p.Units))
	for i := range p.Units {
		start[i] = byte(min(p.Units[i].Age, s.oldest[i]))
	}
	layers := []map[string]arrival{{string(start): {}}}
	states := 1
	for t := range p.T() {
		next := map[string]arrival{}
		sets := s.burnSets(t)
		from := layers[t]
		for _, key := range sortedKeys(from) {
			s.step(t, key, from[key].cost, sets, next)
		}
		if len(next) == 0 {
			return Result{}, false
		}
		states += len(next)
		layers = append(layers, next)
	}
	best := arrival{cost: math.Inf(1)}
	for _, key := range sortedKeys(layers[p.T()]) {
		if a := layers[p.T()][key]; a.cost < best.cost {
			best = a
		}
	}
	return Result{Cost: best.cost, Burns: s.trace(layers, best), States: states}, true
}

// arrival is the cheapest way to a tuple of ages: the tuple before, and the
// season in which each unit burned, −1 for none.
type arrival struct {
	cost   float64
	before string
	season []int8
}

// burnSet is a set of units that may burn together in a year.
type burnSet struct {
	season  []int8
	cost    float64 // season and evenness, neighbors and keep
	members int
}

type solver struct {
	p *problem.Problem
	// oldest is the age of each unit above which nothing changes.
	oldest      []int
	mixAcres    []float64
	refugeAcres []float64
	previous    map[problem.UnitYear]bool
}

func newSolver(p *problem.Problem) *solver {
	s := &solver{p: p, mixAcres: p.MixAcres(), refugeAcres: p.RefugeAcres(), previous: map[problem.UnitYear]bool{}}
	for i := range p.Units {
		u := &p.Units[i]
		oldest := max(u.MinInterval, u.MaxInterval+p.OverdueGrowthYears)
		if u.Mix >= 0 {
			for _, c := range p.Mixes[u.Mix].Classes {
				oldest = max(oldest, c.From)
			}
		}
		if oldest > 250 {
			panic("reference: an age class or interval is too long for a test problem")
		}
		s.oldest = append(s.oldest, oldest)
	}
	for _, b := range p.Previous {
		s.previous[b] = true
	}
	return s
}

// burnSets lists the sets that meet every requirement of year t other than
// rest, each with its cheapest seasons.
func (s *solver) burnSets(t int) []burnSet {
	best := map[int]burnSet{}
	season := make([]int8, len(s.p.Units))
	var choose func(i int)
	choose = func(i int) {
		if i == len(season) {
			s.keepBest(t, season, best)
			return
		}
		season[i] = -1
		choose(i + 1)
		for k := range s.p.Seasons {
			if s.p.Units[i].Allows(k) && !s.closed(i, t, k) {
				season[i] = int8(k)
				choose(i + 1)
			}
		}
	}
	choose(0)
	sets := make([]burnSet, 0, len(best))
	for _, set := range best {
		sets = append(sets, set)
	}
	slices.SortFunc(sets, func(a, b burnSet) int { return cmp.Compare(a.members, b.members) })
	return sets
}

// closed reads the list of closed seasons word for word.
func (s *solver) closed(i, t, season int) bool {
	return slices.ContainsFunc(s.p.Closed, func(c problem.Closed) bool {
		return c.Unit == i && c.Year == s.p.FirstYear+t && (c.Season == -1 || c.Season == season)
	})
}

func (s *solver) keepBest(t int, season []int8, best map[int]burnSet) {
	if !s.allowed(t, season) {
		return
	}
	members := 0
	for i, k := range season {
		if k >= 0 {
			members |= 1 << i
		}
	}
	cost := s.burnCost(t, season)
	if old, ok := best[members]; !ok || cost < old.cost {
		best[members] = burnSet{slices.Clone(season), cost, members}
	}
}

// allowed checks caps, apart pairs, refuges and locks of a year.
func (s *solver) allowed(t int, season []int8) bool {
	p := s.p
	var acres, burns, cost float64
	days := make([]float64, len(p.Seasons))
	refuge := make([]float64, len(p.Refuges))
	for i, k := range season {
		if k < 0 {
			continue
		}
		u := &p.Units[i]
		acres += u.Acres
		burns++
		cost += u.Cost
		days[k] += u.BurnDays
		if u.Refuge >= 0 {
			refuge[u.Refuge] += u.Acres
		}
	}
	c := &p.Caps[t]
	ok := problem.Meets(acres, c.Acres) && problem.Meets(burns, c.Burns) && problem.Meets(cost, c.Cost)
	for k := range days {
		ok = ok && problem.Meets(days[k], c.BurnDays[k])
	}
	for r := range refuge {
		ok = ok && problem.Meets(refuge[r], p.Refuges[r].MaxShare*s.refugeAcres[r])
	}
	for _, pair := range p.Apart {
		ok = ok && (season[pair[0]] < 0 || season[pair[1]] < 0)
	}
	for _, l := range p.Locks {
		if l.Year != p.FirstYear+t {
			continue
		}
		k := season[l.Unit]
		ok = ok && l.Burn == (k >= 0) && (!l.Burn || l.Season < 0 || int(k) == l.Season)
	}
	return ok
}

func (s *solver) burnCost(t int, season []int8) float64 {
	p, w := s.p, s.p.Weights
	var cost, acres float64
	for i, k := range season {
		u := &p.Units[i]
		if k >= 0 {
			acres += u.Acres
			cost += w.Season * u.Penalty[k] * u.Acres
		}
		if t < p.KeepYears && (k >= 0) != s.previous[problem.UnitYear{Unit: i, Year: p.FirstYear + t}] {
			cost += w.Keep * u.Acres
		}
	}
	cost += w.Evenness * (max(0, p.EvenLo-acres) + max(0, acres-p.EvenHi))
	for _, pair := range p.Neighbors {
		if season[pair[0]] >= 0 && season[pair[1]] >= 0 {
			cost += w.Neighbors * min(p.Units[pair[0]].Acres, p.Units[pair[1]].Acres)
		}
	}
	return cost
}

// step spreads one tuple of ages over the sets of a year.
func (s *solver) step(t int, key string, cost float64, sets []burnSet, next map[string]arrival) {
	ages := make([]byte, len(key))
sets:
	for k := range sets {
		set := &sets[k]
		for i := range ages {
			if set.season[i] < 0 {
				ages[i] = byte(min(int(key[i])+1, s.oldest[i]))
				continue
			}
			if int(key[i])+1 < s.p.Units[i].MinInterval {
				continue sets
			}
			ages[i] = 0
		}
		total := cost + set.cost + s.ageCost(ages)
		if old, ok := next[string(ages)]; !ok || total < old.cost {
			next[string(ages)] = arrival{total, key, set.season}
		}
	}
}

// ageCost is the overdue and mix cost of a year that ends with these ages.
func (s *solver) ageCost(ages []byte) float64 {
	p, w := s.p, s.p.Weights
	var cost float64
	for i := range p.Units {
		if late := int(ages[i]) - p.Units[i].MaxInterval; late >= 0 {
			cost += w.Overdue * p.Units[i].Acres * (1 + p.OverdueGrowth*float64(min(late, p.OverdueGrowthYears)))
		}
	}
	for m := range p.Mixes {
		for _, c := range p.Mixes[m].Classes {
			var acres float64
			for i := range p.Units {
				if p.Units[i].Mix == m && int(ages[i]) >= c.From && int(ages[i]) <= c.To {
					acres += p.Units[i].Acres
				}
			}
			cost += w.Mix * (max(0, c.MinShare*s.mixAcres[m]-acres) + max(0, acres-c.MaxShare*s.mixAcres[m]))
		}
	}
	return cost
}

func (s *solver) trace(layers []map[string]arrival, last arrival) []problem.Burn {
	var burns []problem.Burn
	for t := s.p.T() - 1; t >= 0; t-- {
		for i := len(last.season) - 1; i >= 0; i-- {
			if k := last.season[i]; k >= 0 {
				burns = append(burns, problem.Burn{Unit: i, Year: s.p.FirstYear + t, Season: int(k)})
			}
		}
		last = layers[t][last.before]
	}
	slices.Reverse(burns)
	return burns
}

func sortedKeys(m map[string]arrival) []string {
	keys := make([]string, 0, len(m))
	for key := range m {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	return keys
}
