package certify

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"emberquilt/schedule/problem"
)

// infeasible checks an answer that says that no plan exists: it must name
// clashes, and each must be one by itself.
func (r *Report) infeasible(p *problem.Problem, a *problem.Answer) {
	if len(a.Burns) > 0 {
		r.bad("burns", "an infeasible answer has %d burns", len(a.Burns))
	}
	if len(a.Prices) > 0 {
		r.bad("prices", "an infeasible answer has %d prices", len(a.Prices))
	}
	if len(a.Clashes) == 0 {
		r.bad("clashes", "an infeasible answer names no clash")
	}
	for k := range a.Clashes {
		if err := checkClash(p, &a.Clashes[k]); err != nil {
			r.bad(fmt.Sprintf("clashes[%d]", k), "%v", err)
		}
	}
}

// checkClash sees that the locks of a clash are locks of the problem, that they
// cannot stand together, and that none of them is idle.
func checkClash(p *problem.Problem, c *problem.Clash) error {
	if len(c.Locks) == 0 {
		return errors.New("it names no lock")
	}
	for k, l := range c.Locks {
		if !slices.Contains(p.Locks, l) {
			return fmt.Errorf("locks[%d] is not a lock of the problem", k)
		}
		if slices.Contains(c.Locks[:k], l) {
			return fmt.Errorf("locks[%d] is named twice", k)
		}
	}
	switch c.Requirement {
	case problem.RequireLock:
		return checkContradiction(p, c)
	case problem.RequireRest:
		return checkRest(p, c)
	case problem.RequireSeason:
		return checkSeason(p, c)
	case problem.RequireApart:
		return checkApart(p, c)
	case problem.RequireAcres, problem.RequireBurns, problem.RequireCost, problem.RequireRefuge:
		return checkSum(p, c)
	case problem.RequireBurnDays:
		return checkDays(p, c)
	}
	return fmt.Errorf("%q is not a requirement", c.Requirement)
}

func checkContradiction(p *problem.Problem, c *problem.Clash) error {
	if len(c.Locks) != 2 || c.Locks[0].Unit != c.Locks[1].Unit || c.Locks[0].Year != c.Locks[1].Year || c.Locks[0].Year != c.Year {
		return errors.New("it takes two locks on one unit and year to contradict each other")
	}
	x, y := c.Locks[0], c.Locks[1]
	if x.Burn == y.Burn && (!x.Burn || x.Season < 0 || y.Season < 0 || x.Season == y.Season) {
		return fmt.Errorf("the locks on %s in %d do not contradict each other", p.Units[x.Unit].ID, x.Year)
	}
	return nil
}

// burning checks that all locks are burns, of different units, in the clash's
// year.
func burning(p *problem.Problem, c *problem.Clash) error {
	for k, l := range c.Locks {
		if !l.Burn || l.Year != c.Year {
			return fmt.Errorf("locks[%d] is not a burn of %d", k, c.Year)
		}
		if slices.ContainsFunc(c.Locks[:k], func(o problem.Lock) bool { return o.Unit == l.Unit }) {
			return fmt.Errorf("unit %s is named twice", p.Units[l.Unit].ID)
		}
	}
	return nil
}

func checkRest(p *problem.Problem, c *problem.Clash) error {
	for _, l := range c.Locks {
		if !l.Burn || l.Unit != c.Locks[0].Unit {
			return errors.New("the locks are not burns of one unit")
		}
	}
	u := &p.Units[c.Locks[0].Unit]
	rested := 0
	switch len(c.Locks) {
	case 1:
		rested = u.Age + c.Locks[0].Year - p.FirstYear + 1
	case 2:
		rested = c.Locks[1].Year - c.Locks[0].Year
		if rested < 0 {
			rested = -rested
		}
		if rested == 0 {
			return errors.New("both locks are of one year")
		}
	default:
		return errors.New("two locks are enough")
	}
	if rested >= u.MinInterval {
		return fmt.Errorf("%s rests %d years, which is not less than its shortest interval of %d", u.ID, rested, u.MinInterval)
	}
	return numbers(c, float64(u.MinInterval), float64(rested))
}

// numbers holds the numbers of a clash against those computed here.
func numbers(c *problem.Clash, needed, allowed float64) error {
	if c.HasNumbers && (!near(c.Needed, needed) || !near(c.Allowed, allowed)) {
		return fmt.Errorf("it says that %v are needed and %v allowed; these are %v and %v", c.Needed, c.Allowed, needed, allowed)
	}
	return nil
}

// seasonsOf lists the seasons that a locked burn may take.
func seasonsOf(p *problem.Problem, l problem.Lock) []int {
	var list []int
	for s := range p.Seasons {
		shut := slices.ContainsFunc(p.Closed, func(c problem.Closed) bool {
			return c.Unit == l.Unit && c.Year == l.Year && (c.Season < 0 || c.Season == s)
		})
		if !shut && p.Units[l.Unit].Allows(s) && (l.Season < 0 || l.Season == s) {
			list = append(list, s)
		}
	}
	return list
}

func checkSeason(p *problem.Problem, c *problem.Clash) error {
	if err := burning(p, c); err != nil {
		return err
	}
	if len(c.Locks) != 1 {
		return errors.New("one lock is enough")
	}
	if seasons := seasonsOf(p, c.Locks[0]); len(seasons) > 0 {
		return fmt.Errorf("%s may burn in %s", p.Units[c.Locks[0].Unit].ID, p.Seasons[seasons[0]])
	}
	return nil
}

