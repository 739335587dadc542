package assemble

import (
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/problem/clash"
)

// HeldLine is a line of a contract that wants a burn of a unit in its time.
type HeldLine struct {
	// Name names the line for people.
	Name string
	Unit string
	// IsWish says that the line gives way where it cannot stand with what is required.
	IsWish bool
	// Slots are the years, or the seasons of years, that count for the line, the one to
	// try first before.
	Slots []Slot
}

// Slot is a program year in which a burn counts, or one season of it; an empty Season
// means any.
type Slot struct {
	Year   date.ProgramYear
	Season string
}

// LineHeld is a line of a contract whose burn was fixed.
type LineHeld struct {
	Line HeldLine
	Slot Slot
}

// LineGivenUp is a wish that cannot stand with what is required. Text says with what it
// clashes first.
type LineGivenUp struct {
	Line HeldLine
	Text string
}

func (LineHeld) assumption()    {}
func (LineGivenUp) assumption() {}

// Hold fixes the burns of lines of contracts as locks of a problem, one line after the
// other in their order: those that are locks first, then wishes. A line takes the first
// of its slots that can stand with what is fixed before it; a wish that has none is
// given up, a lock takes its first slot all the same, and the problem then says what
// clashes. The model has no cost for a wish: it is kept wherever it can be, whatever
// that costs otherwise. Lines without a slot in the problem's years are left alone. The
// problem that is handed in stays as it is.
func Hold(p *problem.Problem, lines []HeldLine) (*problem.Problem, []Assumption, error) {
	held := *p
	held.Locks = slices.Clone(p.Locks)
	var said []Assumption
	ordered := slices.Clone(lines)
	slices.SortStableFunc(ordered, func(a, b HeldLine) int {
		switch {
		case a.IsWish == b.IsWish:
			return 0
		case a.IsWish:
			return 1
		}
		return -1
	})
	for _, line := range ordered {
		unit := slices.IndexFunc(p.Units, func(u problem.Unit) bool { return u.ID == line.Unit })
		locks := locksOf(&held, unit, line.Slots)
		if unit < 0 || len(locks) == 0 {
			continue
		}
		if at := slices.IndexFunc(locks, func(l problem.Lock) bool { return fits(&held, l) }); at >= 0 {
			continue // a lock of its own, or a record, burns it in time
		}
		text, taken := "", -1
		before := len(clash.Find(&held))
		for i, l := range locks {
			held.Locks = append(held.Locks, l)
			clashes := clash.Find(&held)
			if len(clashes) <= before && !slices.ContainsFunc(clashes, func(c problem.Clash) bool { return slices.Contains(c.Locks, l) }) {
				taken = i
				break
			}
			held.Locks = held.Locks[:len(held.Locks)-1]
			if text == "" {
				text = clashOf(clashes, l)
			}
		}
		switch {
		case taken < 0 && line.IsWish:
			said = append(said, LineGivenUp{line, text})
			continue
		case taken < 0:
			taken = 0
			held.Locks = append(held.Locks, locks[0])
		}
		slot := Slot{Year: date.ProgramYear(locks[taken].Year)}
		if locks[taken].Season >= 0 {
			slot.Season = p.Seasons[locks[taken].Season]
		}
		said = append(said, LineHeld{line, slot})
	}
	if len(held.Locks) == len(p.Locks) {
		return p, said, nil
	}
	made, err := problem.Canonical(&held)
	return made, said, err
}

// locksOf gives the slots as locks, as far as they lie in the problem's years.
func locksOf(p *problem.Problem, unit int, slots []Slot) []problem.Lock {
	var all []problem.Lock
	for _, slot := range slots {
		year, season := int(slot.Year), -1
		if slot.Season != "" {
			season = slices.Index(p.Seasons, slot.Season)
			if season < 0 {
				continue
			}
		}
		if year >= p.FirstYear && year < p.FirstYear+p.T() {
			all = append(all, problem.Lock{Unit: unit, Year: year, Burn: true, Season: season})
		}
	}
	return all
}

// fits reports whether a lock of the problem burns the unit in a slot already.
func fits(p *problem.Problem, slot problem.Lock) bool {
	return slices.ContainsFunc(p.Locks, func(l problem.Lock) bool {
		return l.Burn && l.Unit == slot.Unit && l.Year == slot.Year && (slot.Season < 0 || l.Season == slot.Season)
	})
}

// clashOf gives the text of the clash that a lock brings, or of the first one.
func clashOf(clashes []problem.Clash, lock problem.Lock) string {
	for _, c := range clashes {
		if slices.Contains(c.Locks, lock) {
			return c.Text
		}
	}
	return clashes[0].Text
}
