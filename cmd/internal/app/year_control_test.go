package app

import (
	"context"
	"slices"
	"strings"
	"testing"

	"emberquilt/habitat/date"
	"emberquilt/report/view"
)

// yearControls alter one thing that the notebook knows, or one thing that the program
// answers; the comparison must then say so in words that begin as given. Each gives the
// way back, or nil where there is nothing to alter on that day.
var yearControls = []struct {
	name, says string
	alter      func(y *played, c *Contents, p *ownPlan) (undo func())
}{
	{"acres of a burn on record", "packet: ", func(y *played, _ *Contents, _ *ownPlan) func() {
		for _, r := range y.promisedBurns() {
			r.acres += 3
			return func() { r.acres -= 3 }
		}
		return nil
	}},
	{"an attempt in place of a burn", "packet: ", func(y *played, _ *Contents, _ *ownPlan) func() {
		for _, r := range y.promisedBurns() {
			r.kind = "attempt"
			return func() { r.kind = "prescribed" }
		}
		return nil
	}},
	{"a burn of a day to come", "packet: ", func(y *played, _ *Contents, _ *ownPlan) func() {
		for _, r := range y.promisedBurns() {
			was := r.through
			r.through = next(y.n.today, 1)
			return func() { r.through = was }
		}
		return nil
	}},
	{"acres promised", "packet: ", func(y *played, _ *Contents, _ *ownPlan) func() {
		if y.n.promised == 0 {
			return nil
		}
		y.n.promised++
		return func() { y.n.promised-- }
	}},
	{"answer: acres credited", "packet: applied", func(y *played, _ *Contents, _ *ownPlan) func() {
		if y.n.promised == 0 {
			return nil
		}
		y.alterPacket = func(v *view.Packet) { v.Practices[0].Credited += 1 }
		return func() { y.alterPacket = nil }
	}},
	{"answer: a burn twice", "packet: ", func(y *played, _ *Contents, _ *ownPlan) func() {
		if len(y.promisedBurns()) == 0 {
			return nil
		}
		y.alterPacket = func(v *view.Packet) { v.Completions = append(v.Completions, v.Completions...) }
		return func() { y.alterPacket = nil }
	}},
	{"a planned burn", "why ", func(y *played, _ *Contents, p *ownPlan) func() {
		at := slices.IndexFunc(p.burns, func(b ownBurn) bool {
			u := y.n.unit(b.unit)
			return u != nil && !y.n.isRetired(u) && !y.n.isOver(b) && !y.n.state(u, b.year).done && slices.Contains(p.units, b.unit)
		})
		if at < 0 {
			return nil
		}
		was := p.burns
		p.burns = slices.Delete(slices.Clone(was), at, at+1)
		return func() { p.burns = was }
	}},
	{"a lock", "why ", func(y *played, _ *Contents, p *ownPlan) func() {
		if y.isOlder(p) {
			return nil
		}
		for _, u := range y.n.present() {
			at := unitYear{u.name, p.last}
			if _, ok := y.n.locks[at]; !ok && !y.n.state(u, p.last).done {
				y.n.locks[at] = ownLock{}
				return func() { delete(y.n.locks, at) }
			}
		}
		return nil
	}},
	{"a longer interval", "why ", func(y *played, _ *Contents, p *ownPlan) func() {
		for _, u := range y.n.present() {
			late := slices.ContainsFunc([]int{p.first, p.first + 1, p.last}, func(year int) bool {
				return y.aged(u, year, p) >= u.max && !y.n.state(u, year).done && y.n.isOwnedAtEnd(u, year)
			})
			if late && slices.Contains(p.units, u.name) && !y.n.isBoughtAfter(u, p.first) {
				u.max += 9
				return func() { u.max -= 9 }
			}
		}
		return nil
	}},
	{"answer: the age at the end", "why ", func(y *played, _ *Contents, _ *ownPlan) func() {
		y.alterWhy = func(v *view.Why) { v.AgeAtEnd++ }
		return func() { y.alterWhy = nil }
	}},
	{"answer: burns and rests exchanged", "why ", func(y *played, _ *Contents, _ *ownPlan) func() {
		y.alterWhy = func(v *view.Why) { v.Burn = !v.Burn }
		return func() { y.alterWhy = nil }
	}},
	{"answer: it burned", "why ", func(y *played, _ *Contents, _ *ownPlan) func() {
		y.alterWhy = func(v *view.Why) { v.Done = true }
		return func() { y.alterWhy = nil }
	}},
	{"answer: a lock that nobody set", "why ", func(y *played, _ *Contents, p *ownPlan) func() {
		if y.isOlder(p) || len(y.n.locks) > 0 {
			return nil
		}
		y.alterWhy = func(v *view.Why) { v.Reasons = append(v.Reasons, "It is locked.") }
		return func() { y.alterWhy = nil }
	}},
	{"grazing that sets the age back", "why ", func(y *played, _ *Contents, p *ownPlan) func() {
		for _, u := range y.n.present() {
			for _, f := range u.ground.fires {
				year := y.n.yearOf(f.record.through)
				if f.record.kind != "grazing" || f.record.gone || f.record.through.After(y.n.today) || f.acres() < 0.7*u.acres ||
					y.n.resets["grazing"] || year < p.first || year > p.last || y.n.state(u, year).done || !slices.Contains(p.units, u.name) {
					continue
				}
				y.n.resets["grazing"] = true
				return func() { y.n.resets["grazing"] = false }
			}
		}
		return nil
	}},
	{"a deferment that was noted", "tasks: ", func(y *played, _ *Contents, p *ownPlan) func() {
		tasks, _ := y.n.due(p)
		for _, d := range tasks {
			if d.task == "rest the grass" && !d.done {
				key := taskKey{d.task, d.unit, d.year}
				y.n.done[key] = true
				return func() { delete(y.n.done, key) }
			}
		}
		return nil
	}},
	{"stock on a unit that is not grazed", "tasks: ", func(y *played, _ *Contents, p *ownPlan) func() {
		tasks, _ := y.n.due(p)
		for _, d := range tasks {
			if u := y.n.unit(d.unit); !d.isAfter && !y.n.isGrazed(u) {
				was := y.n.grazed
				y.n.grazed = append(slices.Clone(was), u.name)
				return func() { y.n.grazed = was }
			}
		}
		return nil
	}},
	{"a partner's crew on days of the week", "week: shared days", func(y *played, _ *Contents, _ *ownPlan) func() {
		was := y.n.crew.shared
		y.n.crew.shared = append(slices.Clone(was), ownShared{partner: "nobody", days: ownClosure{first: y.n.today, last: y.n.today}})
		return func() { y.n.crew.shared = was }
	}},
	{"days off in the season that is due", "due: ", func(y *played, c *Contents, _ *ownPlan) func() {
		if !slices.ContainsFunc(c.Due.Units, func(u view.DueUnit) bool { return len(u.Windows) > 0 }) {
			return nil
		}
		was := y.n.crew.off
		y.n.crew.off = append(slices.Clone(was), ownSpan{y.n.today, next(y.n.today, 500)})
		return func() { y.n.crew.off = was }
	}},
	{"a crew that nobody named", "due: people", func(y *played, _ *Contents, _ *ownPlan) func() {
		was := y.n.crew.people
		if y.n.crew.in[y.s.dueSeason()] > 0 {
			return nil
		}
		y.n.crew.people = append(slices.Clone(was), "nobody")
		return func() { y.n.crew.people = was }
	}},
	{"burn days of a unit that shares a day", "due: ", func(y *played, c *Contents, _ *ownPlan) func() {
		for _, day := range c.Due.Crew.OneDay {
			u := y.n.unit(day.Units[0])
			u.days += 0.25
			return func() { u.days -= 0.25 }
		}
		return nil
	}},
}

