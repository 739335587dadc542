package bound

import (
	"cmp"
	"slices"

	"emberquilt/schedule/rotation/internal/model"
)

// link is a reason to search two units jointly, and how strong it is.
type link struct {
	i, j   int32
	weight float64
}

// In a refuge of many units each is linked with so many only, those next to it by acres:
// a block holds a dozen, and the links of 24,000 units with each other would be a quarter
// of a billion.
const (
	manyInRefuge  = 1000
	reachInRefuge = 40
)

// links weighs what couples two units beside the year rows. burned is the
// relaxation's burn share of unit i in year t at i·T+t, price its row prices;
// nil for a weight that knows the problem alone.
//
// A neighbor pair weighs what it would cost if both burned by chance; a refuge
// group what its price makes of the acres of both; an apart pair its price.
func links(m *model.Model, burned, price []float64) []link {
	weights := map[[2]int32]float64{}
	t := m.T
	for g, units := range m.RefugeUnits {
		total := 0.0
		if price != nil {
			for _, p := range price[int(m.Rows.Refuge)+g*t : int(m.Rows.Refuge)+(g+1)*t] {
				total += p
			}
			total = total/float64(t) + 0.1
		} else {
			total = 2
		}
		reach := len(units)
		if reach > manyInRefuge {
			reach = reachInRefuge
			units = slices.Clone(units)
			slices.SortStableFunc(units, func(a, b int32) int { return cmp.Compare(m.Acres[b], m.Acres[a]) })
		}
		for x, i := range units {
			for _, j := range units[x+1 : min(len(units), x+1+reach)] {
				weights[[2]int32{min(i, j), max(i, j)}] += total * m.Acres[i] * m.Acres[j] / m.RefugeLimit[g]
			}
		}
	}
	for x, p := range m.Apart {
		w := 0.0
		if price != nil {
			for _, q := range price[int(m.Rows.Apart)+x*t : int(m.Rows.Apart)+(x+1)*t] {
				w += q
			}
			w /= float64(t)
		}
		weights[[2]int32{p.I, p.J}] += w + min(m.Acres[p.I], m.Acres[p.J])/2
	}
	for _, p := range m.Neighbors {
		w := p.Cost
		if burned != nil {
			w = 0
			for y := range t {
				w += p.Cost * burned[int(p.I)*t+y] * burned[int(p.J)*t+y]
			}
			w = 4*w/float64(t) + 0.1*p.Cost
		}
		weights[[2]int32{p.I, p.J}] += w
	}
	out := make([]link, 0, len(weights))
	for pair, w := range weights {
		out = append(out, link{pair[0], pair[1], w})
	}
	slices.SortFunc(out, func(a, b link) int {
		return cmp.Or(cmp.Compare(b.weight, a.weight), cmp.Compare(a.i, b.i), cmp.Compare(a.j, b.j))
	})
	return out
}

// Layers joins units along the strongest links into blocks of at most most joint
// states, in layers, each over the links that the layers before leave open: a unit
// may stand in one block of each.
func Layers(m *model.Model, most, layers int) [][]int32 {
	open, first := links(m, nil, nil), smallMixes(m, most)
	var out [][]int32
	where := make([]int, m.N)
	for range layers {
		layer := join(m, first, open, most)
		first = nil
		if len(layer) == 0 {
			break
		}
		clear(where)
		for b, units := range layer {
			for _, i := range units {
				where[i] = b + 1
			}
		}
		open = slices.DeleteFunc(open, func(l link) bool { return where[l.i] > 0 && where[l.i] == where[l.j] })
		out = append(out, layer...)
	}
	return out
}

// join joins units along links, the strongest first, after those of whole groups.
func join(m *model.Model, whole [][]int32, links []link, most int) [][]int32 {
	owner := make([]int32, m.N)
	units := make([][]int32, m.N)
	size := make([]int, m.N)
	for i := range m.N {
		owner[i], units[i], size[i] = int32(i), []int32{int32(i)}, int(m.K[i])
	}
	first := make([]link, 0, m.N)
	single := map[int32]bool{}
	for _, group := range whole {
		single[group[0]] = len(group) == 1
		for _, i := range group[1:] {
			first = append(first, link{i: group[0], j: i})
		}
	}
	for _, l := range append(first, links...) {
		a, b := owner[l.i], owner[l.j]
		if a == b || size[a]*size[b] > most || len(units[a])+len(units[b]) > MaxBlockUnits {
			continue
		}
		for _, i := range units[b] {
			owner[i] = a
		}
		units[a] = append(units[a], units[b]...)
		size[a] *= size[b]
		units[b] = nil
	}
	var out [][]int32
	for _, u := range units {
		if len(u) > 1 || len(u) == 1 && single[u[0]] {
			slices.Sort(u)
			out = append(out, u)
		}
	}
	// Large blocks first: threads that take them one by one end together.
	return out
}

// unitsOfMixes lists the units of each mix.
func unitsOfMixes(m *model.Model) [][]int32 {
	units := make([][]int32, len(m.Problem.Mixes))
	for i, x := range m.MixOf {
		if x >= 0 {
			units[x] = append(units[x], int32(i))
		}
	}
	return units
}

// smallMixes gives the mixes whose units are within so many joint states: a
// block that holds one whole pays for it exactly.
func smallMixes(m *model.Model, most int) [][]int32 {
	var small [][]int32
	for _, units := range unitsOfMixes(m) {
		size := 1
		for _, i := range units {
			size = min(size*int(m.K[i]), most+1)
		}
		if len(units) > 0 && len(units) <= MaxBlockUnits && size <= most {
			small = append(small, units)
		}
	}
	return small
}

// Cover gives blocks of up to so many joint states that between them hold what
// couples the units: three layers over all links, and refuge groups as whole as
// thrice the states allow, and mixes of up to wholeMix states.
func Cover(m *model.Model, most, wholeMix int) [][]int32 {
	blocks := Layers(m, most, 3)
	in := make([]map[int]bool, m.N) // the blocks of each unit
	for b, units := range blocks {
		for _, i := range units {
			if in[i] == nil {
				in[i] = map[int]bool{}
			}
			in[i][b] = true
		}
	}
	for _, group := range smallMixes(m, wholeMix) {
		if !isInside(group, in) {
			blocks = append(blocks, group)
		}
	}
	for _, units := range m.RefugeUnits {
		if group := mostPressed(m, units, 3*most); len(group) > 1 && !isInside(group, in) {
			blocks = append(blocks, group)
		}
	}
	return blocks
}

// mostPressed takes those units of a refuge group that need most acres a year,
// as many as make a block.
func mostPressed(m *model.Model, units []int32, most int) []int32 {
	need := func(i int32) float64 { return m.Acres[i] / float64(m.Problem.Units[i].MaxInterval) }
	order := slices.Clone(units)
	slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(need(b), need(a)) })
	var group []int32
	size := 1
	for _, i := range order {
		if k := int(m.K[i]); size*k <= most && len(group) < MaxBlockUnits {
			size *= k
			group = append(group, i)
		}
	}
	slices.Sort(group)
	return group
}

// isInside reports whether some block holds all units of a group.
func isInside(group []int32, in []map[int]bool) bool {
	for b := range in[group[0]] {
		inside := true
		for _, i := range group[1:] {
			inside = inside && in[i][b]
		}
		if inside {
			return true
		}
	}
	return false
}
