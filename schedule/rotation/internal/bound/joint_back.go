package bound

import "emberquilt/schedule/rotation/internal/model"

// marginals computes, after solve, the least cost of joint paths in which unit u
// burns, and rests, in year t, at u·T+t.
func (j *jointSolver) marginals(s *shape, years int, cost [][]float64, burn, rest []float64) {
	n := len(s.k)
	j.back, j.sets = grow(j.back, s.size), grow(j.sets, 1<<n)
	back := j.back[:s.size]
	clear(back)
	for t := years - 1; t >= 0; t-- {
		sets := j.sets[:1<<n]
		for x := range sets {
			sets[x] = model.Inf
		}
		for x, v := range j.value[(t+1)*s.size : (t+2)*s.size] {
			if c := v + back[x]; c < sets[s.zero[x]] {
				sets[s.zero[x]] = c
			}
		}
		for u := range n {
			b, r := model.Inf, model.Inf
			for set, c := range sets {
				if set>>u&1 == 1 {
					b = min(b, c)
				} else {
					r = min(r, c)
				}
			}
			burn[u*years+t], rest[u*years+t] = b, r
		}
		if t == 0 {
			return
		}
		s.endYear(j.table(s, t), back)
		for u, k := range s.k {
			stepBack(back, s.stride[u], k, s.first[u], cost[u][t*k:t*k+k])
		}
	}
}

// stepBack takes one unit back through a year: each state gets the better of a
// rest and, where it may burn, a burn.
func stepBack(v []float64, stride, k, first int, cost []float64) {
	for base := 0; base < len(v); base += stride * k {
		for x := base; x < base+stride; x++ {
			burn := v[x] + cost[0]
			last := x + (k-1)*stride
			end := v[last] + cost[k-1]
			for a := 0; a < k; a++ {
				c := end
				if a+1 < k {
					c = v[x+(a+1)*stride] + cost[a+1]
				}
				if a >= first && burn < c {
					c = burn
				}
				v[x+a*stride] = c
			}
		}
	}
}
