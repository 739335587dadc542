package contradiction

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// Kind says what cannot stand together.
type Kind string

// The kinds of findings.
const (
	// Alone is a unit that is overdue in every plan, whatever the others do.
	Alone Kind = "unit"
	// Apart are units that are kept apart and must burn in the same years.
	Apart Kind = "apart"
	// The caps of a year or a refuge share are below what the intervals need.
	Acres    Kind = "acres"
	Burns    Kind = "burns"
	Cost     Kind = "cost"
	BurnDays Kind = "burn_days"
	Refuge   Kind = "refuge"
	// Mix is a wanted share that the intervals do not let be reached.
	Mix Kind = "mix"
)

// Finding is one contradiction. In every plan that meets the hard requirements, one
// unit or more of each of the Sets ends a year overdue, from First to Last; of a Mix,
// that or the class misses its share.
type Finding struct {
	Kind Kind
	Sets [][]int
	// First and Last are program years.
	First, Last int
	// Needed is what the intervals need at least in those years, or the most that they
	// let a wanted class hold, and Allowed what the caps or shares say; 0 where a
	// finding has no such numbers.
	Needed, Allowed float64
	// Mix and Class index a mix and its class where the kind is Mix.
	Mix, Class int
	Text       string
}

// mostWork bounds the steps of the counts over windows that begin after the first
// year, and of pairs, so that a large problem is read at once.
const mostWork = 30_000_000

// Find gives the contradictions of a problem: units alone, then those apart, caps,
// refuges, mixes.
func Find(p *problem.Problem) []Finding {
	f := newFinder(p)
	var all []Finding
	all = append(all, f.alone()...)
	all = append(all, f.apart()...)
	all = append(all, f.sums()...)
	return append(all, f.mixes()...)
}

// Texts gives the words of findings.
func Texts(all []Finding) []string {
	var texts []string
	for i := range all {
		texts = append(texts, all[i].Text)
	}
	return texts
}

func (f *finder) year(t int) int { return f.p.FirstYear + t }

// when names years: "2027", "2027 to 2035".
func (f *finder) when(first, last int) string {
	if first == last {
		return fmt.Sprint(f.year(first))
	}
	return fmt.Sprintf("%d to %d", f.year(first), f.year(last))
}

func (f *finder) names(units []int) string {
	all := make([]string, len(units))
	for k, i := range units {
		all[k] = f.p.Units[i].ID
	}
	return quantity.ListFirst(all, 4)
}

// alone finds the units that are overdue whatever the others do, those of one cause
// and year together.
func (f *finder) alone() []Finding {
	type key struct {
		year  int
		cause string
	}
	groups := map[key][]int{}
	var order []key
	for i := range f.units {
		if f.units[i].stuck < 0 || f.neverBurns(i) {
			continue // a unit that can never burn is warned of by the problem itself
		}
		k := key{f.units[i].stuck, f.cause(i)}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], i)
	}
	slices.SortStableFunc(order, func(a, b key) int { return a.year - b.year })
	var all []Finding
	for _, k := range order {
		units := groups[k]
		one := Finding{Kind: Alone, First: f.year(0), Last: f.year(k.year)}
		for _, i := range units {
			one.Sets = append(one.Sets, []int{i})
		}
		verb, they := "ends", "it"
		if len(units) > 1 {
			verb, they = "end", "them"
		}
		one.Text = fmt.Sprintf("%s %s %d overdue in every plan: %s", f.names(units), verb, one.Last, strings.ReplaceAll(k.cause, "THEM", they))
		all = append(all, one)
	}
	return all
}

// neverBurns reports whether no year has room for a unit even without locks.
func (f *finder) neverBurns(i int) bool {
	return !slices.Contains(f.unit(i, limits{noLocks: true}).burn, true)
}

// cause says which requirement keeps a unit from burning in time.
func (f *finder) cause(i int) string {
	u, stuck := &f.p.Units[i], f.units[i].stuck
	late := func(without limits) bool {
		y := f.unit(i, without)
		return y.stuck >= 0 && y.stuck <= stuck
	}
	var which []string
	for _, one := range []struct {
		without limits
		words   string
	}{
		{limits{noClosures: true}, "the seasons that would burn THEM in time are closed or over"},
		{limits{noLocks: true}, "the locks leave THEM no burn in time"},
		{limits{noCaps: true}, "the caps of the years in which THEM must burn are below what a burn takes"},
		{limits{noRefuge: true}, ""},
	} {
		if !late(one.without) {
			if one.without.noRefuge {
				one.words = fmt.Sprintf(
					"its %s acres are more than the %s acres that refuge %s lets burn in a year",
					amount(u.Acres),
					amount(f.p.Refuges[u.Refuge].MaxShare*f.refuge[u.Refuge]),
					f.p.Refuges[u.Refuge].Name,
				)
			}
			which = append(which, one.words)
		}
	}
	if which == nil {
		return "closed seasons, locks and caps together leave THEM no burn in time"
	}
	return which[0]
}

