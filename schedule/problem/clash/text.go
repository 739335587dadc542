package clash

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// name gives the id of a locked burn's unit.
func (f *finder) name(b lockedBurn) string { return f.p.Units[b.Unit].ID }

// does says what a lock makes of its unit: "n1 is locked to burn".
func (f *finder) does(b lockedBurn) string {
	return f.name(b) + [...]string{" is locked to burn", " has burned", " would burn", " was planned to burn"}[b.By]
}

// burnsOf names locked burns: "the burn of n3 and the locked burns of n1, n2 and n4".
func (f *finder) burnsOf(set []lockedBurn) string {
	var all []string
	for _, by := range []problem.LockedBy{problem.ByQuestion, problem.ByPlan, problem.ByRecord, problem.BySomebody} {
		of := slices.DeleteFunc(slices.Clone(set), func(b lockedBurn) bool { return b.By != by })
		if len(of) > 0 {
			all = append(all, f.named([...]string{"the locked burn", "the burn on record", "the burn", "the planned burn"}[by], of))
		}
	}
	return strings.Join(all, " and ")
}

// named names burns of one kind.
func (f *finder) named(what string, set []lockedBurn) string {
	if len(set) == 1 {
		return what + " of " + f.name(set[0])
	}
	what = strings.Replace(what, "burn", "burns", 1)
	const shown = 8
	var names []string
	for _, b := range set {
		names = append(names, f.name(b))
	}
	last := names[len(names)-1]
	if len(names) > shown {
		names = names[:shown+1]
		last = strconv.Itoa(len(set)-shown) + " more units"
	}
	return what + " of " + quantity.List(append(names[:len(names)-1], last))
}

func (f *finder) sumText(c *problem.Clash, set []lockedBurn) string {
	verb := quantity.Plural(len(set), " takes ", " take ")
	head := fmt.Sprintf("%d: %s", c.Year, f.burnsOf(set))
	switch c.Requirement {
	case problem.RequireRefuge:
		return head + verb + amount(c.Needed) + " acres of refuge " + f.p.Refuges[c.Refuge].Name + ", which allows " + amount(c.Allowed)
	case problem.RequireAcres:
		return head + verb + amount(c.Needed) + " acres; the year allows " + amount(c.Allowed)
	case problem.RequireCost:
		return head + quantity.Plural(len(set), " costs ", " cost ") + amount(c.Needed) + " dollars; the year allows " + amount(c.Allowed)
	}
	return head + fmt.Sprintf(" are %.0f; the year allows %.0f", c.Needed, c.Allowed)
}

func (f *finder) daysText(c *problem.Clash, set []lockedBurn) string {
	head := fmt.Sprintf("%d: %s%s%s burn days", c.Year, f.burnsOf(set), quantity.Plural(len(set), " takes ", " take "), amount(c.Needed))
	switch {
	case c.Season >= 0:
		return head + " of " + f.p.Seasons[c.Season] + ", which allows " + amount(c.Allowed)
	case problem.Meets(c.Needed, c.Allowed):
		return head + "; the seasons that they may use allow " + amount(c.Allowed) + ", but in no arrangement does each burn fit into one season"
	}
	return head + "; the seasons that they may use allow " + amount(c.Allowed)
}

func (f *finder) contradictionText(first, second problem.Lock) string {
	say := func(l problem.Lock) string {
		switch {
		case !l.Burn:
			return "to rest"
		case l.Season < 0:
			return "to burn"
		}
		return "to burn in " + f.p.Seasons[l.Season]
	}
	return fmt.Sprintf("%d: %s is locked %s and locked %s", first.Year, f.p.Units[first.Unit].ID, say(first), say(second))
}

func (f *finder) youngText(b *lockedBurn, age float64) string {
	return fmt.Sprintf("%d: %s %s after its last burn; its shortest interval is %s",
		b.Year, f.does(*b), years(age), years(float64(f.p.Units[b.Unit].MinInterval)))
}

func (f *finder) tooSoonText(before, b *lockedBurn) string {
	return fmt.Sprintf(
		"%d: %s %s after %s of %d; its shortest interval is %s",
		b.Year,
		f.does(*b),
		years(float64(b.Year-before.Year)),
		[...]string{"its locked burn", "its burn on record", "a burn", "its planned burn"}[before.By],
		before.Year,
		years(float64(f.p.Units[b.Unit].MinInterval)),
	)
}

func years(n float64) string {
	return fmt.Sprintf("%.0f %s", n, quantity.Plural(n, "year"))
}

func (f *finder) apartText(first, second lockedBurn) string {
	if first.By == problem.BySomebody && second.By == problem.BySomebody {
		return fmt.Sprintf("%d: %s and %s are locked to burn in one year and must be apart", first.Year, f.name(first), f.name(second))
	}
	return fmt.Sprintf("%d: %s and %s, and they must be apart", first.Year, f.does(first), f.does(second))
}

func (f *finder) seasonText(b lockedBurn) string {
	u := &f.p.Units[b.Unit]
	switch {
	case b.Season < 0 && slices.ContainsFunc(u.Penalty, func(penalty float64) bool { return penalty >= 0 }):
		return fmt.Sprintf("%d: %s and its seasons are closed in that year", b.Year, f.does(b))
	case b.Season < 0:
		return fmt.Sprintf("%d: %s and is allowed in no season", b.Year, f.does(b))
	case u.Allows(b.Season):
		return fmt.Sprintf("%d: %s in %s, which is closed to it in that year", b.Year, f.does(b), f.p.Seasons[b.Season])
	}
	return fmt.Sprintf("%d: %s in %s, which it is not allowed", b.Year, f.does(b), f.p.Seasons[b.Season])
}

// amount writes a quantity with one to four decimals.
func amount(x float64) string {
	text := strconv.FormatFloat(x, 'f', 4, 64)
	for text[len(text)-1] == '0' && text[len(text)-2] != '.' {
		text = text[:len(text)-1]
	}
	return text
}
