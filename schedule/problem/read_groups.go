package problem

import (
	"cmp"
	"slices"
	"strconv"

	"emberquilt/habitat/source"
	"emberquilt/habitat/source/jsonscan"
)

func (rd *reader) refugeGroups(o object) {
	rd.refuges = newNameSet()
	at := o.get("refuges")
	if at == nil {
		return
	}
	rd.refuges.broken = at.value.Kind != jsonscan.Object
	for _, entry := range rd.entries(at, "an object with a max_share for each refuge group") {
		rd.refuges.index[entry.key] = len(rd.p.Refuges)
		group := Refuge{Name: entry.key, MaxShare: 1}
		if o, ok := rd.object(entry, "max_share"); ok {
			if at := o.need("max_share", "a share from 0 to 1"); at != nil {
				group.MaxShare, _ = rd.share(at)
			}
		}
		rd.p.Refuges = append(rd.p.Refuges, group)
	}
}

func (rd *reader) mixGroups(o object) {
	rd.mixes = newNameSet()
	at := o.get("mixes")
	if at == nil {
		return
	}
	rd.mixes.broken = at.value.Kind != jsonscan.Object
	for _, entry := range rd.entries(at, "an object with a list of age classes for each mix") {
		rd.mixes.index[entry.key] = len(rd.p.Mixes)
		rd.p.Mixes = append(rd.p.Mixes, Mix{Name: entry.key, Classes: rd.classes(entry)})
	}
}

// classes reads the age classes of a mix in file order and checks that they
// cover every age once.
func (rd *reader) classes(list *place) []Class {
	const accepts = "a list of at least one age class"
	items := rd.items(list, accepts)
	if len(items) == 0 && list.value.Kind == jsonscan.Array {
		rd.bad(list, accepts, "there is no age class")
	}
	classes := make([]Class, len(items))
	seen := map[string]bool{}
	allGood := len(items) > 0
	for i, item := range items {
		good := rd.class(item, &classes[i])
		allGood = allGood && good
		if name := classes[i].Name; name != "" {
			if seen[name] {
				rd.bad(item, "each age class once", "age class %s is named twice", source.Quote(name))
			}
			seen[name] = true
		}
	}
	if allGood {
		rd.cover(items, classes)
	}
	return classes
}

func (rd *reader) class(item *place, c *Class) bool {
	*c = Class{To: OpenEnded, MaxShare: 1}
	o, ok := rd.object(item, "class", "from", "to", "min_share", "max_share")
	if !ok {
		return false
	}
	const accepts = "a stand age in whole years, 0 or more"
	nameGood, fromGood, toGood := false, false, true
	if at := o.need("class", nameAccepts); at != nil {
		c.Name, nameGood = rd.newName(at)
	}
	if at := o.need("from", accepts); at != nil {
		c.From, fromGood = rd.integer(at, 0, MaxInterval, accepts)
	}
	if at := o.get("to"); at != nil {
		c.To, toGood = rd.integer(at, 0, MaxInterval, accepts)
		if toGood && fromGood && c.To < c.From {
			rd.bad(at, plain(float64(c.From))+" or more, or no to for an open end", "%d is below from %d", c.To, c.From)
			toGood = false
		}
	}
	lowGood, highGood := true, true
	if at := o.get("min_share"); at != nil {
		c.MinShare, lowGood = rd.share(at)
	}
	if at := o.get("max_share"); at != nil {
		c.MaxShare, highGood = rd.share(at)
		if lowGood && highGood && c.MaxShare < c.MinShare {
			rd.bad(at, "a share from "+plain(c.MinShare)+" to 1", "%s is below min_share %s", plain(c.MaxShare), plain(c.MinShare))
		}
	}
	return nameGood && fromGood && toGood
}

// cover checks that the classes cover every age from 0 once.
func (rd *reader) cover(items []*place, classes []Class) {
	const accepts = "classes that cover every age from 0 once, the last one without to"
	order := make([]int, len(classes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(classes[a].From, classes[b].From) })
	next := 0
	for k, i := range order {
		c := classes[i]
		switch {
		case next == OpenEnded:
			rd.bad(items[i], accepts, "class %s overlaps class %s, which is open-ended",
				source.Quote(c.Name), source.Quote(classes[order[k-1]].Name))
			return
		case c.From > next:
			rd.bad(items[i], accepts, "%s in no class", agesAre(next, c.From-1))
			return
		case c.From < next:
			rd.bad(items[i], accepts, "class %s overlaps class %s at %s",
				source.Quote(c.Name), source.Quote(classes[order[k-1]].Name), ages(c.From, min(next-1, c.To)))
			return
		}
		if next = c.To; next != OpenEnded {
			next++
		}
	}
	if last := order[len(order)-1]; next != OpenEnded {
		rd.bad(items[last], accepts, "ages from %d on are in no class", next)
	}
}

func ages(from, to int) string {
	if from == to {
		return "age " + strconv.Itoa(from)
	}
	return "ages " + strconv.Itoa(from) + " to " + strconv.Itoa(to)
}

func agesAre(from, to int) string {
	if from == to {
		return ages(from, to) + " is"
	}
	return ages(from, to) + " are"
}

// caps reads the caps and expands them to one entry a year.
func (rd *reader) caps(o object) {
	base := YearCaps{Acres: NoLimit, Burns: NoLimit, Cost: NoLimit, BurnDays: make([]float64, len(rd.p.Seasons))}
	for s := range base.BurnDays {
		base.BurnDays[s] = NoLimit
	}
	if at := o.get("caps"); at != nil {
		rd.yearCaps(at, &base)
	}
	if rd.horizon {
		rd.p.Caps = make([]YearCaps, rd.p.T())
		for t := range rd.p.Caps {
			rd.p.Caps[t] = base
			rd.p.Caps[t].BurnDays = slices.Clone(base.BurnDays)
		}
	}
	at := o.get("caps_by_year")
	if at == nil {
		return
	}
	for _, entry := range rd.entries(at, "an object with caps for each program year that differs") {
		year, err := strconv.Atoi(entry.key)
		switch {
		case err != nil || strconv.Itoa(year) != entry.key:
			rd.bad(entry, "program years such as \"2028\"", "%s is not a program year", source.Quote(entry.key))
		case !rd.horizon:
			rd.yearCaps(entry, &YearCaps{BurnDays: make([]float64, len(rd.p.Seasons))})
		case !rd.p.inPlan(year):
			rd.bad(entry, rd.p.yearsText(), "%d is outside the plan", year)
		default:
			rd.yearCaps(entry, &rd.p.Caps[year-rd.p.FirstYear])
		}
	}
}

// yearCaps replaces the caps that an object names.
func (rd *reader) yearCaps(at *place, caps *YearCaps) {
	o, ok := rd.object(at, "acres", "burns", "cost", "burn_days")
	if !ok {
		return
	}
	if at := o.get("acres"); at != nil {
		caps.Acres, _ = rd.amount(at, "acres", MaxAcres)
	}
	if at := o.get("burns"); at != nil {
		n, _ := rd.integer(at, 0, MaxAcres, "a whole number of burns, 0 or more")
		caps.Burns = float64(n)
	}
	if at := o.get("cost"); at != nil {
		caps.Cost, _ = rd.amount(at, "dollars", MaxAmount)
	}
	if at := o.get("burn_days"); at != nil {
		for _, entry := range rd.entries(at, "an object with burn days for each capped season") {
			if s, known := rd.season(entry); known {
				caps.BurnDays[s], _ = rd.amount(entry, "burn days", MaxAmount)
			}
		}
	}
}