// apart finds pairs that are kept apart and cannot both burn in time, and then
// cliques of units of which any two are kept apart.
func (f *finder) apart() []Finding {
	type pair struct{ units [2]int }
	forGood, once := []pair{}, map[int][]pair{}
	work := 0
	bad := map[[2]int]bool{}
	for _, units := range f.p.Apart {
		a, b := &f.units[units[0]], &f.units[units[1]]
		if a.stuck >= 0 || b.stuck >= 0 {
			continue
		}
		if work += a.longest * b.longest * f.p.T(); work > mostWork {
			break
		}
		stuck := bothStuck(a, b)
		if stuck < 0 {
			continue
		}
		bad[units] = true
		if neverBoth(a, b) {
			forGood = append(forGood, pair{units})
		} else {
			once[stuck] = append(once[stuck], pair{units})
		}
	}
	var all []Finding
	const most = 8
	for k, q := range forGood {
		i, j := q.units[0], q.units[1]
		one := Finding{Kind: Apart, Sets: [][]int{{i, j}}, First: f.year(0), Last: f.year(f.p.T() - 1)}
		one.Text = fmt.Sprintf(
			"%s (burns every %s) and %s (every %s) are kept apart, and their intervals leave no year order in which both burn in time: one of them is overdue in every plan",
			f.p.Units[i].ID,
			years(f.units[i].shortest, f.units[i].longest),
			f.p.Units[j].ID,
			years(f.units[j].shortest, f.units[j].longest),
		)
		if k == most-1 && len(forGood) > most {
			one.Text += fmt.Sprintf("; so it is with %d more pairs", len(forGood)-most)
			for _, rest := range forGood[most:] {
				one.Sets = append(one.Sets, rest.units[:])
			}
		}
		all = append(all, one)
		if k == most-1 {
			break
		}
	}
	for t := range f.p.T() {
		pairs := once[t]
		if pairs == nil {
			continue
		}
		one := Finding{Kind: Apart, First: f.year(0), Last: f.year(t)}
		var named []string
		for k, q := range pairs {
			one.Sets = append(one.Sets, q.units[:])
			if k < 4 {
				named = append(named, f.p.Units[q.units[0]].ID+" and "+f.p.Units[q.units[1]].ID)
			}
		}
		if more := len(pairs) - len(named); more > 0 {
			named = append(named, fmt.Sprintf("%d more pairs", more))
		}
		one.Text = fmt.Sprintf("kept apart and both due by %d, so that one of the two ends a year overdue by then in every plan: %s", one.Last, strings.Join(named, "; "))
		all = append(all, one)
	}
	return append(all, f.cliques(bad)...)
}

func years(shortest, longest int) string {
	if longest == 1 {
		return "year"
	}
	if shortest == longest {
		return quantity.Count(longest, "year")
	}
	return fmt.Sprintf("%d to %d years", shortest, longest)
}

// bothStuck gives the first year at whose end one of two units that are kept apart is
// overdue whatever is done; −1 for none.
func bothStuck(a, b *unitYears) int {
	T := len(a.burn)
	now := make([]bool, a.longest*b.longest)
	for t := range T {
		next := make([]bool, len(now))
		some := false
		a.each(t, func(fromA, toA int) {
			if !a.on[t][toA] {
				return
			}
			b.each(t, func(fromB, toB int) {
				if !b.on[t][toB] || toA == 0 && toB == 0 || t > 0 && !now[fromA*b.longest+fromB] {
					return
				}
				next[toA*b.longest+toB], some = true, true
			})
		})
		if !some {
			return t
		}
		now = next
	}
	return -1
}

// neverBoth reports whether two units that are kept apart cannot both keep to their
// longest intervals for long, whatever their ages and without anything else in the way:
// two annual ones, or an annual one and any other.
func neverBoth(a, b *unitYears) bool { return a.longest == 1 || b.longest == 1 }

// cliques finds sets of units, any two of them kept apart, that need more burns than
// there are years.
func (f *finder) cliques(bad map[[2]int]bool) []Finding {
	near := map[int][]int{}
	for _, q := range f.p.Apart {
		if !bad[q] && f.units[q[0]].stuck < 0 && f.units[q[1]].stuck < 0 {
			near[q[0]], near[q[1]] = append(near[q[0]], q[1]), append(near[q[1]], q[0])
		}
	}
	var all []Finding
	seen := map[string]bool{}
	fewest := map[int][]float64{}
	for i := range f.units {
		if len(near[i]) < 2 {
			continue
		}
		clique := []int{i}
		for _, j := range near[i] {
			if !slices.ContainsFunc(clique[1:], func(k int) bool { return !slices.Contains(near[k], j) }) {
				clique = append(clique, j)
			}
		}
		slices.Sort(clique)
		mark := fmt.Sprint(clique)
		if len(clique) < 3 || seen[mark] {
			continue
		}
		seen[mark] = true
		for t := range f.p.T() {
			need := 0.0
			for _, k := range clique {
				if fewest[k] == nil {
					fewest[k] = f.units[k].fewest(0, burned)
				}
				need += fewest[k][t]
			}
			if need > float64(t+1)+0.5 {
				all = append(all, Finding{Kind: Apart, Sets: [][]int{clique}, First: f.year(0), Last: f.year(t), Needed: need, Allowed: float64(t + 1),
					Text: fmt.Sprintf(
						"%s are all kept apart from each other, so that one of them may burn a year; from %d to %d they need %s burns to stay in time: one of them is overdue in every plan",
						f.names(clique),
						f.year(0),
						f.year(t),
						amount(need),
					)})
				break
			}
		}
	}
	return all
}

// amount writes a quantity with one decimal at most.
func amount(x float64) string {
	return strings.TrimSuffix(quantity.Group(x, 1), ".0")
}

// slackOf adds up by how much sums of single years may pass their limits.
func slackOf(limits []float64) (total, slack float64) {
	for _, l := range limits {
		total += l
		slack += problem.SlackAllowed(l)
	}
	return total, slack + 1e-9*math.Max(1, math.Abs(total))
}
