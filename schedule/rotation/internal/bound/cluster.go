package bound

import "emberquilt/schedule/rotation/internal/model"

// greedy clusters: refuge groups merged w/ neighbours up to size
func Cluster(m *model.Model, most int) [][]int32 {
	type edge struct {
		i, j int32
		w    float64
	}
	w := map[[2]int32]float64{}
	for g, us := range m.RefugeUnits {
		tot := 0.0
		for _, i := range us {
			tot += m.Acres[i]
		}
		for x, i := range us {
			for _, j := range us[x+1:] {
				w[[2]int32{i, j}] += 2 * m.Acres[i] * m.Acres[j] / m.RefugeLimit[g]
			}
		}
	}
	for _, p := range m.Apart {
		w[[2]int32{p.I, p.J}] += 2 * min(m.Acres[p.I], m.Acres[p.J])
	}
	for _, p := range m.Neighbours {
		w[[2]int32{p.I, p.J}] += p.Cost
	}
	var es []edge
	for k, v := range w {
		es = append(es, edge{k[0], k[1], v})
	}
	for x := range es { // sort desc
		for y := x; y > 0 && (es[y].w > es[y-1].w || es[y].w == es[y-1].w && (es[y].i < es[y-1].i || es[y].i == es[y-1].i && es[y].j < es[y-1].j)); y-- {
			es[y], es[y-1] = es[y-1], es[y]
		}
	}
	id := make([]int, m.N)
	members := make([][]int32, m.N)
	size := make([]int, m.N)
	for i := range m.N {
		id[i] = i
		members[i] = []int32{int32(i)}
		size[i] = int(m.K[i])
	}
	for _, e := range es {
		a, b := id[e.i], id[e.j]
		if a == b || size[a]*size[b] > most || len(members[a])+len(members[b]) > MaxBlockUnits {
			continue
		}
		for _, i := range members[b] {
			id[i] = a
		}
		members[a] = append(members[a], members[b]...)
		size[a] *= size[b]
		members[b] = nil
	}
	var out [][]int32
	for _, u := range members {
		if len(u) > 1 {
			for x := range u {
				for y := x; y > 0 && u[y] < u[y-1]; y-- {
					u[y], u[y-1] = u[y-1], u[y]
				}
			}
			out = append(out, u)
		}
	}
	return out
}
