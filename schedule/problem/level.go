package problem

// Level makes nothing of what is next to nothing, and LeastAmount of such acres of a unit:
// a property may hold a sliver of ground, or a weight that was meant as 0.
func (p *Problem) Level() {
	level := func(all ...*float64) {
		for _, v := range all {
			if *v > 0 && *v < LeastAmount {
				*v = 0
			}
		}
	}
	for i := range p.Units {
		u := &p.Units[i]
		u.Acres = max(u.Acres, LeastAmount)
		level(&u.BurnDays, &u.Cost)
		for s := range u.Penalty {
			level(&u.Penalty[s])
		}
	}
	for i := range p.Caps {
		c := &p.Caps[i]
		level(&c.Acres, &c.Cost)
		for s := range c.BurnDays {
			level(&c.BurnDays[s])
		}
	}
	for i := range p.Refuges {
		level(&p.Refuges[i].MaxShare)
	}
	for i := range p.Mixes {
		for k := range p.Mixes[i].Classes {
			level(&p.Mixes[i].Classes[k].MinShare, &p.Mixes[i].Classes[k].MaxShare)
		}
	}
	w := &p.Weights
	level(&p.EvenLo, &p.EvenHi, &p.OverdueGrowth, &w.Overdue, &w.Mix, &w.Season, &w.Evenness, &w.Neighbors, &w.Keep)
}
