package clash

import (
	"cmp"
	"encoding/binary"
	"math"
	"slices"

	"emberquilt/schedule/problem"
)

// packing is the question whether items with days fit into the seasons of one
// year, each into one of its own seasons.
type packing struct {
	items []item
	// days holds the burn-day cap of each season, NoLimit where there is none.
	days []float64
}

type item struct {
	lockedBurn
	days float64
	// seasons lists those that the item may take, the preferred first.
	seasons []int
}

// free reports whether an item fits whatever the others do.
func (k *packing) free(i *item) (int, bool) {
	for _, s := range i.seasons {
		if k.days[s] == problem.NoLimit || i.days == 0 {
			return s, true
		}
	}
	return 0, false
}

// fit gives a season for each item, or false where there is no way.
//
// The search takes the items with the fewest seasons first and the largest of
// those, and remembers from which loads the rest did not fit. Days are mostly
// quarters, so that few loads are different.
func (k *packing) fit() ([]int, bool) {
	chosen := make([]int, len(k.items))
	var order []int
	for i := range k.items {
		if s, free := k.free(&k.items[i]); free {
			chosen[i] = s
		} else {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := &k.items[a], &k.items[b]
		return cmp.Or(cmp.Compare(min(2, len(x.seasons)), min(2, len(y.seasons))), cmp.Compare(y.days, x.days),
			cmp.Compare(len(x.seasons), len(y.seasons)))
	})
	search := packSearch{packing: k, chosen: chosen, order: order, load: make([]float64, len(k.days)),
		left: make([]float64, len(order)+1), dead: map[string]bool{}}
	for i := len(order) - 1; i >= 0; i-- {
		search.left[i] = search.left[i+1] + k.items[order[i]].days
	}
	ok := search.place(0)
	return chosen, ok
}

type packSearch struct {
	*packing
	chosen, order []int
	load          []float64
	// left[i] is the days of the items from order[i] on.
	left []float64
	dead map[string]bool
	key  []byte
}

// place finds seasons for the items from order[i] on.
func (s *packSearch) place(i int) bool {
	if i == len(s.order) {
		return true
	}
	room := 0.0
	for season, limit := range s.days {
		if limit != problem.NoLimit {
			room += max(0, limit+problem.SlackAllowed(limit)-s.load[season])
		}
	}
	if s.left[i] > room*(1+1e-9) {
		return false
	}
	key := s.state(i)
	if s.dead[key] {
		return false
	}
	it := &s.items[s.order[i]]
	for _, season := range it.seasons {
		before := s.load[season]
		if !problem.Meets(before+it.days, s.days[season]) {
			continue
		}
		s.load[season] = before + it.days
		s.chosen[s.order[i]] = season
		if s.place(i + 1) {
			return true
		}
		s.load[season] = before
	}
	s.dead[key] = true
	return false
}

// state names the item in turn and the loads, which are alike when they differ
// by no more than sums of floats do.
func (s *packSearch) state(i int) string {
	s.key = binary.AppendUvarint(s.key[:0], uint64(i))
	for _, load := range s.load {
		s.key = binary.AppendUvarint(s.key, uint64(math.Round(load*1e7)))
	}
	return string(s.key)
}

// smallestMisfit gives a smallest set of items that do not fit, the season
// that is too short where it is one (else −1), the days needed and allowed.
// The items as a whole do not fit.
//
// An item may be replaced by a larger one with the same seasons, so that a
// smallest set holds the largest items of each kind, and only the counts of
// each kind are to be found.
func (k *packing) smallestMisfit() (set []lockedBurn, season int, needed, allowed float64) {
	kinds := k.kinds()
	best := k.irreducible(kinds)
	size := 0
	for _, n := range best {
		size += n
	}
	tries := misfitTries
	for smaller := 1; smaller < size; smaller++ {
		if counts := k.misfitOf(kinds, smaller, &tries); counts != nil {
			best = counts
			break
		}
	}
	var items []item
	for g, n := range best {
		items = append(items, kinds[g][:n]...)
	}
	return k.describe(items)
}

// misfitTries is how many sets are tried for being smaller than an irreducible
// one. Up to it the set that is named is a smallest; beyond, an irreducible
// one. No year of real land comes near.
const misfitTries = 20_000

// kinds groups the items that are not free by their seasons, the largest first.
func (k *packing) kinds() [][]item {
	groups := map[string]int{}
	var kinds [][]item
	for i := range k.items {
		if _, free := k.free(&k.items[i]); free {
			continue
		}
		seasons := slices.Sorted(slices.Values(k.items[i].seasons))
		var key []byte
		for _, s := range seasons {
			key = binary.AppendUvarint(key, uint64(s))
		}
		g, known := groups[string(key)]
		if !known {
			g = len(kinds)
			groups[string(key)] = g
			kinds = append(kinds, nil)
		}
		kinds[g] = append(kinds[g], k.items[i])
	}
	for g := range kinds {
		slices.SortStableFunc(kinds[g], func(a, b item) int { return cmp.Compare(b.days, a.days) })
	}
	return kinds
}

// fits reports whether the largest items of each kind fit, counts[g] of kind g.
func (k *packing) fits(kinds [][]item, counts []int) bool {
	part := packing{days: k.days}
	for g, n := range counts {
		part.items = append(part.items, kinds[g][:n]...)
	}
	_, ok := part.fit()
	return ok
}

// irreducible takes away items for as long as the rest does not fit.
func (k *packing) irreducible(kinds [][]item) []int {
	counts := make([]int, len(kinds))
	for g := range kinds {
		counts[g] = len(kinds[g])
	}
	for g := range counts {
		// The largest count of this kind that must go is found by halving: more
		// items of a kind never fit better.
		lo, hi := 0, counts[g]
		for lo < hi {
			counts[g] = (lo + hi) / 2
			if k.fits(kinds, counts) {
				lo = counts[g] + 1
			} else {
				hi = counts[g]
			}
		}
		counts[g] = lo
	}
	return counts
}

// misfitOf finds size items that do not fit, or nil where there are none.
func (k *packing) misfitOf(kinds [][]item, size int, tries *int) []int {
	counts := make([]int, len(kinds))
	var choose func(g, rest int) bool
	choose = func(g, rest int) bool {
		if g == len(kinds)-1 {
			if rest > len(kinds[g]) || *tries <= 0 {
				return false
			}
			*tries--
			counts[g] = rest
			return !k.fits(kinds, counts)
		}
		for n := min(rest, len(kinds[g])); n >= 0; n-- {
			counts[g] = n
			if choose(g+1, rest-n) {
				return true
			}
		}
		return false
	}
	if choose(0, size) {
		return counts
	}
	return nil
}

// describe gives the numbers of a set that does not fit. Where all of it may go
// into one season only, that season is named; else allowed is the sum of the
// caps of all seasons that it may take.
func (k *packing) describe(items []item) (set []lockedBurn, season int, needed, allowed float64) {
	used := map[int]bool{}
	for _, i := range items {
		set = append(set, i.lockedBurn)
		needed += i.days
		for _, s := range i.seasons {
			used[s] = true
		}
	}
	season = -1
	for s := range k.days {
		if used[s] {
			allowed += k.days[s]
			season = s
		}
	}
	if len(used) > 1 {
		season = -1
	}
	return byUnit(set), season, needed, allowed
}