func checkApart(p *problem.Problem, c *problem.Clash) error {
	if err := burning(p, c); err != nil {
		return err
	}
	if len(c.Locks) != 2 {
		return errors.New("it takes two locks")
	}
	pair := [2]int{min(c.Locks[0].Unit, c.Locks[1].Unit), max(c.Locks[0].Unit, c.Locks[1].Unit)}
	if !slices.Contains(p.Apart, pair) {
		return fmt.Errorf("%s and %s need not be apart", p.Units[pair[0]].ID, p.Units[pair[1]].ID)
	}
	return nil
}

func checkSum(p *problem.Problem, c *problem.Clash) error {
	if err := burning(p, c); err != nil {
		return err
	}
	caps := &p.Caps[c.Year-p.FirstYear]
	var limit float64
	amount := func(u *problem.Unit) float64 { return u.Acres }
	switch c.Requirement {
	case problem.RequireAcres:
		limit = caps.Acres
	case problem.RequireBurns:
		limit, amount = caps.Burns, func(*problem.Unit) float64 { return 1 }
	case problem.RequireCost:
		limit, amount = caps.Cost, func(u *problem.Unit) float64 { return u.Cost }
	default:
		if c.Refuge < 0 || c.Refuge >= len(p.Refuges) {
			return errors.New("it names no refuge")
		}
		for _, l := range c.Locks {
			if p.Units[l.Unit].Refuge != c.Refuge {
				return fmt.Errorf("%s is not in refuge %s", p.Units[l.Unit].ID, p.Refuges[c.Refuge].Name)
			}
		}
		limit = p.Refuges[c.Refuge].MaxShare * p.RefugeAcres()[c.Refuge]
	}
	var sum exact
	least := math.Inf(1)
	for _, l := range c.Locks {
		sum.add(amount(&p.Units[l.Unit]))
		least = min(least, amount(&p.Units[l.Unit]))
	}
	if meets(&sum, limit) {
		return fmt.Errorf("the locks take %s, which is within %s", figure(sum.float()), figure(limit))
	}
	sum.add(-least)
	if !meets(&sum, limit) {
		return errors.New("fewer of these locks already pass the limit")
	}
	sum.add(least)
	return numbers(c, sum.float(), limit)
}

// checkDays sees that the locks fit into the seasons in no arrangement, and
// that without any one of them they do.
func checkDays(p *problem.Problem, c *problem.Clash) error {
	if err := burning(p, c); err != nil {
		return err
	}
	var days float64
	open := map[int]bool{}
	for _, l := range c.Locks {
		days += p.Units[l.Unit].BurnDays
		for _, s := range seasonsOf(p, l) {
			open[s] = true
		}
	}
	allowed := 0.0
	for s, limit := range p.Caps[c.Year-p.FirstYear].BurnDays {
		if open[s] {
			allowed += limit
		}
	}
	if c.Season >= len(p.Seasons) {
		return errors.New("it names a season that the problem does not have")
	}
	if c.Season >= 0 && (len(open) != 1 || !open[c.Season]) {
		return fmt.Errorf("the locks are not bound to %s", p.Seasons[c.Season])
	}
	switch fits, sure := arrange(p, c.Locks); {
	case !sure:
		return errors.New("its arrangements are too many to check")
	case fits:
		return fmt.Errorf("the locks fit into the burn days of %d", c.Year)
	}
	for k := range c.Locks {
		if fits, sure := arrange(p, slices.Delete(slices.Clone(c.Locks), k, k+1)); sure && !fits {
			return fmt.Errorf("without locks[%d] the others already do not fit", k)
		}
	}
	return numbers(c, days, allowed)
}

// arrange reports whether locked burns of one year fit into its seasons, by
// trying all arrangements, up to a limit. Of equal burns, of which only the
// seasons' loads count, one order is tried.
func arrange(p *problem.Problem, locks []problem.Lock) (fits, sure bool) {
	caps := p.Caps[yearOf(p, locks)].BurnDays
	load := make([]float64, len(caps))
	dead := map[string]bool{}
	steps := 0
	var place func(k int) bool
	place = func(k int) bool {
		if k == len(locks) {
			return true
		}
		key := fmt.Sprint(k, roundAll(load))
		if dead[key] {
			return false
		}
		if steps++; steps > cutSteps/10 {
			return false
		}
		for _, s := range seasonsOf(p, locks[k]) {
			before := load[s]
			load[s] += p.Units[locks[k].Unit].BurnDays
			ok := problem.Meets(load[s], caps[s]) && place(k+1)
			load[s] = before
			if ok {
				return true
			}
		}
		dead[key] = true
		return false
	}
	fits = place(0)
	return fits, fits || steps <= cutSteps/10
}

// yearOf gives the index of the year of locks, all of one year.
func yearOf(p *problem.Problem, locks []problem.Lock) int {
	if len(locks) == 0 {
		return 0
	}
	return locks[0].Year - p.FirstYear
}

// roundAll tells loads apart that differ by more than sums of floats do.
func roundAll(load []float64) []int64 {
	out := make([]int64, len(load))
	for s, x := range load {
		out[s] = int64(math.Round(x * 1e7))
	}
	return out
}
