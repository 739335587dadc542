package contradiction

import (
	"fmt"
	"math"
	"slices"

	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// resource is something of which each year has so much, and each burn of some units
// takes some.
type resource struct {
	kind  Kind
	name  string // "the caps of acres", with what they allow
	unit  string // of what is counted, in the plural
	takes func(i int) float64
	// limits are those of each year; infinite where a year has none.
	limits []float64
	units  []int
}

// sums holds what the intervals need at least against the caps and refuge shares.
func (f *finder) sums() []Finding {
	var all []Finding
	burns := f.windows()
	for _, r := range f.resources() {
		if one, ok := f.short(r, burns); ok {
			all = append(all, one)
		}
	}
	return all
}

// windows gives the fewest burns of each unit from a first year, by year: all first
// years where that is not too much work, else the first alone.
func (f *finder) windows() [][][]float64 {
	T := f.p.T()
	work := 0
	for i := range f.units {
		work += T * T * f.units[i].longest
	}
	firsts := T
	if work > mostWork {
		firsts = 1
	}
	all := make([][][]float64, len(f.units))
	for i := range f.units {
		if f.units[i].stuck >= 0 {
			continue
		}
		for first := range firsts {
			all[i] = append(all[i], f.units[i].fewest(first, burned))
		}
	}
	return all
}

// resources lists what plans share.
func (f *finder) resources() []resource {
	p, T := f.p, f.p.T()
	var onTime []int
	for i := range f.units {
		if f.units[i].stuck < 0 {
			onTime = append(onTime, i)
		}
	}
	yearly := func(of func(c *problem.YearCaps) float64) []float64 {
		all := make([]float64, T)
		for t := range all {
			all[t] = of(&p.Caps[t])
		}
		return all
	}
	all := []resource{
		{Acres, "the caps of acres", "acres", func(i int) float64 { return p.Units[i].Acres }, yearly(func(c *problem.YearCaps) float64 { return c.Acres }), onTime},
		{Burns, "the caps of burns", "burns", func(int) float64 { return 1 }, yearly(func(c *problem.YearCaps) float64 { return c.Burns }), onTime},
		{Cost, "the caps of cost", "dollars", func(i int) float64 { return p.Units[i].Cost }, yearly(func(c *problem.YearCaps) float64 { return c.Cost }), onTime},
	}
	for _, seasons := range subsets(len(p.Seasons)) {
		var within []int
		for _, i := range onTime {
			if !slices.ContainsFunc(outside(len(p.Seasons), seasons), p.Units[i].Allows) {
				within = append(within, i)
			}
		}
		name := "the burn days of "
		var names []string
		for _, s := range seasons {
			names = append(names, p.Seasons[s])
		}
		all = append(all, resource{BurnDays, name + quantity.List(names), "burn days", func(i int) float64 { return p.Units[i].BurnDays },
			yearly(func(c *problem.YearCaps) float64 {
				sum := 0.0
				for _, s := range seasons {
					sum += c.BurnDays[s]
				}
				return sum
			}), within})
	}
	for g, group := range p.Refuges {
		var units []int
		for _, i := range onTime {
			if p.Units[i].Refuge == g {
				units = append(units, i)
			}
		}
		limit := group.MaxShare * f.refuge[g]
		all = append(all, resource{Refuge, "the share of refuge " + group.Name, "acres", func(i int) float64 { return p.Units[i].Acres },
			yearly(func(*problem.YearCaps) float64 { return limit }), units})
	}
	return all
}

// subsets lists the sets of seasons whose burn days are added up: all of them where
// they are few, else each alone and all together.
func subsets(n int) [][]int {
	var all [][]int
	if n > 5 {
		var whole []int
		for s := range n {
			all, whole = append(all, []int{s}), append(whole, s)
		}
		return append(all, whole)
	}
	for mask := 1; mask < 1<<n; mask++ {
		var one []int
		for s := range n {
			if mask&(1<<s) != 0 {
				one = append(one, s)
			}
		}
		all = append(all, one)
	}
	slices.SortStableFunc(all, func(a, b []int) int { return len(a) - len(b) })
	return all
}

func outside(n int, seasons []int) []int {
	var all []int
	for s := range n {
		if !slices.Contains(seasons, s) {
			all = append(all, s)
		}
	}
	return all
}

// short finds the years in which a resource is less than the intervals need: all of
// them where that is so, else those that are over first.
func (f *finder) short(r resource, burns [][][]float64) (Finding, bool) {
	T := f.p.T()
	if len(r.units) == 0 {
		return Finding{}, false
	}
	firsts := len(burns[r.units[0]])
	lacks := func(first, last int) (need, allowed float64, short bool) {
		limits := r.limits[first : last+1]
		if slices.ContainsFunc(limits, func(l float64) bool { return math.IsInf(l, 0) }) {
			return 0, 0, false
		}
		for _, i := range r.units {
			need += r.takes(i) * burns[i][first][last-first]
		}
		total, slack := slackOf(limits)
		return need, total, need > total+slack+1e-9*math.Max(1, need)
	}
	first, last := 0, T-1
	need, allowed, short := lacks(first, last)
	for l := 0; l < T && !short; l++ {
		for k := range min(firsts, l+1) {
			if need, allowed, short = lacks(k, l); short {
				first, last = k, l
				break
			}
		}
	}
	if !short {
		return Finding{}, false
	}
	var takers []int
	mean := 0.0
	for _, i := range r.units {
		if r.takes(i) > 0 && burns[i][first][last-first] > 0 {
			takers = append(takers, i)
		}
		mean += r.takes(i) / float64(f.units[i].longest)
	}
	one := Finding{Kind: r.kind, Sets: [][]int{takers}, First: f.year(first), Last: f.year(last), Needed: need, Allowed: allowed}
	one.Text = fmt.Sprintf(
		"in %s the longest intervals of %s need %s or more, and %s %s: one of them or more is overdue in every plan (%s a year in the long run, each unit's %s divided by its longest interval)",
		f.when(
			first,
			last,
		),
		quantity.Count(len(takers), "unit"),
		counted(need, r.unit),
		r.name+map[bool]string{true: " allows", false: " allow"}[r.kind == Refuge],
		counted(allowed, r.unit),
		counted(mean, r.unit),
		singular(r.unit),
	)
	return one, true
}

func counted(v float64, unit string) string {
	if unit == "dollars" {
		if cents := math.Round(v * 100); math.Mod(cents, 100) != 0 {
			return "$" + quantity.Group(cents/100, 2)
		}
		return "$" + amount(v)
	}
	return amount(v) + " " + unit
}

// singular names what a unit's share is counted in.
func singular(unit string) string {
	if unit == "burns" {
		return "one burn"
	}
	return unit
}
