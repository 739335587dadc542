package view

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// LineState says what a plan does for a line of a contract of which something remains.
type LineState string

// What a plan may do for a line.
const (
	// InTime lines are made good by burns in their own fiscal years.
	InTime LineState = "in time"
	// EarlyCredit lines are made good before their years, and the contract credits it.
	EarlyCredit LineState = "early, credited"
	// TooEarly lines have a burn before their years alone, which is not credited.
	TooEarly LineState = "before its year"
	// Late lines are made good after their years.
	Late LineState = "late"
	// Unplanned lines have no burn that counts for them in the years of the plan.
	Unplanned LineState = "not planned"
	// Beyond lines are due after the years of the plan.
	Beyond LineState = "after the plan"
)

// PlannedLine is a line of a contract of which something remains, with what the plan
// does for it.
type PlannedLine struct {
	Contract string `json:"contract"`
	Line     int    `json:"line"`
	Practice string `json:"practice"`
	// Unit is habitat.WholeProperty where PropertyWide says that the line is of the whole
	// property.
	Unit         string          `json:"unit"`
	PropertyWide bool            `json:"property_wide,omitempty"`
	FiscalYear   date.FiscalYear `json:"fiscal_year"`
	Until        date.FiscalYear `json:"until,omitempty"`
	Measure      habitat.Measure `json:"measure"`
	Remaining    float64         `json:"remaining"`
	// Hold says how the plan holds to the line.
	Hold  habitat.LineHold `json:"in_plan"`
	State LineState        `json:"state"`
	// Year and Season are the planned burn that counts first for the line; 0 where
	// none does.
	Year   date.ProgramYear `json:"burn_year,omitempty"`
	Season string           `json:"burn_season,omitempty"`
	// Held says that the line itself fixes the burn of Year.
	Held bool `json:"held"`
	// next is the planned burn that is told of, fiscal its fiscal year; of a line whose
	// burn comes too early that one.
	next   habitat.PlannedBurn
	fiscal date.FiscalYear
	// burns are those that count for a line of the whole property, in order of date.
	burns []countedBurn
	// Words says all that in a sentence, Trouble that it is not as the contract wants it.
	Words   string `json:"words"`
	Trouble bool   `json:"trouble"`
}

// countedBurn is a planned burn, or the part of it, that counts for a line of the whole
// property.
type countedBurn struct {
	burn   habitat.PlannedBurn
	fiscal date.FiscalYear
	state  LineState
	amount quantity.Exact
}

// counts gives the planned burn of a unit in a year that counts for the line, and how;
// nil where none does.
func (l *PlannedLine) counts(unit string, year date.ProgramYear) *countedBurn {
	if l.PropertyWide {
		at := slices.IndexFunc(l.burns, func(b countedBurn) bool { return b.burn.Unit == unit && b.burn.Year == year })
		if at < 0 {
			return nil
		}
		return &l.burns[at]
	}
	if l.Unit != unit || l.Year != year {
		return nil
	}
	return &countedBurn{burn: l.next, fiscal: l.fiscal, state: l.State, amount: quantity.ExactOf(l.Remaining)}
}

// concerns reports that the line says something of the unit: it is of it, or burns of it
// count for it, or it is of the whole property and in trouble, so that they might.
func (l *PlannedLine) concerns(unit string) bool {
	return l.Unit == unit && !l.PropertyWide ||
		l.PropertyWide && (l.Trouble || slices.ContainsFunc(l.burns, func(b countedBurn) bool { return b.burn.Unit == unit }))
}

// forWords says what a burn of a unit does for the line, such as "20.0 acres of 338".
func (l *PlannedLine) forWords(b *countedBurn) string {
	if l.PropertyWide {
		return fmt.Sprintf("%s of its %s %s of %s, on the %s", quantity.Group(b.amount.Float(), 1), quantity.Group(l.Remaining, 1), l.Measure, l.Practice, l.Unit)
	}
	return fmt.Sprintf("%s %s of %s", quantity.Group(l.Remaining, 1), l.Measure, l.Practice)
}

// burnsWords says which of a line of the whole property the plan burns when, after "the
// plan"; empty for other lines.
func (l *PlannedLine) burnsWords() string {
	if !l.PropertyWide {
		return ""
	}
	text := "is not held to it"
	if len(l.burns) == 0 {
		switch l.State {
		case Beyond:
			return text + "; its year comes after the plan's"
		case TooEarly:
			return text + fmt.Sprintf("; burns that are to spare come in fiscal year %s alone, before its year, which is not credited", l.fiscal)
		}
		return text + ", and has no burn that counts for it"
	}
	type part struct {
		fiscal date.FiscalYear
		state  LineState
	}
	var order []part
	amounts := map[part]quantity.Exact{}
	for _, b := range l.burns {
		p := part{b.fiscal, b.state}
		if _, ok := amounts[p]; !ok {
			order = append(order, p)
		}
		amounts[p] += b.amount
	}
	var parts []string
	var sum, printed quantity.Exact // each part is printed so that all add up to their rounded sum
	for i, p := range order {
		sum += amounts[p]
		rounded := sum.Tenths() - printed
		if rounded == 0 && i > 0 {
			continue // too little to print
		}
		amount := quantity.Group(rounded.Float(), 1)
		printed = sum.Tenths()
		if i == 0 {
			amount = fmt.Sprintf("%s of its %s %s", amount, quantity.Group(l.Remaining, 1), l.Measure)
		}
		how := map[LineState]string{Late: " late,", EarlyCredit: " before its year, which the contract credits,"}[p.state]
		parts = append(parts, fmt.Sprintf("%s%s in fiscal year %s", amount, how, p.fiscal))
	}
	return text + ", and burns " + strings.Join(parts, "; then ")
}