// dueSeason names the season under way, or the one that comes next.
func (s *Session) dueSeason() string {
	season, _ := view.SeasonOn(&s.Property, s.Today)
	return s.Property.Seasons[season].Name
}

// promisedBurns gives the burns that count for the contract.
func (y *played) promisedBurns() (all []*ownRecord) {
	if y.n.promised == 0 {
		return nil
	}
	for _, u := range y.n.present() {
		for _, f := range u.ground.fires {
			if r := f.record; u.inContract && !r.gone && r.kind == "prescribed" && !r.through.After(y.n.today) && plainYear(r.through) >= 2027 && f.acres() > 0.1 && f.share == 1 {
				all = append(all, r)
			}
		}
	}
	return all
}

// TestRandomYearsNotice alters what the notebook knows, and what the program answers, in
// random years, one thing at a time: TestRandomYears must see each.
func TestRandomYearsNotice(t *testing.T) {
	seen := make([]bool, len(yearControls))
	left := len(seen)
	for seed := uint64(1); seed < 40 && left > 0; seed++ {
		y := newPlayed(t, seed)
		for end := next(y.n.today, 2*365); y.n.today.Before(end) && left > 0 && !y.failed; {
			y.act()
			p := y.n.inForce()
			if p == nil {
				continue
			}
			c, err := y.s.Contents(context.Background(), 0)
			y.must(err)
			y.week, err = c.Week(context.Background())
			y.must(err)
			for i, control := range yearControls {
				if seen[i] {
					continue
				}
				undo := control.alter(y, c, p)
				if undo == nil {
					continue
				}
				seen[i] = true
				left--
				y.compareSome(c, p, control.says)
				if !slices.ContainsFunc(y.faults, func(fault string) bool { return strings.HasPrefix(fault[len("2026-10-01: "):], control.says) }) {
					t.Errorf("seed %d, %s: %s: nothing of it was seen; faults %q", seed, date.DayOf(y.n.today), control.name, y.faults)
				}
				undo()
				y.faults, y.failed = nil, false
				if y.compareSome(c, p, control.says); y.failed {
					t.Fatalf("seed %d: without %s: %q", seed, control.name, y.faults)
				}
			}
		}
		if y.close(); y.failed {
			t.Fatalf("seed %d: %q", seed, y.faults)
		}
	}
	for i, control := range yearControls {
		if !seen[i] {
			t.Errorf("no day came on which to try %q", control.name)
		}
	}
}

// compareSome compares the part of the answers whose faults begin with some words.
func (y *played) compareSome(c *Contents, p *ownPlan, says string) {
	switch strings.Fields(says)[0] {
	case "packet:":
		y.comparePacket()
	case "why":
		y.compareWhy(c, p)
	case "tasks:":
		y.compareTasks(c, p)
	default:
		y.compareDue(c, p)
		y.compareCrew(c, p)
	}
}
