package sweep

import (
	"cmp"
	"slices"
)

// table maps a tuple's key to its entry, by open addressing. Key 0 is a tuple
// like any other; an empty slot has the entry −1.
type table struct {
	slot  []int32
	entry layer
}

func newTable() *table {
	t := &table{}
	t.resize(1 << 10)
	return t
}

func (t *table) count() int { return len(t.entry.key) }

func (t *table) clear() {
	for x := range t.slot {
		t.slot[x] = -1
	}
	e := &t.entry
	e.key, e.cost, e.parent, e.set = e.key[:0], e.cost[:0], e.parent[:0], e.set[:0]
}

func (t *table) resize(slots int) {
	t.slot = make([]int32, slots)
	for x := range t.slot {
		t.slot[x] = -1
	}
	for x, key := range t.entry.key {
		t.slot[t.find(key)] = int32(x)
	}
}

// find gives the slot of a key, or the empty one where it would go.
func (t *table) find(key uint64) int {
	mask := uint64(len(t.slot) - 1)
	h := key * 0x9e3779b97f4a7c15
	for x := (h ^ h>>32) & mask; ; x = (x + 1) & mask {
		if e := t.slot[x]; e < 0 || t.entry.key[e] == key {
			return int(x)
		}
	}
}

// keep stores a tuple, or makes it cheaper; of equal costs the earlier parent
// stays, and of one parent the smaller set.
func (t *table) keep(key uint64, cost float64, parent int32, set uint32) {
	at := t.find(key)
	e := &t.entry
	if x := t.slot[at]; x >= 0 {
		if cmp.Or(cmp.Compare(cost, e.cost[x]), cmp.Compare(parent, e.parent[x]), cmp.Compare(set, e.set[x])) < 0 {
			e.cost[x], e.parent[x], e.set[x] = cost, parent, set
		}
		return
	}
	t.slot[at] = int32(len(e.key))
	e.key, e.cost, e.parent, e.set = append(e.key, key), append(e.cost, cost), append(e.parent, parent), append(e.set, set)
	if 3*len(e.key) > 2*len(t.slot) {
		t.resize(2 * len(t.slot))
	}
}

// merge puts the entries of other workers into this table and gives all of
// them as a layer of its own, ascending by key.
func (t *table) merge(others []*worker) layer {
	for _, w := range others {
		o := &w.found.entry
		for x, key := range o.key {
			t.keep(key, o.cost[x], o.parent[x], o.set[x])
		}
	}
	e := &t.entry
	order := make([]int32, len(e.key))
	for x := range order {
		order[x] = int32(x)
	}
	slices.SortFunc(order, func(x, y int32) int { return cmp.Compare(e.key[x], e.key[y]) })
	n := len(order)
	l := layer{make([]uint64, n), make([]float64, n), make([]int32, n), make([]uint32, n)}
	for to, x := range order {
		l.key[to], l.cost[to], l.parent[to], l.set[to] = e.key[x], e.cost[x], e.parent[x], e.set[x]
	}
	return l
}