// LastYear is the last fiscal year of the line.
func (l *PlannedLine) LastYear() date.FiscalYear { return max(l.FiscalYear, l.Until) }

// Name names the line: "line 3 of Grass".
func (l *PlannedLine) Name() string { return fmt.Sprintf("line %d of %s", l.Line, l.Contract) }

// PlannedLines says what the burns planned up to a day, zero where it is not known, do for
// the lines of the contract of which something remains. It credits them as the packet will when they
// are done whole, each on the last day of its season.
func (in *PacketInput) PlannedLines(through date.Day) []PlannedLine {
	c := &in.Contract
	now := c.FiscalStart.Of(in.Stamp.On)
	done := in.completions()
	before := in.schedule(done, now)
	planned, burns := in.plannedWork()
	after := map[int]*ScheduleRow{}
	rows := in.schedule(slices.Concat(done, planned), now)
	for i := range rows {
		after[rows[i].Line] = &rows[i]
	}
	var all []PlannedLine
	for i := range before {
		r := &before[i]
		p := c.Practice(r.Practice)
		if r.Line == 0 || r.Remaining == 0 || p == nil || !p.Burns {
			continue
		}
		l := PlannedLine{
			Contract:     c.Name,
			Line:         r.Line,
			Practice:     r.Practice,
			Unit:         r.Unit,
			PropertyWide: r.PropertyWide,
			FiscalYear:   r.FiscalYear,
			Until:        r.Until,
			Measure:      r.Measure,
			Remaining:    r.Remaining,
			Hold:         c.HoldOf(c.Line(r.Line)),
		}
		then := after[r.Line]
		first := slices.IndexFunc(planned, func(w CompletionRow) bool { return w.Practice == r.Practice && then.has(&w) })
		other := slices.IndexFunc(planned, func(w CompletionRow) bool { return w.Unit == r.Unit && w.Practice == r.Practice })
		if l.PropertyWide {
			l.burns, first = countedBurns(then, planned, burns), -1
			if len(l.burns) > 0 {
				first = slices.Index(burns, l.burns[0].burn)
			}
			other = slices.IndexFunc(planned, func(w CompletionRow) bool { // one that no line takes
				return w.Practice == r.Practice && slices.ContainsFunc(rows, func(o ScheduleRow) bool { return o.Line == 0 && o.Practice == w.Practice && o.has(&w) })
			})
		}
		switch {
		case first >= 0 && then.Late > r.Late:
			l.State = Late
		case first >= 0 && then.Early > r.Early:
			l.State = EarlyCredit
		case first >= 0:
			l.State = InTime
		case !through.IsZero() && r.LastYear() > c.FiscalStart.Of(through):
			l.State = Beyond
		case other >= 0 && planned[other].FiscalYear < r.FiscalYear:
			l.State, first = TooEarly, other
		default:
			l.State = Unplanned
		}
		left := then.Remaining
		var fiscal date.FiscalYear
		if first >= 0 {
			fiscal = planned[first].FiscalYear
			l.next, l.fiscal = burns[first], fiscal
			if l.State != TooEarly {
				l.Year, l.Season = burns[first].Year, burns[first].Season
			}
		}
		l.Trouble = l.State != InTime && l.State != EarlyCredit && l.State != Beyond || left > 0 && l.State != Beyond
		l.Words = l.words(now, c.Early, burns, first, fiscal, left)
		all = append(all, l)
	}
	return all
}

// has reports that a piece of work, or a part of it, went to the row.
func (r *ScheduleRow) has(work *CompletionRow) bool {
	return slices.ContainsFunc(r.shares, func(s share) bool { return s.isOf(work) })
}

// countedBurns gives the planned burns that count for a line of the whole property.
func countedBurns(r *ScheduleRow, planned []CompletionRow, burns []habitat.PlannedBurn) (all []countedBurn) {
	for i := range planned {
		w := &planned[i]
		at := slices.IndexFunc(r.shares, func(s share) bool { return s.isOf(w) && s.credited() > 0 })
		if w.Practice != r.Practice || at < 0 {
			continue
		}
		one := countedBurn{burn: burns[i], fiscal: w.FiscalYear, state: InTime, amount: r.shares[at].credited()}
		switch {
		case w.FiscalYear > r.LastYear():
			one.state = Late
		case w.FiscalYear < r.FiscalYear:
			one.state = EarlyCredit
		}
		all = append(all, one)
	}
	return all
}

