package list

import (
	"cmp"
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// pairs plans one list of pairs.
func (m *maker) pairs(l *List) {
	type ends struct{ a, b string }
	old := map[ends]*habitat.Pair{}
	for i := range m.cur.Pairs {
		p := &m.cur.Pairs[i]
		old[ends{p.A, p.B}] = p
	}
	seen := map[ends]*row{}
	for i := range l.pairs {
		v := &l.pairs[i]
		a, b := m.unit(l, v.row, "unit_a", v.V.A), m.unit(l, v.row, "unit_b", v.V.B)
		if a == nil || b == nil {
			continue
		}
		if v.V.A == v.V.B {
			m.bad(l, v.row.at(l.File, "unit_b"), "two different units", "", "unit %s is paired with itself", source.Quote(v.V.A))
			continue
		}
		p := habitat.NewPair(v.V.A, v.V.B, v.V.Kind)
		p.SharedFeet = v.V.SharedFeet
		key := ends{p.A, p.B}
		if first, ok := seen[key]; ok {
			m.bad(l, v.row.at(l.File, ""), "each pair once, in either order", "", "%s and %s are paired already%s", source.Quote(p.A), source.Quote(p.B), lineWords(first))
			continue
		}
		seen[key] = v.row
		was := old[key]
		c := Change{Kind: Pairs, Name: p.A + " and " + p.B, At: v.row.at(l.File, ""), Pair: &p}
		if was != nil {
			if !v.has["shared_feet"] {
				p.SharedFeet = was.SharedFeet
			}
			c.Fields = differences(pairColumns, was, &p)
		}
		m.change(c, was == nil)
	}
}

// locks plans one list of locks.
func (m *maker) locks(l *List) {
	type place struct {
		unit string
		year date.ProgramYear
	}
	old := map[place]*habitat.Lock{}
	for i := range m.cur.Locks {
		k := &m.cur.Locks[i]
		old[place{k.Unit, k.Year}] = k
	}
	seen := map[place]*row{}
	for i := range l.locks {
		v := &l.locks[i]
		lock := v.V
		u := m.unit(l, v.row, "unit", lock.Unit)
		if u == nil || !m.goodLock(l, v.row, u, &lock) {
			continue
		}
		key := place{lock.Unit, lock.Year}
		if first, ok := seen[key]; ok {
			m.bad(l, v.row.at(l.File, ""), "one lock for a unit and program year", "", "%s is locked in %s already%s", source.Quote(lock.Unit), lock.Year, lineWords(first))
			continue
		}
		seen[key] = v.row
		was := old[key]
		c := Change{Kind: Locks, Name: lock.Unit + " in " + lock.Year.String(), At: v.row.at(l.File, ""), Lock: &lock}
		if was != nil {
			c.Fields = differences(lockColumns, was, &lock)
		}
		m.change(c, was == nil)
	}
}

func (m *maker) goodLock(l *List, r *row, u *habitat.Unit, lock *habitat.Lock) bool {
	if lock.Season == "" {
		return true
	}
	at := r.at(l.File, "season")
	choices := u.Choices(&m.cur.Property)
	allowed := make([]string, len(choices))
	for i, c := range choices {
		allowed[i] = c.Season
	}
	switch {
	case !lock.Burn:
		m.bad(l, at, "a season for a locked burn only", "", "a rest has no season")
	case m.cur.Property.SeasonIndex(lock.Season) < 0:
		m.bad(l, at, quantity.List(allowed), "", "%s is not a season of this property", source.Quote(lock.Season))
	case !slices.Contains(allowed, lock.Season):
		m.bad(l, at, quantity.List(allowed), "", "unit %s may not burn in %s", source.Quote(u.ID), lock.Season)
	default:
		return true
	}
	return false
}

// burningCode is the national conservation practice standard "Prescribed
// Burning" of the USDA NRCS: its applied acres come from the burn records unless
// the list says otherwise.
const burningCode = "338"

// contracts plans one list of contracts: rows of one contract go together.
func (m *maker) contracts(l *List) {
	var order []*habitat.Contract
	rows := map[string]*row{}
	byName := map[string]*habitat.Contract{}
	type item struct {
		contract, unit, practice string
		year                     date.FiscalYear
	}
	seen := map[item]*row{}
	starts := map[string]date.FiscalStart{}
	for i := range l.contracts {
		v := &l.contracts[i]
		var place linePlace
		if v.V.Item.IsPropertyWide() {
			place = m.wholeProperty()
		} else {
			u := m.unit(l, v.row, "unit", v.V.Item.Unit)
			if u == nil {
				continue
			}
			place = linePlace{"unit " + source.Quote(u.ID), "the unit", u.Acres}
		}
		if !m.goodAmount(l, v) || !m.sameContract(l, v) {
			continue
		}
		key := item{v.V.Name, v.V.Item.Unit, v.V.Item.Practice, v.V.Item.FiscalYear}
		if first, ok := seen[key]; ok {
			m.bad(l, v.row.at(l.File, ""), "each unit, practice and fiscal year once", "", "%s of %s in %s stands in the list already%s",
				source.Quote(key.practice), source.Quote(v.V.Item.Place()), key.year, lineWords(first))
			continue
		}
		seen[key] = v.row
		if v.V.Item.IsPropertyWide() && !v.V.saysWhole {
			m.note(v.row.at(l.File, "unit"), ground.Assumed, "is empty: a line of the whole property")
		}
		if start := v.V.FiscalStart; start != 0 {
			if first, ok := starts[v.V.Name]; ok && first != start {
				m.bad(l, v.row.at(l.File, "fiscal_year_starts"), "one month a contract", "", "%s, where a row above has %s",
					start.Month(), first.Month())
				continue
			}
			starts[v.V.Name] = start
		}
		c := byName[v.V.Name]
		if c == nil {
			c = m.contract(v.V.Name)
			byName[v.V.Name], rows[v.V.Name] = c, v.row
			order = append(order, c)
		}
		if m.goodPlace(l, v, c, place, byName) {
			if i := lineOf(c, &v.V.Item); i >= 0 && c.Items[i].Was != nil {
				m.note(
					v.row.at(l.File, ""),
					ground.Repeated,
					"line %d of %s was modified since, and stays: %s",
					c.Items[i].ID,
					source.Quote(c.Name),
					c.Items[i].Words(v.V.Practice.Measure),
				)
			}
			addContractRow(c, v)
		}
	}
	for _, c := range order {
		r := rows[c.Name]
		if m.badFields(l, r, c.Validate(), nil) {
			continue
		}
		i := slices.IndexFunc(m.cur.Contracts, func(o habitat.Contract) bool { return o.Name == c.Name })
		c.NumberLines()
		change := Change{Kind: Contracts, Name: c.Name, At: r.at(l.File, ""), Contract: c}
		if i >= 0 {
			change.Fields = contractDifferences(&m.cur.Contracts[i], c)
		}
		m.change(change, i < 0)
	}
}

// contract gives a copy of the contract that is there, or a new one.
func (m *maker) contract(name string) *habitat.Contract {
	for _, c := range m.cur.Contracts {
		if c.Name == name {
			c.Practices, c.Items = slices.Clone(c.Practices), slices.Clone(c.Items)
			return &c
		}
	}
	return &habitat.Contract{Name: name}
}

// linePlace is where a line of a contract is: a unit, or the whole property, in words
// that name it and that speak of it, with its acres.
type linePlace struct {
	name, of string
	acres    quantity.Acres
}

// wholeProperty gives the place of lines of the whole property, with the acres of all
// units that will be there.
func (m *maker) wholeProperty() linePlace {
	total := habitat.TotalAcres(func(yield func(*habitat.Unit) bool) {
		for id, u := range m.units {
			if !m.broken[id] && !yield(&u.now) {
				return
			}
		}
	})
	return linePlace{"the " + habitat.WholeProperty, "all units", total}
}

// goodPlace holds a row against its contract, as far as it is known, and its place.
func (m *maker) goodPlace(l *List, v *value[contractRow], c *habitat.Contract, place linePlace, others map[string]*habitat.Contract) bool {
	r := &v.V
	differs := func(column, there, here, accepts string) bool {
		if !v.has[column] || here == "" || there == "" || here == there {
			return false
		}
		m.bad(l, v.row.at(l.File, column), accepts, "", "%s, where a row above has %s", source.Quote(here), source.Quote(there))
		return true
	}
	seen := m.contractSeen[c.Name]
	if seen == nil {
		seen = &contractRow{}
		m.contractSeen[c.Name] = seen
	}
	if differs("number", seen.Number, r.Number, "one number a contract") || differs("client", seen.Client, r.Client, "one client a contract") {
		return false
	}
	seen.Number, seen.Client = cmp.Or(seen.Number, r.Number), cmp.Or(seen.Client, r.Client)
	if r.Number != "" {
		for _, other := range m.cur.Contracts {
			if other.Number == r.Number && other.Name != c.Name {
				m.bad(
					l,
					v.row.at(l.File, "contract"),
					"the name "+source.Quote(other.Name)+", which bears this number, or another number",
					"",
					"%s and %s have one number, %s",
					source.Quote(c.Name),
					source.Quote(other.Name),
					source.Quote(r.Number),
				)
				return false
			}
		}
		for name := range others {
			if name != c.Name && m.contractSeen[name] != nil && m.contractSeen[name].Number == r.Number {
				m.bad(
					l,
					v.row.at(l.File, "contract"),
					"one name for each number",
					"",
					"%s and %s have one number, %s",
					source.Quote(c.Name),
					source.Quote(name),
					source.Quote(r.Number),
				)
				return false
			}
		}
	}
	name := [2]string{c.Name, r.Practice.Code}
	if differs("practice_name", m.practiceSeen[name], r.Practice.Name, "one name a practice") {
		return false
	}
	m.practiceSeen[name] = cmp.Or(m.practiceSeen[name], r.Practice.Name)
	if i := slices.IndexFunc(c.Practices, func(p habitat.Practice) bool { return p.Code == r.Practice.Code }); i >= 0 && c.Practices[i].Measure != r.Practice.Measure {
		m.bad(
			l,
			v.row.at(l.File, string(r.Practice.Measure)),
			"an amount in "+string(c.Practices[i].Measure),
			"",
			"practice %s of %s is counted in %s",
			r.Practice.Code,
			source.Quote(c.Name),
			c.Practices[i].Measure,
		)
		return false
	}
	if most := habitat.MostPlanned(place.acres); r.Practice.Measure == habitat.InAcres && r.Item.Planned > float64(most) {
		m.bad(l, v.row.at(l.File, "acres"), fmt.Sprintf("up to %s, the acres of %s and a tenth", acresNumber(most), place.of), "",
			"%s is more than %s has, %s acres", plainNumber(r.Item.Planned), place.name, acresNumber(place.acres))
		return false
	}
	return true
}

// sameContract holds what a row says of its contract against the one of its name that is
// there. What differs is a fault, or settled as was asked.
func (m *maker) sameContract(l *List, v *value[contractRow]) bool {
	r := &v.V
	at := slices.IndexFunc(m.cur.Contracts, func(c habitat.Contract) bool { return c.Name == r.Name })
	if at < 0 {
		return true
	}
	was, start := &m.cur.Contracts[at], ""
	if r.FiscalStart != 0 {
		start = r.FiscalStart.Month().String()
	}
	isSame := true
	for _, one := range []struct {
		column, there, here string
		keep                func()
	}{
		{"number", was.Number, r.Number, func() { r.Number = "" }},
		{"client", was.Client, r.Client, func() { r.Client = "" }},
		{"fiscal_year_starts", was.FiscalStart.Month().String(), start, func() { r.FiscalStart = 0 }},
	} {
		if one.here == "" || one.there == "" || one.here == one.there || m.settings.Contracts == ChangeDiffering {
			continue
		}
		key := [2]string{r.Name, one.column}
		isSaid := m.differs[key]
		m.differs[key] = true
		at := v.row.at(l.File, one.column)
		if m.settings.Contracts == KeepDiffering {
			if one.keep(); !isSaid {
				m.note(at, ground.Repeated, "%s, where contract %s has %s, which stays", source.Quote(one.here), source.Quote(r.Name), source.Quote(one.there))
			}
			continue
		}
		if isSame = false; !isSaid || l.options.LeaveOut {
			m.bad(l, at, source.Quote(one.there), "where it is that contract, say --contracts change to take what the list says, or --contracts keep to leave it as it is",
				"%s, where contract %s has %s", source.Quote(one.here), source.Quote(r.Name), source.Quote(one.there))
		}
	}
	return isSame
}

// goodAmount settles measure and amount of a row.
func (m *maker) goodAmount(l *List, v *value[contractRow]) bool {
	r := &v.V
	r.Item.Practice = r.Practice.Code
	switch {
	case r.acres != nil && r.feet != nil:
		m.bad(l, v.row.at(l.File, "feet"), "acres or feet, not both", "", "the row has acres and feet")
		return false
	case r.acres != nil:
		r.Practice.Measure, r.Item.Planned = habitat.InAcres, *r.acres
	case r.feet != nil:
		r.Practice.Measure, r.Item.Planned = habitat.InFeet, *r.feet
	default:
		m.bad(l, v.row.at(l.File, "acres"), "planned acres, or feet", "", "the row plans nothing")
		return false
	}
	if want := habitat.MeasureOf(r.Practice.Code); want != "" && want != r.Practice.Measure {
		m.bad(l, v.row.at(l.File, string(r.Practice.Measure)), "an amount in "+string(want), "", "practice %s is counted in %s", r.Practice.Code, want)
		return false
	}
	if !v.has["applied_from"] {
		r.Practice.Burns = r.Practice.Code == burningCode && r.Practice.Measure == habitat.InAcres
	}
	return true
}

func addContractRow(c *habitat.Contract, v *value[contractRow]) {
	r := &v.V
	if v.has["number"] && r.Number != "" {
		c.Number = r.Number
	}
	if v.has["client"] && r.Client != "" {
		c.Client = r.Client
	}
	if r.FiscalStart != 0 {
		c.FiscalStart = r.FiscalStart
	}
	if i := slices.IndexFunc(c.Practices, func(p habitat.Practice) bool { return p.Code == r.Practice.Code }); i < 0 {
		c.Practices = append(c.Practices, r.Practice)
	} else {
		p := &c.Practices[i]
		if r.Practice.Name != "" {
			p.Name = r.Practice.Name
		}
		if r.Practice.Standard != "" {
			p.Standard = r.Practice.Standard
		}
	}
	i := lineOf(c, &r.Item)
	if i >= 0 && v.has["item"] && r.Item.Item != "" {
		c.Items[i].Item = r.Item.Item
	}
	switch {
	case i < 0:
		c.Items = append(c.Items, r.Item)
	case c.Items[i].Was == nil:
		c.Items[i].Planned = r.Item.Planned
	}
}

// lineOf finds the line that a row speaks of, also one that was modified since: by
// what it planned at first. It gives -1 where there is none.
func lineOf(c *habitat.Contract, row *habitat.ContractItem) int {
	return slices.IndexFunc(c.Items, func(o habitat.ContractItem) bool {
		if o.Practice != row.Practice {
			return false
		}
		if o.Was != nil && o.Was.Unit == row.Unit && o.Was.FiscalYear == row.FiscalYear {
			return true
		}
		return o.Unit == row.Unit && o.FiscalYear == row.FiscalYear
	})
}

func contractDifferences(old, now *habitat.Contract) []Field {
	var all []Field
	add := func(name, a, b string) {
		if a != b {
			all = append(all, Field{name, a, b})
		}
	}
	add("number", old.Number, now.Number)
	add("client", old.Client, now.Client)
	add("fiscal_year_starts", old.FiscalStart.Month().String(), now.FiscalStart.Month().String())
	practice := func(p habitat.Practice) string {
		if p.Standard == "" {
			return fmt.Sprintf("%s, in %s", p.Name, p.Measure)
		}
		return fmt.Sprintf("%s, standard %s, in %s", p.Name, p.Standard, p.Measure)
	}
	for i, p := range now.Practices {
		was := ""
		if i < len(old.Practices) {
			was = practice(old.Practices[i])
		}
		add("practice "+p.Code, was, practice(p))
	}
	for i, it := range now.Items {
		was, item := "", ""
		if i < len(old.Items) {
			was, item = plainNumber(old.Items[i].Planned), old.Items[i].Item
		}
		name := fmt.Sprintf("%s on %s in %s", it.Practice, it.OnPlace(), it.FiscalYear)
		add(name, was, plainNumber(it.Planned))
		add("item of "+name, item, it.Item)
	}
	return all
}

// places plans one list of sensitive places.
func (m *maker) places(l *List) {
	for _, f := range l.places {
		p := geofile.PlaceOf(f)
		m.place(m.cur.Places, &p, Change{Kind: Places, Name: p.Name, At: f.Position, Place: &p})
	}
}

// place plans one place, or standing break, against those that are there.
func (m *maker) place(there []ground.Place, p *ground.Place, c Change) {
	i := slices.IndexFunc(there, func(o ground.Place) bool { return o.Name == p.Name })
	if i >= 0 {
		old := &there[i]
		if old.Kind != p.Kind {
			c.Fields = append(c.Fields, Field{"kind", old.Kind, p.Kind})
		}
		if old.Tolerated != p.Tolerated {
			said := map[bool]string{true: "tolerated", false: "not tolerated"}
			c.Fields = append(c.Fields, Field{"smoke", said[old.Tolerated], said[p.Tolerated]})
		}
		if !old.SameGround(p) {
			c.Fields = append(c.Fields, Field{"place", placeText(old), placeText(p)})
		}
	}
	m.change(c, i < 0)
}

func placeText(p *ground.Place) string {
	vertices := p.Shape.Vertices() + len(p.Points)
	for _, line := range p.Lines {
		vertices += len(line)
	}
	center := ground.Center(p.Shape)
	if p.Shape.IsEmpty() {
		switch {
		case len(p.Points) > 0:
			center = p.Points[0]
		case len(p.Lines) > 0 && len(p.Lines[0]) > 0:
			center = p.Lines[0][0]
		}
	}
	return fmt.Sprintf("%d points near %.5f, %.5f", vertices, center.Lat, center.Lon)
}
