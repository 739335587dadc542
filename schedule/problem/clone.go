package problem

import "slices"

// Clone gives a deep copy, to be changed and solved again. It has no SHA256:
// that of the original would be a lie as soon as something is changed.
func (p *Problem) Clone() *Problem {
	c := *p
	c.SHA256 = ""
	c.Seasons = slices.Clone(p.Seasons)
	c.Units = slices.Clone(p.Units)
	for i := range c.Units {
		c.Units[i].Penalty = slices.Clone(p.Units[i].Penalty)
	}
	c.Caps = slices.Clone(p.Caps)
	for t := range c.Caps {
		c.Caps[t].BurnDays = slices.Clone(p.Caps[t].BurnDays)
	}
	c.Apart = slices.Clone(p.Apart)
	c.Neighbors = slices.Clone(p.Neighbors)
	c.Refuges = slices.Clone(p.Refuges)
	c.Mixes = slices.Clone(p.Mixes)
	for m := range c.Mixes {
		c.Mixes[m].Classes = slices.Clone(p.Mixes[m].Classes)
	}
	c.Closed = slices.Clone(p.Closed)
	c.Locks = slices.Clone(p.Locks)
	c.Previous = slices.Clone(p.Previous)
	c.Warnings = slices.Clone(p.Warnings)
	return &c
}