// plannedWork gives the planned burns that are still to come as work done on the last
// day of its season, in order of date, with the burns that they are.
func (in *PacketInput) plannedWork() (work []CompletionRow, burns []habitat.PlannedBurn) {
	type both struct {
		work CompletionRow
		burn habitat.PlannedBurn
	}
	var all []both
	for _, b := range in.Planned {
		at := slices.IndexFunc(in.Units, func(u habitat.Unit) bool { return u.ID == b.Unit })
		if at < 0 {
			continue
		}
		state := in.Property.StateIn(&in.Units[at], in.Records, b.Year, in.Stamp.On)
		last := BurnSpan(&in.Property, b.Season, b.Year).Last
		if state.Done || last.Before(in.Stamp.On) {
			continue
		}
		acres := in.Units[at].Acres
		if state.PartBurned() {
			acres = state.Left
		}
		for _, p := range in.Contract.Practices {
			if p.Burns {
				row := CompletionRow{
					Unit:       b.Unit,
					Practice:   p.Code,
					FiscalYear: in.Contract.FiscalStart.Of(last),
					On:         last,
					Through:    last,
					Applied:    float64(acres),
					Measure:    p.Measure,
					Record:     fmt.Sprintf("planned %s %d", b.Season, b.Year),
				}
				all = append(all, both{row, b})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b both) int {
		return cmp.Or(a.work.Through.Compare(b.work.Through), cmp.Compare(a.work.Practice, b.work.Practice), cmp.Compare(a.work.Unit, b.work.Unit))
	})
	for _, one := range all {
		work, burns = append(work, one.work), append(burns, one.burn)
	}
	return work, burns
}

// words says what the plan does for the line.
func (l *PlannedLine) words(now date.FiscalYear, early habitat.EarlyCredit, burns []habitat.PlannedBurn, first int, fiscal date.FiscalYear, left float64) string {
	due := "due in fiscal year " + l.FiscalYear.String()
	if l.Until > l.FiscalYear {
		due = fmt.Sprintf("due in fiscal years %s to %s", l.FiscalYear, l.Until)
	}
	if l.LastYear() < now {
		due = "behind since fiscal year " + l.LastYear().String()
	}
	name := l.Name()
	text := fmt.Sprintf("%s: %s %s of %s on %s, %s", strings.ToUpper(name[:1])+Plain(name[1:]), quantity.Group(l.Remaining, 1), l.Measure, Plain(l.Practice), onPlace(Plain(l.Unit), l.PropertyWide), due)
	if l.PropertyWide {
		text += "; the plan " + l.burnsWords()
		if l.State == TooEarly && early == habitat.EarlyUnasked {
			text += ": nobody said whether it is"
		}
		if left > 0 && left < l.Remaining {
			text += fmt.Sprintf("; %s %s of it remain after that", quantity.Group(left, 1), l.Measure)
		}
		return text + "."
	}
	burn := ""
	if first >= 0 {
		burn = habitat.SeasonWords(burns[first].Season, burns[first].Year)
	}
	switch l.State {
	case InTime:
		text += "; the plan burns it in " + burn
	case EarlyCredit:
		text += fmt.Sprintf("; the plan burns it in %s, fiscal year %s, before its year, which the contract credits", burn, fiscal)
	case TooEarly:
		credits := "which the contract does not credit"
		if early == habitat.EarlyUnasked {
			credits = "and nobody said whether the contract credits that"
		}
		text += fmt.Sprintf("; the plan burns it in %s, fiscal year %s, before its year, %s, and not in its year", burn, fiscal, credits)
	case Late:
		text += fmt.Sprintf("; the plan burns it late, in %s, fiscal year %s", burn, fiscal)
	case Unplanned:
		text += "; the plan has no burn that counts for it"
	case Beyond:
		text += "; its year comes after the plan's"
	}
	if left > 0 && left < l.Remaining {
		text += fmt.Sprintf("; %s %s of it remain after that", quantity.Group(left, 1), l.Measure)
	}
	return text + "."
}

// LineTroubles gives the sentences of the lines that are not as their contracts want
// them, those due first before.
func LineTroubles(all []PlannedLine) []string {
	lines := slices.Clone(all)
	slices.SortStableFunc(lines, func(a, b PlannedLine) int {
		return cmp.Compare(a.LastYear(), b.LastYear())
	})
	var words []string
	for i := range lines {
		if lines[i].Trouble {
			words = append(words, lines[i].Words)
		}
	}
	return words
}

// lineTroublesOn is LineTroubles of the lines that say something of a unit.
func lineTroublesOn(unit string, all []PlannedLine) []string {
	return LineTroubles(slices.DeleteFunc(slices.Clone(all), func(l PlannedLine) bool { return !l.concerns(unit) }))
}

// heldFor names the line of a contract that fixes the burn of a unit in a year; empty
// where none does.
func (l *layout) heldFor(unit int, year date.ProgramYear) string {
	for i := range l.Lines {
		if line := &l.Lines[i]; line.Held && line.Year == year && line.Unit == l.Problem.Units[unit].ID {
			return line.Name()
		}
	}
	return ""
}
