package list

import (
	"slices"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
)

// namer finds the unit that a row means where its name differs only in case, or in
// how Unicode spells its letters, as commands do.
type namer struct {
	m *maker
	// exact holds every name as it is, folded the names by what they share.
	exact  map[string]bool
	folded map[string][]string
	said   map[[2]string]bool
}

func (n *namer) add(name string) {
	if !n.exact[name] {
		n.exact[name] = true
		key := source.FoldName(name)
		n.folded[key] = append(n.folded[key], name)
	}
}

// unit gives the name under which a unit is known, with a note where the row spells it
// otherwise; the name as it is where there is none, or more than one.
func (n *namer) unit(l *List, r *row, column, name string) string {
	if n.exact[name] || name == "" {
		return name
	}
	near := n.folded[source.FoldName(name)]
	if len(near) != 1 {
		return name
	}
	if key := [2]string{l.File, name}; !n.said[key] {
		n.said[key] = true
		how := "only in case"
		if source.SameLetters(name, near[0]) {
			how = "only in how Unicode spells their letters"
		}
		n.m.note(r.at(l.File, column), ground.Assumed, "unit %s is taken for %s: the names differ %s", source.Quote(name), source.Quote(near[0]), how)
	}
	return near[0]
}

// named gives the lists with every unit under the name by which the property, or one
// of the lists of units, knows it.
func (m *maker) named(lists []*List) []*List {
	n := &namer{m: m, exact: map[string]bool{}, folded: map[string][]string{}, said: map[[2]string]bool{}}
	for i := range m.cur.Units {
		n.add(m.cur.Units[i].ID)
	}
	all := make([]*List, len(lists))
	for k, l := range lists {
		c := *l
		c.units, c.lastBurns = slices.Clone(l.units), slices.Clone(l.lastBurns)
		for i := range c.units {
			c.units[i].V.ID = n.unit(l, c.units[i].row, "unit", c.units[i].V.ID)
		}
		all[k] = &c
	}
	for _, c := range all {
		for i := range c.units {
			n.add(c.units[i].V.ID)
		}
	}
	for _, c := range all {
		c.burns, c.pairs, c.locks, c.contracts = slices.Clone(c.burns), slices.Clone(c.pairs), slices.Clone(c.locks), slices.Clone(c.contracts)
		for i := range c.lastBurns {
			v := &c.lastBurns[i]
			v.V.Unit = n.unit(c, v.row, "unit", v.V.Unit)
		}
		for i := range c.burns {
			v := &c.burns[i]
			v.V.Unit = n.unit(c, v.row, "unit", v.V.Unit)
		}
		for i := range c.pairs {
			v := &c.pairs[i]
			v.V.A, v.V.B = n.unit(c, v.row, "unit_a", v.V.A), n.unit(c, v.row, "unit_b", v.V.B)
		}
		for i := range c.locks {
			v := &c.locks[i]
			v.V.Unit = n.unit(c, v.row, "unit", v.V.Unit)
		}
		for i := range c.contracts {
			v := &c.contracts[i]
			v.V.Item.Unit = n.unit(c, v.row, "unit", v.V.Item.Unit)
		}
	}
	return all
}
