package view

import (
	"strconv"
	"strings"
	"time"
	"unicode"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

func timeMonth(m date.YearStart) time.Month { return time.Month(m) }

// seasonKeys gives each season a letter of its own: the first letter of its
// name that is still free, else a number.
func seasonKeys(names []string, p *habitat.Property) []SeasonKey {
	keys := make([]SeasonKey, len(names))
	taken := map[string]bool{}
	for i, name := range names {
		keys[i] = SeasonKey{Name: name, Letter: strconv.Itoa(i + 1)}
		for _, r := range name {
			if letter := strings.ToUpper(string(r)); unicode.IsLetter(r) && len([]rune(letter)) == 1 && !taken[letter] {
				keys[i].Letter = letter
				break
			}
		}
		taken[keys[i].Letter] = true
		if s := p.SeasonIndex(name); s >= 0 {
			keys[i].Dates = p.Seasons[s].Span.Words()
		}
	}
	return keys
}

// unitRows lays the plan years out by unit.
func (l *layout) unitRows(seasons []SeasonKey) []UnitRow {
	p := l.Problem
	locked := map[[2]int]bool{}
	for _, lock := range p.Locks {
		locked[[2]int{lock.Unit, lock.Year - p.FirstYear}] = true
	}
	rows := make([]UnitRow, len(p.Units))
	for i := range p.Units {
		u := &p.Units[i]
		row := UnitRow{ID: u.ID, Acres: quantity.Acres(u.Acres), Cost: centsOf(u.Cost), MinInterval: u.MinInterval, MaxInterval: u.MaxInterval,
			Interval: l.interval(i).String(), AgeBefore: l.before(i), Cells: make([]UnitYear, p.Years)}
		row.Gone = l.Became[u.ID]
		if u.Mix >= 0 {
			row.Mix = p.Mixes[u.Mix].Name
		}
		if u.Refuge >= 0 {
			row.Refuge = p.Refuges[u.Refuge].Name
		}
		if known := l.known[u.ID]; known != nil {
			row.Cover = known.Cover
			age := l.Property.AgeAtEnd(known, l.records[u.ID], date.ProgramYear(p.FirstYear-1), l.Stamp.On)
			row.LastBurn, row.Assumed = l.state(known, l.records[u.ID], l.Property.YearOf(l.Stamp.On)).LastBurn, age.Assumed != habitat.OnRecord
		}
		for t := range row.Cells {
			cell := UnitYear{Year: l.year(t), Age: l.stands[i][t], Overdue: l.overdue(i, t), Missed: l.isMissed(i, t), Locked: locked[[2]int{i, t}], Next: l.nextBurn(i, t)}
			if state, ok := l.stateIn(i, t); ok {
				cell.Done = state.HasBurned()
				cell.Locked = cell.Locked && !state.Done // what has burned, nobody need lock
			}
			if t == 0 && l.treated[i] != "" { // the lock is the record's own
				cell.Locked = false
			}
			if s := l.season[i][t]; s >= 0 {
				cell.Burn, cell.Season, cell.Letter = true, seasons[s].Name, seasons[s].Letter
			}
			if s := l.stood[i][t]; s >= 0 {
				if cell.Counts = OutsideSeasons; s < len(seasons) {
					cell.Counts = seasons[s].Letter
				}
			}
			row.Cells[t] = cell
		}
		rows[i] = row
	}
	return rows
}

// nextBurn gives the first year after t in which the unit burns, lookahead
// included, 0 where there is none.
func (l *layout) nextBurn(unit, t int) date.ProgramYear {
	for next := t + 1; next < l.Problem.T(); next++ {
		if l.burns(unit, next) {
			return l.year(next)
		}
	}
	return 0
}

// overdueRows lists the units that are overdue in a plan year, in unit order.
func (l *layout) overdueRows() []OverdueRow {
	var rows []OverdueRow
	for i := range l.Problem.Units {
		u := &l.Problem.Units[i]
		row := OverdueRow{Unit: u.ID, Acres: quantity.Acres(u.Acres), MaxInterval: u.MaxInterval, AgeBefore: l.before(i)}
		for t := range l.Problem.Years {
			if l.overdue(i, t) {
				row.Years = append(row.Years, l.year(t))
				row.OldestAge = max(row.OldestAge, l.stands[i][t])
			}
			if row.Burns == 0 && l.burns(i, t) {
				row.Burns = l.year(t)
			}
		}
		if row.Years != nil {
			rows = append(rows, row)
		}
	}
	return rows
}
