package rotation

import (
	"fmt"
	"slices"

	"emberquilt/schedule/problem"
)

// tile makes a larger problem of n copies of p side by side: units, refuges,
// pairs, closed seasons, locks and the previous plan are copied, caps and the band multiplied;
// the mixes stay, with more units in each.
func tile(p *problem.Problem, n int) *problem.Problem {
	q := *p
	q.Units, q.Refuges, q.Apart, q.Neighbors, q.Closed, q.Locks, q.Previous = nil, nil, nil, nil, nil, nil, nil
	for c := range n {
		first, group := len(q.Units), len(q.Refuges)
		for _, u := range p.Units {
			u.ID = fmt.Sprintf("%s-%d", u.ID, c)
			if u.Refuge >= 0 {
				u.Refuge += group
			}
			q.Units = append(q.Units, u)
		}
		for _, r := range p.Refuges {
			r.Name = fmt.Sprintf("%s-%d", r.Name, c)
			q.Refuges = append(q.Refuges, r)
		}
		for _, a := range p.Apart {
			q.Apart = append(q.Apart, [2]int{a[0] + first, a[1] + first})
		}
		for _, a := range p.Neighbors {
			q.Neighbors = append(q.Neighbors, [2]int{a[0] + first, a[1] + first})
		}
		for _, c := range p.Closed {
			c.Unit += first
			q.Closed = append(q.Closed, c)
		}
		for _, l := range p.Locks {
			l.Unit += first
			q.Locks = append(q.Locks, l)
		}
		for _, b := range p.Previous {
			b.Unit += first
			q.Previous = append(q.Previous, b)
		}
	}
	k := float64(n)
	q.EvenLo, q.EvenHi = q.EvenLo*k, q.EvenHi*k
	q.Caps = slices.Clone(p.Caps)
	for t := range q.Caps {
		c := &q.Caps[t]
		c.Acres, c.Burns, c.Cost = c.Acres*k, c.Burns*k, c.Cost*k
		c.BurnDays = slices.Clone(c.BurnDays)
		for s := range c.BurnDays {
			c.BurnDays[s] *= k
		}
	}
	return &q
}
