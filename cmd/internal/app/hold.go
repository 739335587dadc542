package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/schedule/assemble"
	"emberquilt/schedule/problem"
)

// linePacket gathers what says how the lines of a contract stand; planned are the burns
// that a plan has.
func (s *Session) linePacket(c *habitat.Contract, planned []habitat.PlannedBurn) *view.PacketInput {
	return &view.PacketInput{Stamp: s.Stamp(), Property: s.Property, Units: s.AllUnits(), Records: s.Records, Contract: *c, Planned: planned}
}

// heldLines gives the lines of contracts that plans hold to and of which something
// remains, those due first before, each with the seasons in which a burn counts for it.
func (s *Session) heldLines(p *problem.Problem) []assemble.HeldLine {
	type line struct {
		held assemble.HeldLine
		last date.FiscalYear
	}
	var all []line
	for i := range s.Contracts {
		c := &s.Contracts[i]
		if !slices.ContainsFunc(c.Items, func(item habitat.ContractItem) bool { return c.HoldOf(&item) != habitat.FreeLine }) {
			continue
		}
		for _, l := range s.linePacket(c, nil).PlannedLines(s.Today) {
			last := l.LastYear()
			at := slices.IndexFunc(s.Units, func(u habitat.Unit) bool { return u.ID == l.Unit })
			if l.Hold == habitat.FreeLine || at < 0 {
				continue
			}
			all = append(
				all,
				line{assemble.HeldLine{Name: l.Name(), Unit: l.Unit, IsWish: l.Hold == habitat.WishedLine, Slots: s.slots(c, &s.Units[at], l.FiscalYear, last, p)}, last},
			)
		}
	}
	slices.SortStableFunc(all, func(a, b line) int { return cmp.Compare(a.last, b.last) })
	held := make([]assemble.HeldLine, len(all))
	for i := range all {
		held[i] = all[i].held
	}
	return held
}

// slots gives the seasons of a unit whose last day lies in a line's fiscal years, from
// today on, the earlier year and the better season first; a year all of whose seasons
// count is one slot.
func (s *Session) slots(c *habitat.Contract, unit *habitat.Unit, first, last date.FiscalYear, p *problem.Problem) []assemble.Slot {
	var all []assemble.Slot
	for year := yearOf(p); year < yearOf(p)+date.ProgramYear(p.T()); year++ {
		choices := slices.Clone(unit.Choices(&s.Property))
		slices.SortStableFunc(choices, func(a, b habitat.SeasonChoice) int { return cmp.Compare(a.Penalty, b.Penalty) })
		var good []assemble.Slot
		for _, choice := range choices {
			end := view.BurnSpan(&s.Property, choice.Season, year).Last
			if fiscal := c.FiscalStart.Of(end); fiscal >= first && fiscal <= last && !end.Before(s.Today) {
				good = append(good, assemble.Slot{Year: year, Season: choice.Season})
			}
		}
		if len(good) == len(choices) && len(good) > 0 {
			good = []assemble.Slot{{Year: year}}
		}
		all = append(all, good...)
	}
	return all
}

// PlannedLines says of every line of the contracts of which something remains what a
// plan does for it.
func (s *Session) PlannedLines(kept *StoredPlan) []view.PlannedLine {
	var all []view.PlannedLine
	if len(s.Contracts) == 0 {
		return nil
	}
	burns := kept.BurnsNow()
	through := s.lastDayOf(kept)
	for i := range s.Contracts {
		all = append(all, s.linePacket(&s.Contracts[i], burns).PlannedLines(through)...)
	}
	for i := range all {
		l := &all[i]
		isLocked := slices.ContainsFunc(kept.Problem.Locks, func(k problem.Lock) bool {
			return k.Burn && kept.Problem.Units[k.Unit].ID == l.Unit && k.Year == int(l.Year)
		})
		isOwn := slices.ContainsFunc(s.Locks, func(k habitat.Lock) bool { return k.Unit == l.Unit && k.Year == l.Year && k.Burn })
		l.Held = l.Hold != habitat.FreeLine && l.Year != 0 && isLocked && !isOwn
	}
	return all
}

// lastDayOf is the last day of a plan's years.
func (s *Session) lastDayOf(plan *StoredPlan) date.Day {
	return s.Property.YearStart.Span(plan.LastYear()).Last
}

// HoldLines says how plans hold to a line of a contract; with line 0 how they hold to
// all of its lines, also those that said something themselves.
func (s *Session) HoldLines(ctx context.Context, contract string, line int, hold habitat.LineHold) (string, error) {
	return s.changeContract(ctx, contract, func(c *habitat.Contract) (string, error) {
		if line == 0 {
			c.Hold = hold
			for i := range c.Items {
				c.Items[i].Hold = habitat.AsContract
			}
			return view.HoldWords(c, line, hold), nil
		}
		item := c.Line(line)
		if item == nil {
			return "", badOption("line", "the number of one of its lines", "%s has no line %d", c.Name, line)
		}
		if p := c.Practice(item.Practice); p == nil || !p.Burns {
			return "", badOption("line", "a line of a practice that burns", "line %d of %s does not burn", line, c.Name)
		}
		if item.IsPropertyWide() {
			return "", badOption("line", "a line of a unit", "a plan is not held to a line of the whole property, as line %d of %s is: it says what it burns of it", line, c.Name)
		}
		item.Hold = hold
		return view.HoldWords(c, line, hold), nil
	})
}

// heldWith names, where locks clash, the lines of contracts that are among them.
func heldWith(err error, said []assemble.Assumption) error {
	if !errors.Is(err, problem.ErrInfeasible) {
		return err
	}
	for _, a := range said {
		if held, ok := a.(assemble.LineHeld); ok && !held.Line.IsWish {
			err = fmt.Errorf("%w\n- %s", err, strings.Join(view.AssumptionWords([]assemble.Assumption{a}), ""))
		}
	}
	return err
}
