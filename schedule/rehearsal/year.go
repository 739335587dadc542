package rehearsal

import (
	"cmp"
	"slices"

	"emberquilt/schedule/problem"
)

// year is one program year of a future under a rule.
type year struct {
	g      *ground
	f      *future
	k      int
	rule   *Rule
	with   resources
	limits *limits
	// ages are those at the end of the year before.
	ages []int
	// season holds the season in which each unit burned, rest where it did not.
	season []int8
	// planned, done and inSeason count the burns that the plan has this year,
	// those that were done, and those in their own season.
	planned, done, inSeason int
}

func (g *ground) newYear(f *future, k int, rule *Rule, ages []int) *year {
	y := &year{g: g, f: f, k: k, rule: rule, with: rule.resources(), ages: ages, season: make([]int8, g.n)}
	y.limits = g.newLimits(k, y.with)
	for i := range y.season {
		y.season[i] = rest
		if r := g.onRecord[i]; k == 0 && r.ok {
			s := r.season
			if s < 0 {
				s = cheapest(&g.Problem.Units[i])
			}
			y.season[i] = int8(s)
			y.limits.hold(i, r.season, 1)
		}
	}
	return y
}

// cheapest gives the allowed season of the least penalty, the first of them.
func cheapest(u *problem.Unit) int {
	best := -1
	for s, penalty := range u.Penalty {
		if penalty >= 0 && (best < 0 || penalty < u.Penalty[best]) {
			best = s
		}
	}
	return best
}

// mayBurn reports whether a unit may burn in a season of the year, as far as it
// goes by itself.
func (y *year) mayBurn(i, s int) bool {
	u, at := &y.g.Problem.Units[i], y.k*y.g.n+i
	return y.season[i] == rest && y.g.allowed(i, y.g.Problem.FirstYear+y.k, s) && y.ages[i]+1 >= u.MinInterval && !y.g.restLock[at] &&
		!(y.g.burnLock[at] && y.g.lockSeason[at] >= 0 && y.g.lockSeason[at] != s)
}

// follow plays the year by its plan: the seasons of this year's burns, what it
// would cost to rest each, and the same of the burns of next year.
func (y *year) follow(plan []int8, wait, waitNext map[int]float64) {
	jobs := make([][]*job, len(y.g.Problem.Seasons))
	var mine []*job
	seasonOf := map[*job]int{}
	for i, s := range plan {
		if s >= 0 && y.season[i] == rest {
			j := &job{unit: i, wait: wait[i], locked: y.g.burnLock[y.k*y.g.n+i] && y.g.lockSeason[y.k*y.g.n+i] >= 0}
			mine = append(mine, j)
			seasonOf[j] = int(s)
		}
	}
	y.planned = len(mine)
	slices.SortFunc(mine, byWait)
	for _, j := range mine {
		if s := seasonOf[j]; y.mayBurn(j.unit, s) && y.limits.admit(j.unit, s) {
			j.held = true
			jobs[s] = append(jobs[s], j)
		}
	}
	burned := func(s int) func(*job) {
		return func(j *job) {
			y.season[j.unit] = int8(s)
			if own, ok := seasonOf[j]; ok {
				y.done++
				if own == s {
					y.inSeason++
				}
			}
		}
	}
	for n, s := range y.g.SeasonOrder {
		slices.SortFunc(jobs[s], byWait)
		all := jobs[s]
		if y.rule.Ahead {
			all = append(slices.Clone(all), y.nextYears(s, waitNext)...)
		}
		y.playSeason(s, all, burned(s))
		for _, j := range all {
			if j.done || !j.held {
				continue
			}
			y.limits.release(j.unit, s, j.all-j.need)
			if _, planned := seasonOf[j]; !planned || !y.rule.SecondChance || j.locked {
				continue
			}
			for _, later := range y.g.SeasonOrder[n+1:] {
				if y.mayBurn(j.unit, later) {
					if y.limits.admit(j.unit, later) {
						jobs[later] = append(jobs[later], j)
					}
					break
				}
			}
		}
	}
}

// nextYears gives the units that the plan burns next year and that may burn in a
// season of this one.
func (y *year) nextYears(s int, waitNext map[int]float64) []*job {
	var jobs []*job
	for i := range y.g.n {
		wait, ok := waitNext[i]
		if !ok || y.limits.held[i] || !y.mayBurn(i, s) {
			continue
		}
		if next := y.k + 1; next < y.g.Years && y.g.burnLock[next*y.g.n+i] {
			continue // its lock says when
		}
		jobs = append(jobs, &job{unit: i, wait: wait})
	}
	slices.SortFunc(jobs, byWait)
	return jobs
}

// burnDue plays the year without a plan: locked burns first, then what would end
// the year overdue, the most overdue first and the larger first among equals, and
// on days that are left what would end the next year so. Each unit burns in the
// season that it likes best of those still to come, as long as the days give it.
func (y *year) burnDue() {
	for n, s := range y.g.SeasonOrder {
		var jobs []*job
		for i := range y.g.n {
			if y.mayBurn(i, s) && y.late(i) >= -1 && y.likesBest(i, n) {
				jobs = append(jobs, &job{unit: i})
			}
		}
		slices.SortFunc(jobs, func(a, b *job) int {
			i, j := a.unit, b.unit
			lockedI, lockedJ := y.g.burnLock[y.k*y.g.n+i], y.g.burnLock[y.k*y.g.n+j]
			if lockedI != lockedJ {
				return map[bool]int{true: -1, false: 1}[lockedI]
			}
			return cmp.Or(cmp.Compare(y.late(j), y.late(i)), cmp.Compare(y.g.Problem.Units[j].Acres, y.g.Problem.Units[i].Acres), cmp.Compare(i, j))
		})
		y.playSeason(s, jobs, func(j *job) { y.season[j.unit] = int8(s) })
		for _, j := range jobs {
			if !j.done && j.held {
				y.limits.release(j.unit, s, j.all-j.need)
			}
		}
	}
}

// late gives by how many years a unit would be past its longest interval at the
// end of the year if it rested: 0 is the first year of being overdue, −1 is due
// next year. Units locked to burn count as due.
func (y *year) late(i int) int {
	late := y.ages[i] + 1 - y.g.Problem.Units[i].MaxInterval
	if y.g.burnLock[y.k*y.g.n+i] {
		return max(late, 0)
	}
	return late
}

// likesBest reports whether no season later in the year has a lower penalty.
func (y *year) likesBest(i, n int) bool {
	u := &y.g.Problem.Units[i]
	own := u.Penalty[y.g.SeasonOrder[n]]
	for _, later := range y.g.SeasonOrder[n+1:] {
		if y.g.allowed(i, y.g.Problem.FirstYear+y.k, later) && u.Penalty[later] < own && y.g.Calendar.Usable[y.k][later][i].Count() > 0 {
			return false
		}
	}
	return true
}
